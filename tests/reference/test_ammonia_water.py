"""Ammonia-water against the international formulation, two ways, and against independent correlations."""

import json
from pathlib import Path

import numpy as np
import pytest
from iapws import H2ONH3, IAPWS95
from reference import patek_klomfar
from scipy.optimize import brentq

from warmside.properties import ammonia
from warmside.properties import ammonia_water as mixture

AMMONIA, WATER = 17.03026, 18.015268  # molar masses of the formulation [g/mol]
FORMULATION = H2ONH3()


def mass_fraction(x):
    return x * AMMONIA / (x * AMMONIA + (1 - x) * WATER)


def mole_fraction(w):
    return w / AMMONIA / (w / AMMONIA + (1 - w) / WATER)


# --- IAPWS G4-01 as teqp solves it ---


@pytest.fixture(scope="module")
def points() -> dict[str, np.ndarray]:
    """Points off the grid of the table, solved by assets/ammonia_water/make_table.py (source in the file)."""
    path = Path(__file__).with_name("ammonia_water_points.json")
    points = json.loads(path.read_text(encoding="utf-8"))["points"]
    return {name: np.array([point[name] for point in points]) for name in points[0]}


def test_temperatures_between_the_nodes(points):
    pressure, temperature = points["pressure"], points["temperature"]
    assert pressure.size == 400
    bubble = mixture.bubble_temperature(pressure, points["liquid_mass_fraction"])
    assert np.abs(bubble - temperature).max() < 0.002
    dew = mixture.dew_temperature(pressure, points["vapour_mass_fraction"])
    assert np.abs(dew - temperature).max() < 0.002


def test_pressures_and_compositions_between_the_nodes(points):
    pressure = mixture.bubble_pressure(points["temperature"], points["liquid_mass_fraction"])
    assert np.abs(pressure / points["pressure"] - 1).max() < 5e-5
    vapour = mixture.vapour_mass_fraction(points["pressure"], points["liquid_mass_fraction"])
    assert np.abs(vapour - points["vapour_mass_fraction"]).max() < 1e-5
    liquid = mixture.liquid_mass_fraction(points["pressure"], points["temperature"])
    assert np.abs(liquid - points["liquid_mass_fraction"]).max() < 5e-5


def test_enthalpies_between_the_nodes(points):
    liquid = mixture.liquid_enthalpy(points["temperature"], points["liquid_mass_fraction"])
    assert np.abs(liquid - points["liquid_enthalpy"]).max() < 50
    vapour = mixture.vapour_enthalpy(points["temperature"], points["vapour_mass_fraction"])
    assert np.abs(vapour - points["vapour_enthalpy"]).max() < 50


# --- IAPWS G4-01 as the package iapws computes it ---

# IAPWS G4-01 (2001) = Tillner-Roth and Friend (1998), Table 6: x [mol/mol], T [K], density [mol/L], p [MPa],
# a [J/mol]. Here they show that the yardstick of the next tests, iapws 1.5, is straight.
TABLE_6 = [
    (0.1, 600.0, 35.0, 32.1221333, -13734.1763),
    (0.1, 600.0, 4.0, 12.772109, -16991.6697),
    (0.5, 500.0, 1.0, 3.642308, -18281.302),
    (0.9, 400.0, 30.0, 22.2830797, -6986.4869),
]


@pytest.mark.parametrize(("x", "temperature", "density", "pressure", "helmholtz"), TABLE_6)
def test_the_yardstick_gives_the_published_verification_values(x, temperature, density, pressure, helmholtz):
    molar_mass = x * AMMONIA + (1 - x) * WATER
    properties = FORMULATION._prop(density * molar_mass, temperature, x)
    assert properties["P"] == pytest.approx(pressure, rel=1e-6)
    assert properties["a"] * molar_mass == pytest.approx(helmholtz, rel=1e-6)


def phase(pressure, temperature, x, guess):
    """Molar density [mol/L] of a phase at a pressure [MPa], near a guess."""
    molar_mass = x * AMMONIA + (1 - x) * WATER

    def excess(density):
        return FORMULATION._prop(density * molar_mass, temperature, x)["P"] - pressure

    return brentq(excess, 0.93 * guess, 1.07 * guess, xtol=1e-12, rtol=1e-12)


