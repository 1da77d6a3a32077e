"""Networks of resistances: laws, loose ends, bad input."""

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model.network import Circuit, Part

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
    rounding = 4 * np.finfo(float).eps * ladder.voltage / 1e-2  # A; of volts, over the least ohms drawn
    assert changed.amps("upper 0") <= ladder.amps("upper 0") * (1 + 1e-7) + rounding
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


@pytest.mark.parametrize(("megohms", "shown"), [(1.0, 1e6), (30.0, 30e6), (50.0, np.inf)])
def test_a_meter_goes_up_to_forty_megohms(megohms, shown):
    circuit = Circuit((Part("a", "p", "m", megohms * 1e6),), "p", "m", 12.0)
    assert circuit.ohms("p", "m") == pytest.approx(shown)


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


def _simple(resistance=6.0, voltage=12.0):
    return Circuit((Part("heater", "p", "m", resistance),), "p", "m", voltage)


@pytest.mark.parametrize(
    ("match", "function", "values"),
    [
        ("resistance of heater is", lambda x: _simple(resistance=x), [-1.0, -np.inf]),
        ("source's voltage is", lambda x: _simple(voltage=x), [-1.0, 1e9, np.inf]),
    ],
)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, function, values):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, function, value)


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
