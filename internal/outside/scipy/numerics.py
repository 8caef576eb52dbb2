"""Roots, step responses, interpolation, least squares; preferred values and room modes."""

import decimal
import itertools

import numpy as np
from scipy import interpolate, optimize, signal

from answers import Answers, cases

c = cases("numerics")
answers = Answers()

w = np.array(c["w"])
t = c["step"]["interval"] * np.arange(c["step"]["count"])
for p in c["polynomials"]:
    num, den = p["num"][::-1], p["den"][::-1]
    answers.roots(p["id"], "zeros", np.roots(num))
    answers.roots(p["id"], "poles", np.roots(den))
    answers.curve(p["id"], "response", signal.freqs(num, den, w)[1])
    # The step response by partial fractions.
    r, poles, direct = signal.residue(num, den)
    step = [np.sum(direct) + np.sum(r / poles * (np.exp(poles * x) - 1)) for x in t]
    answers.numbers(p["id"], "step", np.real(step))

m = c["curve"]
x, at = np.log(m["hz"]), np.log(m["at"])
level = interpolate.Akima1DInterpolator(x, m["db"])(at)
phase = interpolate.Akima1DInterpolator(x, np.unwrap(np.radians(m["deg"])))(at)
answers.curve("curve", "resampled", 10 ** (level / 20) * np.exp(1j * phase))

for f in c["fits"]:
    t, y = np.array(f["t"]), np.array(f["y"])
    fit = optimize.least_squares(lambda v: v[0] * np.exp(-v[1] * t) + v[2] - y, f["start"], bounds=(f["lo"], f["hi"]),
                                 jac=lambda v: np.column_stack([np.exp(-v[1] * t), -v[0] * t * np.exp(-v[1] * t), np.ones_like(t)]),
                                 xtol=1e-15, ftol=1e-15, gtol=1e-15)
    v = fit.x
    # The search stays off the bounds; what it nearly touches is put there, and Newton's
    # method for the gradient in the free variables ends it.
    held = np.isclose(v, f["lo"], atol=1e-4) | np.isclose(v, f["hi"], atol=1e-4)
    v = np.where(np.isclose(v, f["hi"], atol=1e-4), f["hi"], np.where(np.isclose(v, f["lo"], atol=1e-4), f["lo"], v))

    def gradient(free):
        u = np.array(v, dtype=float)
        u[~held] = free
        e = np.exp(-u[1] * t)
        r = u[0] * e + u[2] - y
        return np.array([r @ e, -r @ (u[0] * t * e), np.sum(r)])[~held]

    free = optimize.root(gradient, v[~held], method="hybr", options={"xtol": 1e-14})
    assert np.max(np.abs(free.x / v[~held] - 1)) < 1e-5, (free, fit)
    v[~held] = free.x
    answers.numbers(f["id"], "x", v)
    answers.numbers(f["id"], "sum", np.sum((v[0] * np.exp(-v[1] * t) + v[2] - y) ** 2))

# Preferred values in decimal arithmetic.
e24 = "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1".split()
decimal.getcontext().prec = 40


def preferred(n):
    if n <= 24:
        return [decimal.Decimal(v) for v in e24[:: 24 // n]]
    tenth = decimal.Decimal("0.01")
    values = [(decimal.Decimal(10) ** (decimal.Decimal(i) / n)).quantize(tenth) for i in range(n)]
    return [decimal.Decimal("9.20") if v == decimal.Decimal("9.19") and n == 192 else v for v in values]


def nearest(n, v):
    v = decimal.Decimal(v)
    values = [p.scaleb(e) for e in range(-12, 4) for p in preferred(n)]
    return min(values, key=lambda p: max(p / v, v / p))


for n in c["series"]["names"]:
    answers.numbers(f"E{n}", "values", preferred(n))
    answers.numbers(f"E{n}", "nearest", [nearest(n, v) for v in c["series"]["values"]])

m = c["modes"]
waves = [np.pi * n / l for n, l in itertools.product(range(12), m["edges"])]  # k of n half waves along an edge
waves = np.reshape(waves, (12, 3))
found = [m["c"] * np.sqrt(waves[i, 0] ** 2 + waves[j, 1] ** 2 + waves[k, 2] ** 2) / (2 * np.pi)
         for i, j, k in itertools.product(range(12), repeat=3)]
answers.numbers("modes", "hz", sorted(f for f in found if 0 < f <= m["limit"]))
answers.print()
