#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# On a disk of any size a command either does all it says, or says in one sentence that there is no
# room, leaves what was there as it was and nothing else, and ends in order.
# Use: full_disk.sh MOUNDWORK. Exit code 77 means skipped.
set -eu
moundwork=$1

# A disk of one's own needs a namespace of one's own.
if [ "${in_namespace:-}" = "" ]; then
  if ! unshare --map-root-user --mount true 2>/dev/null; then
    echo "SKIPPED: this system does not let its users mount a disk of their own"
    exit 77
  fi
  in_namespace=1 exec unshare --map-root-user --mount "$0" "$@"
fi

folder=$(mktemp -d)
trap 'umount "$folder/disk" 2>/dev/null || true; rm -rf "$folder"' EXIT
cd "$folder"
mkdir disk
"$moundwork" simulate --session --out ready.h5 --pitches 1 --rate 500Hz >said
"$moundwork" analyse ready.h5 >said
"$moundwork" export ready.h5 --format c3d --out tables >said
rm ready.results.hdf5
recording=$(find tables -name '*.c3d' | head -1)

with_disk() { # kB, command...
  mount -t tmpfs -o "size=${1}k" tmpfs disk
  shift
  for file in $there; do cp "$file" disk; done
  before=$(cksum disk/* 2>/dev/null || true)
  code=0
  "$moundwork" "$@" >out 2>err || code=$?
  if [ "$code" -eq 1 ]; then
    [ "$(wc -l <err)" -eq 1 ] && grep -q "No space left on device" err
    [ "$(cksum disk/* 2>/dev/null || true)" = "$before" ]
    refused=$((refused + 1))
  else
    [ "$code" -eq 0 ]
    done=$((done + 1))
  fi
}

sweep() { # first kB, step, last kB, command...
  first=$1 step=$2 last=$3
  shift 3
  refused=0 done=0
  for size in $(seq "$first" "$step" "$last"); do
    with_disk "$size" "$@" || {
      echo "FAILED with $size kB, code $code: moundwork $*"
      cat err
      ls disk
      exit 1
    }
    # What is said to be done is whole.
    if [ "$code" -eq 0 ]; then
      "$moundwork" analyse --json --no-save disk/*.h5 | grep -v "\"when\":" >numbers
      [ ! -e expected ] || cmp numbers expected
      mv numbers expected
    fi
    umount disk
  done
  rm -f expected
  echo "$refused refused, $done done: moundwork $*"
  [ "$refused" -gt 0 ] && [ "$done" -gt 0 ]
}

there=
sweep 4 28 620 import --c3d "$recording" --throws right --mass 80kg --out disk/session.h5
sweep 4 148 4200 simulate --session --pitches 1 --rate 500Hz --compression 4 --out disk/session.h5
there=ready.h5
size=$(($(stat -c %s ready.h5) / 1024 + 4))
sweep "$size" 8 $((size + 120)) analyse disk/ready.h5
"$moundwork" analyse ready.h5 >said
there="ready.h5 ready.results.hdf5"
size=$((($(stat -c %s ready.h5) + $(stat -c %s ready.results.hdf5)) / 1024 + 8))
sweep "$size" 16 $((size + 120)) edit exclude --throw 1 --who me --why warm-up disk/ready.h5
