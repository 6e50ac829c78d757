# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds `moundwork analyse` against the SciPy script on one session: first that they agree, then
how long each takes as a whole process, in turn, and a plain HDF5 read beside them.

Usage: analyse_ratio.py MOUNDWORK PLAIN_READ SESSION.h5 [RUNS]
"""
import json
import os
import statistics
import subprocess
import sys
import time

SCRIPT = os.path.join(os.path.dirname(__file__), "..", "reference", "analyse_session.py")


# Greatest differences allowed: s, % of the value, points of the foot. Wider than noise because the
# script tares once, at the session's start, and takes peaks at samples.
LIMITS = {"lead_contact": 0.002, "drive_peak": 0.002, "drive_start": 0.005, "braking_peak": 0.002,
          "vertical_peak": 0.002, "drive_peak_force": 1.5, "braking_peak_force": 1.5,
          "vertical_peak_force": 0.5, "drive_impulse": 2.5, "braking_impulse_to_peak": 4.0,
          "braking_impulse_whole": 3.0, "heel_toe_at_drive_peak": 0.5}


def timed(command):
    begin = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.PIPE)
    out = process.stdout.read()
    _, _, usage = os.wait4(process.pid, 0)
    return out, time.perf_counter() - begin, usage.ru_maxrss / 1024


def agree(ours, script):
    ours, script = json.loads(ours)["throws"], json.loads(script)["throws"]
    assert len(ours) == len(script), f"{len(ours)} throws against the script's {len(script)}"
    worst = {}
    for a, b in zip(ours, script):
        for group in ("events", "quantities"):
            for key, value in b[group].items():
                assert key in a[group], f"{key} was not measured on a throw where the script has it"
                error = abs(a[group][key]["value"] - value)
                if group == "quantities" and not key.startswith("heel"):
                    error *= 100 / abs(value)
                worst[key] = max(worst.get(key, 0.0), error)
    print(f"{len(ours)} throws; greatest differences (s, % of value, points of the foot):")
    for key, value in worst.items():
        print(f"  {key}: {value:.4g}")
    beyond = [key for key, value in worst.items() if not value <= LIMITS[key]]
    assert not beyond, f"beyond their limits: {', '.join(beyond)}"


def main():
    program, plain, session = sys.argv[1:4]
    runs = int(sys.argv[4]) if len(sys.argv) > 4 else 5
    commands = {"moundwork": [program, "analyse", session, "--json", "--no-save"],
                "script": [sys.executable, SCRIPT, session], "plain read": [plain, session]}
    outputs = {name: timed(command)[0] for name, command in commands.items()}
    agree(outputs["moundwork"], outputs["script"])
    size = float(outputs["plain read"].split()[0])
    times = {name: [] for name in commands}
    for _ in range(runs):
        for name, command in commands.items():
            _, seconds, memory = timed(command)
            times[name].append((seconds, memory))
    for name, taken in times.items():
        seconds = statistics.median(t for t, _ in taken)
        print(f"{name}: {seconds:.3f} s, {1e-6 * size / seconds:.0f} MB/s, "
              f"{max(m for _, m in taken):.0f} MB peak memory")
    ratio = statistics.median(s / m for (m, _), (s, _) in zip(times["moundwork"], times["script"]))
    read = statistics.median(m / p for (m, _), (p, _) in zip(times["moundwork"], times["plain read"]))
    print(f"script / moundwork: {ratio:.1f}; moundwork / plain read: {read:.1f}")


if __name__ == "__main__":
    main()
