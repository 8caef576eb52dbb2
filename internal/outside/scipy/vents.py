"""End corrections by quadrature and by mode matching, tunings as roots of the wave
equation in the vent."""

import numpy as np
from scipy import integrate, optimize, special

from answers import Answers, cases

c = cases("vents")
answers = Answers()


def thin_tube():
    """Levine and Schwinger 1948: the end correction of a thin tube in open space at
    low frequency, in radii: (1/pi) int_0^inf ln(1/(2 I1(x) K1(x))) dx/x^2."""

    def integrand(x):
        return -np.log(2 * special.ive(1, x) * special.kve(1, x)) / x**2

    # Near zero ln(...) goes with x^2 ln x; from 50 on it is ln x + 3/(8 x^2) + ...
    near = integrate.quad(lambda u: integrand(np.exp(u)) * np.exp(u), np.log(1e-4), np.log(50), epsabs=0, epsrel=1e-12, limit=500)[0]
    start = integrate.quad(lambda x: 0.5 * (-np.log(x / 2) - np.euler_gamma + 0.25), 0, 1e-4, epsabs=0, epsrel=1e-10)[0]
    far = integrate.quad(lambda v: integrand(1 / v) / v**2, 1e-9, 1 / 50, epsabs=0, epsrel=1e-12, limit=500)[0]
    far += integrate.quad(lambda v: -np.log(v), 0, 1e-9)[0]
    return (start + near + far) / np.pi


def flanged_tube():
    """End correction of a tube in an infinite flange, in radii. Of all flows v(r)
    through the mouth with mean 1, the right one has the smallest

        int_0^inf V(k)^2 dk + sum_n 2 V(j_n)^2/(j_n J0(j_n)^2),  V(k) = int_0^1 v J0(kr) r dr,

    half the correction: the first term is the half space, the second the modes of the
    tube, J1(j_n) = 0. Flows are combined from (1-r^2)^(m-1), with the exponents that
    occur at an edge of 270 degrees, whose transform is 2^(m-1) G(m) J_m(k)/k^m."""
    m = np.array([2, 4, 5, 6, 7, 8, 9, 10, 11, 12]) / 3
    scale = 2 ** (m - 1) * special.gamma(m)

    # Half space: the integral of Weber and Schafheitlin.
    mu, nu = np.meshgrid(m, m)
    half_space = np.outer(scale, scale) * special.gamma(mu + nu) * np.sqrt(np.pi) / (
        2 ** (mu + nu) * special.gamma(mu + 0.5) * special.gamma(nu + 0.5) * special.gamma(mu + nu + 0.5))

    # Tube: sums to N terms, and what is missing fades with N^-(mu+nu), N^-(mu+nu+1) ...
    counts = 500 * 2 ** np.arange(6)
    beta = (np.arange(1, counts[-1] + 1) + 0.25) * np.pi
    j = beta - 3 / (8 * beta)
    for _ in range(4):
        j -= special.jv(1, j) / (special.jv(0, j) - special.jv(1, j) / j)
    v = scale[:, None] * special.jv(m[:, None], j) / j ** m[:, None]
    weight = 2 / (j * special.jv(0, j) ** 2)
    sums = [(v[:, :n] * weight[:n]) @ v[:, :n].T for n in counts]
    for k in range(len(counts) - 1):
        gain = 2 ** (mu + nu + k)
        sums = [(gain * b - a) / (gain - 1) for a, b in zip(sums, sums[1:])]
    net = 1 / (2 * m)
    return 1 / (2 * net @ np.linalg.solve(half_space + sums[0], net))


def rectangle(w, h):
    """Mean potential of a rigid piston: (1/2piS) times the integral of 1/|r-r'| over
    both points. Differences r-r' of lengths x, y occur 4(w-x)(h-y) times; in polar
    coordinates the pole is gone."""

    def inner(angle):
        cos, sin = np.cos(angle), np.sin(angle)
        end = min(w / cos if cos > 0 else np.inf, h / sin if sin > 0 else np.inf)
        return integrate.quad(lambda r: 4 * (w - r * cos) * (h - r * sin), 0, end, epsrel=1e-13)[0]

    corner = np.arctan2(h, w)
    total = sum(integrate.quad(inner, a, b, epsabs=0, epsrel=1e-13)[0] for a, b in ((0, corner), (corner, np.pi / 2)))
    return total / (2 * np.pi * w * h)




