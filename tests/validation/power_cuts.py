#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What a power cut leaves of a recording, for docs/measured.md.

Two invented devices send numbered rows to `moundwork record`, which writes onto ext4, xfs or btrfs
in an image file. At random moments the image is copied in one moment (a reflink): what the disk
would hold had the power gone then. Each copy is mounted, as the next start would, and read with
h5py by the rules of docs/files.md alone. Half the cuts fall into the first 30 s of a recording or
after `record --continue`.

    power_cuts.py MOUNDWORK [--cuts 100] [--systems ext4,ext4-noauto,xfs,btrfs] [--folder DIR]

Needs root, to mount, and mkfs of ext4, xfs and btrfs.
"""
import argparse
import os
import pathlib
import random
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import threading
import time
import zlib

import h5py
import numpy

RATE = 1000
CHANNELS = 6
SYSTEMS = {
    "ext4": (["mkfs.ext4", "-q", "-F"], ""),
    "ext4-noauto": (["mkfs.ext4", "-q", "-F"], "noauto_da_alloc"),
    "xfs": (["mkfs.xfs", "-q", "-f"], "nouuid"),
    "btrfs": (["mkfs.btrfs", "-q", "-f"], ""),
}
EARLY = 30.0  # s


def run(*command):
    subprocess.run([str(word) for word in command], check=True, stdout=subprocess.DEVNULL)


def unmount(place):
    """A loop device lets go of its file a moment after it was unmounted."""
    for _ in range(100):
        if subprocess.run(["umount", str(place)], stderr=subprocess.DEVNULL).returncode == 0:
            return
        time.sleep(0.1)
    run("umount", place)


class Device(threading.Thread):
    """Sends lines `counter;values` over TCP; value c of row r is 64 r + c. Remembers when."""

    def __init__(self):
        super().__init__(daemon=True)
        self.server = socket.create_server(("127.0.0.1", 0))
        self.port = self.server.getsockname()[1]
        self.rows = 0
        self.start_time = time.monotonic()
        self.start()

    def run(self):
        while True:
            link, _ = self.server.accept()
            try:
                while True:
                    due = int((time.monotonic() - self.start_time) * RATE)
                    lines = []
                    for row in range(self.rows, due):
                        values = ";".join(str((64 * row + c) % 2**31) for c in range(CHANNELS))
                        lines.append(f"{row};{values}\n")
                    link.sendall("".join(lines).encode())
                    self.rows = due
                    time.sleep(0.01)
            except OSError:
                link.close()


def station(devices):
    text = 'name = "invented"\n'
    for name, device in devices.items():
        text += f"""[[device]]
name = "{name} plate"
port = {{kind = "tcp", host = "127.0.0.1", port = {device.port}}}
format = {{kind = "lines", delimiter = ";", fields = {CHANNELS + 1}, counter = 1, counter_bits = 32, values = "integer"}}
sample_rate = "{RATE} Hz"
tick_rate = "{RATE} Hz"
"""
        for c in range(CHANNELS):
            text += f'  [[device.channel]]\n  name = "{"FM"[c // 3]}{"xyz"[c % 3]}"\n'
            text += f'  unit = "{"N" if c < 3 else "N m"}"\n  scale = 0.001\n  field = {c + 2}\n'
    corners = {"back": (0.5, -0.1), "lead": (2.0, 1.2)}
    for name in devices:
        far, near = corners[name]
        text += f"""[[plate]]
