"""What no refrigerator does, over everything that can be wrong with one: nothing of it may come out.

Twenty thousand installations, steady, and five thousand over a day; a hundred thousand in the long form.
Where the model has no one answer it says so (`converged`), and what it says then is not looked at.
"""

import numpy as np
import pytest
from installations import random_installations, wild_installations

from warmside.model import fixed_point, steady
from warmside.model.cabinet import Thermostat
from warmside.model.refrigerator import Installation, State, cup_test, holding_ambient, steady_state

COUNTS = (pytest.param(20_000, marks=pytest.mark.full), pytest.param(100_000, marks=pytest.mark.long))
SIZES = ("6 cu ft", "8 cu ft", "18 cu ft")
SLACK = 1e-6  # K
RUNS = 0.5  # of the time; a unit that runs less leaves the freezer to the warm air behind it
COLDEST_FREEZER = (
    -25.0
)  # °F; no refrigerator of this kind is known to come below (common practice, no source)


def kelvin(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) + 459.67) / 1.8


def fahrenheit(kelvins):
    return np.asarray(kelvins) * 1.8 - 459.67


def at(size, fahrenheits, **changes) -> State:
    return steady_state(Installation.of(size, **changes), kelvin(fahrenheits))


@pytest.fixture(scope="module", params=COUNTS)
def wild(request):
    return wild_installations(request.param, seed=1)


@pytest.fixture(scope="module")
def state(wild) -> State:
    installation, around = wild
    return steady_state(installation, **around)


@pytest.fixture(scope="module")
def found(state) -> np.ndarray:
    return state.converged


pytestmark = pytest.mark.xdist_group("impossible")


# --- bounds -----------------------------------------------------------------------------------------------


def test_nearly_all_have_one_state(wild, state, found):
    """A pump that lifts little may stand or lift, as it was before; else it is as good as always one."""
    lifts = state.vapour_flow > 0.5 * wild[0].of_size("design_vapour_flow")
    assert lifts.mean() > 0.5
    assert found[lifts].mean() > 0.9999
    assert found.mean() > 0.9965


def test_nothing_inside_is_above_the_warmest_air_around_it(wild, state, found):
    warmest = np.maximum.reduce(
        [state.surround_temperature, state.freezer_surround_temperature, wild[1]["room_temperature"]]
    )
    for inside in (state.food_temperature, state.freezer_temperature):
        assert (inside <= warmest + SLACK)[found].all()


def test_nothing_inside_is_below_the_coldest_coil(state, found):
    coldest = np.minimum(state.freezer_coil_temperature, state.food_coil_temperature)
    for inside in (state.food_temperature, state.freezer_temperature):
        assert (inside >= coldest - SLACK)[found].all()


def test_the_freezer_is_no_warmer_than_the_food_while_the_unit_works(state, found):
    works = found & ~state.failed & (state.duty > RUNS)
    assert works.mean() > 0.4
    assert not (state.freezer_temperature > state.food_temperature)[works].any()
    assert fahrenheit(state.freezer_temperature[found]).min() > COLDEST_FREEZER


def test_first_law_in_every_part(wild, state, found):
    this, around = wild
    size = this.of_size
    across = size("partition_conductance") * (state.food_temperature - state.freezer_temperature)
    food = (size("food_conductance") + this.door_seal) * (state.surround_temperature - state.food_temperature)
    food = food + this.load * (around["room_temperature"] - state.food_temperature)
    freezer = size("freezer_conductance") * (state.freezer_surround_temperature - state.freezer_temperature)
    left_over = {
        "unit": state.heat_input
        + state.capacity
        - state.boiler_loss
        - state.rectifier_heat
        - state.condenser_heat
        - state.absorber_heat,
        "food compartment": food - across - state.duty * state.food_cooling,
        "freezer": freezer + across - state.duty * state.freezer_cooling,
    }
    for part, heat in left_over.items():
        assert np.abs(heat[found]).max() < 1e-3, part


@pytest.mark.parametrize(
    "days", [pytest.param(5_000, marks=pytest.mark.full), pytest.param(20_000, marks=pytest.mark.long)]
)
def test_days_of_a_cup(days):
    installation, around = wild_installations(days, seed=2)
    day = cup_test(installation, around["ambient_temperature"], hours=24.0, thermostat=Thermostat())
    ambient = around["ambient_temperature"][:, np.newaxis]
    steady_one = steady_state(installation, around["ambient_temperature"])
    warmest = np.maximum(steady_one.surround_temperature, steady_one.freezer_surround_temperature)
    start = np.maximum(warmest, 293.15)[:, np.newaxis]  # the cup's
    found = day.converged
    for inside in (day.food_air_temperature, day.food_temperature, day.freezer_temperature):
        assert (inside[found] <= np.maximum(start, ambient)[found] + 0.01).all()
        assert fahrenheit(inside[found]).min() > COLDEST_FREEZER
    assert (day.cup_temperature[found] <= start[found] + 0.01).all()


