"""Values of pads, compensations and corrections, found from what each is for: the
conditions are solved numerically, not turned into formulas."""

import numpy as np
from scipy import optimize

from answers import Answers, cases


def parallel(*z):
    return 1 / sum(1 / v for v in z)


def solve(conditions, start):
    """Positive unknowns; they are searched for as logarithms."""
    found = optimize.root(lambda x: conditions(*np.exp(x)), np.log(start), method="lm",
                          options={"xtol": 1e-15, "ftol": 1e-15, "gtol": 0, "maxiter": 100000})
    assert np.max(np.abs(found.fun)) < 1e-11, found
    return np.exp(found.x)


def pad(c):
    r, k = c["r"], 10 ** (-c["db"] / 20)
    return solve(lambda s, p: [(s + parallel(p, r)) / r - 1, parallel(p, r) / (s + parallel(p, r)) / k - 1], [r / 2, r])


def series_pad(c):
    r, k = c["r"], 10 ** (-c["db"] / 20)
    return solve(lambda s: [r / (s + r) / k - 1], [r])


def t_pad(c):
    r, k = c["r"], 10 ** (-c["db"] / 20)

    def conditions(first, shunt, last):
        inner = parallel(shunt, last + r)
        back = parallel(shunt, first + r)
        return [(first + inner) / r - 1, (last + back) / r - 1, inner / (first + inner) * r / (last + r) / k - 1]

    return solve(conditions, [r / 2, r, r / 2])


def pi_pad(c):
    r, k = c["r"], 10 ** (-c["db"] / 20)

    def conditions(first, series, last):
        far, near = parallel(last, r), parallel(first, r)
        return [parallel(first, series + far) / r - 1, parallel(last, series + near) / r - 1, far / (series + far) / k - 1]

    return solve(conditions, [2 * r, r, 2 * r])


def zobel(c):
    re, le = c["re"], c["le"]
    w0 = re / le

    def conditions(r, tau):  # C = tau/re
        z = [parallel(re + 1j * w * le, r + re / (1j * w * tau)) / re - 1 for w in (w0 / 2, 2 * w0)]
        return np.concatenate([np.real(z), np.imag(z)])

    r, tau = solve(conditions, [re * 1.2, 0.8 / w0])
    return r, tau / re


def trap(c):
    re, w0 = c["re"], 2 * np.pi * c["fs"]
    # The electrical picture of the motion: at resonance Re + Res = Re (1 + qms/qes),
    # and the reactances of mass and suspension there are Res/qms.
    res = re * c["qms"] / c["qes"]
    motion = lambda x: parallel(res, 1j * x * res / c["qms"], res / c["qms"] / (1j * x))

    def conditions(r, l, k):  # reactances at resonance over re
        z = [parallel(re + motion(x), re * (r + 1j * x * l + k / (1j * x))) / re - 1 for x in (0.6, 1, 1.9)]
        return np.concatenate([np.real(z), np.imag(z)])

    r, l, k = solve(conditions, [1, 1, 1])
    return r * re, l * re / w0, 1 / (w0 * k * re)


def shelf(c):
    r, k, w0 = c["r"], 10 ** (-c["db"] / 20), 2 * np.pi * c["f"]

    def conditions(rs, x):  # x: reactance at f
        h = r / (r + parallel(rs, 1j * x))
        return [r / (r + rs) / k - 1, np.abs(h) / np.sqrt(k) - 1]

    rs, x = solve(conditions, [r, r])
    return x / w0, rs


def notch(c):
    r, k, f, width = c["r"], 10 ** (-c["db"] / 20), c["f"], c["width"]

    def conditions(rp, x, b, low):  # reactances of coil and capacitor at f, lower edge over f
        h = lambda y: r / (r + parallel(rp, 1j * y * x, b / (1j * y)))
        return [np.abs(h(1)) / k - 1, x / b - 1, np.abs(h(low)) / np.sqrt(k) - 1, np.abs(h(low + width / f)) / np.sqrt(k) - 1]

    rp, x, b, _ = solve(conditions, [r, r / 3, r / 3, 0.8])
    w0 = 2 * np.pi * f
    return rp, x / w0, 1 / (w0 * b)


kinds = {"pad": pad, "series pad": series_pad, "T pad": t_pad, "pi pad": pi_pad, "Zobel": zobel,
         "trap": trap, "shelf": shelf, "notch": notch}
answers = Answers()
for i, c in enumerate(cases("sections")["sections"]):
    answers.numbers(f"{c['kind']} {i + 1}", "values", kinds[c["kind"]](c))
answers.print()