def chemical_potentials(temperature, x, density):
    """Chemical potentials of ammonia and water over RT, by central differences of the Helmholtz energy.

    The fugacities of iapws 1.5 itself can't be used: their factor Z is upside down and one exponent is wrong.
    """

    def helmholtz(ammonia, water):
        total = ammonia + water
        molar_mass = (ammonia * AMMONIA + water * WATER) / total
        return FORMULATION._prop(total * molar_mass, temperature, ammonia / total)["a"] * molar_mass * total

    parts = np.array([x, 1 - x]) * density
    found = []
    for which in range(2):
        step = np.zeros(2)
        step[which] = 1e-5 * parts[which]
        found.append((helmholtz(*(parts + step)) - helmholtz(*(parts - step))) / (2 * step[which]))
    return np.array(found) / (8.314471 * temperature)


# iapws 1.5.5 with composition derivatives by differences, fugacities cross-checked with teqp 0.23.2: p [bar],
# x, T [K], y, enthalpies of liquid and vapour [kJ/kg] with our zero, densities of liquid and vapour [mol/L].
EQUILIBRIA = [
    (2, 0.3, 321.3171, 0.966108, 6.48, 1433.82, 49.54571, 0.076147),
    (5, 0.4, 330.694, 0.983287, 19.26, 1419.62, 47.3716, 0.188838),
    (10, 0.1, 424.3563, 0.536426, 572.38, 2135.8, 48.40572, 0.300959),
    (10, 0.3, 377.6259, 0.916374, 263.53, 1591.39, 46.76409, 0.335981),
    (10, 0.5, 337.9961, 0.990922, 47.25, 1405.29, 45.04343, 0.382141),
    (10, 0.7, 313.1888, 0.999005, -18.46, 1329.31, 42.08504, 0.42353),
    (20, 0.1, 457.3443, 0.468514, 725.27, 2247.91, 46.39452, 0.582503),
    (20, 0.2, 433.361, 0.723226, 565.46, 1913.59, 45.56493, 0.608504),
    (20, 0.3, 409.8703, 0.872556, 417.7, 1688.79, 44.859, 0.641628),
    (20, 0.9, 327.1469, 0.99951, 177.56, 1308.63, 35.52769, 0.884816),
]


@pytest.mark.parametrize(("bar", "x", "temperature", "y", "liquid", "vapour", "dense", "thin"), EQUILIBRIA)
class TestEquilibria:
    def test_stored_values(self, bar, x, temperature, y, liquid, vapour, dense, thin):
        state = mixture.equilibrium(bar * 1e5, mass_fraction(x))
        assert state.temperature == pytest.approx(temperature, abs=0.002)
        assert mole_fraction(state.vapour_mass_fraction) == pytest.approx(y, abs=1e-5)
        assert state.liquid_enthalpy / 1e3 == pytest.approx(liquid, abs=0.06)
        assert state.vapour_enthalpy / 1e3 == pytest.approx(vapour, abs=0.06)

    def test_both_phases_have_the_same_chemical_potentials(
        self, bar, x, temperature, y, liquid, vapour, dense, thin
    ):
        state = mixture.equilibrium(bar * 1e5, mass_fraction(x))
        above = mole_fraction(state.vapour_mass_fraction)
        potentials = [
            chemical_potentials(state.temperature, part, phase(bar / 10, state.temperature, part, density))
            for part, density in ((x, dense), (above, thin))
        ]
        # 0.002 K are worth 1e-4 of RT; the last digit of a vapour nearly free of water up to 1e-4.
        assert potentials[0] == pytest.approx(potentials[1], abs=2e-4)

    def test_heat_of_boiling_from_the_other_library(
        self, bar, x, temperature, y, liquid, vapour, dense, thin
    ):
        # Its zeros: saturated liquid at 273.16 K has 343.193 kJ/kg for ammonia, 0 for water.
        w, above = mass_fraction(x), mass_fraction(y)
        native = [
            FORMULATION._prop(density * (part * AMMONIA + (1 - part) * WATER), temperature, part)["h"]
            for part, density in ((x, dense), (y, thin))
        ]
        expected = native[1] - native[0] - 343.193 * (above - w)
        state = mixture.equilibrium(bar * 1e5, w)
        assert (state.vapour_enthalpy - state.liquid_enthalpy) / 1e3 == pytest.approx(expected, abs=0.1)


# --- Pátek and Klomfar ---

# The correlations' own values: computed from the coefficients, and read in a public test file as well.
CORRELATED = [
    (patek_klomfar.bubble_temperature, 0.5, 0.4, 331.2588499),
    (patek_klomfar.bubble_temperature, 1.0, 0.5, 338.6086885),
    (patek_klomfar.bubble_temperature, 2.0, 0.9, 327.2469496),
    (patek_klomfar.dew_temperature, 1.0, 0.3, 438.9948631),
    (patek_klomfar.dew_temperature, 2.0, 0.7, 434.8568543),
    (patek_klomfar.vapour_mole_fraction, 1.0, 0.3, 0.9082798),
    (patek_klomfar.vapour_mole_fraction, 0.5, 0.5, 0.9940082),
    (patek_klomfar.liquid_enthalpy, 300.0, 0.5, -136.7230885),
    (patek_klomfar.liquid_enthalpy, 275.0, 0.2, -140.2902227),
    (patek_klomfar.vapour_enthalpy, 280.0, 0.5, 1931.4133994),
    (patek_klomfar.vapour_enthalpy, 320.0, 0.1, 2472.9597579),
]


