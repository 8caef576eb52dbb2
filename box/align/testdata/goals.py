"""Goals for twenty invented drivers, and the best boxes for them by SciPy's differential
evolution on a circuit of its own. Prints goals.json, which a test compares with:

    /usr/bin/python3 goals.py > goals.json
"""

import json

import numpy as np
import scipy
from scipy.optimize import differential_evolution

DENSITY, SOUND = 1.18, 345.0
OCTAVE = 96  # points per octave
NEPER = np.log(10) / 20  # per dB
rng = np.random.default_rng(20261125)


def pick(lo, hi, digits=4):
    return float(f"{lo * (hi / lo) ** rng.random():.{digits}g}")


def goal(i):
    g = {
        "fs": pick(18, 70), "qms": pick(2, 9), "qes": pick(0.24, 0.75), "vas": pick(0.01, 0.2),
        "sd": pick(0.008, 0.06), "re": pick(3, 7), "xmax": pick(0.003, 0.012),
        "ql": pick(5, 15), "peak": pick(0.2, 1.5), "dip": pick(0.3, 2),
    }
    g["objective"] = ["lowest cut-off", "smallest box", "most output"][i % 3]
    g["most_volume"] = float(f"{g['vas'] * 1.5:.4g}")
    g["from"], g["to"] = float(f"{0.8 * g['fs']:.4g}"), float(f"{8 * g['fs']:.4g}")
    if g["objective"] == "lowest cut-off":
        g["volts"] = pick(2.5, 8)
    if g["objective"] == "smallest box":
        g["cutoff"] = float(f"{g['fs'] * pick(1.2, 1.9):.4g}")
        g["volts"] = pick(1.5, 5)
    if g["objective"] == "most output":
        g["cutoff"] = float(f"{g['fs'] * pick(1.3, 2.2):.4g}")
    return g


class Circuit:
    """The driver's masses and springs, force by force."""

    def __init__(self, g):
        self.g = g
        w = 2 * np.pi * g["fs"]
        self.cms = g["vas"] / (DENSITY * SOUND**2 * g["sd"] ** 2)
        self.mms = 1 / (w**2 * self.cms)
        self.rms = w * self.mms / g["qms"]
        self.bl2 = w * self.mms * g["re"] / g["qes"]
        self.grid = 10 * OCTAVE + 1
        tones = np.geomspace(g["from"], g["to"], 301)
        self.hz = np.append(g["fs"] * 2 ** (np.arange(self.grid) / OCTAVE - 5), tones)

    def look(self, vb, fb):
        g, s, n = self.g, 2j * np.pi * self.hz, self.grid
        cab = vb / (DENSITY * SOUND**2)
        wb = 2 * np.pi * fb
        # Pressure in the box drives the air in it, the vent and the leak.
        air, vent, leak = s * cab, wb**2 * cab / s, wb * cab / g["ql"]
        load = 1 / (air + vent + leak)
        zm = self.rms + s * self.mms + 1 / (s * self.cms) + g["sd"] ** 2 * load
        u = np.sqrt(self.bl2) / (g["re"] * zm + self.bl2)
        net = air * load  # all that goes out comes from the air's compression
        gain = 20 * np.log10(abs(s * u * net * self.mms * g["re"] / np.sqrt(self.bl2)))
        travel = np.sqrt(2) * abs(u / s)[n:].max()
        gain, hz = gain[:n], self.hz[:n]

        top = int(gain.argmax())
        peak = max(0.0, float(gain[top]))
        if 0 < top < len(gain) - 1:
            a, b, c = gain[top - 1 : top + 2]
            peak = max(peak, float(b - (a - c) ** 2 / (8 * (a + c - 2 * b))))
        under = np.flatnonzero(gain[:top] < -10 * np.log10(2))
        if len(under) == 0:
            return None
        i = under[-1]
        part = (-10 * np.log10(2) - gain[i]) / (gain[i + 1] - gain[i])
        cutoff = float(hz[i] * (hz[i + 1] / hz[i]) ** part)
        above = np.log2(hz / cutoff) >= 1
        edge = np.interp(np.log2(2 * cutoff), np.log2(hz), gain)
        dip = -float(min(edge, gain[above].min()))
        return cutoff, peak, dip, g["xmax"] / travel

    def cost(self, x):
        g = self.g
        vb = float(np.exp(x[0]))
        seen = self.look(vb, float(np.exp(x[1])))
        if seen is None:
            return 1e6
        cutoff, peak, dip, volts = seen
        misses = [NEPER * (peak - g["peak"]), NEPER * (dip - g["dip"])]
        if "cutoff" in g:
            misses.append(np.log(cutoff / g["cutoff"]))
        if "volts" in g:
            misses.append(np.log(g["volts"] / volts))
        miss = max(misses)
        if miss > 0:
            return 100 + miss
        return {"lowest cut-off": np.log(cutoff), "smallest box": np.log(vb), "most output": -np.log(volts)}[g["objective"]]


goals = []
for i in range(20):
    g = goal(i)
    c = Circuit(g)
    lo = np.log([g["vas"] / 100, g["fs"] / 5])
    hi = np.log([g["most_volume"], g["fs"] * 5])
    best = None
    for seed in range(3):
        r = differential_evolution(c.cost, list(zip(lo, hi)), popsize=25, maxiter=150, tol=1e-9, seed=seed, polish=False)
        if best is None or r.fun < best.fun:
            best = r
    vb, fb = np.exp(best.x)
    g["reached"] = bool(best.fun < 50)
    g["vb"], g["fb"] = float(f"{vb:.6g}"), float(f"{fb:.6g}")
    # Cut-off in Hz, volume in m³ or volts; of a goal out of reach, the logarithm by which it is missed.
    f = best.fun
    if not g["reached"]:
        f -= 100
    elif g["objective"] == "most output":
        f = np.exp(-f)
    else:
        f = np.exp(f)
    g["best"] = float(f"{f:.7g}")
    goals.append(g)

print(json.dumps({"tool": f"SciPy {scipy.__version__}", "goals": goals}, indent=1, ensure_ascii=False))
