#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What the program as a whole does around its commands: words it does not take are told in one line,
# a signal leaves no half file, and a closed output is a failure.
# Use: whole_program.sh MOUNDWORK.
set -eu
moundwork=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"

code=0
"$moundwork" edit exclude session.h5 2>said || code=$?
[ "$code" -ne 0 ]
[ "$(wc -l <said)" -eq 1 ]
grep -q "^moundwork edit exclude: .*--help\.$" said

# Hours of samples, so that it is at work when it is told to end.
"$moundwork" simulate --session --out long.h5 --duration 40000s --rate 2000Hz >/dev/null 2>said &
child=$!
tries=0
while [ ! -s long.h5.part ] && [ "$tries" -lt 200 ]; do
  sleep 0.05
  tries=$((tries + 1))
done
[ -s long.h5.part ]
kill -TERM "$child"
code=0
wait "$child" || code=$?
[ "$code" -eq 143 ]
grep -q "ended before it was done" said
[ "$(ls)" = said ]

"$moundwork" simulate --session --out short.h5 --pitches 1 --rate 500Hz >said
if "$moundwork" analyse short.h5 >&- 2>said; then exit 1; fi
"$moundwork" analyse short.h5 >said
grep -q "1 throw" said
