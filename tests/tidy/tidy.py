#!/usr/bin/python3
"""Checks what no compiler checks: the arrows between the layers, what pure code may use, sizes, names, links.

Usage: tests/tidy/tidy.py [ROOT]. Prints one line a finding, FILE:LINE: TEXT, and exits 1 if there is any.
"""

import pathlib
import re
import sys

# --- The arrows: what a folder may include of ours. The longest folder that holds a file decides.
BASE = ["rules/result.h", "rules/limits.h", "rules/archive.h"]
QUANTITY = BASE + ["rules/quantity/"]
MAY_INCLUDE = {
    "rules": BASE,
    "rules/quantity": QUANTITY,
    "rules/physics": QUANTITY + ["rules/physics/"],
    "rules/language": QUANTITY + ["rules/language/"],
    "rules/gear": QUANTITY + ["rules/physics/", "rules/language/", "rules/gear/"],
    "rules/engine": ["rules/"],
    "rules/standard": ["rules/standard/"],
    "config": ["rules/", "config/"],
    "daemon": ["rules/", "config/", "daemon/"],
}

# --- The libraries of others: where each may be included.
LIBRARIES = {
    r"yaml-cpp/": ["config/", "tests/"],
    r"date/": ["config/", "tests/"],
    r"sqlite3?\.h": ["daemon/", "tests/"],
    r"mqtt/|MQTT": ["daemon/", "tests/"],
    r"boost/": ["daemon/", "tests/"],
    r"spdlog/": ["daemon/"],
    r"simdjson|nlohmann/": ["daemon/", "tests/"],
    r"CLI/": ["daemon/", "tests/"],
}

# --- Pure code: no clock, file, thread, log, locale, randomness.
IMPURE_HEADERS = re.compile(
    r"#include <(iostream|fstream|sstream|iomanip|istream|ostream|cstdio|stdio\.h|filesystem|thread|mutex|shared_mutex"
    r"|atomic|condition_variable|future|random|locale|clocale|ctime|time\.h|unistd\.h|sys/.*|regex|csignal)>"
)
IMPURE_WORDS = re.compile(
    r"\b(system_clock::now|steady_clock|high_resolution_clock|utc_clock|std::rand|srand|getenv|setlocale|fopen"
    r"|gettimeofday|clock_gettime|localtime|gmtime|std::sto[dfil]|strtod|atof|atoi|random_device|thread_local)\b"
    r"|\bstd::time\("
)

# --- Limits, sizes, names.
LIMITS = "rules/limits.h"
LONGEST_FILE = 400
LONG_FILES = {}  # "path": "reason"; none so far
VAGUE_NAME = re.compile(r"(^|_)(utils?|helpers?|managers?|commons?|misc|stuff)(_|$)")
UNFINISHED = re.compile(r"\b(TODO|FIXME|XXX)\b")

CODE = (".h", ".cpp")
INCLUDE = re.compile(r'^\s*#\s*include\s+(["<])([^">]+)[">]')


def without_comments_and_texts(line):
    """The code of a line. Block comments are not our style; raw strings rarely hold these words."""
    line = re.sub(r'"(\\.|[^"\\])*"', '""', line)
    return line.split("//", 1)[0]


def folder_rule(path):
    folder = str(pathlib.PurePosixPath(path).parent)
    while folder not in MAY_INCLUDE:
        if "/" not in folder:
            return None
        folder = folder.rsplit("/", 1)[0]
    return MAY_INCLUDE[folder]


def check_include(path, kind, target):
    if kind == '"':
        allowed = folder_rule(path)
        if allowed is not None and not any(target == a or (a.endswith("/") and target.startswith(a)) for a in allowed):
            yield f"includes {target} against the arrows between the layers"
        return
    for library, places in LIBRARIES.items():
        if re.match(library, target) and not any(path.startswith(p) for p in places):
            yield f"includes <{target}>, which belongs in {' or '.join(places)}"
    if path.startswith("rules/") and path.endswith(".h") and re.match(r"fmt/", target):
        yield f"includes <{target}> in a header: it costs every file that includes it"


def check_code(path, lines):
    pure = path.startswith("rules/")
    for number, line in enumerate(lines, 1):
        include = INCLUDE.match(line)
        if include:
            for finding in check_include(path, *include.groups()):
                yield number, finding
        if pure and IMPURE_HEADERS.match(line):
            yield number, f"{line.strip()}: rules/ knows no input, output, clock, thread, locale or randomness"
        impure = IMPURE_WORDS.search(without_comments_and_texts(line)) if pure else None
        if impure:
            yield number, f"`{impure.group(0)}`: rules/ knows no input, output, clock, thread, locale or randomness"
        if UNFINISHED.search(line):
            yield number, "unfinished work is not written into code"
    if path.endswith(".h") and "#pragma once\n" not in lines:
        yield 1, "a header without #pragma once"
    if path.split("/")[0] in ("rules", "config", "daemon") and len(lines) > LONGEST_FILE and path not in LONG_FILES:
        yield len(lines), f"{len(lines)} lines; a file has at most {LONGEST_FILE}"


