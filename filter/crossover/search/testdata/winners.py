"""What SciPy's differential evolution finds in some circuits, by a circuit and an objective
of its own, for the invented drivers woofer B and tweeter A. Prints winners.json, which a
test compares with:

    /usr/bin/python3 winners.py > winners.json

Each circuit is written arm by arm from the source to the driver, woofer first; an arm with
a stroke stands across the path and joins its parts in series, another joins them in parallel.
"""

import csv
import json

import numpy as np
import scipy
from scipy.optimize import differential_evolution

SOUND = 345.0
SPAN = {"L": (0.05e-3, 5e-3), "C": (0.47e-6, 68e-6), "R": (0.47, 47.0)}

# What the search holds for the best with 1 to 6 parts, on axis and with the window, and
# others drawn at random.
CIRCUITS = [
    ("axis", ", C", True),
    ("axis", ", C /L", True),
    ("axis", "L /C, C", True),
    ("axis", "L /C, C R", True),
    ("axis", "L /C, C /L R", False),
    ("axis", "L /LC, C /L R", False),
    ("axis", "L, C R", True),
    ("axis", ", C /L /R C", True),
    ("axis", "L, C", True),
    ("axis", ", C LC", True),
    ("axis", "L /C, C R /L", False),
    ("axis", "LC /C, C /L R", False),
    ("window", "L, C", True),
    ("window", "L /C, C", False),
    ("window", "L /C, C /R", False),
    ("window", "L /C, C /L R", False),
    ("window", "LC /C, C /L R", False),
    ("window", "L, C R", True),
    ("window", "L /C, C /L", True),
    ("window", "L, C /L R", False),
    ("window", "L /LC, C /L R", False),
]


def read(name):
    with open(name + ".csv") as f:
        rows = [r for r in csv.reader(f) if not r[0].startswith("#")]
    v = np.array([[float(x) for x in r] for r in rows[1:]])
    v = v[(len(v) - 1) % 2 :: 2]  # every second, to the last
    z = v[:, 1] * np.exp(1j * np.radians(v[:, 2]))
    pa = 20e-6 / 2.83 * 10 ** (v[:, 3::2] / 20) * np.exp(1j * np.radians(v[:, 4::2]))
    return v[:, 0], z, pa.T


