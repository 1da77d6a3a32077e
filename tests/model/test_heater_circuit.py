"""A heater's circuit: Kirchhoff at every point, energy, readings of each fault, bad input."""

import numpy as np
import pytest
from heater_cases import NOT_A_NUMBER, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.model import heater_circuit as wiring
from warmside.model.circuit import gauge_area, in_parallel
from warmside.model.fuse import Fuse
from warmside.model.heat_source import ELECTRIC, nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.model.installation import SIZES
from warmside.units import read_quantity, to_si

each_size = pytest.mark.parametrize("size", SIZES)
each_source = pytest.mark.parametrize("source", ELECTRIC)


@st.composite
def heaters(draw):
    """Heaters with any faults at once."""
    size, source = draw(st.sampled_from(SIZES)), draw(st.sampled_from(ELECTRIC))
    usual = HeaterCircuit.of(size, source)
    share = st.one_of(st.floats(0.5, 2.0), st.just(np.inf))
    joint = st.one_of(st.floats(0.0, 20.0), st.just(np.inf))
    return usual.changed(
        voltage=nominal_voltage(source) * draw(st.floats(0.0, 1.4)),
        elements=tuple(resistance * draw(share) for resistance in usual.elements),
        fuse_blown=draw(st.booleans()),
        switched_on=draw(st.booleans()),
        wire_area=gauge_area(draw(st.integers(4, 20))),
        wire_length=draw(st.floats(1.0, 50.0)),
        wire_temperature=draw(st.floats(250.0, 350.0)),
        joint=draw(joint),
        return_joint=draw(joint),
        insulation=draw(st.one_of(st.floats(10.0, 1e9), st.just(np.inf))),
    )


@settings(deadline=None)
@given(heaters())
def test_as_much_current_comes_as_goes_at_every_point(heater):
    circuit = heater.circuit
    amps = {part.name: circuit.amps(part.name) for part in circuit.parts}
    most = max(map(abs, amps.values()))
    for point in circuit.points:
        if point in (circuit.live, circuit.neutral):
            continue
        kept = sum(amps[p.name] * ((p.end == point) - (p.start == point)) for p in circuit.parts)
        assert kept == pytest.approx(0.0, abs=1e-7 * (1.0 + most))


@settings(deadline=None)
@given(heaters())
def test_the_supply_gives_what_all_parts_take(heater):
    circuit = heater.circuit
    power_in = heater.voltage * circuit.amps("supply")
    taken = sum(
        circuit.amps(part.name) ** 2 * part.resistance
        for part in circuit.parts
        if np.isfinite(part.resistance)
    )
    assert taken == pytest.approx(power_in, rel=1e-6, abs=1e-6)
    assert heater.heat <= power_in * (1 + 1e-6) + 1e-6


@settings(deadline=None)
@given(heaters())
def test_no_reading_is_out_of_this_world(heater):
    shown = heater.meter()
    for volts in (shown.supply_volts, shown.drop_volts):
        assert -1e-3 <= volts <= heater.voltage + 1e-3
    # a leak to ground with the return open turns the heater's few millivolts round: what its lead takes
    lead = heater.circuit.part("lead 1").resistance
    assert -shown.amps * lead - 1e-3 <= shown.heater_volts <= heater.voltage + 1e-3
    assert shown.amps >= -1e-9
    if shown.heater_volts > 1.0:
        assert shown.supply_volts == pytest.approx(shown.heater_volts + shown.drop_volts, rel=1e-3)
    assert shown.ohms > 0 and shown.ground_ohms > 0 and shown.fuse_ohms > 0
    assert heater.heat >= 0


@settings(deadline=None)
@given(heaters(), st.sampled_from(["joint", "return_joint", "wire_length"]), st.floats(0.0, 5.0))
def test_more_resistance_on_the_way_never_raises_heat_or_current(heater, where, more):
    worse = heater.changed(**{where: getattr(heater, where) + more})
    assert worse.heat <= heater.heat * (1 + 1e-6) + 1e-9
    assert worse.meter().amps <= heater.meter().amps * (1 + 1e-6) + 1e-9


@each_size
@each_source
def test_a_heater_in_order(size, source):
    heater = HeaterCircuit.of(size, source)
    shown, whole = heater.meter(), in_parallel(heater.elements)
    assert shown.ohms == pytest.approx(whole, rel=0.01)
    assert shown.heater_volts / shown.amps == pytest.approx(whole, rel=0.01)
    assert heater.heat == pytest.approx(shown.heater_volts**2 / whole, rel=1e-3)
    assert shown.ground_ohms > 10e6
    assert shown.drop_volts < 0.08 * nominal_voltage(source)
    assert shown.fuse_ohms == wiring.GOOD_CONTACT


