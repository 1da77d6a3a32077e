"""Sizes by volume between the calibrated ones, and ratings from the plate."""

import numpy as np
import pytest

from warmside.data import load
from warmside.errors import InputError
from warmside.model.ensemble import cost_of
from warmside.model.quantity import Choice
from warmside.model.refrigerator import Installation, holding_ambient, margin_to_rating, steady_state
from warmside.model.sizes import (
    RATINGS,
    SIZES,
    Sizes,
    calibrated,
    cubic_feet,
    elements,
    nearest,
    usual_rating,
)

CABINETS = load("cabinets")
VOLUMES = (4, 4.5, 5, 6, 7, 8, 10, 12, 15, 18, 20)
NAMES = np.array([f"{volume} cu ft" for volume in VOLUMES])
QUANTITIES = [name for name, field in CABINETS.fields.items() if isinstance(field.value, dict)]


def fahrenheit(kelvin):
    return np.asarray(kelvin) * 1.8 - 459.67


# --- names ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "volume"),
    [("8 cu ft", 8), ("8cu ft", 8), (" 12.5 cu. ft. ", 12.5), ("4 cu ft", 4), ("20 cu ft", 20)],
)
def test_a_size_is_named_as_people_do(name, volume):
    assert cubic_feet(name) == volume


@pytest.mark.parametrize(
    "name",
    [
        "eight",
        "8",
        8,
        "",
        None,
        "3.9 cu ft",
        "20.1 cu ft",
        "-8 cu ft",
        "8 cu m",
        "1e1 cu ft",
        "080 cu ft",
        "nan cu ft",
    ],
)
def test_other_names_are_refused_in_one_sentence(name):
    with pytest.raises(InputError, match=r"it must be a volume from 4 to 20 cu ft, such as “8 cu ft”\.$"):
        cubic_feet(name)
    with pytest.raises(InputError, match=r"^size of the installation is"):
        Installation.of(name)


def test_one_bad_name_among_good_ones_is_the_one_that_is_named():
    with pytest.raises(InputError, match="“30 cu ft”"):
        Installation.of(np.array(["8 cu ft", "30 cu ft", "9 cu ft"]))


def test_ratings_other_than_the_classes_are_refused():
    for rating in ("SN", "110", "t"):
        with pytest.raises(InputError, match=r"rating of the installation is .* one of N, ST, T"):
            Installation.of("8 cu ft", rating=rating)


# --- quantities -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_calibrated_sizes_have_what_the_table_says(quantity):
    for size, rating in zip(SIZES, ("N", "T", "T"), strict=True):
        assert calibrated(quantity, size, rating) == CABINETS[quantity][size]
        assert Installation.of(size).of_size(quantity) == CABINETS[quantity][size]


@pytest.mark.parametrize("quantity", QUANTITIES)
@pytest.mark.parametrize("rating", RATINGS)
def test_between_them_a_quantity_goes_steadily(quantity, rating):
    values = np.array([calibrated(quantity, name, rating) for name in NAMES])
    steps = np.diff(values)
    assert (steps >= -1e-12).all() or (steps <= 1e-12).all()
    assert (values > 0.0).all()
    by_class = [calibrated(quantity, "9 cu ft", each) for each in RATINGS]
    assert by_class == sorted(by_class) or by_class == sorted(by_class, reverse=True)


def test_twelve_lies_between_eight_and_eighteen():
    for quantity in QUANTITIES:
        low, high = sorted(CABINETS[quantity][size] for size in ("8 cu ft", "18 cu ft"))
        assert low <= calibrated(quantity, "12 cu ft", "T") <= high


def test_many_sizes_at_once_have_what_each_has_alone():
    names, ratings = np.meshgrid(NAMES, RATINGS)
    together = Sizes(names).of("heat_input", Choice(ratings, RATINGS, "rating"))
    for place in np.ndindex(names.shape):
        assert together[place] == calibrated("heat_input", str(names[place]), str(ratings[place]))
    many = Installation.of(names, rating=ratings)
    one = Installation.of("15 cu ft", rating="ST")
    place = RATINGS.index("ST"), VOLUMES.index(15)
    for field in ("heat_input", "lower_vent_area", "outlet_height", "charge_pressure", "outlet"):
        assert getattr(many, field)[place] == getattr(one, field)


def test_a_usual_rating_follows_the_size_until_it_is_given():
    assert [usual_rating(name) for name in ("4 cu ft", "6.9 cu ft", "7 cu ft", "20 cu ft")] == [
        "N",
        "N",
        "T",
        "T",
    ]
    one = Installation.of("6 cu ft")
    assert (one.rating, one.outlet) == ("N", "wall")
    assert one.changed(size="8 cu ft").rating == "T"
    assert Installation.of("6 cu ft", rating="T").changed(size="5 cu ft").rating == "T"
    assert Installation.of("6 cu ft", rating="T").outlet == "roof"


def test_elements_are_whole():
    assert [elements(name) for name in ("4 cu ft", "6 cu ft", "8 cu ft", "20 cu ft")] == [1, 1, 2, 2]


@pytest.mark.parametrize(
    ("size", "rating", "like"),
    [
        ("6 cu ft", "N", "6 cu ft"),
        ("18 cu ft", "N", "6 cu ft"),
        ("6 cu ft", "T", "8 cu ft"),
        ("11.9 cu ft", "T", "8 cu ft"),
        ("12.1 cu ft", "ST", "18 cu ft"),
    ],
)
def test_the_nearest_calibrated_size(size, rating, like):
    assert nearest(size, rating) == like


# --- what they do -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("rating", RATINGS)
@pytest.mark.parametrize("source", ["mains", "gas"])
def test_every_size_holds_its_rating_with_a_usual_days_doors(rating, source):
    rated = {"N": 90.0, "ST": 100.0, "T": 110.0}[rating]
    loads = np.array([calibrated("usual_load", str(name), rating) for name in NAMES])
    held = fahrenheit(holding_ambient(Installation.of(NAMES, rating=rating, load=loads, heat_source=source)))
    assert (held >= rated).all()
    assert (held < rated + 6.0).all()
    assert margin_to_rating(
        Installation.of(NAMES, rating=rating, load=loads, heat_source=source)
    ) == pytest.approx((held - rated) / 1.8, abs=0.01)


@pytest.mark.parametrize("rating", RATINGS)
def test_every_size_works_as_refrigerators_do(rating):
    state = steady_state(Installation.of(NAMES, rating=rating), (80.0 + 459.67) / 1.8)
    assert state.converged.all()
    apart = (state.food_temperature - state.freezer_temperature) * 1.8
    assert (apart > 20.0).all()
    assert (apart < 32.0).all()


@pytest.mark.full
def test_a_departure_costs_about_as_much_on_sizes_between_as_on_those_beside():
    costs = [
        float(cost_of(Installation.of(size, lower_vent_blocked=0.5), count=60).median)
        for size in ("8 cu ft", "12 cu ft", "18 cu ft")
    ]
    assert min(costs) > 0.8 * max(costs)