def check_name(path):
    for part in pathlib.PurePosixPath(path).parts:
        if VAGUE_NAME.search(part.split(".")[0].lower()):
            yield 1, f"`{part}` says nothing about what is in it"


def anchors(text):
    """The anchors that a page offers, as the usual renderers make them."""
    found = set()
    for heading in re.findall(r"^#{1,6}\s+(.*?)\s*$", outside_fences(text), re.MULTILINE):
        plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading).replace("`", "").lower()
        anchor = re.sub(r"[^\w\- ]", "", plain).replace(" ", "-")
        count, unique = 0, anchor
        while unique in found:
            count += 1
            unique = f"{anchor}-{count}"
        found.add(unique)
    return found | set(re.findall(r'<a (?:id|name)="([^"]+)"', text))


def outside_fences(text):
    """The text with fenced blocks emptied, line numbers kept."""
    out, fence = [], None
    for line in text.splitlines():
        mark = re.match(r"\s*(```+|~~~+)", line)
        if fence is None and mark:
            fence = mark.group(1)
            out.append("")
        elif fence is not None:
            if mark and mark.group(1).startswith(fence):
                fence = None
            out.append("")
        else:
            out.append(line)
    return "\n".join(out)


def check_links(root, path, text):
    for number, line in enumerate(outside_fences(text).splitlines(), 1):
        line = re.sub(r"`[^`]*`", "", line)
        for target in re.findall(r"\]\(([^)\s]+)[^)]*\)", line):
            if re.match(r"[a-z][a-z0-9+.-]*:", target):
                continue
            file_part, _, anchor = target.partition("#")
            aimed = (root / path).parent / file_part if file_part else root / path
            if not aimed.exists():
                yield number, f"the link {target} leads nowhere"
            elif anchor and aimed.suffix == ".md" and anchor not in anchors(aimed.read_text(encoding="utf-8")):
                yield number, f"the link {target} leads to no heading of that page"


def our_files(root):
    for top in ("rules", "config", "daemon", "tests", "cmake", "systemd", "docs"):
        for file in sorted((root / top).rglob("*")):
            if file.is_file() and "node_modules" not in file.parts and "__pycache__" not in file.parts:
                yield file.relative_to(root).as_posix()


LIMIT = re.compile(r"^inline constexpr \S+ (\w+)\b")


def check_limits(lines, texts):
    """Each limit acts: one that no code of ours names is a promise that nobody keeps. Tests do not count."""
    used = set()
    for text in texts:
        used |= set(re.findall(r"\blimits::(\w+)", text))
    for number, line in enumerate(lines, 1):
        limit = LIMIT.match(line)
        if limit and limit.group(1) not in used:
            yield number, f"`{limit.group(1)}` is used nowhere: what acts stands elsewhere, or nothing does"


def findings(root):
    for path in our_files(root):
        for number, text in check_name(path):
            yield path, number, text
        if path.endswith(CODE):
            lines = (root / path).read_text(encoding="utf-8").splitlines(keepends=True)
            for number, text in check_code(path, lines):
                yield path, number, text
    if (root / LIMITS).exists():
        lines = (root / LIMITS).read_text(encoding="utf-8").splitlines()
        code = [p for p in our_files(root) if p.endswith(CODE) and not p.startswith("tests/")]
        texts = (without_comments_and_texts(line) for p in code
                 for line in (root / p).read_text(encoding="utf-8").splitlines())
        for number, text in check_limits(lines, texts):
            yield LIMITS, number, text
    pages = [p for p in ("README.md", "DEVELOPERS.md") if (root / p).exists()]
    pages += sorted(p.relative_to(root).as_posix() for p in (root / "docs").rglob("*.md"))
    for path in pages:
        for number, text in check_links(root, path, (root / path).read_text(encoding="utf-8")):
            yield path, number, text


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve()
    if not (root / "rules").is_dir():
        print(f"{root} holds no rules/: not the root of this project", file=sys.stderr)
        return 2
    count = 0
    for path, number, text in findings(root):
        print(f"{path}:{number}: {text}")
        count += 1
    return 1 if count else 0


if __name__ == "__main__":
    sys.exit(main())
