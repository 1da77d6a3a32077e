"""Fuses: rules, rounding up, bad input."""

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.data import load
from warmside.model import fuse as fuses
from warmside.model.circuit import gauge_area
from warmside.model.fuse import BLADE, CARTRIDGE, Fuse, Objection, fuse_check

loads = st.floats(0.01, 15.0)
kinds = st.sampled_from([BLADE, CARTRIDGE])


@settings(deadline=None)
@given(loads, kinds)
def test_the_next_rating_carries_the_load_for_hours_and_the_one_below_does_not(load_current, kind):
    rating = fuses.next_rating(load_current, kind)
    assert rating in load("fuses")[f"{kind}_ratings"]
    assert rating * 0.8 >= load_current * (1 - 1e-9)
    smaller = [each for each in load("fuses")[f"{kind}_ratings"] if each < rating]
    assert all(each * 0.8 < load_current for each in smaller)
    assert Objection.TOO_SMALL not in fuse_check(Fuse(rating, 32.0), 12.0, load_current)


def test_ten_amps_for_hours_ask_for_twelve_and_a_half_and_so_for_fifteen():
    assert fuses.needed_rating(10.0) == pytest.approx(12.5)
    assert fuses.next_rating(10.0, BLADE) == fuses.next_rating(10.0, CARTRIDGE) == 15
    assert fuses.next_rating(8.0, BLADE) == 10  # exactly at the share, rounding notwithstanding
    assert fuses.needed_rating([[8.0, 10.0]]).shape == (1, 2)


def test_a_fuse_in_its_place():
    assert fuse_check(Fuse(5.0, 250.0), 120.0, 2.7, 5.0, gauge_area(14)) == ()
    assert fuse_check(Fuse(5.0, 32.0), 120.0, 2.7) == (Objection.VOLTAGE,)
    assert fuse_check(Fuse(3.0, 250.0), 120.0, 2.7) == (Objection.TOO_SMALL,)
    assert fuse_check(Fuse(10.0, 250.0), 120.0, 2.7, 5.0) == (Objection.TOO_LARGE,)
    assert fuse_check(Fuse(30.0, 250.0), 120.0, 2.7, wire_area=gauge_area(14)) == (Objection.WIRE,)
    everything = fuse_check(Fuse(30.0, 32.0), 120.0, 25.0, 5.0, gauge_area(18))
    assert set(everything) == set(Objection)
    assert everything[:2] == (Objection.VOLTAGE, Objection.WIRE)


def test_a_fuse_may_be_what_is_asked_for_to_the_last_digit():
    assert fuse_check(Fuse(5.0, 120.0), 120.0, 4.0, 5.0) == ()
    assert fuse_check(Fuse(5.0, 119.0), 120.0, 4.0, 5.0) == (Objection.VOLTAGE,)


@pytest.mark.parametrize(("holder", "next_one"), [(15.0, 20.0), (20.0, 25.0), (25.0, 30.0)])
def test_the_next_rating_up_is_too_large_for_a_holder(holder, next_one):
    # the steps of blade fuses are from a fifth to a third
    assert fuse_check(Fuse(holder, 32.0), 12.0, 2.0, holder) == ()
    assert fuse_check(Fuse(next_one, 32.0), 12.0, 2.0, holder) == (Objection.TOO_LARGE,)


def test_the_next_rating_down_is_too_small_for_a_load():
    assert fuse_check(Fuse(15.0, 32.0), 12.0, 12.0) == ()
    assert fuse_check(Fuse(15.0, 32.0), 12.0, 13.5) == (Objection.TOO_SMALL,)


@settings(deadline=None)
@given(st.floats(1e-9, 1e-3), st.floats(1.0, 3.0))
def test_thicker_wire_never_bears_less(area, more):
    thicker = min(area * more, 1e-3)
    assert fuses.wire_fuse(thicker) >= fuses.wire_fuse(area) > 0


def test_the_fuse_of_a_wire_is_that_of_its_gauge_or_the_next_thinner_one():
    table = load("wire")
    for gauge, most in zip(table["gauges"], table["gauge_fuse"], strict=True):
        assert fuses.wire_fuse(gauge_area(gauge)) == most
    assert fuses.wire_fuse(2.5e-6) == fuses.wire_fuse(gauge_area(14))  # 2.5 mm² lies between 14 and 12
    thinnest = gauge_area(table["gauges"].max())
    assert fuses.wire_fuse(thinnest / 2.0) == pytest.approx(table["gauge_fuse"].min() / 2.0)


