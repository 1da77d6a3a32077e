"""The correlations of Pátek and Klomfar: an independent second opinion on boiling ammonia-water.

J. Pátek, J. Klomfar, "Simple functions for fast calculations of selected thermodynamic properties of the
ammonia-water system", Int. J. Refrigeration 18 (1995) 228, equations 1 to 5. Pressures in MPa, temperatures
in K, enthalpies in kJ/kg, mole fractions of ammonia. Fitted by its authors to about 2 MPa.
"""

import json
from pathlib import Path

import numpy as np

_EQUATIONS = json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))


def bubble_temperature(pressure, x):
    """Equation 1."""
    equation = _EQUATIONS["eq1"]
    log = np.log(equation["p0"] / np.asarray(pressure))
    return equation["T0"] * sum(a * (1 - x) ** m * log**n for m, n, a in equation["rows"])


def dew_temperature(pressure, y):
    """Equation 2."""
    equation = _EQUATIONS["eq2"]
    log = np.log(equation["p0"] / np.asarray(pressure))
    return equation["T0"] * sum(a * (1 - y) ** (m / 4) * log**n for m, n, a in equation["rows"])


def vapour_mole_fraction(pressure, x):
    """Equation 3."""
    equation = _EQUATIONS["eq3"]
    ratio = np.asarray(pressure) / equation["p0"]
    with np.errstate(divide="ignore"):  # all ammonia: the logarithm is minus infinity and y is 1
        return 1 - np.exp(np.log(1 - x) * sum(a * ratio**m * x ** (n / 3) for m, n, a in equation["rows"]))


def liquid_enthalpy(temperature, x):
    """Equation 4."""
    equation = _EQUATIONS["eq4"]
    warmth = temperature / equation["T0"] - 1
    return equation["h0"] * sum(a * warmth**m * x**n for m, n, a in equation["rows"])


def vapour_enthalpy(temperature, y):
    """Equation 5."""
    equation = _EQUATIONS["eq5"]
    cold = 1 - temperature / equation["T0"]
    return equation["h0"] * sum(a * cold**m * (1 - y) ** (n / 4) for m, n, a in equation["rows"])
