# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds `moundwork analyse` against the SciPy script on one session: first that they agree, then
how long each takes as a whole process, in turn, and a plain HDF5 read beside them. The script runs
both ways: filtering every sample, and looking for the throws first as Moundwork does (--windows).

Usage: analyse_ratio.py MOUNDWORK PLAIN_READ SESSION.h5 [RUNS]
"""
import json
import os
import statistics
import subprocess
import sys
import time

SCRIPT = os.path.join(os.path.dirname(__file__), "..", "reference", "analyse_session.py")


def limit(key):
    """Greatest difference allowed: s, % of the value, points of the foot."""
    if key.endswith("_force"):
        return 0.5
    if "impulse" in key:
        return 1.0
    if key.startswith("heel_toe"):
        return 0.5
    return 0.002


def timed(command):
    begin = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.PIPE)
    out = process.stdout.read()
    _, status, usage = os.wait4(process.pid, 0)
    assert status == 0, f"{' '.join(command)} failed"
    return out, time.perf_counter() - begin, usage.ru_maxrss / 1024


def agree(ours, name, script):
    ours, script = json.loads(ours)["throws"], json.loads(script)["throws"]
    assert len(ours) == len(script), f"{len(ours)} throws against {len(script)} of the {name}"
    worst = {}
    for a, b in zip(ours, script):
        for group in ("events", "quantities"):
            for key, value in b[group].items():
                assert key in a[group], f"{key} was not measured on a throw where the {name} has it"
                error = abs(a[group][key]["value"] - value)
                if group == "quantities" and not key.startswith("heel"):
                    error *= 100 / abs(value)
                worst[key] = max(worst.get(key, 0.0), error)
    print(f"{name}, {len(ours)} throws; greatest differences (s, % of value, points of the foot):")
    for key, value in worst.items():
        print(f"  {key}: {value:.4g}")
    beyond = [key for key, value in worst.items() if not value <= limit(key)]
    assert not beyond, f"beyond their limits: {', '.join(beyond)}"


def main():
    program, plain, session = sys.argv[1:4]
    runs = int(sys.argv[4]) if len(sys.argv) > 4 else 5
    script = [sys.executable, SCRIPT]
    commands = {"moundwork": [program, "analyse", session, "--json", "--no-save"],
                "script, every sample": [*script, session],
                "script, windows": [*script, "--windows", session],
                "plain read": [plain, session]}
    outputs = {name: timed(command)[0] for name, command in commands.items()}
    for name in commands:
        if name.startswith("script"):
            agree(outputs["moundwork"], name, outputs[name])
    size = float(outputs["plain read"].split()[0])
    times = {name: [] for name in commands}
    for _ in range(runs):
        for name, command in commands.items():
            _, seconds, memory = timed(command)
            times[name].append((seconds, memory))
    for name, taken in times.items():
        seconds = statistics.median(t for t, _ in taken)
        ratio = statistics.median(t / m for (t, _), (m, _) in zip(taken, times["moundwork"]))
        print(f"{name}: {seconds:.3f} s, {1e-6 * size / seconds:.0f} MB/s, "
              f"{max(m for _, m in taken):.0f} MB peak memory, {ratio:.2f} times moundwork's time")


if __name__ == "__main__":
    main()
