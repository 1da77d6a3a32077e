"""A refrigerator in use: the cup, the door, warm food, defrosts, day and night."""

import numpy as np
import pytest
from installations import random_installations

from warmside.errors import InputError
from warmside.model.cabinet import Thermostat
from warmside.model.refrigerator import (
    Installation,
    TimedDefrost,
    cup_test,
    steady_state,
)
from warmside.model.running import day_and_night, felt_day

HOUR = 3600.0
EIGHT = Installation.of("8 cu ft")


def test_after_days_everything_is_where_the_steady_state_is():
    installation, ambient = random_installations(60, seed=2)
    settled = steady_state(installation, ambient)
    run = cup_test(installation, ambient, hours=14 * 24)
    working = settled.converged & ~settled.failed
    assert working.sum() > 20
    assert run.food_air_temperature[working, -1] == pytest.approx(settled.food_temperature[working], abs=0.02)
    assert run.cup_temperature[working, -1] == pytest.approx(settled.food_temperature[working], abs=0.02)
    assert run.freezer_temperature[working, -1] == pytest.approx(
        settled.freezer_temperature[working], abs=0.02
    )
    assert (run.failed == settled.failed).all()
    assert (run.converged == settled.converged).all()


def test_a_cup_comes_to_the_food_within_a_day():
    run = cup_test(EIGHT, 305.0)
    assert run.time[-1] == 24 * HOUR
    assert run.cup_temperature[0] == 293.15
    assert run.cup_temperature[-1] == pytest.approx(run.food_air_temperature[-360:].mean(), abs=0.4)
    assert run.running.all()


def test_a_thermostat_lets_the_unit_rest_and_more_on_cool_days():
    thermostat = Thermostat(277.0, 2.0)
    run = cup_test(EIGHT, np.array([285.0, 305.0]), thermostat=thermostat)
    cool, hot = run.running.mean(axis=-1)
    assert 0.1 < cool < hot < 1.0
    last = run.food_air_temperature[:, -600:]
    assert (np.abs(last - 277.0) < 1.5).all()


def test_day_and_night_widen_what_an_installation_shows():
    faulty = EIGHT.changed(fin_fouling=0.4)
    thermostat = Thermostat(276.5, 1.0)
    correct, wrong = (cup_test(one, 310.9, half_range=8.3, thermostat=thermostat) for one in (EIGHT, faulty))
    assert correct.ambient_temperature.max() == pytest.approx(319.2, abs=0.01)
    assert np.ptp(correct.ambient_temperature) == pytest.approx(16.6, abs=0.01)
    hottest = correct.ambient_temperature.argmax() * 60.0
    assert hottest == pytest.approx(8 * HOUR, abs=61.0)  # the cup went in at 8, the hottest hour is 16
    assert wrong.food_air_temperature.max() > correct.food_air_temperature.max() + 5.0
    # in a cool night even the wrong one gets cold: the same cup read early shows little
    assert wrong.food_air_temperature.min() < 279.0


def test_a_warm_load_delays_the_cup():
    cold, some, much = (
        cup_test(EIGHT, 305.0, warm_load=mass).cup_temperature[-1] for mass in (0.0, 10.0, 30.0)
    )
    assert cold < some < much
    assert cup_test(EIGHT, 305.0, warm_load=10.0, warm_load_temperature=276.0).cup_temperature[-1] < some


def test_each_opening_warms_and_passes():
    closed = cup_test(EIGHT, 305.0, hours=6)
    opened = cup_test(EIGHT, 305.0, hours=6, openings=[(HOUR, 20.0), (2 * HOUR, 60.0)])
    more = opened.food_air_temperature - closed.food_air_temperature
    assert np.abs(more[:60]).max() == 0.0
    assert more[61] > 0.2
    assert more[121] > 2.0 * more[61]
    assert 0.0 < more[-1] < 0.1 * more[121]


def test_a_door_left_open_warms_no_further_than_the_room():
    opened = cup_test(EIGHT, 305.0, hours=6, openings=[(HOUR, 0.75 * HOUR)])
    assert 295.0 < opened.food_air_temperature.max() < 305.0
    assert opened.food_air_temperature.argmax() == pytest.approx(105, abs=1)


def test_a_timed_defrost_stops_the_unit_and_its_heater_warms():
    defrost = TimedDefrost(50 * HOUR, 48 * HOUR, 2 * HOUR)
    run = cup_test(EIGHT, 305.0, defrost=defrost, since_power_up=48 * HOUR)
    assert not run.running[120:240].any()
    assert run.running[:120].all()
    assert run.running[240:].all()
    assert run.food_air_temperature[240] > run.food_air_temperature[120] + 3.0
    heated = cup_test(
        EIGHT, 305.0, defrost=TimedDefrost(50 * HOUR, 48 * HOUR, 2 * HOUR, 20.0), since_power_up=48 * HOUR
    )
    assert heated.food_air_temperature[240] > run.food_air_temperature[240]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"hours": 0}, "hours of the cup test is 0"),
        ({"half_range": -1.0}, "half_range"),
        ({"cup_mass": 0.0}, "cup_mass"),
        ({"warm_load": -5.0}, "warm_load"),
        ({"since_power_up": -1.0}, "since_power_up"),
        ({"openings": [(90000.0, 10.0)]}, "doesn't fall into the test"),
        (
            {"half_range": 20.0, "ambient_temperature": 330.0},
            "must be from 255 to 335 K",
        ),
    ],
)
def test_impossible_tests_are_refused(arguments, words):
    with pytest.raises(InputError, match=words):
        cup_test(**({"installation": EIGHT, "ambient_temperature": 300.0} | arguments))


@pytest.mark.parametrize(
    "changes", [{}, {"baffle_gap": None}, {"fin_fouling": 0.4}, {"lower_vent_blocked": 0.5}]
)
def test_three_ambients_stand_for_a_day(changes):
    one, half_range = Installation.of("8 cu ft", **changes), 15 / 1.8
    for fahrenheit in (90, 95, 100, 105):
        mean = (fahrenheit + 459.67) / 1.8
        day = cup_test(one, mean, half_range=half_range).food_temperature.mean()
        stands_for_it = steady_state(one, felt_day(mean, half_range)).food_temperature.mean()
        assert stands_for_it == pytest.approx(day, abs=3.0)
    assert (felt_day(300.0, 0.0) == 300.0).all()


def test_day_and_night_peaks_in_the_afternoon():
    hours = np.arange(0, 24, 0.25)
    ambient = day_and_night(hours * 3600, 300.0, 8.0)
    assert hours[ambient.argmax()] == 16
    assert (ambient.max(), ambient.min()) == pytest.approx((308.0, 292.0))
    assert ambient.mean() == pytest.approx(300.0)
