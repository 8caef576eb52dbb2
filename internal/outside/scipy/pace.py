"""A vented box in NumPy, for the program in pace: for each line read, one answer."""
import json
import sys
import time

import numpy as np

points = int(sys.argv[1])
hz = 10 * 1000 ** (np.arange(points) / (points - 1))

rho, c = 1.18, 345.0
re, bl, mms, cms, rms, sd = 5.8, 6.7, 14.2e-3, 1.25e-3, 0.72, 136e-4
vb, fb, ql, area = 0.025, 39.0, 7.0, 38.5e-4


def sweep(hz):
    """Pressure, travel, air speed, current, impedance per volt."""
    w = 2 * np.pi * hz
    jw = 1j * w
    wb = 2 * np.pi * fb
    cab = vb / (rho * c * c)
    s = jw / wb
    y = 1 / (s / ql + 1 + s * s)
    zm = rms + jw * mms + 1 / (jw * cms) + s * y * (sd * sd / (wb * cab))
    u = bl / (re * zm + bl * bl)
    flow = u * sd
    impedance = re + bl * bl / zm
    return (
        jw * flow * (s * s * y) * (rho / (2 * np.pi)),
        u * np.sqrt(2) / jw,
        flow * y * (-np.sqrt(2) / area),
        1 / impedance,
        impedance,
    )


for _ in sys.stdin:
    best = float("inf")
    for _ in range(50):
        start = time.perf_counter()
        result = sweep(hz)
        best = min(best, time.perf_counter() - start)
    print(json.dumps({"seconds": best, "pressure": [[p.real, p.imag] for p in result[0]]}), flush=True)
