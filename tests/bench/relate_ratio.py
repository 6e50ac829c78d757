# SPDX-License-Identifier: GPL-3.0-or-later
"""Whole-process time of `moundwork relate` against a SciPy script for the same work, in one run.

10,000 pitches of 200 athletes, 30 quantities, 10,000 resamples of whole athletes. Both programs
read the same file and print JSON; the answers are compared before the times are believed.

Run: python3 relate_ratio.py PATH/TO/moundwork [REPEATS]
"""
import json
import pathlib
import subprocess
import sys
import tempfile
import time

import numpy as np

ATHLETES, PITCHES, QUANTITIES = 200, 50, 30


def make_table(path):
    rng = np.random.default_rng(1)
    athlete = np.repeat(np.arange(ATHLETES), PITCHES)
    x = rng.normal(size=(len(athlete), QUANTITIES)) + rng.normal(size=(ATHLETES, QUANTITIES))[athlete]
    y = rng.normal(38, 2, ATHLETES)[athlete] + .05 * x[:, :6].sum(axis=1) + rng.normal(size=len(athlete))
    with open(path, "w") as file:
        file.write("athlete,speed," + ",".join(f"q{q}" for q in range(QUANTITIES)) + "\n")
        for i, who in enumerate(athlete):
            file.write(f"A{who:03d},{y[i]:.6f}," + ",".join(f"{v:.6f}" for v in x[i]) + "\n")


def run(command):
    start = time.perf_counter()
    out = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return time.perf_counter() - start, json.loads(out)


def main():
    repeats = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    with tempfile.TemporaryDirectory() as folder:
        table = str(pathlib.Path(folder) / "lab.csv")
        make_table(table)
        ours = [sys.argv[1], "relate", "--table", table, "--athlete", "athlete", "--ball-speed",
                "speed", "--json"]
        for q in range(QUANTITIES):
            ours += ["--quantity", f"q{q}"]
        script = str(pathlib.Path(__file__).with_name("relate_scipy.py"))
        theirs = [sys.executable, script, table, str(QUANTITIES)]
        times = {"moundwork relate": [], "SciPy script": []}
        for _ in range(repeats):  # in turn, so that a busy machine slows both
            took, report = run(ours)
            times["moundwork relate"].append(took)
            took, found = run(theirs)
            times["SciPy script"].append(took)
    worst = 0.0
    for a, b in zip(report["relations"], found):
        assert abs(a["repeated_measures"]["r"] - b["r"]) < 1e-9, a["quantity"]
        assert abs(a["adjusted_p"] - b["adjusted_p"]) < 1e-9, a["quantity"]
        assert abs(a["spearman"]["r"] - b["spearman"]) < 1e-9, a["quantity"]
        for own, other in ((a["repeated_measures"]["resampled"], b["within_r"]),
                           (a["slope"]["resampled"], b["within_slope"]),
                           (a["between"]["resampled"], b["between_r"])):
            width = other[1] - other[0]
            worst = max(worst, abs(own["low"] - other[0]) / width,
                        abs(own["high"] - other[1]) / width)
    assert worst < 0.05, worst
    for name, took in times.items():
        print(f"{name}: best {min(took):.2f} s, all " + ", ".join(f"{t:.2f}" for t in took))
    print(f"ratio of the best: {min(times['SciPy script']) / min(times['moundwork relate']):.1f}")
    print(f"same r, p and adjusted p to 1e-9; interval ends within {100 * worst:.1f} % of the width")


main()
