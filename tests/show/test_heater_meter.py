"""The meter on a heater's circuit: what it shows, with every fault."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from warmside.model.fuse import opens_first
from warmside.model.heater_circuit import HeaterCircuit
from warmside.show.fuses import show_fuse_times, show_fuses, surely
from warmside.show.heater_meter import FAULTS, HEATERS, MYSTERIES, MeterOnHeater, reading

START = MeterOnHeater()
ISOLATED_OHMS = replace(START, isolated=True, meter="ohms", red="E", black="K")


def test_volts_at_the_supply_are_those_at_the_heater_and_what_the_way_takes():
    def volts(red, black):
        return reading(replace(START, red=red, black=black)).value

    assert volts("A", "M") == pytest.approx(volts("A", "F") + volts("F", "G") + volts("G", "M"), abs=0.1)
    assert volts("G", "F") == -volts("F", "G")


def test_ohms_by_hand():
    # two elements of 120² / 162.5 = 88.6 ohm side by side; 120² / 210 = 68.6 ohm in the small one
    assert reading(ISOLATED_OHMS).text == "44.3 ohm"
    assert reading(replace(ISOLATED_OHMS, heater="mains, one element")).text == "68.6 ohm"
    assert reading(replace(ISOLATED_OHMS, fault="element 1 open")).text == "88.6 ohm"
    assert reading(replace(ISOLATED_OHMS, red="F", black="N")).text == "OL"
    assert reading(replace(ISOLATED_OHMS, red="F", black="N", fault="leakage to ground")).text == "20 kohm"


def test_ohms_are_refused_on_a_live_circuit():
    live = replace(ISOLATED_OHMS, isolated=False)
    assert reading(live).text == "–"
    assert np.isnan(reading(live).value)


def test_nothing_flows_when_isolated():
    assert reading(replace(START, isolated=True)).text == "0.00 V"
    assert reading(replace(START, isolated=True, meter="amps")).text == "0.00 A"


@pytest.mark.parametrize("heater", HEATERS)
@pytest.mark.parametrize("fault", [fault for fault in FAULTS if fault != "in order"])
def test_every_fault_can_be_found_with_the_meter(heater, fault):
    """Some reading differs from that of a circuit in order."""
    settings = [replace(START, heater=heater, meter="amps")]
    settings += [
        replace(START, heater=heater, red=red, black=black) for red, black in product("ABCDEF", "GKLM")
    ]
    settings += [
        replace(START, heater=heater, red=r, black=b) for r, b in ("AB", "BC", "CD", "DE", "KL", "LM")
    ]
    settings += [replace(ISOLATED_OHMS, heater=heater, red="F", black=black) for black in "GN"]
    assert any(reading(replace(setting, fault=fault)) != reading(setting) for setting in settings)


def test_mysteries_are_faults_each_once():
    circuits = [replace(START, fault=name).circuit for name in MYSTERIES]
    assert len(set(circuits)) == len(MYSTERIES)
    assert HeaterCircuit.of("8 cu ft") not in circuits
    assert not any(replace(START, fault=name).is_told for name in MYSTERIES)
    assert replace(START, fault=MYSTERIES[0], shown=True).is_told


def test_a_missing_point_is_none():
    setting = replace(START, heater="battery", red="H", black="J")
    assert setting.missing == ("H", "J")
    assert reading(setting).text == "–"
    assert replace(setting, meter="amps").missing == ()


def test_the_picture_of_two_fuses_has_words():
    assert "blade fuses of 5 and 15 A" in show_fuse_times(5, 15).data
    assert opens_first(5, 15, surely(5, 15))
    assert not opens_first(5, 15, surely(5, 15) * 1.03)


def test_the_table_of_fuses_says_what_is_dead():
    table = show_fuses().data
    assert "about 5 A, of a mains voltage rating" in table
    assert "2 to 5 A" in table
    assert "no lights, no mains, no gas, no battery heat" in table