# --- one state --------------------------------------------------------------------------------------------


def test_two_starts_give_one_state_or_say_that_they_do_not(wild, state):
    met, ambient = random_installations(20_000, seed=3)
    for installation, around, solved in (
        (met, (ambient, ambient, 0.0), steady_state(met, ambient)),
        (wild[0], wild[1].values(), state),
    ):
        some = slice(0, 20_000)
        system = fixed_point.flatten(steady._system(installation, *around), installation.shape)
        part = fixed_point.select(system, some)
        differ = np.zeros(20_000, dtype=bool)
        for start in (steady._STANDING, steady._DRIVEN):
            other = steady._found(part, np.repeat(start, 20_000, axis=1))
            _, end = steady._round(other.x, part)
            apart = np.maximum(
                np.abs(end.cycle.food_temperature - solved.food_temperature[some]),
                np.abs(end.cycle.freezer_temperature - solved.freezer_temperature[some]),
            )
            differ |= other.converged & (apart > 0.05)
        assert np.mean(differ & solved.converged[some]) <= 1e-4


# --- trends and steps -------------------------------------------------------------------------------------


@pytest.mark.full
@pytest.mark.parametrize(
    ("what", "worse"),
    [
        ("a hotter day", lambda one, day: (one, {**day, **{k: day[k] + 2.0 for k in list(day)[:2]}})),
        ("more openings", lambda one, day: (one.changed(load=one.load + 0.1), day)),
        (
            "smaller lower vent",
            lambda one, day: (one.changed(lower_vent_area=0.9 * one.lower_vent_area), day),
        ),
        (
            "smaller upper vent",
            lambda one, day: (one.changed(upper_vent_area=0.9 * one.upper_vent_area), day),
        ),
        ("dirtier fins", lambda one, day: (one.changed(fin_fouling=one.fin_fouling + 0.05), day)),
    ],
)
def test_what_is_worse_is_never_colder(what, worse):
    one, day = wild_installations(6_000, seed=3)
    day["setting"] = np.zeros(6_000)
    before = steady_state(one, **day)
    then, its_day = worse(one, day)
    after = steady_state(then, **its_day)
    both = before.converged & after.converged & ~before.failed
    if what == "more openings":
        both &= before.food_temperature < day["room_temperature"]
    assert fahrenheit(after.food_temperature - before.food_temperature + 255.372)[both].min() > -0.5


@pytest.mark.parametrize("size", SIZES)
def test_less_heat_is_at_most_half_a_degree_colder_up_to_nominal(size):
    """While it works, on days it is made for; a boiler that cools nothing only warms what is round it."""
    heat = np.linspace(0.0, 1.0, 101) * Installation.of(size).heat_input
    rated = 90.0 if size == "6 cu ft" else 110.0
    state = at(size, np.arange(50.0, rated + 0.1, 5.0)[:, np.newaxis], heat_input=heat)
    food = np.where(state.failed, np.inf, fahrenheit(state.food_temperature))
    lowest_with_less = np.minimum.accumulate(food, axis=-1)
    assert (food - lowest_with_less)[~state.failed].max() < 0.5


STEPS = {
    "0.1 V of 120": ("heat_input", np.arange(30.0, 132.0, 0.1), lambda v, usual: usual * (v / 120.0) ** 2),
    "1 % of fouling": ("fin_fouling", np.arange(0.0, 0.6, 0.01), lambda part, usual: part),
    "0.1° of tilt": ("side_tilt", np.arange(0.0, 3.55, 0.1), lambda degrees, usual: np.radians(degrees)),
}


AS_IT_WAS = (
    12  # steps at which a pump that stalls may stand or lift, as it did before: little more than a volt
)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("step", STEPS)
def test_small_steps_make_small_changes(size, step):
    """Away from the cliff less than a degree; where it stalls or stops condensing no more than three."""
    field, values, value_of = STEPS[step]
    changes = {field: value_of(values, Installation.of(size).heat_input)}
    state = at(size, np.arange(50.0, 111.0, 5.0)[:, np.newaxis], **changes)
    stalls = state.vapour_flow < 0.5 * Installation.of(size).of_size("design_vapour_flow")
    assert state.converged[~stalls].all()
    assert (~state.converged).sum(axis=-1).max() <= AS_IT_WAS
    change = np.abs(np.diff(fahrenheit(state.food_temperature), axis=-1))
    both = state.converged[:, 1:] & state.converged[:, :-1]
    assert change[both].max() < 3.0
    away = both & (state.condensing_reserve > 1.15)[:, 1:] & ~stalls[:, 1:]
    assert away.mean() > 0.2
    assert change[away].max() < 1.0


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("heat", [1.0, 0.8, 0.6, 0.5])
def test_a_tenth_of_a_degree_of_ambient_changes_the_food_by_less_than_a_degree(size, heat):
    nominal = Installation.of(size).heat_input
    food = at(size, np.arange(45.0, 120.0, 0.1), heat_input=heat * nominal).food_temperature
    assert np.diff(fahrenheit(food)).max() < 1.0
    assert np.diff(fahrenheit(food)).min() > -0.05