@each_size
@each_source
def test_each_fault_shows_where_it_should(size, source):
    sound = HeaterCircuit.of(size, source)
    good = sound.meter()
    blown = sound.changed(fuse_blown=True).meter()
    assert blown.fuse_ohms == np.inf and blown.amps < 1e-4 and blown.heater_volts < 0.01
    off = sound.changed(switched_on=False).meter()
    assert off.amps < 1e-4 and off.fuse_ohms == wiring.GOOD_CONTACT
    dead = sound.changed(elements=(np.inf,) * len(sound.elements)).meter()
    assert dead.ohms == np.inf and dead.amps < 1e-4
    assert dead.heater_volts == pytest.approx(sound.voltage, rel=1e-3)
    leaky = sound.changed(insulation=2e4).meter()
    assert leaky.ground_ohms == pytest.approx(2e4, rel=1e-3)
    assert leaky.ohms == pytest.approx(good.ohms, rel=1e-3)
    for where in ("joint", "return_joint"):
        bad = sound.changed(**{where: 0.1 * good.ohms}).meter()
        assert bad.drop_volts > good.drop_volts + 0.05 * sound.voltage
        assert bad.amps < good.amps
        assert bad.ohms == pytest.approx(good.ohms)


def test_one_of_two_elements_open_halves_heat_and_current():
    sound = HeaterCircuit.of("8 cu ft")
    for elements in ((np.inf, sound.elements[1]), (sound.elements[0], np.inf)):
        half = sound.changed(elements=elements)
        assert half.heat == pytest.approx(sound.heat / 2, rel=0.02)
        assert half.meter().amps == pytest.approx(sound.meter().amps / 2, rel=0.02)
        assert half.meter().ohms == pytest.approx(2 * sound.meter().ohms, rel=1e-3)


def test_every_point_is_named_and_every_part_joins_two_of_them():
    circuit = HeaterCircuit.of("8 cu ft").circuit
    named = {wiring.element_live(2), wiring.element_return(1), wiring.GROUND, wiring.BOARD, wiring.FUSE_IN}
    assert named <= set(circuit.points)
    assert {end for part in circuit.parts for end in (part.start, part.end)} == set(circuit.points)


def test_a_heater_wired_in_feet_shows_what_one_in_metres_shows():
    feet = to_si(read_quantity("26 ft 3 in", "length"), "length")
    warm = to_si(read_quantity("86 °F", "temperature"), "temperature")
    us = HeaterCircuit.of("8 cu ft", wire_length=feet, wire_temperature=warm)
    metric = HeaterCircuit.of("8 cu ft", wire_length=26.25 * 0.3048, wire_temperature=303.15)
    assert us.meter().drop_volts == pytest.approx(metric.meter().drop_volts, rel=1e-9)


WRONG = [
    ("supply's voltage is", "voltage", [-1.0, 240.0, np.inf]),
    ("elements is", "elements", [(0.0,), (-1.0, 44.0), ("44",), (), 44.0, ((44.0, 44.0),)]),
    ("area is", "wire_area", [0.0, -1e-6, 1.0, np.inf]),
    ("length is", "wire_length", [-1.0, 1e9, np.inf]),
    ("temperature is", "wire_temperature", [0.0, 20.0, np.inf]),
    ("joint is", "joint", [-1.0]),
    ("return_joint is", "return_joint", [-1.0]),
    ("insulation is", "insulation", [-1.0]),
]


@pytest.mark.parametrize(("match", "field", "values"), WRONG)
def test_what_is_no_number_or_out_of_range_is_refused_in_one_sentence(match, field, values):
    for value in (*values, *NOT_A_NUMBER):
        refused(match, HeaterCircuit.of, "8 cu ft", **{field: value})
        refused(match, HeaterCircuit.of("8 cu ft").changed, **{field: value})


@pytest.mark.parametrize("name", ["ten", "", None, 8, [], "x" * 500])
def test_names_that_there_are_not(name):
    refused("size is .* must be one of six, eight, eighteen", HeaterCircuit.of, name)
    refused("must be one of mains, battery", HeaterCircuit.of, "8 cu ft", name)


def test_120_volts_on_a_battery_heater():
    refused("120 V; it must be from 0 to 20 V", HeaterCircuit.of, "8 cu ft", "battery", voltage=120.0)


def test_fields_that_there_are_not_and_things_of_another_kind():
    refused("has no “voltge”; it has size, source, voltage", HeaterCircuit.of, "8 cu ft", voltge=120.0)
    refused("has no “voltge”", HeaterCircuit.of("8 cu ft").changed, voltge=120.0)
    for wrong in (5.0, "5 A", None):
        refused("fuse is of the kind .* must be a Fuse", HeaterCircuit.of, "8 cu ft", fuse=wrong)
    for field in ("fuse_blown", "switched_on"):
        for wrong in (1, "yes", None):
            refused(f"{field} is .* True or False", HeaterCircuit.of, "8 cu ft", **{field: wrong})
    assert HeaterCircuit.of("8 cu ft", fuse=Fuse(3.0, 250.0)).fuse.current_rating == 3.0
