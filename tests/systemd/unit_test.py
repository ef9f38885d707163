#!/usr/bin/python3
"""The unit is shut as tightly as it can be, by systemd's own measure, and says what the service needs.

Usage: unit_test.py ROOT
"""

import pathlib
import re
import subprocess
import sys

MOST_EXPOSED = 1.5  # of 10: systemd-analyze(1), security
NEEDED = {
    "Type": "notify",
    "WatchdogSec": "60",
    "DynamicUser": "yes",
    "StateDirectory": "overwinter",
    "LoadCredential": "mqtt-password:/etc/overwinter/mqtt-password",
    "ExecReload": "/bin/kill -HUP $MAINPID",
    "Restart": "on-failure",
    "RestartPreventExitStatus": "1 2 4",
    "TimeoutStopSec": "15",
}

unit = pathlib.Path(sys.argv[1]) / "systemd" / "overwinterd.service"
found = {}
for line in unit.read_text(encoding="utf-8").splitlines():
    if match := re.match(r"(\w+)=(.*)", line):
        found.setdefault(match.group(1), []).append(match.group(2))
faults = [f"{key}={value} is missing" for key, value in NEEDED.items() if found.get(key) != [value]]
if not any("adjtimex" in names and "clock_adjtime" in names for names in found.get("SystemCallFilter", [])):
    faults.append("the service may not ask whether the clock is synchronized")
if "ProtectClock" in found:
    faults.append("ProtectClock forbids to ask whether the clock is synchronized")

run = subprocess.run(["systemd-analyze", "security", "--offline=true", "--no-pager", str(unit)],
                     capture_output=True, text=True, check=False)
level = re.search(r"Overall exposure level for \S+: ([\d.]+)", run.stdout)
if level is None:
    faults.append("systemd-analyze told no exposure: " + run.stderr.strip())
elif float(level.group(1)) > MOST_EXPOSED:
    faults.append(f"exposure {level.group(1)}, at most {MOST_EXPOSED}")
for line in run.stderr.splitlines():
    faults.append("systemd-analyze: " + line)
print("\n".join(faults) if faults else f"exposure {level.group(1)}")
sys.exit(1 if faults else 0)
