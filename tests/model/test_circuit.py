"""Wires, heaters, batteries: laws, shapes, bad input."""

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model import circuit as circuits

ohms = st.floats(1e-2, 1e5)


@settings(deadline=None)
@given(st.floats(0, 40), st.floats(0.01, 500), st.floats(230, 420))
def test_wires(gauge, length, temperature):
    area = circuits.gauge_area(gauge)
    assert circuits.gauge_area(np.maximum(gauge - 3.0, 0.0)) >= area
    solid = circuits.wire_resistance(area, length, temperature)
    assert circuits.wire_resistance(area, 2 * length, temperature) == pytest.approx(2 * solid)
    assert circuits.wire_resistance(2 * area, length, temperature) == pytest.approx(solid / 2)
    assert circuits.wire_resistance(area, length, temperature, stranded=True) > solid > 0


def test_six_gauges_halve_the_diameter():
    # 92^(6/39) = 2.005, the trade's rule
    ratio = np.sqrt(circuits.gauge_area(8) / circuits.gauge_area(14))
    assert ratio == pytest.approx(92 ** (6 / 39))
    assert ratio == pytest.approx(2.0, rel=0.003)


@settings(deadline=None)
@given(st.floats(0.1, 240), ohms, st.floats(0, 100))
def test_ohm_s_law_and_what_wires_take(voltage, heater, wires):
    current = circuits.heater_current(voltage, heater)
    assert current * heater == pytest.approx(voltage)
    assert circuits.heater_power(voltage, heater) == pytest.approx(voltage * current)
    lost = circuits.voltage_drop(voltage, heater, wires)
    assert lost == pytest.approx(circuits.heater_current(voltage, heater + wires) * wires)
    assert 0 <= lost <= voltage


@settings(deadline=None)
@given(st.lists(ohms, min_size=1, max_size=5))
def test_side_by_side_is_less_than_the_least(resistances):
    together = circuits.in_parallel(resistances)
    assert together <= min(resistances) * (1 + 1e-12)
    assert together >= min(resistances) / len(resistances) * (1 - 1e-12)
    assert circuits.in_parallel([*resistances, np.inf]) == pytest.approx(together)
    assert circuits.in_parallel([np.inf, np.inf]) == np.inf


def test_an_open_heater_draws_and_drops_nothing():
    assert circuits.heater_power(120.0, np.inf) == circuits.heater_current(120.0, np.inf) == 0
    assert circuits.voltage_drop(120.0, np.inf, 0.5) == 0


def test_hours_on_a_battery():
    # half of 100 Ah at 25 A lasts 2 h
    assert circuits.hours_on_battery(100 * 3600.0, 25.0) == pytest.approx(2 * 3600.0)
    assert circuits.hours_on_battery(100 * 3600.0, 20.0, 0.8, 5.0) == pytest.approx(3.2 * 3600.0)
    assert circuits.hours_on_battery(100 * 3600.0, 0.0) == np.inf


def test_everything_broadcasts():
    column, row = np.array([[1.0], [2.0]]), np.array([3.0, 4.0, 5.0])
    assert circuits.gauge_area(column).shape == (2, 1)
    assert circuits.wire_resistance(column * 1e-6, row, np.full(3, 300.0)).shape == (2, 3)
    for function in (circuits.heater_power, circuits.heater_current, circuits.hours_on_battery):
        assert function(column, row).shape == (2, 3)
        assert np.ndim(function(12.0, 3.0)) == 0
    assert circuits.voltage_drop(column, row, 0.5).shape == (2, 3)
    assert circuits.in_parallel(np.ones((4, 2, 3))).shape == (4, 2)
    assert np.ndim(circuits.in_parallel([3.0, 4.0])) == 0


# --- bad input ---

WRONG = [
    ("gauge is", circuits.gauge_area, [-1, 99, 40.5, np.inf, 1e9], {}),
    ("area is", lambda x: circuits.wire_resistance(x, 1.0), [-1e-6, 0.0, 1.0, np.inf], {}),
    ("length is", lambda x: circuits.wire_resistance(2e-6, x), [-1.0, 1e9, np.inf], {}),
    ("temperature is", lambda x: circuits.wire_resistance(2e-6, 1.0, x), [-40.0, 0.0, 70.0, np.inf], {}),
    ("voltage is", lambda x: circuits.heater_power(x, 44.0), [-1.0, 1e9, np.inf], {}),
    ("resistance is", lambda x: circuits.heater_power(120.0, x), [-1.0, 0.0, -np.inf], {}),
    ("voltage is", lambda x: circuits.heater_current(x, 44.0), [-1.0, 1e9, np.inf], {}),
    ("resistance is", lambda x: circuits.heater_current(120.0, x), [-1.0, 0.0], {}),
    ("resistance is", circuits.in_parallel, [-1.0, 0.0, [44.0, 0.0]], {}),
    ("voltage is", lambda x: circuits.voltage_drop(x, 44.0, 0.1), [-1.0, np.inf], {}),
    ("heater's resistance is", lambda x: circuits.voltage_drop(120.0, x, 0.1), [0.0, -1.0], {}),
    ("wires is", lambda x: circuits.voltage_drop(120.0, 44.0, x), [-1.0, np.inf], {}),
    ("charge is", lambda x: circuits.hours_on_battery(x, 25.0), [0.0, -1.0, np.inf], {}),
    ("heater's current is", lambda x: circuits.hours_on_battery(3.6e5, x), [-1.0, 1e9, np.inf], {}),
    ("usable part", lambda x: circuits.hours_on_battery(3.6e5, 25.0, x), [-0.1, 1.1, np.inf], {}),
    ("other current is", lambda x: circuits.hours_on_battery(3.6e5, 25.0, 0.5, x), [-1.0, np.inf], {}),
]


@pytest.mark.parametrize(("match", "function", "values", "named"), WRONG)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, function, values, named):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, function, value, **named)


def test_one_wrong_value_among_many_is_named():
    refused("gauge is 99; it must be a number from 0 to 40, such as 14", circuits.gauge_area, [14, 99, 12])
    refused(
        "area is 5e\\+06 mm²; .* from 0.001 to 1000 mm²", circuits.wire_resistance, np.array([2e-6, 5.0]), 1
    )