@pytest.mark.parametrize(
    ("field", "ambient", "lowest", "highest"),
    [
        ("lower_vent_blocked", 50.0, 0.92, 0.96),
        ("fin_fouling", 50.0, 0.9, 0.94),
        ("side_tilt", 110.0, 0.0680, 0.0735),
    ],
)
def test_the_cliff_is_steep_and_no_jump(field, ambient, lowest, highest):
    """A step that is ten times smaller changes ten times less, where each step changes most."""
    largest = [
        np.abs(
            np.diff(
                at("8 cu ft", 50.0 if field != "side_tilt" else 110.0, **{field: values}).food_temperature
            )
        ).max()
        for values in (np.linspace(lowest, highest, 101), np.linspace(lowest, highest, 1001))
    ]
    assert largest[0] > 0.1  # K: here is the cliff
    assert largest[1] < 0.15 * largest[0]


# --- what is known ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
def test_part_of_the_heat_gives_part_of_the_cold(size):
    """As the trade has it: with half of the heat a box is cool, with a third of it nothing happens."""
    nominal = Installation.of(size).heat_input
    food = fahrenheit(at(size, 80.0, heat_input=nominal * np.array([1.0, 0.8, 0.5, 0.3])).food_temperature)
    whole, most, half, none = 80.0 - food
    assert most > 0.9 * whole
    assert 10.0 <= half <= 25.0
    assert none <= 0.0


@pytest.mark.parametrize("size", SIZES)
def test_a_freezer_is_22_to_30_degrees_colder_than_its_food(size):
    # trade press, a secondary source: some 28 °F
    rated = 90.0 if size == "6 cu ft" else 110.0
    ambient = np.arange(80.0, rated + 0.1, 5.0)
    for setting in (None, kelvin(38.0)):
        state = steady_state(Installation.of(size), kelvin(ambient), setting=setting)
        apart = fahrenheit(state.food_temperature) - fahrenheit(state.freezer_temperature)
        assert ((apart > 22.0) & (apart < 30.0)).all()


@pytest.mark.parametrize("size", SIZES)
def test_a_blocked_circulation_ends_near_the_surroundings(size):
    state = at(size, np.array([60.0, 80.0, 100.0]), circulation=0.0)
    assert np.abs(state.food_temperature - state.surround_temperature).max() < 1.0
    assert np.abs(state.freezer_temperature - state.freezer_surround_temperature).max() < 1.0


def test_a_stalled_boiler_is_as_warm_as_its_heat_makes_it():
    nominal = Installation.of("8 cu ft").heat_input
    boiler = at("8 cu ft", 80.0, heat_input=nominal * np.array([0.0, 0.1, 0.2, 0.3])).boiler_temperature
    conductance = Installation.of("8 cu ft").of_size("boiler_loss_conductance")
    assert boiler - kelvin(80.0) == pytest.approx(nominal * np.array([0.0, 0.1, 0.2, 0.3]) / conductance)


@pytest.mark.parametrize(("size", "openings"), [("6 cu ft", 0.09), ("8 cu ft", 0.13), ("18 cu ft", 0.25)])
def test_with_a_usual_days_openings_it_holds_its_rating(size, openings):
    rated = 90.0 if size == "6 cu ft" else 110.0
    assert fahrenheit(holding_ambient(Installation.of(size, load=openings))) >= rated


def test_a_thermostat_holds_what_the_unit_can_and_no_more():
    one, setting = Installation.of("8 cu ft"), kelvin(38.0)
    ambient = kelvin(np.arange(45.0, 121.0, 5.0))
    held, whole = steady_state(one, ambient, setting=setting), steady_state(one, ambient)
    can = whole.food_temperature < setting
    assert held.food_temperature[can] == pytest.approx(setting, abs=1e-3)
    assert held.food_temperature[~can] == pytest.approx(whole.food_temperature[~can], abs=1e-3)
    assert (held.duty[~can] == 1.0).all()
    assert (np.diff(held.duty[can]) > 0).all()