@pytest.mark.parametrize(("function", "first", "fraction", "expected"), CORRELATED)
def test_the_second_opinion_is_the_published_one(function, first, fraction, expected):
    assert function(first, fraction) == pytest.approx(expected, abs=1e-6 if expected < 1 else 1e-4)


@pytest.fixture(scope="module")
def grid() -> dict[str, np.ndarray]:
    """Our states over the correlations' range: 2 to 20 bar, 28 mole fractions; MPa, K, kJ/kg, mol/mol."""
    bar = np.array([2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20])
    x = np.array([0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.07, 0.1, *np.arange(0.15, 0.96, 0.05), 0.98, 0.99, 1])
    pressure, x = (values.ravel() for values in np.meshgrid(bar * 1e5, x, indexing="ij"))
    state = mixture.equilibrium(pressure, mass_fraction(x))
    return {
        "pressure": pressure / 1e6,
        "x": x,
        "y": mole_fraction(state.vapour_mass_fraction),
        "temperature": state.temperature,
        "liquid": state.liquid_enthalpy / 1e3,
        "vapour": state.vapour_enthalpy / 1e3,
    }


# Correlation, its arguments, our quantity; correlation minus IAPWS G4-01 over the 336 points, as found with
# iapws 1.5.5 and differences as above: bias, root mean square, largest; how closely the table has to show
# them. The vapour y(p, x) leaves out the pure ends.
DIFFERENCES = [
    (patek_klomfar.bubble_temperature, "pressure", "x", "temperature", (-0.04333, 0.60924, 2.29033), 2e-3),
    (patek_klomfar.dew_temperature, "pressure", "y", "temperature", (-1.69943, 2.52455, 6.00582), 1e-2),
    (patek_klomfar.liquid_enthalpy, "temperature", "x", "liquid", (0.422, 5.534, 27.029), 0.1),
    (patek_klomfar.vapour_enthalpy, "temperature", "y", "vapour", (-2.359, 6.568, 14.743), 0.1),
    (patek_klomfar.vapour_mole_fraction, "pressure", "x", "y", (-0.007895, 0.015859, 0.059668), 5e-5),
]


@pytest.mark.parametrize(("correlation", "first", "fraction", "ours", "stated", "close"), DIFFERENCES)
def test_the_table_differs_from_the_second_opinion_as_the_formulation_does(
    grid, correlation, first, fraction, ours, stated, close
):
    assert grid["x"].size == 336
    some = (grid["x"] > 0) & (grid["x"] < 1) if ours == "y" else slice(None)
    difference = (correlation(grid[first], grid[fraction]) - grid[ours])[some]
    found = (difference.mean(), np.sqrt((difference**2).mean()), np.abs(difference).max())
    assert found == pytest.approx(stated, abs=close)


# --- The ends ---


@pytest.mark.parametrize("temperature", [300.0, 373.15, 450.0, 510.0])
def test_the_watery_end_is_water(temperature):
    # iapws 1.5, IAPWS-95, on which the mixture formulation stands at this end
    liquid, vapour = IAPWS95(T=temperature, x=0), IAPWS95(T=temperature, x=1)
    zero = IAPWS95(T=273.16, x=0).h
    assert mixture.bubble_pressure(temperature, 0.0) == pytest.approx(liquid.P * 1e6, rel=1e-4)
    assert mixture.liquid_enthalpy(temperature, 0.0) / 1e3 == pytest.approx(liquid.h - zero, abs=0.1)
    assert mixture.vapour_enthalpy(temperature, 0.0) / 1e3 == pytest.approx(vapour.h - zero, abs=0.1)


def test_the_ammonia_end_is_ammonia():
    # Another equation of state, hence the tolerance: EOS of 2020 against that of 1993.
    temperature = np.linspace(250.0, 345.0, 20)
    pressure = mixture.bubble_pressure(temperature, 1.0)
    assert pressure == pytest.approx(ammonia.saturation_pressure(temperature), rel=1e-3)
    state = mixture.equilibrium(pressure, 1.0)
    boiling = state.vapour_enthalpy - state.liquid_enthalpy
    assert boiling == pytest.approx(ammonia.latent_heat(temperature), rel=1e-3)
