"""Flows and partial pressures of a unit: nothing is lost on the way round, whichever way it is reckoned."""

import numpy as np
import pytest

from warmside.data import load
from warmside.model.cycle_points import HYDROGEN_MOLAR_MASS, cycle_points
from warmside.model.refrigerator import Installation, steady_state
from warmside.properties import ammonia, ammonia_water

P = load("parameters").number
EIGHT = Installation.of("8 cu ft")
AMBIENTS = np.array([290.0, 300.0, 311.0, 316.5, 319.0, 322.0])
CASES = {
    "in order": EIGHT,
    "weak": EIGHT.changed(heat_input=0.6 * EIGHT.heat_input),
    "strong": EIGHT.changed(heat_input=1.3 * EIGHT.heat_input),
    "low charge": EIGHT.changed(charge_pressure=19e5),
    "tilted": EIGHT.changed(side_tilt=np.radians(4.0)),
}


@pytest.fixture(scope="module", params=CASES)
def both(request):
    state = steady_state(CASES[request.param], AMBIENTS)
    return state, cycle_points(state)


def test_ammonia_is_kept(both):
    state, points = both
    gone = points.freezer_evaporated + points.food_evaporated + points.unused
    assert gone == pytest.approx(state.condensate_flow, rel=1e-9)
    # what the boiler drives out is what its solution loses
    lost = points.rich_flow * state.rich_fraction - points.weak_flow * state.weak_fraction
    assert lost == pytest.approx(state.vapour_flow, rel=0.01, abs=1e-9)
    assert points.rich_flow - points.weak_flow == pytest.approx(state.vapour_flow)


def test_hydrogen_is_driven_by_the_weight_of_its_ammonia(both):
    """By another route than the balance of ammonia: as the cooling unit has it."""
    state, points = both
    driving = np.sqrt((state.rich_gas_pressure - state.weak_gas_pressure) / P("gas_driving_pressure"))
    moles = EIGHT.of_size("gas_flow") * driving * state.pressure / P("gas_reference_pressure")
    runs = ~state.failed
    assert points.hydrogen_flow[runs] == pytest.approx(HYDROGEN_MOLAR_MASS * moles[runs], rel=0.01)


def test_ammonia_s_part_of_the_pressure_rises_through_the_coils(both):
    state, points = both
    runs = ~state.failed
    assert (state.weak_gas_pressure < points.freezer_gas_pressure)[runs].all()
    assert (points.freezer_gas_pressure < state.rich_gas_pressure)[runs].all()
    # where the coil is wet the gas leaves it nearly saturated at the coil's temperature
    wet = points.freezer_wet > 0.999
    saturated = ammonia.saturation_pressure(state.freezer_coil_temperature)
    poor, after, most = (
        (pressure / (state.pressure - pressure))[wet]
        for pressure in (state.weak_gas_pressure, points.freezer_gas_pressure, saturated)
    )
    assert after == pytest.approx(poor + P("freezer_saturation") * (most - poor), rel=0.005)


def test_the_food_s_coil_dries_first(both):
    state, points = both
    dry = ~state.failed & (points.food_wet < 0.9)
    assert (points.unused[dry] < 1e-3 * state.condensate_flow[dry]).all()
    late = points.food_wet <= points.freezer_wet + 0.03  # nearly dry, both
    assert late[~state.failed].all()


def test_without_heat_nothing_flows():
    points = cycle_points(steady_state(EIGHT.changed(heat_input=0.0), 300.0))
    for name in (
        "freezer_evaporated",
        "food_evaporated",
        "unused",
        "hydrogen_flow",
        "rich_flow",
        "weak_flow",
    ):
        assert float(getattr(points, name)) == 0.0


def test_solutions_are_what_the_international_formulation_allows():
    # IAPWS G4-01, as tabulated in warmside.properties.ammonia_water: rich solution takes ammonia up only
    # where its own pressure lies below the gas's; weak solution boils at the whole pressure
    state = steady_state(EIGHT, AMBIENTS[:4])
    own = ammonia_water.bubble_pressure(state.absorber_temperature, state.rich_fraction)
    assert (own < 1.02 * state.rich_gas_pressure).all()
    hottest = ammonia_water.bubble_temperature(state.pressure, state.weak_fraction)
    assert (state.boiler_temperature <= hottest + 0.5).all()
    assert (state.boiler_temperature > hottest - 15.0).all()
