"""Moist air from the formulas of the standards, coded on their own; the standard
atmosphere by integrating the weight of the air above."""

import numpy as np
from scipy import integrate

from answers import Answers, cases

c = cases("air")
answers = Answers()
for x in c["conditions"]:
    t, p, h, xc = x["celsius"], x["pascal"], x["humidity"], x["co2"]
    T = t + 273.15
    # CIPM-2007, Metrologia 45 (2008) 149, Appendix A.
    psv = np.exp(1.2378847e-5 * T**2 - 1.9121316e-2 * T + 33.93711047 - 6.3431645e3 / T)
    xv = h * (1.00062 + 3.14e-8 * p + 5.6e-7 * t**2) * psv / p
    z = (1 - p / T * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2 + (5.707e-6 - 2.051e-8 * t) * xv
                      + (1.9898e-4 - 2.376e-6 * t) * xv**2) + (p / T) ** 2 * (1.83e-11 - 0.765e-8 * xv**2))
    answers.numbers(x["id"], "density", (3.483740 + 1.4446 * (xc - 0.0004)) * 1e-3 * p / (z * T) * (1 - 0.3780 * xv))
    # Cramer, J. Acoust. Soc. Am. 93 (1993) 2510, Table III: a0 ... a15 and what each multiplies.
    a = [331.5024, 0.603055, -0.000528, 51.471935, 0.1495874, -0.000782, -1.82e-7, 3.73e-8, -2.93e-10,
         -85.20931, -0.228525, 5.91e-5, -2.835149, -2.15e-13, 29.179762, 0.000486]
    terms = [1, t, t**2, xv, t * xv, t**2 * xv, p, t * p, t**2 * p, xc, t * xc, t**2 * xc, xv**2, p**2, xc**2, xv * p * xc]
    answers.numbers(x["id"], "speed of sound", np.dot(a, terms))
    # IEC 61094-2:2009, Annex F.
    answers.numbers(x["id"], "viscosity", (84.986 + 7 * T + (113.157 - T) * xv - 3.7501e-3 * T**2 - 100.015 * xv**2) * 1e-8)

# U.S. Standard Atmosphere 1976: dp/dz = -rho g of an ideal gas that cools by 6.5 K per
# geopotential kilometre, dH = (E/(E+z))^2 dz, g = 9.80665 (E/(E+z))^2.
E, molar, R = 6356766.0, 0.0289644, 8.31432
for z in c["altitudes"]:
    temperature = lambda z: 288.15 - 0.0065 * E * z / (E + z)
    weight = integrate.quad(lambda z: 9.80665 * (E / (E + z)) ** 2 * molar / (R * temperature(z)), 0, z, epsrel=1e-13)[0]
    answers.numbers(f"{z} m", "temperature", temperature(z))
    answers.numbers(f"{z} m", "pressure", 101325 * np.exp(-weight))
answers.print()
