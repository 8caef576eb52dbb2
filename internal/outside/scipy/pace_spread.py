"""Draws of a speaker of six parts in NumPy, for the program in pace: for each line read, one answer.

The deviations of the parts, as shares of their values, come in a file, by draw and
part; they are not counted. Draws are computed some at a time, of several numbers the
fastest counts, and in two ways: as the formulas stand, and in place, with the arms
merged, the drive taken in and nothing computed twice.
"""
import json
import sys
import time

import numpy as np

points = int(sys.argv[1])
deviations = np.fromfile(sys.argv[2]).reshape(-1, 6)
draws = len(deviations)

hz = 100 * 200 ** (np.arange(points) / (points - 1))
w = 2 * np.pi * hz
iw = 1 / w
woofer = 5.6 + 1j * w * 0.7e-3
tweeter = 4.9 + 1j * w * 0.05e-3 + 3 / (1 + 2j * (hz / 900 - 900 / hz))
woofer_p = 0.11 / (1 - hz**2 / 6000**2 + 1j * hz / 6000)
x = hz / 900
tweeter_p = 0.2 * x * x / (1 - x * x + 1j * x / 0.9)
flight = np.exp(-1j * w * 2 / 344) / 2
woofer_drive, tweeter_drive = woofer * woofer_p * flight, tweeter * tweeter_p * flight

lo, hi = np.searchsorted(hz, 300), np.searchsorted(hz, 15000, side="right")
decades = np.log10(hz[lo:hi])
decades -= decades.mean()
line = decades / (decades @ decades)


def flatness(level, figures):
    band = level[:, lo:hi]
    off = band - band.mean(axis=1)[:, None]
    slope = np.clip(off @ line, -1, 0)
    off -= slope[:, None] * decades
    figures[:, 0] = np.sqrt(np.einsum("ij,ij->i", off, off) / off.shape[1])
    figures[:, 1] = np.abs(off, out=off).max(axis=1)


class AsItStands:
    """The formulas, on arrays of draws and frequencies."""

    def __init__(self, n):
        self.n = n

    def solve(self, parts, level, figures):
        coil, capacitor, damper, pad, series, shunt = (parts[:, k, None] for k in range(6))
        i = 1 + woofer / (damper + 1 / (1j * w * capacitor))
        v = woofer + i * (0.3 + 1j * w * coil)
        total, z_woofer = woofer / v * woofer_p * flight, v / i
        i = 1 + tweeter / (0.2 + 1j * w * shunt)
        v = tweeter + i * (1 / (1j * w * series) + pad)
        total, z_tweeter = total + tweeter / v * tweeter_p * flight, v / i
        level[:] = 20 * np.log10(np.abs(total))
        flatness(level, figures)
        figures[:, 2] = np.abs(1 / (1 / z_woofer + 1 / z_tweeter)).min(axis=1)


class InPlace:
    """Room for some draws at a time."""

    def __init__(self, n):
        self.n = n
        self.v, self.i, self.z, self.y = (np.empty((n, points), complex) for _ in range(4))
        self.a, self.b = (np.empty((n, points)) for _ in range(2))

    def solve(self, parts, level, figures):
        n = len(parts)
        v, i, z, y, a, b = (x[:n] for x in (self.v, self.i, self.z, self.y, self.a, self.b))
        coil, capacitor, damper, pad, series, shunt = (parts[:, k, None] for k in range(6))
        # 9 uF and 2 ohms across the woofer, 1.1 mH with 0.3 ohms before it.
        z.real[:] = damper
        np.multiply(iw, -1 / capacitor, out=z.imag)
        np.divide(1, z, out=z)
        np.multiply(z, woofer, out=i)
        i += 1
        z.real[:] = 0.3
        np.multiply(w, coil, out=z.imag)
        np.multiply(i, z, out=v)
        v += woofer
        np.divide(1, v, out=v)
        np.multiply(v, i, out=y)
        np.multiply(v, woofer_drive, out=v)
        total = v
        # 0.35 mH with 0.2 ohms across the tweeter, 6 uF and 2.4 ohms before it.
        z.real[:] = 0.2
        np.multiply(w, shunt, out=z.imag)
        np.divide(1, z, out=z)
        np.multiply(z, tweeter, out=i)
        i += 1
        z.real[:] = pad
        np.multiply(iw, -1 / series, out=z.imag)
        z *= i
        z += tweeter
        np.divide(1, z, out=z)
        i *= z
        y += i
        z *= tweeter_drive
        total += z

        np.multiply(total.real, total.real, out=level)
        np.multiply(total.imag, total.imag, out=b)
        level += b
        np.log10(level, out=level)
        level *= 10
        flatness(level, figures)
        np.multiply(y.real, y.real, out=a)
        np.multiply(y.imag, y.imag, out=b)
        a += b
        figures[:, 2] = 1 / np.sqrt(a.max(axis=1))


nominal = np.array([1.1e-3, 9e-6, 2, 2.4, 6e-6, 0.35e-3])
level = np.empty((draws, points))
figures = np.empty((draws, 3))
ranks = [int(np.ceil(p * draws - 1e-9)) - 1 for p in (0.05, 0.5, 0.95)]


def draw(some):
    parts = nominal * (1 + deviations)
    for k in range(0, draws, some.n):
        some.solve(parts[k : k + some.n], level[k : k + some.n], figures[k : k + some.n])
    return np.partition(np.ascontiguousarray(level.T), ranks, axis=1)[:, ranks].T


kinds = {"written": AsItStands, "in_place": InPlace}
rooms = {name: [kind(n) for n in (16, 64, 256, 1024)] for name, kind in kinds.items()}
for _ in sys.stdin:
    answer = {}
    for name in rooms:
        best = float("inf")
        for some in 3 * rooms[name]:
            start = time.perf_counter()
            bands = draw(some)
            t = time.perf_counter() - start
            if t < best:
                best = t
                answer[name] = {"seconds": t, "chunk": some.n, "bands": bands.tolist(), "figures": figures[:100].tolist()}
    print(json.dumps(answer), flush=True)
