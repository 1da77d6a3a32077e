"""Keys of the substance-temperature test against another way to them."""

import pytest

from warmside.marking.exercise import Job
from warmside.units import Q_, to_si


def test_key_of_the_time_constant_by_hand(exercise):
    # By hand in US units: heat capacity of the water is 1 Btu per lb and °F (the definition of the Btu, to
    # 0.5 %), 16 oz to the pound; tau = C / UA.
    for number in range(30):
        card = exercise.job_card(b"by hand", str(number))
        ounces = float(card.entry("cup_water").text.removesuffix(" oz"))
        conductance = float(card.entry("cup_conductance").text.split()[0])
        key = exercise.item("cup_time_constant").key(Job(exercise, card))
        assert key / 3600 == pytest.approx(ounces / 16 / conductance, rel=0.01)


def test_key_of_the_cup_against_a_published_worked_value(exercise):
    # Lumped capacitance (Incropera, Fundamentals of Heat and Mass Transfer, ch. 5): 250 mL of water with
    # hA = 8 x 0.03 W/K cools from 20 °C in air of 4 °C to 11.0184 °C in 1 h.
    values = {
        "cup_water": to_si(Q_(0.24993, "kg"), "mass"),
        "cup_conductance": 0.24,
        "water_at_start": 293.15,
        "cabinet_air": 277.15,
        "reading_hour": 3600.0,
    }

    class Card:
        def si(self, name: str) -> float:
            return values[name]

    key = exercise.item("cup_at_early_reading").key(Job(exercise, Card()))
    assert key - 273.15 == pytest.approx(11.0184, abs=0.02)
