#!/bin/sh
# Makes the reference tables of moist air and compares ours with them.
# Usage: moist_air_reference.sh BUILD_FOLDER TEST_PROGRAM
#   BUILD_FOLDER   takes psychrolib (npm) and the tables; made if it does not exist
#   TEST_PROGRAM   built from moist_air_reference_test.cpp
# Needs node, npm with access to its registry, and the Debian package python3-iapws.
set -eu

if [ $# -ne 2 ]; then
  echo "usage: $0 BUILD_FOLDER TEST_PROGRAM" >&2
  exit 2
fi
here=$(cd "$(dirname "$0")" && pwd)
build=$1
program=$2

mkdir -p "$build"
cp "$here/package.json" "$here/package-lock.json" "$build/"
npm install --prefix "$build" --no-audit --no-fund --ignore-scripts

node "$here/psychrolib_table.mjs" "$build" > "$build/psychrolib.csv"
/usr/bin/python3 "$here/iapws_table.py" > "$build/iapws.csv"

OVERWINTER_PSYCHROLIB_CSV="$build/psychrolib.csv" OVERWINTER_IAPWS_CSV="$build/iapws.csv" "$program"
