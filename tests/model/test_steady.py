"""The settled refrigerator: balances, limits of nature, trends and edges, on random installations."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from installations import COOLEST, HOTTEST, random_installations
from scipy import optimize

from warmside.data import load
from warmside.errors import InputError
from warmside.model import fixed_point, steady
from warmside.model.draught import Fan
from warmside.model.refrigerator import (
    NO_BAFFLE,
    Installation,
    State,
    holding_ambient,
    margin_to_rating,
    steady_state,
)
from warmside.properties import air, ammonia_water

COUNT = 2000
LIMIT = (43 + 459.67) / 1.8  # of the rating [K]
HELPED = 0.05  # K that what is worse may help
HELPED_BEYOND_THE_CLIFF = 0.5  # K, where the condenser is past its limit; see below


@pytest.fixture(scope="module")
def many() -> tuple[Installation, np.ndarray]:
    return random_installations(COUNT, seed=5)


@pytest.fixture(scope="module")
def state(many) -> State:
    return steady_state(*many)


@pytest.fixture(scope="module")
def working(state) -> np.ndarray:
    return state.converged & ~state.failed


def test_nearly_all_are_found_and_many_work(state, working):
    assert state.converged.mean() > 0.998
    assert 0.3 < working.mean() < 0.9


# --- balances ---------------------------------------------------------------------------------------------


def test_first_law_of_the_unit(state):
    into = state.heat_input + state.capacity
    out = state.boiler_loss + state.rectifier_heat + state.condenser_heat + state.absorber_heat
    assert np.abs(into - out).max() < 1e-3


def test_first_law_of_each_compartment(many, state, working):
    installation, ambient = many
    across = installation.of_size("partition_conductance") * (
        state.food_temperature - state.freezer_temperature
    )
    walls = installation.of_size("food_conductance") + installation.door_seal
    gains = walls * (state.surround_temperature - state.food_temperature) - across
    gains = gains + installation.load * (ambient - state.food_temperature)
    assert np.abs(gains - state.food_cooling)[working].max() < 1e-3
    walls = installation.of_size("freezer_conductance")
    gains = walls * (state.freezer_surround_temperature - state.freezer_temperature) + across
    assert np.abs(gains - state.freezer_cooling)[working].max() < 1e-3


def test_heat_flows_from_the_compartments_to_their_coils(many, state, working):
    installation, _ = many
    for compartment, cooling in (("freezer", state.freezer_cooling), ("food", state.food_cooling)):
        colder = getattr(state, f"{compartment}_temperature") - getattr(
            state, f"{compartment}_coil_temperature"
        )
        carried = installation.of_size(f"{compartment}_coil_conductance") * colder
        assert np.abs(carried - cooling)[working].max() < 1e-3


def test_first_law_of_the_absorber_and_the_condenser(many, state, working):
    installation, _ = many
    air_there = 0.5 * (state.inlet_air_temperature + state.condenser_air_temperature)
    carried = installation.of_size("absorber_conductance") * (state.absorber_temperature - air_there)
    assert np.abs(carried - state.absorber_heat)[working].max() < 1e-3
    # what the condenser gives off is what its vapour loses, at 26 kJ/kg above saturation
    per_kilogram = state.condenser_heat[working] / state.condensate_flow[working]
    assert ((per_kilogram > 0.85e6) & (per_kilogram < 1.25e6)).all()


def of_the_path(installation: Installation, state: State, ambient):
    """Heats below and above, and capacity flow, worked out again from the tables."""
    p = load("parameters")
    low = state.absorber_heat + p["loss_share_low"] * state.boiler_loss
    low = low + p["rectifier_share_low"] * state.rectifier_heat
    everything = state.absorber_heat + state.boiler_loss + state.rectifier_heat
    everything = everything + state.condenser_heat + state.flue_heat
    density = air.density(ambient, air.standard_pressure(installation.altitude))
    return low, everything, density * air.specific_heat(ambient) * state.air_flow


def test_first_law_of_the_enclosure(many, state, working):
    installation, ambient = many
    low, everything, stream = of_the_path(installation, state, ambient)
    inlet_rise = state.inlet_air_temperature - ambient
    rise = everything / (stream * (1 - installation.recirculation))
    assert np.abs(inlet_rise - installation.recirculation * rise)[working].max() < 1e-6
    # the part of the air that is at the tubes is the same below and above the condenser, and no more than all
    at_the_tubes = low / (state.condenser_air_temperature - state.inlet_air_temperature)
    carried = at_the_tubes * (state.outlet_air_temperature - state.condenser_air_temperature)
    assert np.abs(carried - (everything - low))[working].max() < 1e-3
    assert (at_the_tubes <= stream * (1 + 1e-9))[working].all()


def test_momentum_of_the_enclosure(many, state, working):
    installation, ambient = many
    low, everything, stream = of_the_path(installation, state, ambient)
    size, p = installation.of_size, load("parameters").number
    first, second = low / stream, everything / stream
    columns = 0.5 * first * size("absorber_height") + 0.5 * p("condenser_height") * (first + second)
    columns = columns + second * installation.outlet_height
    density = air.density(ambient)
    draught = density * 9.80665 / ambient * columns + installation.wind_pressure
    vents = [
        0.55 * installation.lower_vent_area * (1 - installation.lower_vent_blocked),
        0.55 * installation.upper_vent_area * (1 - installation.upper_vent_blocked),
    ]
    depth = size("width") * (installation.rear_gap + 0.085)
    losses = sum(vent**-2.0 for vent in vents) + 1.5 / depth**2
    # fins and by-pass: the mean over the air that takes either, whose parts follow from what is at the tubes
    fins = size("fin_area") * (1 - installation.fin_fouling) / np.sqrt(p("fin_loss_coefficient"))
    gap = np.minimum(installation.baffle_gap, installation.rear_gap + p("bypass_without_baffle"))
    by_pass = size("width") * gap / np.sqrt(p("bypass_loss_coefficient"))
    at_the_tubes = low / (state.condenser_air_temperature - state.inlet_air_temperature) / stream
    reached = p("plume_spread") * size("absorber_height") / installation.cavity_depth
    through = 1.0 - (1.0 - at_the_tubes) / (1.0 - p("mixing") * np.minimum(reached, 1.0))
    losses = losses + through**3 / fins**2 + (1.0 - through) ** 3 / by_pass**2
    lost = 0.5 * density * state.air_flow**2 * losses
    assert lost[working] == pytest.approx(draught[working], rel=1e-3)
    assert (through > fins / (fins + by_pass))[working].all()


def test_ammonia_is_kept(state, working):
    """What the rich solution brings is what vapour and weak solution take away; the vapour is pure."""
    brought = state.circulation_ratio * state.rich_fraction
    taken = 1.0 + (state.circulation_ratio - 1.0) * state.weak_fraction
    assert np.abs(brought - taken)[working].max() < 1e-12
    assert (state.condensate_flow <= state.vapour_flow * (1 + 1e-5))[working].all()


# --- limits of nature -------------------------------------------------------------------------------------


def test_second_law(many, state, working):
    """No more cold than a reversible machine between the same temperatures would make."""
    _, ambient = many
    driving = state.heat_input - state.boiler_loss
    entropy = driving / state.boiler_temperature
    entropy = entropy + state.freezer_cooling / state.freezer_temperature
    entropy = entropy + state.food_cooling / state.food_temperature
    away = (driving + state.capacity) / ambient
    assert (away > entropy)[working].all()
    lift = ambient - state.freezer_coil_temperature
    carnot = state.freezer_coil_temperature / lift * (1.0 - ambient / state.boiler_temperature)
    assert (state.cop < carnot)[working & (lift > 0)].all()


def test_absorption_only_runs_downhill(state, working):
    """The gas that comes to the solution holds more ammonia than what stands over it, at both ends.

    But where the gas is so poor that the charge of liquid sets the solution: there the unit hardly works.
    """
    equilibrium = state.weak_fraction + (state.rich_fraction - state.weak_fraction) / 0.95
    working = working & (equilibrium > 0.2501)
    assert working.sum() > 0.4 * COUNT
    over_rich = ammonia_water.bubble_pressure(state.absorber_temperature, state.rich_fraction)
    over_weak = ammonia_water.bubble_pressure(state.absorber_temperature, state.weak_fraction)
    assert (over_rich < state.rich_gas_pressure)[working].all()
    # the table begins at 0.2 bar, below which the solution is weaker still
    assert (np.nan_to_num(over_weak, nan=0.0) < state.weak_gas_pressure)[working].all()
    assert (state.weak_gas_pressure < state.rich_gas_pressure)[working].all()
    assert (state.rich_gas_pressure < state.pressure)[working].all()


def test_temperatures_are_in_the_order_that_heat_flows(many, state, working):
    _, ambient = many
    hot_to_warm = [
        state.boiler_temperature,
        state.condensing_temperature,
        state.condenser_air_temperature,
        ambient,
    ]
    for warmer, colder in itertools.pairwise(hot_to_warm):
        assert (warmer > colder)[working].all()
    assert (state.absorber_temperature > ambient)[working].all()
    assert (state.freezer_coil_temperature < state.food_coil_temperature + 1e-6)[working].all()


# --- trends -----------------------------------------------------------------------------------------------
# Past the condenser's limit a way round half-shut fins lets more air through the enclosure, which keeps the
# absorber cooler: a wider gap at the baffle may help there. That is no evidence.

WORSE = {
    "no baffle": lambda one: one.changed(baffle_gap=NO_BAFFLE),
    "wider baffle gap": lambda one: one.changed(
        baffle_gap=np.where(np.isinf(one.baffle_gap), NO_BAFFLE, np.minimum(one.baffle_gap + 0.005, 0.05))
    ),
    "wider side gaps": lambda one: one.changed(side_gap=one.side_gap + 0.005),
    "opening over the top": lambda one: one.changed(pocket_opening=one.pocket_opening + 0.05),
    "gap over the top": lambda one: one.changed(top_gap=0.02),
    "smaller lower vent": lambda one: one.changed(lower_vent_area=0.8 * one.lower_vent_area),
    "smaller upper vent": lambda one: one.changed(upper_vent_area=0.8 * one.upper_vent_area),
    "lower outlet": lambda one: one.changed(outlet_height=0.8 * one.outlet_height),
    "dirtier fins": lambda one: one.changed(fin_fouling=np.minimum(one.fin_fouling + 0.1, 1.0)),
    "adverse wind": lambda one: one.changed(wind_pressure=one.wind_pressure - 0.2),
    "air that comes round again": lambda one: one.changed(recirculation=one.recirculation + 0.05),
    "frost": lambda one: one.changed(frost=0.05),
    "packed food": lambda one: one.changed(air_inside=0.5),
    "more openings": lambda one: one.changed(load=one.load + 0.3),
}


@pytest.mark.parametrize("fault", WORSE)
def test_what_is_worse_makes_the_food_no_colder(many, state, working, fault):
    installation, ambient = many
    then = steady_state(WORSE[fault](installation), ambient)
    both = working & then.converged
    if "baffle" in fault:
        both &= installation.fin_fouling == 0.0
    # opened doors cool food that is warmer than the room
    both &= (state.food_temperature < ambient) | (fault != "more openings")
    warmer = then.food_temperature - state.food_temperature
    assert warmer[both].min() > -HELPED_BEYOND_THE_CLIFF
    assert warmer[both & (state.condensing_reserve > 1.0)].min() > -HELPED
    assert np.median(warmer[both]) >= 0.0


def test_hotter_is_never_colder(many, state, working):
    installation, ambient = many
    then = steady_state(installation, ambient + 2.0)
    both = working & then.converged
    assert (then.food_temperature > state.food_temperature + 0.5)[both].all()


def test_a_leaking_seal_warms_food_that_is_colder_than_its_surroundings(many, state, working):
    installation, ambient = many
    cold = working & (state.food_temperature < state.surround_temperature - 1.0)
    then = steady_state(installation.changed(door_seal=0.2), ambient)
    assert (then.food_temperature > state.food_temperature)[cold & then.converged].all()


MORE_FLOW = {
    "higher outlet": lambda one: one.changed(outlet_height=one.outlet_height + 0.2),
    "larger lower vent": lambda one: one.changed(lower_vent_area=1.2 * one.lower_vent_area),
    "larger upper vent": lambda one: one.changed(upper_vent_area=1.2 * one.upper_vent_area),
    "helping wind": lambda one: one.changed(wind_pressure=one.wind_pressure + 0.2),
    "cleaner fins": lambda one: one.changed(fin_fouling=0.5 * one.fin_fouling),
}


@pytest.mark.parametrize("change", MORE_FLOW)
def test_more_height_or_less_resistance_is_never_less_flow(many, state, working, change):
    installation, ambient = many
    then = steady_state(MORE_FLOW[change](installation), ambient)
    both = working & then.converged
    # a unit that cools less has less heat to give off: a thousandth; clean fins draw more air through
    # themselves than goes there with the least resistance: without a baffle a hundredth
    slack = 1e-2 if change == "cleaner fins" else 1e-3
    assert (then.air_flow >= state.air_flow * (1 - slack))[both].all()


def test_an_open_space_over_the_top_warms_the_freezer_most(many, state, working):
    installation, ambient = many
    then = steady_state(WORSE["opening over the top"](installation), ambient)
    freezer, food = (
        np.median((getattr(then, name) - getattr(state, name))[working & then.converged])
        for name in ("freezer_temperature", "food_temperature")
    )
    assert freezer > food > 0.0


# --- the search -------------------------------------------------------------------------------------------


def test_scipy_finds_the_same_states(many, state, working):
    """The same equations given to a general solver, which starts where ours ended but for a push."""
    installation, ambient = random_installations(40, seed=8)
    ours = steady_state(installation, ambient)
    flat = fixed_point.flatten(steady._system(installation, ambient, ambient, 0.0), (40,))
    agreed = 0
    for case in np.flatnonzero(ours.converged & ~ours.failed):
        parameters = fixed_point.select(flat, np.array([case]))
        found = optimize.root(
            lambda x, parameters=parameters: steady._next(x[:, np.newaxis], parameters)[:, 0] - x,
            steady._START[: steady._DUTY, 0],
        )
        if found.success:
            _, end = steady._round(found.x[:, np.newaxis], parameters)
            assert end.cycle.food_temperature[0] == pytest.approx(ours.food_temperature[case], abs=1e-3)
            agreed += 1
    assert agreed >= 12


def test_one_by_one_is_as_all_together(many, state):
    ambient = many[1]
    names = [name for name in Installation.__dataclass_fields__ if name not in ("fan", "_given")]
    for case in range(0, 60, 7):
        fields = {name: getattr(many[0], name) for name in names}
        one = Installation.of(
            **{name: (value[case].item() if np.ndim(value) else value) for name, value in fields.items()}
        )
        alone = steady_state(one, float(ambient[case]))
        assert alone.food_temperature.shape == ()
        if state.converged[case]:
            assert alone.food_temperature == pytest.approx(state.food_temperature[case], abs=1e-3)


def test_everything_broadcasts():
    installation = Installation.of(
        np.array(["6 cu ft", "8 cu ft"]), side_gap=np.array([[0.006], [0.02], [0.03]])
    )
    state = steady_state(installation, np.full((4, 1, 1), 300.0), room_temperature=295.0)
    assert state.food_temperature.shape == state.converged.shape == (4, 3, 2)
    assert steady_state(installation.changed(fan=Fan(10.0, 0.05)), 300.0).air_flow.shape == (3, 2)


@pytest.mark.full
@given(
    size=st.sampled_from(["6 cu ft", "8 cu ft", "18 cu ft"]),
    lower=st.sampled_from([0.0, 0.5, 1.0]),
    upper=st.sampled_from([0.0, 0.9, 1.0]),
    fouling=st.sampled_from([0.0, 0.7, 1.0]),
    heat=st.sampled_from([0.0, 0.3, 0.6, 1.0, 1.4]),
    circulation=st.sampled_from([0.0, 0.5, 1.0]),
    tilt=st.floats(0.0, 0.5),
    ambient=st.floats(255.0, 335.0),
)
@settings(max_examples=150, deadline=None)
def test_no_edge_breaks_the_model(size, lower, upper, fouling, heat, circulation, tilt, ambient):
    one = Installation.of(
        size,
        lower_vent_blocked=lower,
        upper_vent_blocked=upper,
        fin_fouling=fouling,
        circulation=circulation,
        side_tilt=tilt,
    )
    state = steady_state(one.changed(heat_input=heat * one.heat_input), ambient)
    if state.converged:
        for name, value in vars(state).items():
            assert np.isfinite(value) or name == "condensing_reserve", name
        assert state.air_flow > 0.0
        total = state.boiler_loss + state.rectifier_heat + state.condenser_heat + state.absorber_heat
        assert total == pytest.approx(state.heat_input + state.capacity, abs=1e-3)
        if not state.failed:
            assert state.food_cooling > 0.0
    if heat == 0.0 or (lower == 1.0 and ambient > 290.0):
        assert state.failed


def test_without_heat_everything_is_at_ambient():
    state = steady_state(Installation.of("8 cu ft", heat_input=0.0), 300.0)
    assert state.failed
    assert state.converged
    assert state.food_temperature == pytest.approx(300.0, abs=0.01)
    assert state.freezer_temperature == pytest.approx(300.0, abs=0.01)
    assert state.cop == 0.0


def test_above_the_condensing_limit_it_has_failed():
    state = steady_state(Installation.of("8 cu ft"), np.array([310.0, 330.0]))
    assert state.failed.tolist() == [False, True]
    assert state.condensing_reserve[1] < 1.0 < state.condensing_reserve[0]


# --- the highest ambient that holds -----------------------------------------------------------------------


def test_the_highest_ambient_holds_and_a_little_more_does_not(many):
    installation = random_installations(50, seed=11)[0]
    highest = holding_ambient(installation)
    known = ~np.isnan(highest)
    assert known.sum() > 25
    at, above = (steady_state(installation, np.where(known, highest + more, 300.0)) for more in (0.0, 0.02))
    assert (at.food_temperature <= LIMIT + 1e-6)[known].all()
    assert ((above.food_temperature > LIMIT) | above.failed | ~above.converged)[known].all()


def test_where_nothing_holds_it_is_nan_and_where_all_holds_the_end():
    assert np.isnan(holding_ambient(Installation.of("8 cu ft", heat_input=0.0)))
    assert holding_ambient(Installation.of("8 cu ft"), 400.0) <= 335.0
    assert holding_ambient(Installation.of("8 cu ft"), np.array([275.0, 279.26])).shape == (2,)


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
def test_each_fault_costs_margin(size):
    correct = margin_to_rating(Installation.of(size))
    assert correct > 0.0
    for changes in (
        {"baffle_gap": None},
        {"baffle_gap": None, "cavity_depth": 0.205},
        {"pocket_opening": 0.23},
        {"side_gap": 0.0254},
        {"lower_vent_blocked": 0.75},
        {"upper_vent_blocked": 0.75},
        {"fin_fouling": 0.4},
        {"door_seal": 0.2},
        {"charge_pressure": 18e5},
        {"side_tilt": np.radians(4.0)},
        {"recirculation": 0.2},
    ):
        assert margin_to_rating(Installation.of(size, **changes)) < correct - 0.1, changes


def test_parameters_by_case_are_those_of_each_case_alone():
    given = {
        "mixing": np.array([0.4, 0.7, 1.0]),
        "fin_draught_height": np.array([0.0, 0.2, 0.4]),
        "food_side_share": np.array([0.2, 0.3, 0.5]),
        "freezer_top_share": np.array([0.2, 0.5, 0.3]),
        "absorber_conductance": np.array([16.0, 18.0, 20.0]),
        "freezer_conductance": 0.42,
        "burner_efficiency": np.array([0.5, 0.55, 0.6]),
    }
    usual = dict(heat_source="gas", top_gap=0.05, side_gap=0.02, baffle_gap=None)
    together = steady_state(Installation.of("8 cu ft", parameters=given, **usual), 308.0)
    assert len(set(together.food_temperature)) == 3
    for case in range(3):
        own = {name: np.broadcast_to(value, 3)[case] for name, value in given.items()}
        alone = steady_state(Installation.of("8 cu ft", parameters=own, **usual), 308.0)
        for name in ("food_temperature", "freezer_temperature", "air_flow", "side_air_temperature"):
            assert getattr(alone, name) == pytest.approx(getattr(together, name)[case], rel=1e-7)
    as_calibrated = {
        "mixing": load("parameters")["mixing"],
        "gas_flow": load("cabinets")["gas_flow"]["8 cu ft"],
    }
    same = steady_state(Installation.of("8 cu ft", parameters=as_calibrated), 308.0)
    assert same.food_temperature == steady_state(Installation.of("8 cu ft"), 308.0).food_temperature


def test_thin_air_is_less_air_by_weight_and_warmer(many, state, working):
    installation, ambient = many
    then = steady_state(installation.changed(altitude=2400.0), ambient)
    both = working & then.converged & ~then.failed
    thin = air.standard_pressure(2400.0) / air.ATMOSPHERE
    assert (then.air_flow * thin < state.air_flow)[both].all()
    assert (then.condenser_air_temperature > state.condenser_air_temperature)[both].mean() > 0.99
    assert np.median((then.food_temperature - state.food_temperature)[both]) > 0.0


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
@pytest.mark.parametrize("field", ["top_gap", "side_gap", "rear_gap", "baffle_gap", "altitude"])
def test_no_jump_as_a_gap_widens(size, field):
    """On the steep side, at the ambient that a correct installation just holds."""
    ends = {"rear_gap": (0.0, 0.2), "baffle_gap": (0.0, 0.08), "altitude": (0.0, 4000.0)}.get(
        field, (0.0, 0.08)
    )
    values = np.linspace(*ends, 801)
    state = steady_state(Installation.of(size, **{field: values}), 305.0 if size == "6 cu ft" else 315.0)
    assert state.converged.all()
    assert np.abs(np.diff(state.food_temperature)).max() < 0.5
    assert np.abs(np.diff(state.air_flow)).max() < 0.02 * state.air_flow.min()


@pytest.mark.parametrize("ambient", [200.0, 350.0, np.nan, [300.0, 400.0]])
def test_an_ambient_that_the_model_does_not_know_is_refused(ambient):
    with pytest.raises(InputError, match=r"ambient_temperature is .* K; it must be from 255 to 335 K"):
        steady_state(Installation.of("8 cu ft"), ambient)
    with pytest.raises(InputError, match="room_temperature"):
        steady_state(Installation.of("8 cu ft"), 300.0, room_temperature=100.0)


def test_the_random_ambients_are_those_of_the_docstring():
    _, ambient = random_installations(100, seed=1)
    assert COOLEST <= ambient.min() < ambient.max() <= HOTTEST
