#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Exports a simulated day and has the C3D files read by a script that shares no code with us.
# Use: c3d_export.sh MOUNDWORK SCRIPT PYTHON
set -eu
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$1" simulate --day --out "$folder/day" --athletes 2 --pitches 2 >"$folder/log"
"$1" analyse "$folder"/day/*.h5 >"$folder/table"
"$1" export "$folder"/day/*.h5 --out "$folder/out" --format csv --format c3d --traces
"$3" "$2" "$folder/out"
