"""Ammonia-water: round trips, ends, shapes, edges."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from warmside.properties import ammonia_water as mixture

PRESSURES = st.floats(mixture.LOWEST_PRESSURE, mixture.HIGHEST_PRESSURE)
FRACTIONS = st.floats(0.0, 1.0)
COLD = pytest.mark.filterwarnings("ignore::warmside.properties.ammonia_water.AmmoniaWaterRangeWarning")
FUNCTIONS = {
    mixture.bubble_temperature: (1e6, 0.3),
    mixture.dew_temperature: (1e6, 0.9),
    mixture.bubble_pressure: (350.0, 0.3),
    mixture.vapour_mass_fraction: (1e6, 0.3),
    mixture.liquid_mass_fraction: (1e6, 350.0),
    mixture.liquid_enthalpy: (350.0, 0.3),
    mixture.vapour_enthalpy: (350.0, 0.9),
}


@pytest.fixture(scope="module")
def states() -> tuple[np.ndarray, ...]:
    """Random boiling states in range: pressure, mass fraction, temperature, vapour, both enthalpies."""
    random = np.random.default_rng(7)
    pressure = np.exp(random.uniform(np.log(2e3), np.log(4e6), 40_000))
    mass_fraction = random.random(40_000) ** random.choice([0.2, 1.0, 5.0], 40_000)
    with pytest.warns(mixture.AmmoniaWaterRangeWarning):
        found = mixture.equilibrium(pressure, mass_fraction)
    return tuple(values[~np.isnan(found.temperature)] for values in (pressure, mass_fraction, *found))


def test_every_function_finds_the_same_states(states, recwarn):
    pressure, mass_fraction, temperature, vapour, liquid_enthalpy, vapour_enthalpy = states
    assert pressure.size > 25_000
    for found, expected, within in (
        (mixture.bubble_temperature(pressure, mass_fraction), temperature, 1e-9),
        (mixture.dew_temperature(pressure, vapour), temperature, 2e-5),
        (mixture.bubble_pressure(temperature, mass_fraction) / pressure, 1.0, 1e-9),
        (mixture.liquid_mass_fraction(pressure, temperature), mass_fraction, 1e-6),
        (mixture.liquid_enthalpy(temperature, mass_fraction), liquid_enthalpy, 1e-3),
        (mixture.vapour_enthalpy(temperature, vapour), vapour_enthalpy, 0.1),
    ):
        assert np.abs(found - expected).max() <= within  # nan would fail
    assert not recwarn.list


@COLD
@given(PRESSURES, FRACTIONS)
def test_pressure_comes_back_from_the_temperature(pressure, mass_fraction):
    temperature = mixture.bubble_temperature(pressure, mass_fraction)
    assume(not np.isnan(temperature))
    assert mixture.bubble_pressure(temperature, mass_fraction) == pytest.approx(pressure, rel=1e-8)


@COLD
@given(PRESSURES, st.floats(1e-5, 1.0))
def test_liquid_comes_back_from_the_temperature(pressure, mass_fraction):
    temperature = mixture.bubble_temperature(pressure, mass_fraction)
    assume(not np.isnan(temperature))
    assert mixture.liquid_mass_fraction(pressure, temperature) == pytest.approx(mass_fraction, abs=1e-6)


@COLD
@given(PRESSURES, FRACTIONS)
def test_dew_point_of_the_vapour_is_the_bubble_point_of_its_liquid(pressure, mass_fraction):
    temperature = mixture.bubble_temperature(pressure, mass_fraction)
    assume(not np.isnan(temperature))
    vapour = mixture.vapour_mass_fraction(pressure, mass_fraction)
    assert mixture.dew_temperature(pressure, vapour) == pytest.approx(temperature, abs=1e-4)


@COLD
@given(PRESSURES, FRACTIONS)
def test_vapour_is_richer_dew_is_not_colder_and_it_takes_heat_to_boil(pressure, mass_fraction):
    state = mixture.equilibrium(pressure, mass_fraction)
    assume(not np.isnan(state.temperature))
    assert state.vapour_mass_fraction >= mass_fraction
    assert state.vapour_enthalpy - state.liquid_enthalpy > 8e5
    dew = mixture.dew_temperature(pressure, mass_fraction)
    assert dew >= state.temperature - 1e-3


def test_more_pressure_boils_hotter_and_more_ammonia_boils_colder():
    pressure = np.linspace(2e5, 4e6, 60)[:, np.newaxis]
    temperature = mixture.bubble_temperature(pressure, np.linspace(0, 0.9, 60))
    assert (np.diff(temperature, axis=0) > 0).all()
    assert (np.diff(temperature, axis=1) < 0).all()
    vapour = mixture.vapour_mass_fraction(pressure, np.linspace(0, 0.9, 60))
    assert (np.diff(vapour, axis=1) > 0).all()


@pytest.mark.parametrize("pressure", [2e3, 1e5, 1e6, 4e6])
def test_pure_water_boils_and_condenses_at_one_temperature(pressure):
    temperature = mixture.bubble_temperature(pressure, 0.0)
    assert mixture.dew_temperature(pressure, 0.0) == pytest.approx(temperature, abs=1e-3)
    assert mixture.vapour_mass_fraction(pressure, 0.0) == 0.0
    assert mixture.liquid_mass_fraction(pressure, temperature) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("pressure", [2e5, 1e6, 4e6])
def test_pure_ammonia_boils_and_condenses_at_one_temperature(pressure):
    temperature = mixture.bubble_temperature(pressure, 1.0)
    assert mixture.dew_temperature(pressure, 1.0) == pytest.approx(temperature, abs=1e-3)
    assert mixture.vapour_mass_fraction(pressure, 1.0) == 1.0
    assert mixture.liquid_mass_fraction(pressure, temperature) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize(("function", "arguments"), FUNCTIONS.items())
def test_arrays_broadcast(function, arguments):
    first, second = arguments
    grid = function(np.full((3, 1), first), np.full(2, second))
    assert grid.shape == (3, 2)
    assert (grid == function(first, second)).all()
    assert np.ndim(function(first, second)) == 0
    assert function(np.empty((0, 4)), second).shape == (0, 4)


@pytest.mark.parametrize(("function", "arguments"), FUNCTIONS.items())
def test_blocks_join_without_a_seam(function, arguments):
    first, second = arguments
    many = first * np.linspace(0.99, 1.01, 20_001)
    assert function(many, second)[[0, 8191, 8192, 20_000]] == pytest.approx(
        [function(value, second) for value in many[[0, 8191, 8192, 20_000]]]
    )


@pytest.mark.parametrize(
    ("function", "first", "second"),
    [
        (mixture.bubble_temperature, 1.9e3, 0.3),
        (mixture.bubble_temperature, 4.1e6, 0.3),
        (mixture.bubble_temperature, -1e6, 0.3),
        (mixture.bubble_temperature, np.inf, 0.3),
        (mixture.bubble_temperature, 1e6, -0.01),
        (mixture.bubble_temperature, 1e6, 1.01),
        (mixture.bubble_temperature, 1e5, 0.9),  # colder than 250 K
        (mixture.dew_temperature, 1e5, 1.0),  # colder than 250 K
        (mixture.bubble_pressure, 249.0, 0.9),
        (mixture.bubble_pressure, 600.0, 0.0),
        (mixture.bubble_pressure, 400.0, 0.95),  # above 4 MPa
        (mixture.bubble_pressure, 260.0, 0.0),  # below 2 kPa
        (mixture.liquid_mass_fraction, 1e6, 290.0),  # all liquid
        (mixture.liquid_mass_fraction, 1e6, 460.0),  # all vapour
        (mixture.liquid_enthalpy, 400.0, 0.95),
        (mixture.vapour_enthalpy, 400.0, 0.9999),  # above 4 MPa
        (mixture.vapour_enthalpy, 260.0, 0.1),  # below 2 kPa
    ],
)
def test_out_of_range_is_nan_with_a_warning(function, first, second):
    known = FUNCTIONS[function]
    with pytest.warns(mixture.AmmoniaWaterRangeWarning, match="2000 to 4e"):
        assert np.isnan(function(first, second))
    with pytest.warns(mixture.AmmoniaWaterRangeWarning):
        assert np.isnan(function([known[0], first], [known[1], second])).tolist() == [False, True]


@pytest.mark.parametrize(("function", "arguments"), FUNCTIONS.items())
def test_nan_in_nan_out_without_a_word(function, arguments, recwarn):
    assert np.isnan(function(np.nan, arguments[1]))
    assert np.isnan(function(arguments[0], np.nan))
    assert not recwarn.list


def test_everything_at_once_is_what_the_single_functions_say():
    state = mixture.equilibrium(2.5e6, 0.3)
    assert state.temperature == mixture.bubble_temperature(2.5e6, 0.3)
    assert state.vapour_mass_fraction == mixture.vapour_mass_fraction(2.5e6, 0.3)
    assert state.liquid_enthalpy == pytest.approx(mixture.liquid_enthalpy(state.temperature, 0.3))
    assert state.vapour_enthalpy == pytest.approx(
        mixture.vapour_enthalpy(state.temperature, state.vapour_mass_fraction)
    )