@settings(deadline=None)
@given(st.floats(1.2, 20.0), st.floats(1.0, 50.0), st.floats(1.0, 3.0))
def test_more_current_opens_a_fuse_sooner(multiple, rating, more):
    shortest, longest = fuses.opening_time(multiple * rating, rating)
    assert 0 < shortest < longest < np.inf
    sooner = fuses.opening_time(multiple * more * rating, rating)
    assert sooner[0] <= shortest and sooner[1] <= longest


def test_a_fuse_carries_its_own_rating():
    shortest, longest = fuses.opening_time([0.0, 0.5, 1.0], 1.0)
    assert np.isinf(shortest).all() and np.isinf(longest).all()


def test_opening_times_go_through_the_table_s_own_points():
    table = load("fuses")
    shortest, longest = fuses.opening_time(table["opening_multiples"] * 15.0, 15.0)
    assert shortest == pytest.approx(table["opening_shortest"])
    assert longest == pytest.approx(table["opening_longest"])


def test_opening_times_broadcast():
    shortest, longest = fuses.opening_time(np.array([[10.0], [20.0]]), [3.0, 5.0, 7.5])
    assert shortest.shape == longest.shape == (2, 3)


def test_a_fuse_is_sure_to_open_first_only_if_its_band_lies_below():
    assert fuses.opens_first(3.0, 30.0, 60.0)
    assert not fuses.opens_first(15.0, 20.0, 60.0)
    assert not fuses.opens_first(30.0, 3.0, 60.0)
    assert not fuses.opens_first(5.0, 15.0, 1.0)


def test_what_is_dead_is_told_in_sentences():
    assert {"mains heater fuse", "battery heater fuse", "control fuse", "panel fuse"} == set(
        fuses.DEAD_WHEN_BLOWN
    )
    assert all(words[0].isupper() and words.endswith(".") for words in fuses.DEAD_WHEN_BLOWN.values())


WRONG = [
    ("current_rating of the fuse is", lambda x: Fuse(x, 32.0), [0.0, -5.0, 501.0, np.inf]),
    ("voltage_rating of the fuse is", lambda x: Fuse(5.0, x), [0.0, -5.0, 1001.0, np.inf]),
    ("load is", fuses.needed_rating, [-1.0, 1e9, np.inf]),
    ("load is", lambda x: fuses.next_rating(x, BLADE), [-1.0, 1e9, np.inf]),
    ("load is", lambda x: fuse_check(Fuse(5.0, 32.0), 12.0, x), [-1.0, 1e9, np.inf]),
    ("circuit's voltage is", lambda x: fuse_check(Fuse(5.0, 32.0), x, 2.0), [-1.0, 1e9, np.inf]),
    ("wire's area is", fuses.wire_fuse, [-1.0, 0.0, 1.0, np.inf]),
    ("current is", lambda x: fuses.opening_time(x, 5.0), [-1.0, 1e9, np.inf]),
    ("fuse's rating is", lambda x: fuses.opening_time(5.0, x), [0.0, -1.0, 1e9, np.inf]),
    ("fuse's rating is", lambda x: fuses.opens_first(x, 5.0, 20.0), [0.0, -1.0, np.inf]),
    ("fuse's rating is", lambda x: fuses.opens_first(5.0, x, 20.0), [0.0, -1.0, np.inf]),
    ("current is", lambda x: fuses.opens_first(5.0, 15.0, x), [-1.0, np.inf]),
]


@pytest.mark.parametrize(("match", "function", "values"), WRONG)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, function, values):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, function, value)


@pytest.mark.parametrize("rating", [-1.0, 1e9, np.inf, np.nan, "5", True])
def test_a_holder_with_no_rating(rating):
    refused("holder's rating is", fuse_check, Fuse(5.0, 32.0), 12.0, 2.0, rating)
    assert fuse_check(Fuse(5.0, 32.0), 12.0, 2.0, None) == ()


@pytest.mark.parametrize("kind", ["bolt", "", None, 3, [], "Blade"])
def test_kinds_of_fuses_that_there_are_not(kind):
    refused("kind of fuse is .* must be one of blade, cartridge", fuses.next_rating, 2.0, kind)


def test_a_load_too_large_for_any_fuse():
    refused("blade fuses go up to 60 A, which may carry 48 A", fuses.next_rating, 49.0, BLADE)
    refused("cartridge fuses go up to 20 A, which may carry 16 A", fuses.next_rating, 17.0, CARTRIDGE)