def channel(q, terms=4000):
    """End correction, in heights, of a channel of height q that opens into one of height
    1, flush with one wall of it; two-dimensional. The flow with the smallest energy, as
    for the tube, where both sides now have modes, cosines across their height. Height
    from the wall is y, in units of q; flows are combined from (1-y^2)^(m-1), and
    int_0^1 (1-y^2)^(m-1) cos(ky) dy = sqrt(pi)/2 G(m) (2/k)^(m-1/2) J_(m-1/2)(k).
    q must be a multiple of 0.05: the sums are then taken over whole periods of
    cos(n pi q)."""
    m = np.array([2, 4, 5, 6, 7, 8, 9, 10, 11, 12]) / 3
    mu, nu = np.meshgrid(m, m)

    def transform(k):
        order = m[:, None] - 0.5
        return np.sqrt(np.pi) / 2 * special.gamma(m)[:, None] * (2 / k) ** order * special.jv(order, k)

    def energy(height):
        """Sum over the modes cos(n pi y/height) of 2/(n pi) (int v cos)^2, y in units of q."""
        counts = terms * 2 ** np.arange(6)
        n = np.arange(1, counts[-1] + 1)
        v = transform(n * np.pi * q / height)
        weight = 2 / (n * np.pi)
        return [(v[:, :k] * weight[:k]) @ v[:, :k].T for k in counts]

    whole = [energy(q), energy(1)]
    for sums in whole:
        for k in range(len(sums) - 1):
            gain = 2 ** (mu + nu + k)
            sums[:] = [(gain * b - a) / (gain - 1) for a, b in zip(sums, sums[1:])]
    net = transform(np.array([1e-9]))[:, 0]
    return 1 / (net @ np.linalg.solve(whole[0][0] + whole[1][0], net))


def mutual(d):
    """What a second rigid disc at distance d (in radii) in one plane adds to the end correction of
    the first: 2 int_0^inf J1(k)^2 J0(kd)/k^2 dk, as the potential of one disc over the other."""

    def potential(r):
        """Of a disc of radius 1 in its plane at distance r of its centre."""
        return 4 * (r * special.ellipe(1 / r**2) - (r * r - 1) / r * special.ellipkm1(1 - 1 / r**2)) if r > 1 else 4 * special.ellipe(r * r)

    arc = lambda r: 2 * r * np.arccos(min(1, (r * r + d * d - 1) / (2 * r * d)))
    return integrate.quad(lambda r: potential(r) * arc(r), d - 1, d + 1, epsabs=0, epsrel=1e-12, limit=400)[0] / (2 * np.pi**2)


def open_end(x):
    """Correction in radii and reflection of a free end at ka = x, the integrals of Levine and Schwinger."""

    def over(f):
        return integrate.quad(lambda u: f(x * np.sin(u)) / (x * np.sin(u)), 0, np.pi / 2, epsabs=0, epsrel=1e-11)[0]

    phase = lambda t: np.mod(np.arctan(-special.j1(t) / special.y1(t)), np.pi)
    reflection = np.exp(-2 * x / np.pi * over(phase))
    first = over(lambda t: np.log(np.pi * special.j1(t) * np.hypot(special.j1(t), special.y1(t))))

    def second(u):
        t = np.exp(u)
        if t < 1e-4:
            value = -t * t / 2 * (np.log(t / 2) + np.euler_gamma - 0.25)
        elif t > 2000:
            value = u + 3 / (8 * t * t)
        else:
            value = -np.log(2 * special.ive(1, t) * special.kve(1, t))
        return value / np.hypot(t, x)

    total = sum(integrate.quad(second, a, b, epsabs=1e-14, epsrel=1e-11, limit=400)[0] for a, b in ((-25, -5), (-5, 0), (0, 5), (5, 8), (8, 40)))
    return (first + total) / np.pi, reflection


