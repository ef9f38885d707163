#!/usr/bin/python3
"""The backup and restore of docs/journal.md work as they stand there, in each shell, with a log beside the journal and without.

Usage: restore_test.py ROOT OVERWINTERD
"""

import contextlib
import pathlib
import re
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time

ROOT, SERVICE = pathlib.Path(sys.argv[1]), sys.argv[2]
NAME, PATIENCE = "alder_bend.sqlite", 30
SITE = """\
site: {id: alder_bend, local_time: America/Winnipeg, display_units: us}
broker: {host: 127.0.0.1, port: 9}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
"""
faults = []


def steps():
    """The two blocks of the section: backup, restore."""
    page = (ROOT / "docs" / "journal.md").read_text(encoding="utf-8")
    section = page[page.index("\n## Backup and restore"):]
    backup, restore = re.findall(r"^```sh\n(.*?)^```", section, re.MULTILINE | re.DOTALL)
    return backup, restore


def begun(site, journal, log):
    """A service whose journal has its tables."""
    with log.open("w", encoding="utf-8") as errors:
        service = subprocess.Popen([SERVICE, "--journal", str(journal), str(site)], stderr=errors)
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:  # each look is a condition; the limit is only reached by a failure
        try:
            with contextlib.closing(sqlite3.connect(f"file:{journal}?mode=ro", uri=True)) as db:
                if db.execute("SELECT count(*) FROM snapshots").fetchone()[0] > 0:
                    return service
        except sqlite3.OperationalError:
            pass
    raise RuntimeError(log.read_text(encoding="utf-8"))


def check(shell, how, folder):
    state, backup, bin_folder = folder / "state", folder / "backup", folder / "bin"
    state.mkdir()
    bin_folder.mkdir()
    systemctl, calls = bin_folder / "systemctl", folder / "calls"
    systemctl.write_text(f'#!/bin/sh\necho "$@" >> {calls}\n', encoding="utf-8")
    systemctl.chmod(0o755)
    site = folder / "site.yaml"
    site.write_text(SITE, encoding="utf-8")

    def run(step):
        step = step.replace("/var/lib/overwinter", str(state)).replace("/backup", str(backup))
        for copy in backup.glob("*"):
            step = re.sub(r"alder_bend-2026-12-01\.sqlite", copy.name, step)
        ran = subprocess.run([shell, "-c", step], capture_output=True, text=True, check=False,
                             env={"PATH": f"{bin_folder}:/usr/bin:/bin"})
        if ran.returncode != 0 or ran.stderr:
            faults.append(f"{shell}, {how.name}: {ran.returncode}: {ran.stderr}")

    service = begun(site, state / NAME, folder / "log")
    to_backup, to_restore = steps()
    run(to_backup)
    service.send_signal(how)
    service.wait(PATIENCE)
    before = {file.name: file.read_bytes() for file in state.iterdir()}
    if (NAME + "-wal" in before) != (how == signal.SIGKILL):
        faults.append(f"{how.name} left {sorted(before)}")
    run(to_restore)

    copies = list(backup.glob("*"))
    if len(copies) != 1 or (state / NAME).read_bytes() != copies[0].read_bytes():
        faults.append(f"{shell}, {how.name}: the copy is not in its place")
    if {file.name: file.read_bytes() for file in (state / "old").iterdir()} != before:
        faults.append(f"{shell}, {how.name}: what stood there is not in old/ as it was")
    if sorted(file.name for file in state.iterdir()) != [NAME, "old"]:
        faults.append(f"{shell}, {how.name}: {sorted(file.name for file in state.iterdir())}")
    if not calls.exists() or calls.read_text(encoding="utf-8") != "stop overwinterd\nstart overwinterd\n":
        faults.append(f"{shell}, {how.name}: the service was not stopped and started")
    again = begun(site, state / NAME, folder / "log")
    again.terminate()
    again.wait(PATIENCE)
    if (said := (folder / "log").read_text(encoding="utf-8")) and "damaged" in said:
        faults.append(f"{shell}, {how.name}: {said}")


shells = ("sh", "bash", "zsh")
for each in shells:
    for ended in (signal.SIGTERM, signal.SIGKILL):
        with tempfile.TemporaryDirectory() as name:
            check(each, ended, pathlib.Path(name))
print("\n".join(faults) if faults else "restored in " + ", ".join(shells))
sys.exit(1 if faults else 0)
