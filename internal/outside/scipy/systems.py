"""Drivers and boxes as systems of differential equations: poles, cut-off, peak, group
delay; and drivers from sheets, by solving what the figures mean."""

import numpy as np
from scipy import optimize

from answers import Answers, cases

given = cases("drivers")
boxes = cases("boxes")
density, sound = given["air"]["density"], given["air"]["speed_of_sound"]
answers = Answers()


def equations(d, b):
    """State space dx/dt = A x + B e, pressure at 1 m = C x + D e. States: travel and
    velocity of the cone, pressure on the compliance of the box, flow out of the vent.
    None of these drivers has coil inductance."""
    conduct = 1 / d["re"]
    A, B = np.zeros((4, 4)), np.zeros(4)
    A[0, 1] = 1
    A[1] = [-1 / d["cms"], -d["rms"] - d["bl"] ** 2 * conduct, 0, 0]
    B[1] = d["bl"] * conduct
    flow = np.array([0, d["sd"], 0, 0.0])  # outward, of cone, vent and leak
    used = [0, 1]
    if b["kind"] != "baffle":
        used = [0, 1, 2]
        w = 2 * np.pi * b.get("fq" if b["kind"] == "closed" else "fb", 0)
        cab = b["vb"] / (density * sound**2)
        leak = w * cab / b["ql"] if b.get("ql") else 0.0
        rub = 1 / (w * cab * b["qa"]) if b.get("qa") else 0.0
        out = np.array([0, d["sd"], 0, 1.0 if b["kind"] == "vented" else 0.0])
        # Pressure p of the box: p = pc - rub (out + leak p), and pc falls with that flow.
        p = (np.array([0, 0, 1, 0]) - rub * out) / (1 + rub * leak)
        flow = out + leak * p
        A[2] = -flow / cab
        A[1] += d["sd"] * p
        if b["kind"] == "vented":
            used = [0, 1, 2, 3]
            mass = 1 / (w**2 * cab)
            A[3] = p / mass
            if b.get("qp"):
                A[3, 3] -= w / b["qp"]
    A[1] /= d["mms"]
    B[1] /= d["mms"]
    far = density / (2 * np.pi) * flow
    pick = np.ix_(used, used)
    return A[pick], B[used], (far @ A)[used], far @ B


def response(system, hz):
    A, B, C, D = system
    s = 2j * np.pi * hz
    x = np.linalg.solve(s * np.eye(len(B)) - A, B)
    h = C @ x + D
    slope = -C @ np.linalg.solve(s * np.eye(len(B)) - A, x)
    return h, slope


for b in boxes["boxes"]:
    d = given["drivers"][b["driver"]]
    if d["coil"]:
        continue
    system = equations(d, b)
    # Where the mass of the cone alone counts. With leak and absorption together the
    # response ends below it, by 1/(1 + Rab/Ral), as the leak still takes a share there.
    reference = equations(d, {"kind": "baffle"})[3]
    poles = np.linalg.eigvals(system[0])
    # Without leak and vent, pressure and travel are one state counted twice.
    answers.roots(b["id"], "poles", poles[np.abs(poles) > 1e-3])
    answers.numbers(b["id"], "reference", reference)
    gain = lambda f: np.abs(response(system, f)[0]) / reference
    hz = np.geomspace(8, 400, 2000)
    g = np.array([gain(f) for f in hz])
    top = np.argmax(g)
    below = top - np.argmax(g[: top + 1][::-1] < np.sqrt(0.5))
    answers.numbers(b["id"], "f3", optimize.brentq(lambda f: gain(f) - np.sqrt(0.5), hz[below], hz[below + 1], xtol=1e-13, rtol=1e-14))
    if 0 < top < len(hz) - 1:
        peak = optimize.minimize_scalar(lambda x: -gain(np.exp(x)), bounds=np.log([hz[top - 1], hz[top + 1]]), method="bounded", options={"xatol": 1e-10})
        answers.numbers(b["id"], "peak", -peak.fun)
    delays = []
    for f in boxes["hz"]:
        h, slope = response(system, f)
        delays.append(-np.real(slope / h))  # d arg H/dw = Re H'/H
    answers.numbers(b["id"], "delay", delays)

for c in cases("sheets")["sheets"]:
    def figures(x):
        """What a sheet would print of a driver, from the driver."""
        re, bl, mms, cms, rms, sd = np.exp(x)
        w = np.sqrt(1 / (mms * cms))
        damped = rms + bl**2 / re  # of the cone with the terminals shorted
        return {"re": re, "bl": bl, "mms": mms, "cms": cms, "rms": rms, "sd": sd, "fs": w / (2 * np.pi),
                "qms": w * mms / rms, "qes": w * mms / (damped - rms), "qts": w * mms / damped,
                "vas": density * sound**2 * sd**2 * cms, "zmax": re + bl**2 / rms}

    names = [n for n in c if n not in ("id", "le1k", "le10k")]
    found = optimize.root(lambda x: [np.log(figures(x)[n] / c[n]) for n in names], np.log([6, 7, 0.02, 0.001, 1, 0.02]), method="lm",
                          options={"xtol": 1e-15, "ftol": 1e-15})
    assert np.max(np.abs(found.fun)) < 1e-11, (c, found)
    d = figures(found.x)
    answers.numbers(c["id"], "driver", [d[n] for n in ("re", "bl", "mms", "cms", "rms", "sd")])
    reference = equations(d, {"kind": "baffle"})[3]
    answers.numbers(c["id"], "level at 2.83 V", 20 * np.log10(2.83 * reference / 20e-6))
    # Half space: intensity p^2/(rho c) through 2 pi m^2, over 1 V^2/Re.
    answers.numbers(c["id"], "efficiency", reference**2 / (density * sound) * 2 * np.pi * d["re"])
    if "le10k" in c:
        k, n = optimize.fsolve(lambda v: [np.imag(np.exp(v[0]) * (2j * np.pi * f) ** v[1]) / (2 * np.pi * f * c[l]) - 1
                                          for f, l in ((1e3, "le1k"), (1e4, "le10k"))], [np.log(0.03), 0.7], xtol=1e-13)
        answers.numbers(c["id"], "coil", [np.exp(k), n])
answers.print()