def tube(radius, hz):
    """Q and mass of a tube with friction, and attenuation with heat as well."""
    w = 2 * np.pi * hz
    share = lambda x: 2 * special.jv(1, x) / (x * special.jv(0, x))
    x = radius * np.sqrt(-1j * w * density / c["viscosity"])
    z = 1j / (1 - share(x))
    y = 1j * (1 + 0.4 * share(x * np.sqrt(0.708)))
    return z.imag / z.real, z.imag, w / sound * np.sqrt(z * y).real


density, sound = c["air"]["density"], c["air"]["speed_of_sound"]
per_radius = c["per_radius"]


def end(vent, mouth):
    """The end correction of one end; walls are mirrors."""
    if "diameter" in vent:
        return per_radius[mouth] * vent["diameter"] / 2
    w, h = vent["width"], vent["height"]
    equal = np.sqrt(w * h / np.pi)
    if mouth == "along a wall":
        h = 2 * h
    if mouth == "in a corner":
        w, h = 2 * w, 2 * h
    kind = "free" if mouth == "free" else "flanged"
    return per_radius[kind] * rectangle(w, h) / (8 / (3 * np.pi))


answers.numbers("ends", "free", thin_tube())
answers.numbers("ends", "flanged", flanged_tube())
answers.numbers("ends", "rectangles", [rectangle(*r) for r in c["rectangles"]])
answers.numbers("ends", "channels", [channel(q) for q in c["channels"]])
answers.numbers("ends", "neighbours", [mutual(d) for d in c["distances"]])
answers.numbers("ends", "open ends", [open_end(x)[0] for x in c["open_ends"]])
answers.numbers("ends", "reflections", [open_end(x)[1] for x in c["open_ends"]])
for k, name in enumerate(["friction", "mass", "attenuation"]):
    answers.numbers("tubes", name, [tube(t["radius"], t["hz"])[k] for t in c["tubes"]])
for vent in c["vents"]:
    area = np.pi * vent["diameter"] ** 2 / 4 if "diameter" in vent else vent["width"] * vent["height"]
    area *= vent.get("count", 1)
    ends = end(vent, vent["inner"]) + end(vent, vent["outer"])

    def reactance(w, length):
        """Of box and vent seen from the box, the vent as one mass."""
        return w * density * (length + ends) / area - density * sound**2 / (w * vent["vb"])

    def line(w):
        """The same, the vent as a line open at its end, which is tan(kL)/(kL) of the mass."""
        k = w / sound
        return density * sound / area * np.tan(k * (vent["length"] + ends)) - density * sound**2 / (w * vent["vb"])

    def long_box(w):
        """The same, the box as a line of its own, closed at its end."""
        k, section = w / sound, vent["vb"] / c["depth"]
        return density * sound * (np.tan(k * (vent["length"] + ends)) / area - 1 / (np.tan(k * c["depth"]) * section))

    root = lambda f, a, b: optimize.brentq(f, a, b, xtol=1e-14, rtol=1e-14, maxiter=1000)
    quarter = np.pi / 2 * sound / (vent["length"] + ends)
    answers.numbers(vent["id"], "ends", ends)
    answers.numbers(vent["id"], "tuning", root(lambda w: reactance(w, vent["length"]), 1, 1e4) / (2 * np.pi))
    answers.numbers(vent["id"], "line tuning", root(line, 1, quarter * (1 - 1e-9)) / (2 * np.pi))
    quarter = min(quarter, np.pi / 2 * sound / c["depth"])
    answers.numbers(vent["id"], "long box tuning", root(long_box, 1, quarter * (1 - 1e-9)) / (2 * np.pi))
    answers.numbers(vent["id"], "tuned length", root(lambda x: reactance(2 * np.pi * vent["fb"], x), 0, 10))
answers.print()
