"""Readings that can't be right together are told by field, and honest ones hardly ever are."""

import math
import re

import numpy as np
import pytest

from warmside.diagnosis.contradictions import contradictions_in
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, from_text
from warmside.units import Q_, to_si

AMBIENT = to_si(Q_(98.0, "degF"), "temperature")


def read(**values: str) -> Readings:
    return Readings(
        "8 cu ft", "mains", AMBIENT, {name: from_text(name, text) for name, text in values.items()}
    )


CONTRADICTIONS = (
    ({"condenser_air": "80 °F"}, ("condenser_air", "colder than the ambient of 98.0 °F")),
    ({"top_air": "70 °F"}, ("top_air", "colder than the ambient")),
    ({"boiler": "180 °F", "absorber": "230 °F"}, ("absorber", "boiler")),
    ({"vent_air": "140 °F", "condenser_air": "110 °F"}, ("vent_air", "condenser_air")),
    ({"voltage": "119 V", "resistance": "44 ohm", "current": "0.4 A"}, ("voltage", "resistance, current")),
    ({"fuse": "open", "current": "2.7 A"}, ("fuse", "current")),
    ({"voltage": "119 V", "supply_voltage": "105 V"}, ("119.0 V", "supply_voltage, 105.0 V")),
)


@pytest.mark.parametrize(("values", "told"), CONTRADICTIONS)
def test_readings_that_contradict_each_other_are_told_by_field(values, told):
    ((names, sentence),) = contradictions_in(read(cup="52 °F", freezer="24 °F", **values))
    assert set(names) <= set(values)
    for said in told:
        assert said in sentence
    assert sentence.count(".") - len(re.findall(r"\d\.\d", sentence)) == 1


def test_a_flame_that_burns_while_the_light_says_locked_out_is_told():
    for flame, told in (("steady blue", 1), ("weak", 1), ("out", 0)):
        readings = Readings("8 cu ft", "gas", AMBIENT, {"lockout": "lit", "flame": flame})
        assert len(contradictions_in(readings)) == told


def test_a_supply_without_volts_at_the_heater_contradicts_nothing():
    assert (
        contradictions_in(read(supply_voltage="119 V", voltage="0 V", resistance="44 ohm", current="0 A"))
        == []
    )
    assert (
        contradictions_in(read(supply_voltage="119 V", voltage="96 V", resistance="44 ohm", current="2.2 A"))
        == []
    )


@pytest.mark.full
def test_honest_readings_hardly_ever_contradict_each_other():
    cases = draw_cases(11, 3000)
    random = np.random.default_rng(4)
    told = 0
    for case in range(len(cases)):
        told += bool(contradictions_in(cases.measured(case, random)))
    assert told <= 30


def apart(off: float, *names: str) -> float:
    """So many times four standard deviations of readings; of one reading, with the ambient's."""
    errors = [READINGS[name].error for name in names]
    return off * 4.0 * math.hypot(*errors, *([AMBIENT_ERROR] if len(names) == 1 else []))


@pytest.mark.parametrize(("off", "told"), [(0.98, False), (1.02, True)])
def test_readings_contradict_each_other_from_four_standard_deviations_on(off, told):
    ambient = 305.0
    volts_amps_ohms = math.exp(-apart(off, "voltage", "resistance", "current"))
    for values in (
        {"top_air": ambient - apart(off, "top_air")},
        {"absorber": 400.0 + apart(off, "absorber", "boiler"), "boiler": 400.0},
        {"vent_air": 320.0 + apart(off, "vent_air", "condenser_air"), "condenser_air": 320.0},
        {"freezer": 280.0 + apart(off, "freezer", "cup"), "cup": 280.0},
        {"voltage": 110.0 * math.exp(apart(off, "voltage", "supply_voltage")), "supply_voltage": 110.0},
        {"voltage": 120.0, "resistance": 44.0, "current": 120.0 / 44.0 * volts_amps_ohms},
        {"voltage": 120.0, "resistance": 44.0, "current": 120.0 / 44.0 / volts_amps_ohms},
    ):
        assert bool(contradictions_in(Readings("8 cu ft", "mains", ambient, values))) is told, values


def test_a_stalled_unit_and_an_idle_boiler_contradict_nothing():
    ambient = 305.0
    for values, told in (
        ({"freezer": 304.0, "cup": 296.0}, False),
        ({"freezer": 302.0, "cup": 294.0}, True),
        ({"absorber": 390.0, "boiler": 334.0}, False),
        ({"absorber": 390.0, "boiler": 336.0}, True),
        ({"fuse": "open", "current": 0.09}, False),
        ({"fuse": "open", "current": 0.11}, True),
        ({"voltage": 120.0, "resistance": 1e4, "current": 0.04}, False),
        ({"voltage": 120.0, "resistance": 1e4, "current": 0.2}, True),
        ({"voltage": 120.0, "resistance": 44.0, "current": 0.0}, True),
        ({"voltage": 120.0, "resistance": 44.0, "current": 0.0, "fuse": "open"}, False),
    ):
        assert bool(contradictions_in(Readings("8 cu ft", "mains", ambient, values))) is told, values
