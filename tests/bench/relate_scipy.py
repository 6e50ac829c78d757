# SPDX-License-Identifier: GPL-3.0-or-later
"""The work of `moundwork relate` as a SciPy user would script it, for relate_ratio.py.

Correlations (pooled, by rank, within and between athletes), the Benjamini-Hochberg adjustment and
BCa intervals of three statistics a quantity from 10,000 resamples of whole athletes. The resampling
uses sums by athlete and SciPy's vectorised bootstrap, the fastest plain way we know. The mixed
models that `relate` also fits are left out.

Run: python3 relate_scipy.py TABLE.csv QUANTITIES
"""
import csv
import json
import sys

import numpy as np
from scipy import stats

RESAMPLES = 10000


def main():
    with open(sys.argv[1], newline="") as file:
        reader = csv.reader(file)
        header = next(reader)
        rows = list(reader)
    athlete = np.unique([row[0] for row in rows], return_inverse=True)[1]
    values = np.array([[float(cell) for cell in row[1:]] for row in rows])
    count = athlete.max() + 1
    size = np.bincount(athlete)
    y = values[:, 0]

    def means(v):
        return np.bincount(athlete, v) / size

    def within_r(s):
        return s[..., 1] / np.sqrt(s[..., 0] * s[..., 2])

    def within_slope(s):
        return s[..., 1] / s[..., 0]

    def between_r(s):
        n, mx, my, xx, xy, yy = np.moveaxis(s, -1, 0)
        return (xy - mx * my / n) / np.sqrt((xx - mx * mx / n) * (yy - my * my / n))

    my = means(y) - y.mean()
    dy = y - means(y)[athlete]
    found = []
    for q in range(1, 1 + int(sys.argv[2])):
        x = values[:, q]
        mx = means(x) - x.mean()
        dx = x - means(x)[athlete]
        inside = np.stack([np.bincount(athlete, dx * dx), np.bincount(athlete, dx * dy),
                           np.bincount(athlete, dy * dy)], axis=1)
        across = np.stack([np.ones(count), mx, my, mx * mx, mx * my, my * my], axis=1)
        r = within_r(inside.sum(axis=0))
        df = len(y) - count - 1
        one = {"quantity": header[q + 1], "r": r,
               "p": 2 * stats.t.sf(abs(r) * np.sqrt(df / (1 - r * r)), df),
               "between": stats.pearsonr(mx, my)[0], "pearson": stats.pearsonr(x, y)[0],
               "spearman": stats.spearmanr(x, y)[0]}
        for name, sums, statistic in (("within_r", inside, within_r),
                                      ("within_slope", inside, within_slope),
                                      ("between_r", across, between_r)):
            interval = stats.bootstrap(
                (np.arange(count),), lambda i, axis: statistic(sums[i.astype(int)].sum(axis=-2)),
                vectorized=True, n_resamples=RESAMPLES, batch=500, method="BCa",
                random_state=np.random.default_rng(1)).confidence_interval
            one[name] = [interval.low, interval.high]
        found.append(one)
    p = np.array([one["p"] for one in found])
    order = np.argsort(p)[::-1]
    steps = np.minimum.accumulate(p[order] * len(p) / np.arange(len(p), 0, -1))
    for i, adjusted in zip(order, np.minimum(steps, 1)):
        found[i]["adjusted_p"] = adjusted
    print(json.dumps(found))


main()
