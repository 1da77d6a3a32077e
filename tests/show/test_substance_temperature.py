"""The test with a cup: its days are the model's, its readings, and the limits that it is held against."""

import re
from dataclasses import replace

import numpy as np
import pytest

from warmside.model.cabinet import Thermostat
from warmside.model.cup import cup_conductance, cup_heat_capacity, follow, time_constant
from warmside.model.installation import Installation
from warmside.model.running import cup_test
from warmside.show.limits_table import limits_table
from warmside.show.substance_temperature import (
    DOORS,
    LIMITS,
    SITUATIONS,
    CupTest,
    Reader,
    day_of,
    days_of,
    read_test,
    together,
)

HOUR = 3600.0


@pytest.mark.parametrize("name", ["By practice", "Busy door", "Shut vent, hot"])
def test_a_day_is_what_the_model_makes_of_it(name):
    test = SITUATIONS[name]
    alone = cup_test(
        Installation.of("8 cu ft", lower_vent_blocked=test.lower_blocked),
        test.ambient,
        half_range=test.day_swing,
        cup_mass=test.cup_mass,
        cup_temperature=test.start_temperature,
        thermostat=Thermostat(test.setting, test.swing),
        openings=DOORS[test.door],
    )
    day = day_of(test)
    assert day.cup == pytest.approx(alone.cup_temperature, abs=1e-3)
    assert day.air == pytest.approx(alone.food_air_temperature, abs=1e-3)
    assert (day.running[:-1] == alone.running).all()
    assert day.outside[:-1] == pytest.approx(alone.ambient_temperature)


def test_days_run_together_are_those_run_alone():
    tests = [CupTest(ambient=300.0 + step, swing=2.5) for step in range(4)]
    assert len(together([*tests, CupTest(door="a busy day")])) == 2
    assert days_of(*tests)[2].cup == pytest.approx(day_of(replace(tests[2], cup_mass=0.2268)).cup, abs=1e-3)
    assert days_of(*tests)[0] is day_of(replace(tests[0], reading_time=5.0, thermometer_error=1.0))


def test_what_a_thermostat_never_asks_changes_nothing_at_full_demand():
    assert day_of(CupTest(full_demand=True)) is day_of(CupTest(full_demand=True, setting=280.0, swing=1.0))
    assert day_of(CupTest(full_demand=True)).running.all()


def test_the_cup_follows_the_air():
    test = CupTest(swing=5.0)
    tau = float(time_constant(cup_heat_capacity(test.cup_mass), cup_conductance(test.cup_mass)))
    day = day_of(test)
    followed = follow(day.air[:-1], 60.0, test.start_temperature, tau)
    assert day.cup == pytest.approx(followed, abs=0.1)
    late = slice(-6 * 60, None)
    assert np.ptp(day.air[late]) > 3 * np.ptp(day.cup[late])


def test_a_reading_is_the_water_and_the_thermometer():
    for hour in (1, 6, 24):
        reading = read_test(CupTest(reading_time=hour * HOUR, thermometer_error=-0.7))
        assert reading.shown == pytest.approx(reading.water - 0.7)
        assert reading.air_low < reading.air_high
    early, late = read_test(CupTest(reading_time=2 * HOUR)), read_test(CupTest())
    assert early.left == pytest.approx(early.water - late.water, abs=1.0)
    assert (early.is_settled, late.is_settled) == (False, True)


def test_a_wrong_thermometer_can_mislead_both_ways():
    warm, cold = CupTest(setting=279.5), CupTest(setting=278.5)
    assert (read_test(warm).holds, read_test(cold).holds) == (False, True)
    assert not read_test(warm).misleads
    assert read_test(replace(warm, thermometer_error=-2.0)).misleads
    assert read_test(replace(cold, thermometer_error=2.0)).misleads


def test_a_larger_cup_takes_longer():
    settled = [
        next(hour for hour in range(25) if Reader(CupTest(cup_mass=mass)).at(hour * HOUR).is_settled)
        for mass in (0.113, 0.227, 0.454, 0.907)
    ]
    assert settled == sorted(set(settled))


def test_limits_are_marked_as_what_they_are():
    table = limits_table()
    assert table.count("<b>Published</b>") == 2
    assert table.count("<b>Common practice</b>") == 1
    assert re.search(r"43 °F \(6\.1 °C\)", table)
    assert [round((limit.temperature - 273.15) * 1.8 + 32) for limit in LIMITS] == [43, 41, 40]
