#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What cannot be printed whole is a failure, told in one line.
# Use: full_output.sh MOUNDWORK. Exit code 77 means skipped.
set -eu
moundwork=$1

if [ ! -w /dev/full ]; then
  echo "SKIPPED: no /dev/full on this system"
  exit 77
fi

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
"$moundwork" simulate --session --out session.h5 --pitches 1 --rate 500Hz
if "$moundwork" analyse session.h5 --json --no-save >/dev/full 2>said; then
  echo "the program says that all is well"
  exit 1
fi
[ "$(wc -l <said)" -eq 1 ] && grep -q "not all could be printed" said
