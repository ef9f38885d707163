#!/usr/bin/python3
"""The JSON Schema accepts the example and refuses broken ones. An outside judge: python3-jsonschema (draft 2020-12)."""
import copy
import json
import pathlib
import re
import sys

import jsonschema
import yaml

root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else __file__).resolve()
root = root if root.is_dir() else root.parents[2]


class Core(yaml.SafeLoader):
    """YAML 1.2 core schema (section 10.3): `yes`, `on` and dates are texts."""


Core.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("bool", r"^(true|false)$", "tf"),
    ("null", r"^(~|null|)$", "~n"),
    ("int", r"^[-+]?[0-9]+$", "-+0123456789"),
    ("float", r"^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$", "-+.0123456789"),
):
    Core.add_implicit_resolver("tag:yaml.org,2002:" + tag, re.compile(pattern), list(first) + ([""] if tag == "null" else []))

schema = json.loads((root / "config/schema/site.schema.json").read_text())
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)
site = yaml.load((root / "tests/config/data/alder-bend/site.yaml").read_text(), Core)

failed = 0
for error in validator.iter_errors(site):
    failed += 1
    print("refuses the example:", "/".join(map(str, error.absolute_path)), error.message[:200])


def breaks(name, change):
    global failed
    broken = copy.deepcopy(site)
    change(broken)
    if validator.is_valid(broken):
        failed += 1
        print("accepts:", name)


def put(*path):
    def change(tree):
        for key in path[:-2]:
            tree = tree[key]
        tree[path[-2]] = path[-1]

    return change


breaks("an unknown section", put("palces", {}))
breaks("a port out of range", put("broker", "port", 70000))
breaks("a bare number where a unit is needed", put("gear", "left_front_tire", "minimum_pressure", 40))
breaks("a bare number inside a map", put("gear", "left_front_tire", "filled", "pressure", 52))
breaks("an unknown kind", put("gear", "left_front_tire", "kind", "wheel"))
breaks("a key of another kind", put("gear", "left_front_tire", "capacity", "85 Ah"))
breaks("a computed quantity", put("gear", "left_front_tire", "leak_rate", "by_hand"))
breaks("a sensor without topic", put("places", "camper", "temperature", {"unit": "degC"}))
breaks("a topic with a wildcard", put("places", "camper", "temperature", {"topic": "a/#", "unit": "degC"}))
breaks("an unknown word", put("places", "camper", "mold_class", "high"))
breaks("no site", lambda tree: tree.pop("site"))
breaks("no time zone", lambda tree: tree["site"].pop("local_time"))
breaks("an id with capitals", put("places", "Camper", {}))
sys.exit(1 if failed else 0)
