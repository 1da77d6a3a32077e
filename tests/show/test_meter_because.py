"""The sentence on a meter: the reason lies between its probes, and no mystery is given away."""

from dataclasses import replace
from itertools import product

import pytest

from warmside.hazards import WORK
from warmside.show.heater_meter import FAULTS, HEATERS, MYSTERIES, POINTS, MeterOnHeater, reading
from warmside.show.meter_because import because, way_between

START = MeterOnHeater()
OHMS = replace(START, isolated=True, meter="ohms")
OPEN = replace(START, fault="element 1 open")
REASONS = {
    "It shows 118.5 V because the supply’s volts stand there, but for 0.42 V lost on the way.": START,
    "It shows 0.22 V because that is all that 2.67 A lose in the live wire, a joint, the fuse": replace(
        START, red="A", black="F"
    ),
    "It shows 119.3 V because the supply’s volts stand there": OPEN,
    "meet 88.8 ohm on the whole way, where 44.5 ohm belong": replace(OPEN, meter="amps"),
    "It shows 88.7 ohm because the meter’s own small current goes through the heater alone, where": replace(
        OHMS, fault="element 1 open"
    ),
    "something between K and L has resistance: 2.46 A through it lose 9.83 V, and make 24 W": replace(
        START, fault="bad joint, return", red="K", black="L"
    ),
    "10.21 V are lost there or back": replace(START, fault="bad joint, live"),
    "the way is open between C and D: no current flows, so all of the supply’s volts": replace(
        START, fault="blown fuse", red="C", black="D"
    ),
    "without one a joint takes no volts, good or bad": replace(START, fault="blown fuse", red="B", black="C"),
    "don’t come to both points": replace(START, fault="board not calling"),
    "the supply gives no more than 103.1 V under load": replace(START, fault="low supply"),
    "nothing flows": replace(START, meter="amps", isolated=True),
    "follow the volts to where they stop": replace(START, meter="amps", fault="blown fuse"),
    "That proves it dead if the meter showed volts on a live source": replace(START, isolated=True),
    "both probes are on one point": replace(START, red="G"),
    "ohms are never measured on a live circuit": replace(START, meter="ohms"),
    "It shows OL because nothing leads from F to the sheath": replace(OHMS, black="N"),
    "It shows 20 kohm because a current finds a way": replace(OHMS, black="N", fault="leakage to ground"),
    "the supply’s wires are off the board": replace(OHMS, red="A", black="M"),
    "the way from C to D is open": replace(OHMS, red="C", black="D", fault="blown fuse"),
    "the sheath is grounded, so that it stands": replace(START, black="N"),
    "the ground wire joins the sheath": replace(OHMS, red="M", black="N"),
    "no point H and no J": replace(START, heater="battery", red="H", black="J"),
}


@pytest.mark.parametrize("reason", REASONS)
def test_the_reason_is_what_lies_between_the_probes(reason):
    assert reason in because(REASONS[reason])


def test_every_setting_has_one_reason_and_the_reading_in_it():
    for heater, fault, meter, isolated in product(HEATERS, FAULTS, ("volts", "amps", "ohms"), (False, True)):
        for red, black in product(POINTS, "CGN"):
            setting = replace(
                START, heater=heater, fault=fault, meter=meter, isolated=isolated, red=red, black=black
            )
            said, shown = because(setting), reading(setting).text
            assert said.count(" because ") == 1
            assert said.startswith("It shows nothing" if shown == "–" else f"It shows {shown} because ")
            assert "nan" not in said
            assert " inf" not in said


def test_live_ohms_are_refused_with_the_care_that_they_take():
    assert WORK["ohms"].caution in because(replace(START, meter="ohms"))


@pytest.mark.parametrize("name", MYSTERIES)
def test_a_mystery_is_told_only_when_asked(name):
    hidden = replace(START, fault=name)
    assert not any(text in because(hidden) for text in FAULTS.values())
    assert sum(text in because(replace(hidden, shown=True)) for text in FAULTS.values()) == 1
    named = replace(hidden, fault=hidden.true_fault)
    assert because(hidden) == because(named)  # readings alone


def test_the_boiler_s_heat_is_told_with_the_fault():
    assert because(replace(OPEN, shown=True)).endswith("Left on, the boiler gets 160 of 317 W.")


def test_the_way_is_named_in_order_from_either_end():
    assert way_between("F", "A") == way_between("A", "F")
    assert way_between("F", "H") == "a lead and a lead"
    assert way_between("F", "G") == ""
    assert way_between("M", "J") == "a lead, a joint and the return wire"
