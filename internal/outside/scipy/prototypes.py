"""Filter prototypes: poles, response, group delay, step response, and the response
of the low- and high-pass at a frequency in hertz."""

import numpy as np
from numpy.polynomial import legendre, polynomial
from scipy import optimize, signal

from answers import Answers, cases


def optimum(n):
    """Poles of the filter of Papoulis: |H|^-2 = 1 + L(w^2), where L is the integral
    of v^2 (of (x+1) v^2 for even orders) from -1 to 2w^2 - 1, and v has Legendre
    coefficients in proportion to 2i+1."""
    k = (n - 1) // 2
    a = np.array([2.0 * i + 1 for i in range(k + 1)])
    if n % 2 == 0:
        a[(k + 1) % 2 :: 2] = 0
    v = legendre.leg2poly(a)
    slope = polynomial.polymul(v, v)
    if n % 2 == 0:
        slope = polynomial.polymul(slope, [1, 1])
    integral = polynomial.polyint(slope, lbnd=-1)
    integral /= polynomial.polyval(1.0, integral)  # half power at w = 1
    x = polynomial.polyroots(polynomial.polyadd(integral, [1]))
    s = np.sqrt(-(x + 1) / 2 + 0j)  # s^2 = -w^2 = -(x+1)/2
    return -s * np.where(s.real < 0, -1, 1)


def poles(family, n):
    name = family["name"]
    if name == "Butterworth":
        return signal.butter(n, 1, analog=True, output="zpk")[1]
    if name == "Linkwitz-Riley":
        return np.repeat(signal.butter(n // 2, 1, analog=True, output="zpk")[1], 2)
    if name == "Chebyshev":
        return signal.cheby1(n, family["ripple"], 1, analog=True, output="zpk")[1]
    if name == "Legendre":
        return optimum(n)
    if name == "second order":
        return np.roots([1, 1 / family["q"], 1])
    p = signal.bessel(n, 1, analog=True, output="zpk", norm="delay")[1]
    if family["norm"] == "mag":
        # SciPy's own search for half power stops at 1e-8.
        gain = np.prod(-p).real
        at = lambda w: np.abs(signal.freqs_zpk([], p, gain, [w])[1][0]) - np.sqrt(0.5)
        p = p / optimize.brentq(at, 0.1, 10, xtol=1e-15, rtol=1e-15)
        assert np.allclose(sorted(p, key=np.imag), sorted(signal.bessel(n, 1, analog=True, output="zpk", norm="mag")[1], key=np.imag), rtol=1e-7)
    if family["norm"] == "phase":
        p = signal.bessel(n, 1, analog=True, output="zpk", norm="phase")[1]
    return p


def label(family, n):
    extra = "".join(f", {family[k]}" for k in ("norm", "ripple", "q") if k in family)
    return f"{family['name']}{extra}, order {n}"


c = cases("prototypes")
w = np.array(c["w"])
t = c["step"]["interval"] * np.arange(c["step"]["count"])
net = c["networks"]
answers = Answers()
for family in c["families"]:
    for n in family["orders"]:
        case = label(family, n)
        p = poles(family, n)
        gain = np.prod(-p).real  # 1 at DC, also for even Chebyshev
        answers.roots(case, "poles", p)
        answers.curve(case, "response", signal.freqs_zpk([], p, gain, w)[1])
        # Delay from the slope of the denominator's polynomial, not from the poles.
        den = np.poly(p).real
        s = 1j * w
        answers.numbers(case, "delay", (np.polyval(np.polyder(den), s) / np.polyval(den, s)).real)
        answers.numbers(case, "step", signal.step(signal.lti([], p, gain), T=t)[1])
        w0 = 2 * np.pi * net["f"]
        hz = 2 * np.pi * np.array(net["hz"])
        answers.curve(case, "low-pass", signal.freqs_zpk(*signal.lp2lp_zpk([], p, gain, w0), hz)[1])
        answers.curve(case, "high-pass", signal.freqs_zpk(*signal.lp2hp_zpk([], p, gain, w0), hz)[1])
answers.print()
