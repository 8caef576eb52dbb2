"""A ladder of five arms in NumPy, for the program in pace: for each line read, one answer."""
import json
import sys
import time

import numpy as np

points = int(sys.argv[1])
hz = 20 * 1000 ** (np.arange(points) / (points - 1))
load = 5.8 + 1j * (2 * np.pi * 0.65e-3) * hz


def solve(hz, load):
    """Transfer and input impedance. Operations on arrays are few, and most of them in place."""
    w = hz * (2 * np.pi)
    iw = 1 / w
    z = np.empty(len(hz), complex)
    i = np.empty(len(hz), complex)

    # Zobel, 7.2 ohms and 12 uF, across the load.
    z.real = 7.2
    np.multiply(iw, -1 / 12e-6, out=z.imag)
    np.divide(load, z, out=i)
    i += 1
    # 0.8 mH, 0.25 ohms in the path.
    z.real = 0.25
    np.multiply(w, 0.8e-3, out=z.imag)
    z *= i
    v = load + z
    # 15 uF, 0.05 ohms across it.
    z.real = 0.05
    np.multiply(iw, -1 / 15e-6, out=z.imag)
    np.divide(v, z, out=z)
    i += z
    # 1.2 mH, 0.35 ohms in the path.
    z.real = 0.35
    np.multiply(w, 1.2e-3, out=z.imag)
    z *= i
    v += z
    # 47 ohms across it.
    i += v * (1 / 47)
    return load / v, v / i


for _ in sys.stdin:
    best = float("inf")
    for _ in range(50):
        start = time.perf_counter()
        h, zin = solve(hz, load)
        best = min(best, time.perf_counter() - start)
    print(json.dumps({"seconds": best, "h": [[p.real, p.imag] for p in h], "zin": [[p.real, p.imag] for p in zin]}), flush=True)
