"""Dry air against CoolProp and the printed standard atmosphere."""

import numpy as np
import pytest
from real_fluids import ON_ONE_WORKER, PropsSI

from warmside.properties import air
from warmside.units import read_quantity, to_si

pytestmark = ON_ONE_WORKER


def coolprop(output: str, temperatures: np.ndarray) -> np.ndarray:
    return np.array([PropsSI(output, "T", t, "P", 101325, "Air") for t in temperatures])


def test_stated_deviations():
    # CoolProp 8: Lemmon et al. 2000, transport properties Lemmon and Jacobsen 2004
    temperatures = np.linspace(221, 519, 60)
    assert air.density(temperatures) == pytest.approx(coolprop("D", temperatures), rel=2e-3)
    assert air.specific_heat(temperatures) == pytest.approx(coolprop("C", temperatures), rel=1.2e-4)
    assert air.viscosity(temperatures) == pytest.approx(coolprop("V", temperatures), rel=1.6e-2)
    cool = temperatures[temperatures <= 320]
    assert air.viscosity(cool) == pytest.approx(coolprop("V", cool), rel=5e-3)


def test_the_standard_atmosphere_at_sea_level():
    # U.S. Standard Atmosphere 1976, tables at 0 m: 288.15 K, 101 325 Pa, 1.2250 kg/m³, 1.7894e-5 Pa s;
    # the last from memory
    assert air.density(288.15, 101325.0) == pytest.approx(1.2250, abs=5e-5)
    assert air.viscosity(288.15) == pytest.approx(1.7894e-5, abs=5e-10)


EARTH_RADIUS = 6356766.0  # m; U.S. Standard Atmosphere 1976, for geopotential height
# U.S. Standard Atmosphere 1976 as handbooks print it, over the geometric height
ATMOSPHERES = [("5000 ft", "12.228 psia"), ("10000 ft", "10.108 psia"), ("15000 ft", "8.297 psia")]


@pytest.mark.parametrize(("altitude", "pressure"), ATMOSPHERES)
def test_the_standard_atmosphere_above_the_sea(altitude, pressure):
    height = to_si(read_quantity(altitude, "length"), "length")
    printed = to_si(read_quantity(pressure, "pressure_absolute"), "pressure_absolute")
    geopotential = EARTH_RADIUS * height / (EARTH_RADIUS + height)
    assert air.standard_pressure(geopotential) == pytest.approx(printed, rel=8e-5)
    assert air.standard_pressure(height) == pytest.approx(printed, rel=5e-4)  # as one measures height


def test_the_standard_atmosphere_in_metres():
    # the same, base of the second layer: 22 632 Pa at 11 000 m; 101 325 Pa at the sea
    assert air.standard_pressure([0.0, 11000.0]) == pytest.approx([101325, 22632.1], rel=1e-5)
    # 69 692 and 84 323 Pa at 3048 and 1524 m: a handbook's table in SI, printed after psi of five figures
    assert air.standard_pressure([3048.0, 1524.0]) == pytest.approx([69692.2, 84322.9], rel=3e-4)
