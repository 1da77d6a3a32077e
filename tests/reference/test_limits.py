"""Limits of food safety as published; ratings of appliances are other numbers for another purpose."""

import pytest

from warmside.data import load

LIMITS, RATINGS = load("limits"), load("ratings")


def test_food_code():
    # US Food and Drug Administration, Food Code, 3-501.16(A)(2): 5 °C (41 °F) or less
    assert LIMITS["food_code"] - 273.15 == pytest.approx(5.0, abs=1e-9)


def test_consumer_advice():
    # US Food and Drug Administration, Refrigerator Thermometers: 40 °F or below, freezer 0 °F
    assert LIMITS["consumer_refrigerator"] - 273.15 == pytest.approx(4.444, abs=1e-3)
    assert LIMITS["consumer_freezer"] - 273.15 == pytest.approx(-17.778, abs=1e-3)


def test_ratings_are_not_food_safety():
    for size in RATINGS.columns:
        assert RATINGS["food_limit"][size] > LIMITS["food_code"]
        assert RATINGS["freezer_limit"][size] > LIMITS["consumer_freezer"]


def test_clearances_and_level_are_those_of_the_trade():
    # common practice, no source
    inch, degree = 0.0254, 0.017453292519943295
    assert LIMITS["top_gap"] == 0.0
    assert LIMITS["side_gap"] == pytest.approx(inch / 4)
    assert LIMITS["rear_gap"] == pytest.approx(inch)
    assert LIMITS["baffle_gap"] == pytest.approx([inch / 4, inch / 2])
    assert LIMITS["side_tilt"] == pytest.approx(3 * degree)
    assert LIMITS["front_tilt"] == pytest.approx(6 * degree)
