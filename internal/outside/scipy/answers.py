"""What the scripts share: reading cases, writing answers."""

import json
import os
import sys

import numpy
import scipy


def cases(name):
    """The cases of that name; the folder is the first argument of the script."""
    with open(os.path.join(sys.argv[1], name + ".json"), encoding="utf-8") as f:
        return json.load(f)


class Answers:
    """Collects answers by case and prints them as JSON."""

    def __init__(self):
        self.results = {}

    def numbers(self, case, name, values):
        values = [float(v) for v in numpy.atleast_1d(values)]
        self.results.setdefault(case, {}).setdefault("numbers", {})[name] = values

    def curve(self, case, name, values):
        flat = []
        for v in numpy.atleast_1d(values):
            flat += [float(numpy.real(v)), float(numpy.imag(v))]
        self.results.setdefault(case, {}).setdefault("curves", {})[name] = flat

    def roots(self, case, name, values):
        """In an order that does not hang on the library that found them."""
        self.curve(case, name, sorted(values, key=lambda v: (v.imag, v.real)))

    def print(self):
        version = f"{scipy.__version__} with NumPy {numpy.__version__}"
        json.dump({"tool": "SciPy", "version": version, "results": self.results}, sys.stdout, allow_nan=False)
