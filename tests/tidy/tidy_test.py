#!/usr/bin/python3
"""A check that cannot fail checks nothing: each rule of tidy.py is broken once, in a tree made for it."""

import pathlib
import sys
import tempfile
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
sys.dont_write_bytecode = True
import tidy  # noqa: E402

GUARD = "#pragma once\n"


class Tidy(unittest.TestCase):
    def found(self, files):
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder)
            for path, text in files.items():
                (root / path).parent.mkdir(parents=True, exist_ok=True)
                (root / path).write_text(text, encoding="utf-8")
            return [text for _, _, text in tidy.findings(root)]

    def assert_one(self, files, part):
        found = self.found(files)
        self.assertEqual(len(found), 1, found)
        self.assertIn(part, found[0])

    def test_a_clean_tree_passes(self):
        self.assertEqual(self.found({
            "rules/physics/a.cpp": '#include "rules/quantity/strong.h"\n#include <cmath>\n',
            "rules/engine/b.h": GUARD + '#include "rules/language/compile.h"\n',
            "config/c.cpp": '#include <yaml-cpp/yaml.h>\n#include "rules/engine/plan.h"\n',
            "README.md": "# A page\n[here](#a-page) [there](docs/b.md#two-words) [away](https://example.org)\n",
            "docs/b.md": "# Two words\n```\n[not a link](nowhere.md)\n```\n`[nor this](nowhere.md)`\n",
        }), [])

    def test_arrows(self):
        for path, target in (
            ("rules/quantity/a.h", "rules/physics/mold.h"),
            ("rules/physics/a.h", "rules/language/lexer.h"),
            ("rules/language/a.h", "rules/physics/mold.h"),
            ("rules/language/a.h", "rules/engine/plan.h"),
            ("rules/engine/a.h", "config/keys.h"),
            ("rules/gear/a.h", "rules/engine/plan.h"),
            ("rules/gear/a.h", "daemon/intake.h"),
            ("config/a.h", "daemon/intake.h"),
            ("rules/quantity/a.h", "tests/test_headers.h"),
        ):
            with self.subTest(path=path, target=target):
                self.assert_one({path: GUARD + f'#include "{target}"\n'}, "arrows")

    def test_libraries_stay_where_they_belong(self):
        self.assert_one({"rules/engine/a.cpp": "#include <yaml-cpp/yaml.h>\n"}, "belongs in")
        self.assert_one({"daemon/a.cpp": "#include <yaml-cpp/yaml.h>\n"}, "belongs in")
        self.assert_one({"config/a.cpp": "#include <sqlite3.h>\n"}, "belongs in")
        self.assert_one({"config/a.cpp": "#include <mqtt/async_client.h>\n"}, "belongs in")
        self.assert_one({"config/a.cpp": "#include <boost/asio.hpp>\n"}, "belongs in")
        self.assert_one({"rules/engine/a.h": GUARD + "#include <fmt/format.h>\n"}, "in a header")

    def test_rules_are_pure(self):
        for code in ("#include <iostream>", "#include <thread>", "#include <random>", "auto t = system_clock::now();",
                     'auto e = getenv("HOME");', "double d = std::stod(s);", "auto t = std::time(nullptr);"):
            with self.subTest(code=code):
                self.assert_one({"rules/engine/a.cpp": code + "\n"}, "rules/ knows no")
                self.assertEqual(self.found({"rules/r.txt": "", "daemon/a.cpp": code + "\n"}), [])
        self.assertEqual(self.found({"rules/engine/a.cpp": "// no getenv here\n"}), [])

    def test_sizes(self):
        self.assertEqual(self.found({"rules/a.cpp": "\n" * 400}), [])
        self.assert_one({"rules/a.cpp": "\n" * 401}, "at most 400")

    def test_each_limit_is_used(self):
        limits = GUARD + "inline constexpr std::size_t depth = 3;\ninline constexpr hours reach{2};\n"
        self.assertEqual(self.found({"rules/limits.h": limits, "config/a.cpp": "f(limits::depth, limits::reach);\n"}), [])
        for use in ("f(limits::depth, limits::reach_of_hand);\n", "f(limits::depth);  // limits::reach\n"):
            with self.subTest(use=use):
                self.assert_one({"rules/limits.h": limits, "config/a.cpp": use}, "`reach` is used nowhere")
        self.assert_one({"rules/limits.h": limits, "config/a.cpp": "f(limits::depth);\n",
                         "tests/a.cpp": "f(limits::reach);\n"}, "`reach` is used nowhere")

    def test_names(self):
        self.assert_one({"config/string_utils.h": GUARD}, "says nothing")
        self.assert_one({"daemon/alarm_manager.cpp": ""}, "says nothing")
        self.assert_one({"tests/common/a.cpp": ""}, "says nothing")

    def test_headers_are_guarded(self):
        self.assert_one({"rules/a.h": "int x();\n"}, "#pragma once")

    def test_nothing_is_left_unfinished(self):
        self.assert_one({"rules/a.cpp": "// TO" + "DO later\n"}, "unfinished")

    def test_links_lead_somewhere(self):
        self.assert_one({"README.md": "[a](docs/missing.md)\n"}, "leads nowhere")
        self.assert_one({"README.md": "[a](#missing)\n"}, "no heading")


if __name__ == "__main__":
    unittest.main(verbosity=1)
