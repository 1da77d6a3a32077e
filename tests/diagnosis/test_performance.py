"""What a refrigerator does is told by cup, freezer, ambient and rating alone."""

import itertools

import pytest

from warmside.diagnosis.performance import Place, State, performance
from warmside.diagnosis.readings import Readings
from warmside.model.refrigerator import Installation, steady_state
from warmside.units import Q_, to_si


def kelvin(fahrenheit: float) -> float:
    return to_si(Q_(fahrenheit, "degF"), "temperature")


def read(
    ambient: float, cup=None, freezer=None, *, size="8 cu ft", rating="", hours=None, **more
) -> Readings:
    values = {"cup": cup, "freezer": freezer, **more}
    given = {name: kelvin(value) for name, value in values.items() if value is not None}
    running = None if hours is None else hours * 3600.0
    return Readings(size, "mains", kelvin(ambient), given, rating, running)


@pytest.mark.parametrize(
    ("readings", "state"),
    [
        # limits: cup 43 °F ± 1.8, freezer 16 °F ± 2.2; eight cubic feet are rated to 110 °F, six to 90
        (read(90, 38, 10), State.PROVEN),
        (read(90, 38), State.PROVEN),
        (read(110, 41), State.PROVEN),
        (read(116, 41, 10), State.PROVEN),
        (read(90, 32, 2), State.TOO_COLD),
        (read(55, 38, 24), State.COLD_DAY),
        (read(59, None, 24), State.COLD_DAY),
        (read(61, 38, 24), State.FREEZER_FAILS),
        (read(55, 52, 24), State.FAILS),
        (read(55, 38, 10), State.PROVEN),
        (read(55, 38, 24, hours=5), State.NOT_PROVEN),
        (read(116, 52, 20), State.BEYOND),
        (read(104, 48, 18, size="6 cu ft"), State.BEYOND),
        (read(104, 48, 18, size="6 cu ft", rating="T"), State.FAILS),
        (read(90, 52, 24), State.FAILS),
        (read(90, 52), State.FAILS),
        (read(90, 52, 16), State.FAILS),
        (read(90, 52, 8), State.FOOD_FAILS),
        (read(90, 38, 24), State.FREEZER_FAILS),
        (read(90, None, 24), State.FREEZER_FAILS),
        (read(90, 43, 24), State.FREEZER_FAILS),
        (read(90, 43, 10), State.TOO_NEAR),
        (read(90, 38, 17), State.TOO_NEAR),
        (read(90), State.NOT_PROVEN),
        (read(90, None, 10), State.NOT_PROVEN),
        (read(90, 52, 24, hours=5), State.NOT_PROVEN),
        (read(90, 38, 10, hours=5), State.NOT_PROVEN),
        (read(90, 38, 10, hours=24), State.PROVEN),
    ],
)
def test_states(readings, state):
    assert performance(readings).state is state


def test_a_rating_is_proven_on_a_hot_day_with_a_cold_freezer_alone():
    assert performance(read(105.5, 40, 10)).rating_proven
    assert not performance(read(104, 40, 10)).rating_proven
    assert not performance(read(105.5, 40)).rating_proven
    assert performance(read(86, 40, 10, size="6 cu ft")).rating_proven
    assert "105 °F" in performance(read(90, 40, 10)).would_prove
    assert performance(read(106, 40, 10)).would_prove == ""


def test_on_a_cold_day_a_warm_freezer_is_no_fault():
    """In good order it is the same: eight cubic feet at 50 °F with the food at 37."""
    state = steady_state(Installation.of("8 cu ft", load=0.13), kelvin(50), setting=kelvin(37))
    assert state.freezer_temperature > kelvin(18.2)
    said = performance(read(50, 37, 23))
    assert (said.has_causes, said.fails, said.may_condemn) == (False, False, False)
    assert "60 °F or more" in said.would_prove


def test_what_is_too_cold_has_its_causes():
    said = performance(read(80, 30, 0))
    assert (said.state, said.has_causes, said.fails) == (State.TOO_COLD, True, False)


def test_it_says_what_it_stands_on_and_what_would_prove_it():
    said = performance(read(95, 52, 24, hours=26))
    for part in ("cup 52 °F against 43 °F", "freezer 24 °F against 16 °F", "ambient 95 °F", "26 hours"):
        assert part in said.stands_on
    assert "which wasn't said" in performance(read(95, 52)).stands_on
    assert "24" in performance(read(95, 52, hours=3)).would_prove
    assert "at most 90 °F" in performance(read(104, 48, size="6 cu ft")).would_prove
    assert "ice water" in performance(read(95, 43)).would_prove


def test_the_unit_is_in_question_only_where_no_place_is_good_and_the_day_is_fair():
    good, near, out = 38, 43, 55
    for cup, freezer, elsewhere in itertools.product(
        (good, near, out, None), (8, 16, 30, None), (38, 55, None)
    ):
        said = performance(read(90, cup, freezer, cup_on_gas=elsewhere))
        is_good = cup == good or freezer == 8 or elsewhere == 38
        assert said.may_condemn is not is_good
    assert not performance(read(116, 60, 40)).may_condemn


@pytest.mark.parametrize(
    ("cup", "place"),
    [(41.1, Place.GOOD), (41.3, Place.TOO_NEAR), (44.7, Place.TOO_NEAR), (44.9, Place.OUT)],
)
def test_a_cup_counts_from_one_kelvin_off_its_limit(cup, place):
    assert performance(read(90, cup)).places["cup"] is place
