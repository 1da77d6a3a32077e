"""Pure ammonia against CoolProp and published values."""

import numpy as np
import pytest
from real_fluids import ON_ONE_WORKER, PropsSI

from warmside.properties import ammonia

pytestmark = ON_ONE_WORKER


def saturated(output: str, quality: int, temperatures: np.ndarray) -> np.ndarray:
    return np.array([PropsSI(output, "T", t, "Q", quality, "Ammonia") for t in temperatures])


def test_stated_deviations_hold_between_the_fitted_points():
    # CoolProp 8, Gao et al. 2020; off the points that were fitted
    temperatures = np.linspace(200.7, 389.3, 61)
    pressure = saturated("P", 0, temperatures)
    latent_heat = saturated("H", 1, temperatures) - saturated("H", 0, temperatures)
    assert ammonia.saturation_pressure(temperatures) == pytest.approx(pressure, rel=2e-4)
    assert ammonia.latent_heat(temperatures) == pytest.approx(latent_heat, rel=1e-4)


# CoolProp 8.0.0, Ammonia: t [°C], p [bar], latent heat [kJ/kg]. Its equation of state and the older one in
# iapws differ by about 0.2 %, hence the tolerance.
SATURATED = [
    (-30, 1.19376, 1359.75),
    (-20, 1.90026, 1328.80),
    (0, 4.29248, 1261.77),
    (25, 10.02695, 1165.82),
    (50, 20.32973, 1050.95),
]


@pytest.mark.parametrize(("celsius", "bar", "latent_heat"), SATURATED)
def test_stored_values(celsius, bar, latent_heat):
    assert ammonia.saturation_pressure(273.15 + celsius) / 1e5 == pytest.approx(bar, rel=2e-3)
    assert ammonia.latent_heat(273.15 + celsius) / 1e3 == pytest.approx(latent_heat, rel=2e-3)


def test_a_printed_table():
    # Baehr and Tillner-Roth 1994, saturation at 0 °C: 4.2938 bar, 1262.2 kJ/kg
    assert ammonia.saturation_pressure(273.15) == pytest.approx(4.2938e5, rel=1e-3)
    assert ammonia.latent_heat(273.15) == pytest.approx(1262.2e3, rel=1e-3)


def test_condensing_temperatures_at_charge_pressures():
    # CoolProp 8.0.0, Ammonia: the most that air-cooled condensing can reach at these total pressures
    found = ammonia.saturation_temperature(np.array([2, 10, 15, 20, 25]) * 1e5) - 273.15
    assert found == pytest.approx([-18.842, 24.913, 38.718, 49.371, 58.174], abs=0.05)
