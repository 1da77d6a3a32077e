"""Timed defrosts: when they come and when to power up."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.model.refrigerator import TimedDefrost, defrost_plan

HOUR = 3600.0
EACH_DAY = TimedDefrost(30 * HOUR, 24 * HOUR, 1.5 * HOUR)  # invented


def test_defrosts_come_by_the_clock_since_power_up():
    assert EACH_DAY.starts(100 * HOUR) == pytest.approx(np.array([30.0, 54.0, 78.0]) * HOUR)
    times = np.array([29.9, 30.0, 31.4, 31.5, 53.9, 54.1]) * HOUR
    assert EACH_DAY.active(times).tolist() == [False, True, True, False, False, True]


def test_a_worked_example():
    # first after 30 h, which is 6 h later in the day, then each day: to defrost between 22:00 and 07:00,
    # done by 07:00, it must begin from 22:00 to 05:30, so power-up from 16:00 to 23:30
    plan = defrost_plan(EACH_DAY, 7 * HOUR, 22 * HOUR)
    ((begin, end),) = plan.windows
    assert begin == 16 * HOUR
    assert end == pytest.approx(23.5 * HOUR, abs=61.0)
    assert plan.possible
    assert plan.defrosts == 13


def test_busy_hours_over_midnight():
    ((begin, end),) = defrost_plan(EACH_DAY, 20 * HOUR, 6 * HOUR).windows
    assert begin == 0.0  # the defrost then begins at 06:00
    assert end == pytest.approx(12.5 * HOUR, abs=61.0)


def test_what_cannot_be_done():
    assert not defrost_plan(EACH_DAY, 0.0, 23 * HOUR).possible
    wandering = TimedDefrost(30 * HOUR, 26 * HOUR, 1.5 * HOUR)
    assert defrost_plan(wandering, 7 * HOUR, 22 * HOUR, days=5).possible
    assert not defrost_plan(wandering, 7 * HOUR, 22 * HOUR, days=30).possible


def test_without_busy_hours_any_time_does():
    assert defrost_plan(EACH_DAY, 5 * HOUR, 5 * HOUR).windows == ((0.0, 24 * HOUR),)


@given(
    st.floats(0.0, 100.0),
    st.floats(3.0, 80.0),
    st.floats(0.1, 2.9),
    st.floats(0.0, 24.0),
    st.floats(0.0, 24.0),
)
def test_no_defrost_of_a_plan_touches_the_busy_hours(first, interval, duration, busy_from, busy_to):
    defrost = TimedDefrost(first * HOUR, interval * HOUR, duration * HOUR)
    plan = defrost_plan(defrost, busy_from * HOUR, busy_to * HOUR, days=7)
    if busy_from == busy_to:
        return
    for begin, end in plan.windows:
        for power_up in (begin, end - 60.0):
            since = np.arange(0.0, 7 * 24 * HOUR, 300.0)
            of_day = np.mod((since + power_up) / HOUR, 24.0)
            if busy_from < busy_to:
                busy = (of_day > busy_from + 1e-6) & (of_day < busy_to - 1e-6)
            else:
                busy = (of_day > busy_from + 1e-6) | (of_day < busy_to - 1e-6)
            assert not (defrost.active(since) & busy).any()


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ((-1.0, 10.0, 1.0), "first of the timed defrost is -1.0"),
        ((1.0, 10.0, 10.0), "shorter than the interval"),
        ((1.0, float("nan"), 1.0), "interval"),
    ],
)
def test_impossible_defrosts_are_refused(times, words):
    with pytest.raises(InputError, match=words):
        TimedDefrost(*times)


def test_impossible_hours_are_refused():
    with pytest.raises(InputError, match="busy_from"):
        defrost_plan(EACH_DAY, 25 * HOUR, 0.0)
    with pytest.raises(InputError, match="days"):
        defrost_plan(EACH_DAY, 0.0, 0.0, days=0)
