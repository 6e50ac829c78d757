# SPDX-License-Identifier: GPL-3.0-or-later
"""Values that tests/core/stats checks against and that no book prints: computed by SciPy.

Run: python3 tests/reference/relate_stats.py
"""
import itertools

import numpy as np
from scipy import stats

x = np.array([36.2, 37.1, 35.4, 38.0, 39.5, 36.9, 40.1, 38.0, 34.8, 37.7])
y = np.array([.81, .84, .79, .97, 1.02, .88, .99, .93, .81, .86])
z = np.array([80.0, 84, 79, 88, 92, 81, 95, 90, 78, 83])


def residual(v, w):
    fit = stats.linregress(w, v)
    return v - fit.intercept - fit.slope * w


r = np.corrcoef(residual(x, z), residual(y, z))[0, 1]
df = len(x) - 3
half = stats.norm.ppf(.975) / np.sqrt(len(x) - 4)
print("partial r %.12f p %.12g low %.12f high %.12f" % (
    r, 2 * stats.t.sf(abs(r) * np.sqrt(df / (1 - r * r)), df),
    np.tanh(np.arctanh(r) - half), np.tanh(np.arctanh(r) + half)))

# Two-sample permutation test, one stratum: marked against others.
marked = np.array([5.1, 6.3, 7.2, 6.8])
others = np.array([4.9, 5.6, 5.0, 6.1, 5.3])
mean_difference = lambda a, b, axis: a.mean(axis=axis) - b.mean(axis=axis)
exact = stats.permutation_test((marked, others), mean_difference, vectorized=True,
                               n_resamples=np.inf)
# Two-sided by size, not twice the smaller tail: counted from SciPy's own null distribution.
null = exact.null_distribution
p = np.mean(np.abs(null) >= abs(exact.statistic) - 1e-12)
print("permutation effect %.12f p %.12f of %d" % (exact.statistic, p, null.size))

# Runs of three throws as wholes: the null distribution of their means.
throws = np.array([5.1, 6.3, 7.2, 6.8, 4.9, 5.6, 5.0, 6.1, 5.3, 6.6, 7.4, 7.0, 5.5, 4.7, 5.2, 6.9,
                   6.2, 7.1, 5.8, 5.4, 6.0, 6.4, 7.3, 6.7])
cued = np.array([1, 0, 0, 1, 0, 1, 0, 1], dtype=bool)
of_run = throws.reshape(8, 3).mean(axis=1)
runs = stats.permutation_test((of_run[cued], of_run[~cued]), mean_difference, vectorized=True,
                              n_resamples=np.inf)
null_of_runs = runs.null_distribution
print("runs effect %.12f p %.12f of %d" % (
    runs.statistic, np.mean(np.abs(null_of_runs) >= abs(runs.statistic) - 1e-12),
    null_of_runs.size))

# The interval of the two-sample test, by brute force: shift the marked rows until the test rejects at 5 %.
pool = np.concatenate([marked, others])
arrangements = [list(c) for c in itertools.combinations(range(9), 4)]


def p_of_shift(shift):
    values = pool.copy()
    values[:4] -= shift
    means = np.array([values[c].mean() - np.delete(values, c).mean() for c in arrangements])
    return np.mean(np.abs(means) >= abs(means[0]) - 1e-12)


def end(inside, outside):
    for _ in range(60):
        middle = .5 * (inside + outside)
        if p_of_shift(middle) > .05:
            inside = middle
        else:
            outside = middle
    return inside


print("permutation interval %.9f %.9f" % (end(exact.statistic, -10), end(exact.statistic, 20)))

# Bootstrap of a mean through cluster sums: SciPy's BCa over 20 seeds.
sample = np.array([4.2, 5.1, 3.8, 6.0, 4.9, 5.5, 4.4, 7.2, 5.0, 4.7])
ends = np.array([stats.bootstrap((sample,), np.mean, n_resamples=9999,
                                 random_state=np.random.default_rng(i)).confidence_interval
                 for i in range(20)])
print("bca of the mean", ends.mean(axis=0), "sd over seeds", ends.std(axis=0, ddof=1))

# BCa of the repeated-measures correlation, whole subjects resampled (Bland and Altman 1995).
subjects = {
    1: "6.68,3.97 6.53,4.12 6.43,4.09 6.33,3.97",
    2: "6.85,5.27 7.06,5.37 7.13,5.41 7.17,5.44",
    3: "7.4,5.67 7.42,3.64 7.41,4.32 7.37,4.73 7.34,4.96 7.35,5.04 7.28,5.22 7.3,4.82 7.34,5.07",
    4: "7.36,5.67 7.33,5.1 7.29,5.53 7.3,4.75 7.35,5.51",
    5: "7.35,4.28 7.3,4.44 7.3,4.32 7.37,3.23 7.27,4.46 7.28,4.72 7.32,4.75 7.32,4.99",
    6: "7.38,4.78 7.3,4.73 7.29,5.12 7.33,4.93 7.31,5.03 7.33,4.93",
    7: "6.86,6.85 6.94,6.44 6.92,6.52",
    8: "7.19,5.28 7.29,4.56 7.21,4.34 7.25,4.32 7.2,4.41 7.19,3.69 6.77,6.09 6.82,5.58"}
sums, means = [], []
for text in subjects.values():
    pairs = np.array([[float(v) for v in p.split(",")] for p in text.split()])
    d = pairs - pairs.mean(axis=0)
    sums.append([d[:, 1] @ d[:, 1], d[:, 1] @ d[:, 0], d[:, 0] @ d[:, 0]])
    means.append(pairs.mean(axis=0))
sums, means = np.array(sums), np.array(means)


def within_r(index, axis=-1):
    s = sums[index].sum(axis=axis if axis >= 0 else -2)
    return s[..., 1] / np.sqrt(s[..., 0] * s[..., 2])


def within_slope(index, axis=-1):
    s = sums[index].sum(axis=-2)
    return s[..., 1] / s[..., 0]


def between_r(index, axis=-1):
    m = means[index]
    d = m - m.mean(axis=-2, keepdims=True)
    return (d[..., 0] * d[..., 1]).sum(-1) / np.sqrt((d[..., 0] ** 2).sum(-1)
                                                     * (d[..., 1] ** 2).sum(-1))


for name, statistic in (("within r", within_r), ("within slope", within_slope),
                        ("between r", between_r)):
    ends = np.array([stats.bootstrap((np.arange(8),), lambda i, axis: statistic(i.astype(int)),
                                     vectorized=True, n_resamples=9999,
                                     random_state=np.random.default_rng(i)).confidence_interval
                     for i in range(20)])
    print("cluster bca", name, ends.mean(axis=0), "sd over seeds", ends.std(axis=0, ddof=1))
