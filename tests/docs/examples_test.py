#!/usr/bin/python3
"""The examples of the documents are what they say: JSON parses, commands are accepted, site files are sound.

Usage: examples_test.py ROOT OVERWINTER
"""

import json
import os
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

import yaml

ROOT, PROGRAM = pathlib.Path(sys.argv[1]), sys.argv[2]
SITE = """\
site: {id: alder_bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}, camper: {}, garage: {}}
gear:
  right_front_tire: {kind: tire, place: outdoors, pressure: by_hand,
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}}
  portable_generator: {kind: generator, place: garage, running: {topic: garage/generator}}
  refrigerator_door: {kind: door_or_vent, place: camper, should_be: open,
    open: {topic: camper/fridge, yes_is: open, no_is: shut}}
"""
START = [
    {"at": "2026-12-01T15:00:00Z", "topic": "camper/fridge", "payload": "shut"},
    {"at": "2026-12-01T15:00:00Z", "topic": "yard", "payload": "3"},
    {"at": "2026-12-01T16:00:00Z", "topic": "yard", "payload": "3"},
]
faults = []


def blocks(page, language):
    return re.findall(rf"^```{language}\n(.*?)^```", page.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)


def run(*arguments, **more):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, check=False, **more)


def check_commands(page, folder):
    """All commands of a page, in order, one a minute, are accepted by a site that has what they name."""
    lines = [line for block in blocks(page, "commands") for line in block.splitlines()]
    capture = list(START)
    for minute, line in enumerate(lines):
        topic, payload = line.split(maxsplit=1)
        json.loads(payload)
        capture.append({"at": f"2026-12-01T16:{minute + 1:02}:00Z", "topic": f"overwinter/alder_bend/{topic}",
                        "payload": payload})
    (folder / "site.yaml").write_text(SITE, encoding="utf-8")
    (folder / "capture.jsonl").write_text("".join(json.dumps(c) + "\n" for c in capture), encoding="utf-8")
    told = run("replay", str(folder / "site.yaml"), str(folder / "capture.jsonl"))
    if told.returncode != 0:
        faults.append(f"{page.name}: replay: {told.stderr}")
    for line in told.stdout.splitlines():
        if json.loads(line)["event"] == "command_refused":
            faults.append(f"{page.name}: {line}")
    return len(lines)


def check_yaml(page, folder):
    """A part of a site file is sound in a site that needs nothing else."""
    for block in blocks(page, "yaml"):
        whole = block if "site" in yaml.safe_load(block) else SITE + block
        for name in re.findall(r"[\w-]+\.(?:pem|key)\b", whole):
            (folder / name).touch()
        (folder / "part.yaml").write_text(whole, encoding="utf-8")
        told = run("validate", str(folder / "part.yaml"))
        if told.returncode != 0:
            faults.append(f"{page.name}: {told.stdout}{told.stderr}")


def check_first_site(folder):
    """The README's site file is sound, and names the broker that the service and all live commands need."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"^    site: .*\n(?:    .*\n)+", text, re.MULTILINE).group()
    site = folder / "first.yaml"
    site.write_text("".join(line[4:] + "\n" for line in block.splitlines()), encoding="utf-8")
    sound, live = run("validate", str(site)), run("listen", "--for", "no span", "--site", str(site))
    if sound.returncode != 0:
        faults.append(f"README.md: {sound.stdout}{sound.stderr}")
    if live.returncode != 2:  # 1: the site file is at fault; it asks no broker before it has read its options
        faults.append(f"README.md: {live.stderr}")
    return site


def check_first_readings(site, folder):
    """What the README's records are answered, two weeks after lay-up; nothing of its gear is left unjudged."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    records = re.findall(r"^    overwinter record (\S+) (\S+) (.+)$", text, re.MULTILINE)
    answer = re.search(r"^    ([\d.]+ V is .*)$", text, re.MULTILINE).group(1)
    capture = [{"at": f"2026-11-14T{hour:02}:00:00Z", "topic": "yard/weather", "payload": '{"temp_c": 3}'}
               for hour in range(18)]
    for minute, (gear, quantity, value) in enumerate(records):
        capture.append({"at": f"2026-11-14T17:{minute + 1:02}:00Z", "topic": "overwinter/my_camper/do/record",
                        "payload": json.dumps({"gear": gear, "quantity": quantity, "value": value})})
    (folder / "first.jsonl").write_text("".join(json.dumps(c) + "\n" for c in capture), encoding="utf-8")
    told = run("replay", str(site), str(folder / "first.jsonl"), "--summary")
    if len(records) != 2 or answer not in told.stdout:
        faults.append(f"README.md: {answer}: {told.stdout}{told.stderr}")


def check_pages_commands(page, site, folder):
    """Each command of a page is one of the README's site: what is asked of no broker is done, and the rest goes as far
    as one that is not there."""
    (folder / "here.yaml").write_text(
        site.read_text(encoding="utf-8").replace("host: localhost", "host: localhost, port: 1"), encoding="utf-8")
    (folder / "visit.jsonl").write_text("", encoding="utf-8")
    lines = re.findall(r"^    (overwinter .*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    for line in lines:
        words = shlex.split(line, comments=True)[1:]
        if words[0] == "capture":
            words[1] = "elsewhere.jsonl"  # the one that the page names stands there for explain
        told = run(*words, cwd=folder, env={**os.environ, "OVERWINTER_SITE": str(folder / "here.yaml")})
        if told.returncode != (0 if words[0] in ("validate", "explain") else 3):
            faults.append(f"{page.name}: {line}: {told.returncode}: {told.stdout}{told.stderr}")
    return len(lines)


checked = 0
with tempfile.TemporaryDirectory() as name:
    first_site = check_first_site(pathlib.Path(name))
    check_first_readings(first_site, pathlib.Path(name))
    checked += check_pages_commands(ROOT / "docs/winter.md", first_site, pathlib.Path(name))
    for page in sorted((ROOT / "docs").glob("*.md")):
        if page.name not in ("topics.md", "hub.md", "security.md", "installation.md"):
            continue
        for block in blocks(page, "json"):
            checked += 1
            try:
                json.loads(block)
            except ValueError as error:
                faults.append(f"{page.name}: {error}: {block}")
        checked += check_commands(page, pathlib.Path(name))
        check_yaml(page, pathlib.Path(name))
if checked < 35:
    faults.append(f"only {checked} examples found")
print("\n".join(faults) if faults else f"{checked} examples")
sys.exit(1 if faults else 0)