class Speaker:
    def __init__(self, window):
        self.hz, zw, pw = read("woofer_b")
        _, zt, pt = read("tweeter_a")
        self.loads = zw, zt
        deg = np.pi / 180
        # axis, 15° and 30° right, 10° up and down
        angles = [(0, 0), (15, 0), (30, 0), (0, 10), (0, -10)] if window else [(0, 0)]
        far = 2.0 if window else 100.0
        places = [(-0.02, -0.138, -0.028), (0, 0, -0.008)] if window else [(0, 0, -0.02), (0, 0, 0)]
        self.sources = []
        for place, curves in zip(places, (pw, pt)):
            at = []
            for (right, up), p in zip(angles, curves):
                point = far * np.array([np.sin(right * deg) * np.cos(up * deg), np.sin(up * deg), np.cos(right * deg) * np.cos(up * deg)])
                path = point - np.array(place)
                r = np.linalg.norm(path)
                # the table nearest in direction
                dirs = [np.array([np.sin(a * deg) * np.cos(b * deg), np.sin(b * deg), np.cos(a * deg) * np.cos(b * deg)])
                        for a, b in [(0, 0), (15, 0), (30, 0), (0, 10), (0, -10)]]
                best = max(range(5), key=lambda i: dirs[i] @ path)
                at.append(curves[best] * np.exp(-2j * np.pi * self.hz * r / SOUND) / r)
            self.sources.append(np.array(at))
        self.weights = np.array([2, 1, 1, 1, 1]) / 6 if window else np.array([1.0])
        self.band = (self.hz >= 200) & (self.hz <= 16000)
        self.flat = not window
        self.load = 3.2 if window else 4.5
        self.lowest = 2 * 823 if window else 1700
        self.highest = np.inf
        if window:
            off = np.abs(self.sources[0][1:]) ** 2 < 0.251 * np.abs(self.sources[0][0]) ** 2
            self.highest = self.hz[self.band & off.any(axis=0)][0]
        s = 2j * np.pi * self.hz
        zm = 0.85 + s * 0.34e-3 + 1 / (s * 0.11e-3)
        self.travel = np.sqrt(2) * abs(3.1 / (5.3 * zm + 3.1**2) / s) * 12.65 / 0.4e-3

    def branch(self, arms, values, load):
        """Transfer and impedance by chain matrices."""
        w = 2 * np.pi * self.hz
        a, b, c, d = 1 + 0j, 0j, 0j, 1 + 0j
        for arm in arms:
            z = [{"L": 1j * w * v, "C": 1 / (1j * w * v), "R": v + 0j * w}[k]
                 for k, v in zip(arm.strip("/"), values[: len(arm.strip("/"))])]
            values = values[len(z):]
            if arm[0] == "/":
                y = 1 / sum(z)
                a, c = a + b * y, c + d * y
            else:
                z = 1 / sum(1 / x for x in z)
                b, d = b + a * z, d + c * z
        volts = a * load + b
        return load / volts, volts / (c * load + d)

    def ripple(self, db):
        x = np.log10(self.hz[self.band])
        x = x - x.mean()
        slope = 0.0 if self.flat else min(max(np.polyfit(x, db, 1)[0], -1.0), 0.0)
        return np.sqrt(np.mean((db - db.mean() - slope * x) ** 2))

    def key(self, circuit, inverted, values):
        ways = [c.split() for c in circuit.split(",")]
        first = sum(len(a.strip("/")) for a in ways[0])
        hw, zw = self.branch(ways[0], values[:first], self.loads[0])
        ht, zt = self.branch(ways[1], values[first:], self.loads[1])
        lo, hi = hw * self.sources[0], ht * self.sources[1] * (-1 if inverted else 1)
        axis = 20 * np.log10(abs(lo[0] + hi[0]))[self.band]
        window = 10 * np.log10(self.weights @ abs(lo + hi) ** 2)[self.band]
        flat = np.sqrt((self.ripple(axis) ** 2 + self.ripple(window) ** 2) / 2)
        lead = 20 * np.log10(abs(hi[0]) / abs(lo[0]))
        miss = 0.0
        up = np.flatnonzero(lead >= 0)
        if len(up):
            i = up[0]
            f = self.hz[0] if i == 0 else self.between(lead, i - 1)
            miss += max(0.0, self.lowest / f - 1)
        if np.isfinite(self.highest):
            last = np.flatnonzero(self.band)[-1]
            down = np.flatnonzero(lead[: last + 1] < 0)
            if len(down) and down[-1] == last:
                miss += 1
            elif len(down):
                miss += max(0.0, self.between(lead, down[-1]) / self.highest - 1)
        miss += max(0.0, self.load * abs(1 / zw + 1 / zt).max() - 1)
        miss += max(0.0, (self.travel * abs(ht)).max() - 1)
        return flat if miss == 0 else flat + 100 * (1 + miss)

    def between(self, lead, i):
        return self.hz[i] * (self.hz[i + 1] / self.hz[i]) ** (lead[i] / (lead[i] - lead[i + 1]))


speakers = {"axis": Speaker(False), "window": Speaker(True)}
found = []
for problem, circuit, inverted in CIRCUITS:
    kinds = [k for k in circuit if k in SPAN]
    bounds = [tuple(np.log(SPAN[k])) for k in kinds]
    s = speakers[problem]
    best = None
    for seed in range(2):
        r = differential_evolution(lambda x: s.key(circuit, inverted, np.exp(x)), bounds,
                                   popsize=12, maxiter=60 + 40 * len(kinds), tol=1e-6, seed=seed, polish=False)
        if best is None or r.fun < best.fun:
            best = r
    found.append({"problem": problem, "circuit": circuit, "inverted": inverted,
                  "flatness": float(f"{best.fun:.6g}"), "values": [float(f"{v:.6g}") for v in np.exp(best.x)]})
print(json.dumps({"tool": "SciPy " + scipy.__version__, "circuits": found}, indent=1))
