"""Wires and circuits: laws, shapes, bad input."""

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model import circuit as circuits
from warmside.model.circuit import Circuit, Part

ohms = st.floats(1e-2, 1e5)


@st.composite
def ladders(draw):
    """A source, two rails and rungs, some of them open, and a loose end."""
    rungs = draw(st.integers(1, 5))
    parts = [Part("loose", "nowhere", "elsewhere", draw(ohms))]
    for n in range(rungs):
        parts += [
            Part(f"upper {n}", f"u{n}", f"u{n + 1}", draw(ohms)),
            Part(f"lower {n}", f"l{n}", f"l{n + 1}", draw(ohms)),
            Part(f"rung {n}", f"u{n + 1}", f"l{n + 1}", draw(st.one_of(ohms, st.just(np.inf)))),
        ]
    return Circuit(tuple(parts), "u0", "l0", draw(st.floats(0.0, 240.0)))


@settings(deadline=None)
@given(ladders())
def test_as_much_current_comes_as_goes_at_every_point(ladder):
    for point in ladder.points:
        if point in (ladder.live, ladder.neutral):
            continue
        leaves = sum(ladder.amps(part.name) for part in ladder.parts if part.start == point)
        comes = sum(ladder.amps(part.name) for part in ladder.parts if part.end == point)
        assert leaves == pytest.approx(comes, rel=1e-6, abs=1e-9)


@settings(deadline=None)
@given(ladders())
def test_the_source_gives_what_the_parts_take(ladder):
    given_power = ladder.voltage * ladder.amps("upper 0")
    taken = sum(
        ladder.amps(part.name) ** 2 * part.resistance for part in ladder.parts if np.isfinite(part.resistance)
    )
    assert taken == pytest.approx(given_power, rel=1e-7, abs=1e-9)


@settings(deadline=None)
@given(ladders())
def test_voltages_lie_between_zero_and_the_source(ladder):
    for point in ladder.points:
        assert -1e-9 <= ladder.volts(point, ladder.neutral) <= ladder.voltage * (1 + 1e-9)


@settings(deadline=None)
@given(ladders(), st.data())
def test_a_meter_turned_round(ladder, data):
    first, second = (data.draw(st.sampled_from(ladder.points)) for _ in range(2))
    assert ladder.volts(first, second) == pytest.approx(-ladder.volts(second, first), rel=1e-7, abs=1e-9)
    one, other = ladder.ohms(first, second), ladder.ohms(second, first)
    assert one == pytest.approx(other, rel=1e-6)
    assert (one == 0) == (first == second)


@settings(deadline=None)
@given(ladders(), st.data())
def test_more_resistance_anywhere_never_raises_the_source_s_current(ladder, data):
    name = data.draw(st.sampled_from([part.name for part in ladder.parts]))
    more = ladder.part(name).resistance * data.draw(st.floats(1.0, 100.0))
    changed = ladder.changed(**{name.replace(" ", "_"): more})
    assert changed.amps("upper 0") <= ladder.amps("upper 0") * (1 + 1e-7) + 1e-12
    assert changed.ohms("u0", "l0") >= ladder.ohms("u0", "l0") * (1 - 1e-7)


def test_an_open_part_has_no_current_and_all_the_voltage():
    circuit = Circuit((Part("a", "p", "q", 1.0), Part("b", "q", "m", np.inf)), "p", "m", 12.0)
    assert circuit.amps("a") == circuit.amps("b") == 0
    assert circuit.volts("q", "m") == pytest.approx(12.0, rel=1e-6)
    assert circuit.volts("p", "q") == pytest.approx(0.0, abs=1e-5)
    assert circuit.ohms("q", "m") == np.inf
    assert circuit.ohms("p", "m", lifted=["a"]) == np.inf


def test_what_hangs_free_shows_nothing():
    circuit = Circuit((Part("a", "p", "m", 1.0), Part("b", "x", "y", 5.0)), "p", "m", 12.0)
    assert circuit.volts("x", "y") == 0
    assert circuit.volts("x", "m") == 0
    assert circuit.ohms("x", "y") == pytest.approx(5.0)
    assert circuit.ohms("x", "p") == np.inf


def test_a_part_of_no_resistance_is_as_good_as_a_joint_gets():
    circuit = Circuit((Part("bridge", "p", "q", 0.0), Part("load", "q", "m", 6.0)), "p", "m", 12.0)
    assert circuit.amps("load") == pytest.approx(2.0, rel=1e-4)
    assert circuit.amps("bridge") == pytest.approx(2.0, rel=1e-4)
    assert circuit.ohms("p", "q") < 1e-3


def test_a_part_from_a_point_to_itself_does_nothing():
    parts = (Part("load", "p", "m", 6.0), Part("ring", "p", "p", 1.0))
    assert Circuit(parts, "p", "m", 12.0).amps("load") == pytest.approx(2.0)
    assert Circuit(parts, "p", "m", 12.0).amps("ring") == 0
    assert Circuit(parts, "p", "m", 12.0).ohms("p", "m") == pytest.approx(6.0)


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
    ("resistance of heater is", lambda x: _simple(resistance=x), [-1.0, -np.inf], {}),
    ("source's voltage is", lambda x: _simple(voltage=x), [-1.0, 1e9, np.inf], {}),
]


def _simple(resistance=6.0, voltage=12.0):
    return Circuit((Part("heater", "p", "m", resistance),), "p", "m", voltage)


@pytest.mark.parametrize(("match", "function", "values", "named"), WRONG)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, function, values, named):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, function, value, **named)


def test_one_wrong_value_among_many_is_named():
    refused("gauge is 99; it must be a number from 0 to 40, such as 14", circuits.gauge_area, [14, 99, 12])
    refused(
        "area is 5e\\+06 mm²; .* from 0.001 to 1000 mm²", circuits.wire_resistance, np.array([2e-6, 5.0]), 1
    )


def test_names_that_a_circuit_does_not_have():
    circuit = _simple()
    for wrong in ("x", "", None, 3, [], "y" * 1000):
        refused("The point is .* must be one of p, m", circuit.volts, wrong, "m")
        refused("The point is .* must be one of p, m", circuit.volts, "p", wrong)
        refused("The point is .* must be one of p, m", circuit.ohms, wrong, "m")
        refused("The part is .* must be one of heater", circuit.amps, wrong)
        refused("The part is .* must be one of heater", circuit.part, wrong)
        refused("The part is .* must be one of heater", circuit.ohms, "p", "m", [wrong])
    refused("The part is 'heeter'", circuit.changed, heeter=3.0)
    refused("resistance of heater is -3 ohm", circuit.changed, heater=-3.0)


def test_a_circuit_that_cannot_be():
    one = Part("heater", "p", "m", 6.0)
    refused("Two parts of the circuit have one name", Circuit, (one, one), "p", "m", 12.0)
    refused("Both ends of the source are at p", Circuit, (one,), "p", "p", 12.0)
