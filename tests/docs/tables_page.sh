#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the examples of docs/tables.md and the R example of docs/files.md on sessions made here.
# Use: tables_page.sh MOUNDWORK DOCS python|r PROGRAM. Exit code 77 means skipped.
set -eu
moundwork=$1 docs=$2 language=$3 program=$4

case $language in
  python)
    "$program" -c 'import h5py, pandas' 2>/dev/null || {
      echo "SKIPPED: no python3 with h5py and pandas (Debian: python3-h5py, python3-pandas)"
      exit 77
    } ;;
  r)
    "$program" -e 'library(rhdf5)' >/dev/null 2>&1 || {
      echo "SKIPPED: no R with rhdf5 (Debian: r-base-core, r-bioc-rhdf5)"
      exit 77
    } ;;
esac

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
"$moundwork" simulate --session --out session.h5 --pitches 2 --rate 500Hz
"$moundwork" analyse session.h5 >table
"$moundwork" export session.h5 --out tables --format csv --format hdf5
"$moundwork" analyse session.h5 --json --no-save >throws.json

examples() { awk -v fence="^\`\`\`$1" '$0 ~ fence {inside = 1; next} /^```/ {inside = 0} inside' "$2"; }
if [ "$language" = python ]; then
  examples python "$docs/tables.md" >example
  [ -s example ] || { echo "the page has no example"; exit 1; }
  "$program" example | tee printed
else
  examples r "$docs/tables.md" >example
  examples r "$docs/files.md" >>example
  [ -s example ] || { echo "the pages have no example"; exit 1; }
  # A script does not print what a line at the prompt would.
  "$program" -e 'source("example", print.eval = TRUE)' | tee printed
fi

# The mean of both throws and each throw's own number must come out as the program prints them.
"${PYTHON:-python3}" - <<'CHECK'
import json
import re
throws = json.load(open("throws.json"))["throws"]
assert len(throws) == 2, "two throws were simulated"
values = [throw["quantities"]["braking_impulse"]["value"] for throw in throws]
printed = [float(word) for word in re.findall(r"-?\d+\.\d+", open("printed").read())]
for wanted in [*values, sum(values) / 2]:
    assert any(abs(number - wanted) < 1e-4 * wanted for number in printed), f"{wanted} is not printed"
CHECK
