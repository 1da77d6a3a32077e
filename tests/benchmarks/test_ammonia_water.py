"""Ammonia-water points a second, one core. Run with: pytest tests/benchmarks --benchmark-only

Each call does 100,000 points: a mean under 0.1 s is the million points a second asked for. The ratio to
`RectBivariateSpline`, which interpolates the same table, is that of the last two rows.
"""

import numpy as np
import pytest
from scipy.interpolate import RectBivariateSpline

from warmside.properties import ammonia_water as mixture

POINTS = 100_000


@pytest.fixture(scope="module")
def states() -> dict[str, np.ndarray]:
    random = np.random.default_rng(3)
    temperature = random.uniform(280.0, 335.0, POINTS)
    liquid = random.uniform(0.2, 1.0, POINTS)
    pressure = mixture.bubble_pressure(temperature, liquid)
    vapour = mixture.vapour_mass_fraction(pressure, liquid)
    return {"pressure": pressure, "temperature": temperature, "liquid": liquid, "vapour": vapour}


@pytest.mark.parametrize(
    ("function", "first", "second"),
    [
        (mixture.equilibrium, "pressure", "liquid"),
        (mixture.bubble_pressure, "temperature", "liquid"),
        (mixture.dew_temperature, "pressure", "vapour"),
        (mixture.vapour_mass_fraction, "pressure", "liquid"),
        (mixture.liquid_mass_fraction, "pressure", "temperature"),
        (mixture.liquid_enthalpy, "temperature", "liquid"),
        (mixture.vapour_enthalpy, "temperature", "vapour"),
        (mixture.bubble_temperature, "pressure", "liquid"),
    ],
    ids=lambda value: getattr(value, "__name__", value),
)
def test_a_hundred_thousand_points(benchmark, states, function, first, second):
    result = benchmark(function, states[first], states[second])
    assert not np.isnan(result).any()


def test_one_quantity_by_a_spline_of_scipy(benchmark, states):
    nodes = np.linspace(0, 1, 25), np.linspace(0, 1, 57)
    spline = RectBivariateSpline(*nodes, np.outer(*nodes))
    benchmark(spline.ev, states["liquid"], states["vapour"])
