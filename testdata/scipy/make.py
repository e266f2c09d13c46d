"""Writes the CSV files beside it: smoothing and integration by scipy, and
smoothing weights in exact fractions.

    python3 make.py

with Debian's python3-scipy. The inputs are sums of sines and steps, with no
random numbers; every file says the versions in its first line.
"""
import csv
import math
import pathlib
from fractions import Fraction

import numpy as np
import scipy
from scipy.integrate import cumulative_trapezoid, trapezoid
from scipy.signal import savgol_filter

HERE = pathlib.Path(__file__).parent
VERSIONS = f"# scipy {scipy.__version__}, numpy {np.__version__}"


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as f:
        f.write(VERSIONS + "\n")
        w = csv.writer(f, lineterminator="\n")
        w.writerow(header)
        w.writerows([[c if isinstance(c, (str, int)) else repr(float(c)) for c in r] for r in rows])


def curves():
    x = np.arange(60)
    yield "wave", 0.05, 3.6 + 0.4 * np.sin(x / 7) + 0.03 * np.sin(2.9 * x)
    yield "knee", 10.0, 4.2 - 0.012 * x - 0.9 / (1 + np.exp((52 - x) / 1.5)) + 0.002 * np.cos(5.1 * x)
    yield "step", 1.0, np.where(x < 31, 1.0, -2.5)


WINDOWS = [(5, 2, 0), (5, 2, 1), (7, 3, 0), (7, 4, 1), (9, 2, 1), (9, 4, 2), (15, 3, 0), (15, 3, 1),
           (31, 5, 0), (31, 5, 3), (59, 3, 1), (1, 0, 0), (3, 0, 0)]


def smoothing():
    rows = []
    for name, h, y in curves():
        rows.append([name, "input", "", "", h, *y])
        for window, degree, derivative in WINDOWS:
            out = savgol_filter(y, window, degree, deriv=derivative, delta=h, mode="interp")
            rows.append([name, window, degree, derivative, h, *out])
    write("savgol.csv", ["curve", "window", "degree", "derivative", "spacing"] + [f"y{k}" for k in range(60)], rows)


def exact_weights(window, degree, derivative):
    """The weights by the normal equations, solved in fractions (Gauss-Jordan)."""
    half = window // 2
    rows = [[Fraction(i) ** k for k in range(degree + 1)] for i in range(-half, half + 1)]
    n = degree + 1
    m = [[sum(r[a] * r[b] for r in rows) for b in range(n)] + [Fraction(int(a == derivative))] for a in range(n)]
    for i in range(n):
        pivot = next(j for j in range(i, n) if m[j][i])
        m[i], m[pivot] = m[pivot], m[i]
        m[i] = [x / m[i][i] for x in m[i]]
        for j in range(n):
            if j != i:
                m[j] = [x - m[j][i] * y for x, y in zip(m[j], m[i])]
    return [float(math.factorial(derivative) * sum(m[k][n] * r[k] for k in range(n))) for r in rows]


def weights():
    # scipy's own are off by 1e-11 of the largest for 31, 5, 3.
    rows = [[w, d, s, *exact_weights(w, d, s)] for w, d, s in WINDOWS]
    write("weights.csv", ["window", "degree", "derivative"] + [f"w{k}" for k in range(59)],
          [r + [""] * (62 - len(r)) for r in rows])


def integration():
    # A discharge logged now every second, now every minute, between two rests.
    steps = np.where(np.arange(399) % 11 < 7, 1.0, 59.75) + 0.25 * (np.arange(399) % 3)
    t = np.concatenate([[0.0], np.cumsum(steps)])
    share = t / t[-1]
    load = (np.arange(400) > 0) & (np.arange(400) < 399)
    i = np.where(load, 2.5 + 0.01 * np.sin(t / 40), 0.0)
    v = 4.15 - 0.7 * share - 0.5 * share**12 - 0.04 * i + 0.001 * np.cos(3 * t)
    write("integral.csv", ["time_s", "voltage_V", "current_A", "charge_Ah", "energy_Wh"],
          zip(t, v, i, cumulative_trapezoid(i, t, initial=0) / 3600, cumulative_trapezoid(v * i, t, initial=0) / 3600))
    write("integral_whole.csv", ["charge_Ah", "energy_Wh"], [[trapezoid(i, t) / 3600, trapezoid(v * i, t) / 3600]])


smoothing()
weights()
integration()
