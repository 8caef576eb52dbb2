"""Crossover, drivers and places together: one nodal matrix for the whole speaker, and
the pressures of the cones added up at points in space."""

import numpy as np

from answers import Answers, cases

given = cases("drivers")
c = cases("speakers")
density = given["air"]["density"]
answers = Answers()


def impedance(part, s):
    if part["kind"] == "R":
        return part["value"]
    if part["kind"] == "L":
        return part.get("resistance", 0) + s * part["value"]
    return part.get("resistance", 0) + (1 + part.get("loss", 0) * 1j) / (s * part["value"])


def coil(d, s):
    """Of a coil at rest: inductance, and a damped one if there is one."""
    x = d["coil"]
    z = d["re"] + s * x.get("leb", 0)
    if "le" in x:
        z += s * x["le"] * x["rss"] / (s * x["le"] + x["rss"])
    return z


class Circuit:
    """Modified nodal analysis: node 0 is ground; unknowns are voltages, then currents."""

    def __init__(self):
        self.nodes = 1
        self.branches = []  # (a, b, admittance)

    def node(self):
        self.nodes += 1
        return self.nodes - 1

    def solve(self, source, motors):
        """Volts at the nodes with 1 V at the source node, and the source's current.
        Each motor (node, coil z, mechanical z, Bl) adds a current and a velocity."""
        n, m = self.nodes, len(motors)
        y = np.zeros((n + 1 + 2 * m,) * 2, dtype=complex)
        for a, b, g in self.branches:
            y[a, a] += g
            y[b, b] += g
            y[a, b] -= g
            y[b, a] -= g
        y[source, n] += 1  # the source's current leaves the node into the source
        y[n, source] = 1
        for i, (node, ze, zm, bl) in enumerate(motors):
            current, velocity = n + 1 + 2 * i, n + 2 + 2 * i
            y[node, current] += 1
            y[current, [node, current, velocity]] = [1, -ze, -bl]
            y[velocity, [current, velocity]] = [bl, -zm]
        right = np.zeros(len(y), dtype=complex)
        right[n] = 1
        x = np.zeros(len(y), dtype=complex)
        x[1:] = np.linalg.solve(y[1:, 1:], right[1:])
        return x[:n], -x[n], x[n + 2 :: 2]


for speaker in c["speakers"]:
    sums, loads, transfers = [], [], []
    for f in c["hz"]:
        s = 2j * np.pi * f
        circuit, motors, ends = Circuit(), [], []
        source = circuit.node()
        for way in speaker["ways"]:
            at = source
            for arm in way["arms"]:
                if arm.get("shunt"):
                    rung = at
                    for i, part in enumerate(arm["parts"]):
                        next = circuit.node() if i < len(arm["parts"]) - 1 else 0
                        circuit.branches.append((rung, next, 1 / impedance(part, s)))
                        rung = next
                else:
                    next = circuit.node()
                    for part in arm["parts"]:
                        circuit.branches.append((at, next, 1 / impedance(part, s)))
                    at = next
            d = given["drivers"][way["driver"]]
            motors.append((at, coil(d, s), d["rms"] + s * d["mms"] + 1 / (s * d["cms"]), d["bl"]))
            ends.append(at)
        volts, current, velocities = circuit.solve(source, motors)
        loads.append(1 / current)
        transfers.append(volts[ends])
        at_points = []
        for point in c["points"]:
            p = 0
            for way, u in zip(speaker["ways"], velocities):
                r = np.linalg.norm(np.subtract(point, way["position"]))
                flow = given["drivers"][way["driver"]]["sd"] * u * (-1 if way["inverted"] else 1)
                p += s * density / (2 * np.pi * r) * flow * np.exp(-s * r / c["speed_of_sound"])
            at_points.append(p)
        sums.append(at_points)
    answers.curve(speaker["id"], "load", loads)
    for i in range(len(speaker["ways"])):
        answers.curve(speaker["id"], f"transfer {i + 1}", [t[i] for t in transfers])
    for i in range(len(c["points"])):
        answers.curve(speaker["id"], f"sum {i + 1}", [p[i] for p in sums])
answers.print()
