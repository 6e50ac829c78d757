#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the Python examples of docs/files.md on a session made and analysed here.
# Use: files_page.sh MOUNDWORK PAGE PYTHON. Exit code 77 means skipped.
set -eu
moundwork=$1 page=$2 python=$3

if ! "$python" -c 'import h5py' 2>/dev/null; then
  echo "SKIPPED: no python3 with h5py (Debian: python3-h5py)"
  exit 77
fi

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
"$moundwork" simulate --session --out session.h5 --pitches 2 --rate 500Hz
"$moundwork" analyse session.h5 >table
awk '/^```python/ {inside = 1; next} /^```/ {inside = 0} inside' "$page" >example.py
[ -s example.py ] || { echo "the page has no Python example"; exit 1; }
"$python" example.py | tee printed

# Both throws' braking impulse must come out as the program itself prints it.
"$moundwork" analyse session.h5 --json --no-save >throws.json
"$python" - <<'CHECK'
import json
throws = json.load(open("throws.json"))["throws"]
assert len(throws) == 2, "two throws were simulated"
printed = open("printed").read()
for throw in throws:
    value = throw["quantities"]["braking_impulse"]["value"]
    assert f"{value:.3f}" in printed, f"{value:.3f} is not in what the page's example printed"
# The lead plate has six channels, the third its vertical force.
assert ", 6) Fz N" in printed, printed
CHECK