role = "{name}"
device = "{name} plate"
channels = ["Fx", "Fy", "Fz", "Mx", "My", "Mz"]
type = 2
origin = [0.0, 0.0, -0.04]
corners = [[{far}, -0.3, 0.0], [{near}, -0.3, 0.0], [{near}, 0.3, 0.0], [{far}, 0.3, 0.0]]
"""
    return text


def counted_rows(file):
    """What the file says is on the disk: rows of each table (docs/files.md)."""
    record = file["records/on_disk"]
    halves = [half for half in record[...]
              if half[-1] == zlib.crc32(half[:-1].astype("<i8").tobytes())]
    if not halves:
        return {name.decode(): 0 for name in record.attrs["tables"]}
    newest = max(halves, key=lambda half: half[0])
    return {name.decode(): int(rows)
            for name, rows in zip(record.attrs["tables"], newest[1:-1])}


def reliable(file, device, counted):
    """Rows that the check sums show to be there beyond those counted, as (samples, blocks)."""
    samples, blocks = file[f"devices/{device}/samples"], file[f"devices/{device}/blocks"]
    rows, block = counted[f"devices/{device}/samples"], counted[f"devices/{device}/blocks"]
    try:
        while block < blocks.shape[0]:
            row = blocks[block]
            end = int(blocks[block + 1]["first_sample"]) if block + 1 < blocks.shape[0] \
                else samples.shape[0]
            if int(row["first_sample"]) != rows or not rows <= end <= samples.shape[0]:
                break
            told = numpy.array([row["first_sample"], row["ticks"]], "<i8").tobytes() \
                + numpy.array([row["arrival"]], "<f8").tobytes() \
                + numpy.array([row["missing_before"]], "<i8").tobytes()
            if zlib.crc32(told + samples[rows:end].tobytes()) != int(row["check"]):
                break
            rows, block = end, block + 1
    except (OSError, KeyError):
        pass
    return rows, block


def untrue(file, device, rows, blocks):
    """How many of the first rows are not what the device sent at that tick."""
    if rows == 0:
        return 0
    samples = file[f"devices/{device}/samples"][:rows].astype("int64")
    block = file[f"devices/{device}/blocks"][:blocks]
    first = block["first_sample"].astype("int64")
    of = numpy.searchsorted(first, numpy.arange(rows), side="right") - 1
    ticks = block["ticks"].astype("int64")[of] + numpy.arange(rows) - first[of]
    expected = (64 * ticks[:, None] + numpy.arange(CHANNELS)) % 2**31
    return int((samples != expected).any(axis=1).sum())


class Disk:
    """A file system in an image file."""

    def __init__(self, system, folder):
        self.make, self.options = SYSTEMS[system]
        self.image, self.place = folder / f"{system}.img", folder / system
        self.snapshots, self.cuts = folder / f"{system}-cuts", []
        self.place.mkdir()
        self.snapshots.mkdir()
        with open(self.image, "wb") as image:
            image.truncate(600 << 20)
        run(*self.make, self.image)
        self.mount(self.image, self.place)

    def mount(self, image, place):
        run("mount", "-o", ",".join(filter(None, ["loop", self.options])), image, place)

    def cut(self, **about):
        copy = self.snapshots / f"{len(self.cuts):03}.img"
        about["sent"] = {name: device.rows for name, device in about.pop("devices").items()}
        run("cp", "--reflink=always", self.image, copy)
        self.cuts.append({"image": copy, **about})


def record(moundwork, disk, file, folder, devices, proceed):
    command = [moundwork, "record", "--station", folder / "station.toml", "--out", file]
    command += ["--continue"] if proceed else ["--athlete", "t1", "--mass", "80kg"]
    return subprocess.Popen([str(word) for word in command], stdout=subprocess.DEVNULL,
                            stderr=open(folder / "record.log", "a"))


def cuts_in(disk, moments, begun, about):
    for moment in sorted(moments):
        time.sleep(max(0.0, begun + moment - time.monotonic()))
        disk.cut(since=time.monotonic() - begun, **about)


def round_of(moundwork, disk, folder, number, cuts, chance):
    """One recording with cuts early and late, killed, gone on with and cut again."""
    devices = {"back": Device(), "lead": Device()}
    (folder / "station.toml").write_text(station(devices))
    file = disk.place / f"recording-{number}.h5"
    third = cuts // 4
    process = record(moundwork, disk, file, folder, devices, False)
    begun = time.monotonic()
    while not file.exists() and process.poll() is None:
        time.sleep(0.02)
    about = {"file": file.name, "devices": devices, "kept": 0}
    early = [chance.uniform(0.5, EARLY) for _ in range(third)]
    late = [chance.uniform(EARLY, 90.0) for _ in range(cuts - 2 * third)]
    cuts_in(disk, early + late, begun, about)
    process.send_signal(signal.SIGKILL)
    process.wait()
    killed = {name: device.rows for name, device in devices.items()}
    os.sync()
    begun = time.monotonic()
    process = record(moundwork, disk, file, folder, devices, True)
    # From a second before anything of the second part is there; what was there must stay.
    gone_on = [chance.uniform(0.0, EARLY) for _ in range(third)]
    cuts_in(disk, gone_on, begun, {**about, "kept": min(killed.values()) - 2 * RATE})
    process.send_signal(signal.SIGINT)
    if process.wait() != 0:
        raise RuntimeError(f"the recording ended with {process.returncode}: see {folder}/record.log")


def read_cut(moundwork, disk, cut):
    place = disk.snapshots / "mounted"
    place.mkdir(exist_ok=True)
    found = {"untrue": 0, "lost": [], "unreadable": "", "shown_lost": []}
    disk.mount(cut["image"], place)
    try:
        with h5py.File(place / cut["file"], "r", libver="latest", swmr=True) as file:
            counted = counted_rows(file)
            for name, sent in cut["sent"].items():
                device = f"{name} plate"
                rows, blocks = (counted[f"devices/{device}/{table}"]
                                for table in ("samples", "blocks"))
                found["untrue"] += untrue(file, device, rows, blocks)
                more, more_blocks = reliable(file, device, counted)
                found["untrue"] += untrue(file, device, more, more_blocks)
                block = file[f"devices/{device}/blocks"]
                for kind, count, of in (("lost", rows, blocks), ("shown_lost", more, more_blocks)):
                    last = 0
                    if of > 0:
                        row = block[of - 1]
                        last = int(row["ticks"]) + count - int(row["first_sample"])
                    first = int(block[0]["ticks"]) if of > 0 else sent - int(cut["since"] * RATE)
                    found[kind].append((sent - max(last, first)) / RATE)
                if rows < cut["kept"]:
                    found["unreadable"] = f"{rows} rows where {cut['kept']} were safe"
        # The program itself; nobody throws here, so it finds nothing.
        program = subprocess.run([str(moundwork), "analyse", str(place / cut["file"])],
                                 capture_output=True, text=True)
        if program.returncode != 0:
            found["unreadable"] = f"the program: {program.stderr.strip()}"
    except (OSError, KeyError, ValueError) as problem:
        found["unreadable"] = str(problem)
    finally:
        unmount(place)
    return found


def measure(moundwork, system, cuts, folder, chance):
    folder.mkdir()
    disk = Disk(system, folder)
    try:
        rounds = max(1, cuts // 25)
        for number in range(rounds):
            round_of(moundwork, disk, folder, number, cuts // rounds, chance)
    finally:
        unmount(disk.place)
    found = [read_cut(moundwork, disk, cut) for cut in disk.cuts]
    lost = [value for one in found for value in one["lost"]]
    shown = [value for one in found for value in one["shown_lost"]]
    bad = [one["unreadable"] for one in found if one["unreadable"]]
    print(f"{system}: {len(found)} cuts, {len(bad)} unreadable, "
          f"{sum(one['untrue'] > 0 for one in found)} untrue; lost by the count "
          f"median {statistics.median(lost):.2f} s, greatest {max(lost):.2f} s; "
          f"by the check sums median {statistics.median(shown):.2f} s, greatest {max(shown):.2f} s",
          flush=True)
    for words in bad:
        print(f"  {words}")
    return not bad and not any(one["untrue"] for one in found)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("moundwork", type=pathlib.Path)
    parser.add_argument("--cuts", type=int, default=100)
    parser.add_argument("--systems", default=",".join(SYSTEMS))
    parser.add_argument("--folder", type=pathlib.Path, default=pathlib.Path("/tmp"))
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    missing = [tool for tool in ("mkfs.ext4", "mkfs.xfs", "mkfs.btrfs", "mount")
               if shutil.which(tool) is None]
    if os.geteuid() != 0 or missing:
        print("SKIPPED: power cuts need the right to mount and mkfs of ext4, xfs and btrfs "
              f"(missing: {', '.join(missing) or 'the right to mount'}); nothing was measured")
        return 2
    folder = options.folder / f"power-cuts-{os.getpid()}"
    folder.mkdir()
    host, place = folder / "host.img", folder / "host"
    place.mkdir()
    with open(host, "wb") as image:
        image.truncate(20 << 30)
    run("mkfs.xfs", "-q", "-f", host)
    try:
        run("mount", "-o", "loop", host, place)
    except subprocess.CalledProcessError:
        print("SKIPPED: this account may not mount; nothing was measured")
        shutil.rmtree(folder)
        return 2
    whole = []
    try:
        threads = []
        for i, system in enumerate(options.systems.split(",")):
            chance = random.Random(options.seed * 1000 + i)
            threads.append(threading.Thread(target=lambda s=system, c=chance: whole.append(
                measure(options.moundwork.resolve(), s, options.cuts, place / f"work-{s}", c))))
            threads[-1].start()
        for thread in threads:
            thread.join()
    finally:
        unmount(place)
        shutil.rmtree(folder)
    return 0 if len(whole) == len(options.systems.split(",")) and all(whole) else 1


if __name__ == "__main__":
    sys.exit(main())
