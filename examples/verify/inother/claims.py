#!/usr/bin/env python3
"""A small program of its own that computes a box, a vent and a pad, and claims it.

    python3 claims.py FOLDER

writes claims.json and the table response.csv into the folder. Standard library only.
"""
import cmath
import json
import math
import pathlib
import sys

SOUND = 345.0  # m/s


def closed_box(fs, qts, vas, vb):
    """Resonance, Q and half-power frequency of a driver in a closed box."""
    k = math.sqrt(1 + vas / vb)
    fc, qtc = fs * k, qts * k
    a = 1 / (2 * qtc**2) - 1
    return fc, qtc, fc * math.sqrt(a + math.sqrt(a * a + 1))


def response(f, fc, qtc):
    """The second-order high-pass that a closed box is."""
    s = 1j * f / fc
    return s * s / (s * s + s / qtc + 1)


def vent_length(volume, tuning, diameter, ends):
    """Length of a round vent; ends is the correction of both ends in radii."""
    area = math.pi * diameter**2 / 4
    return area / volume * (SOUND / (2 * math.pi * tuning)) ** 2 - ends * diameter / 2


def l_pad(load, db):
    """Series and shunt resistor of an L-pad."""
    k = 10 ** (-db / 20)
    return load * (1 - k), load * k / (1 - k)


def main(folder):
    folder = pathlib.Path(folder)
    fs, qts, vas, vb = 30.0, 0.4, 60.0, 25.0
    fc, qtc, f3 = closed_box(fs, qts, vas, vb)
    with open(folder / "response.csv", "w", encoding="utf-8") as table:
        table.write("Hz,dB,deg\n")
        for i in range(100):
            f = 10 * 1.05**i
            h = response(f, fc, qtc)
            table.write(f"{f:.4f},{20 * math.log10(abs(h)):.4f},{math.degrees(cmath.phase(h)):.3f}\n")
    series, shunt = l_pad(8, 6)
    cases = [
        {
            "id": "box",
            "question": "How low does it go in 25 litres?",
            "capability": "closed box",
            "inputs": {"fs": f"{fs} Hz", "Qts": qts, "Vas": f"{vas} L", "Vb": f"{vb} L"},
            "claims": [
                {"output": "fc", "value": f"{fc:.2f} Hz"},
                {"output": "Qtc", "value": round(qtc, 4)},
                {"output": "f3", "value": f"{f3:.2f} Hz", "tolerance": "0.1 %"},
                {
                    "output": "response",
                    "table": {"file": "response.csv", "at": "Hz", "value": "dB", "phase": "deg"},
                    "tolerance": "0.01 dB",
                    "phase tolerance": "0.1°",
                },
            ],
        },
        {
            "id": "vent",
            "question": "How long is its vent, with 1.463 radii for both ends?",
            "capability": "vent",
            "inputs": {"volume": "50 L", "frequency": "32 Hz", "diameter": "10 cm", "ends": 1.463},
            "claims": [{"output": "length", "value": f"{vent_length(0.05, 32, 0.1, 1.463) * 1000:.1f} mm"}],
        },
        {
            "id": "pad",
            "question": "Which resistors take 6 dB from 8 ohms?",
            "capability": "pad",
            "inputs": {"kind": "L", "load": "8 ohm", "attenuation": "6 dB"},
            "claims": [
                {"output": "resistor", "of": "A", "value": f"{series:.3f} ohm"},
                {"output": "resistor", "of": "B", "value": f"{shunt:.3f} ohm"},
            ],
        },
    ]
    claims = {"title": "A box, a vent and a pad from a program in Python", "cases": cases}
    (folder / "claims.json").write_text(json.dumps(claims, indent=2), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
