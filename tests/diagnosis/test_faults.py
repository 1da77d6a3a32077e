"""The catalogue of faults: complete, careful, and doing to the model what it says."""

import re
from functools import cache

import numpy as np
import pytest

from warmside.data import load
from warmside.diagnosis.drawing import Cases, draw_cases
from warmside.diagnosis.fault import Catalogue, Fault
from warmside.diagnosis.fault_effects import (
    CONTROL_STUCK,
    FAN_DOWN,
    FAN_STOPPED,
    FUSE_OPEN,
    GAS_EMPTY,
    GAS_SHUT,
    GAS_THERE,
    LOAD_AT_FINS,
    LOAD_HEAVY,
    LOAD_PACKED,
    NO_SPARK,
    OPEN_CIRCUIT,
    SENSOR_OFF,
    SENSOR_WRONG,
)
from warmside.diagnosis.fault_table import ENTRIES
from warmside.diagnosis.faults import FAULTS, PAIR_PRIOR, condemns, labels, possible, prior, title_of
from warmside.diagnosis.readings import column, readable
from warmside.errors import InputError
from warmside.hazards import WORK
from warmside.model.installation import HEAT_SOURCES, NO_BAFFLE
from warmside.model.refrigerator import Installation, steady_state
from warmside.model.sizes import SIZES

EVERYWHERE = [(size, source) for size in SIZES for source in HEAT_SOURCES]


@cache
def of(name: str, sizes: tuple[str, ...] = SIZES, heat_sources: tuple[str, ...] = HEAT_SOURCES) -> Cases:
    return draw_cases(3, 40, wanted=[(name,)], pair_share=0.0, sizes=sizes, heat_sources=heat_sources)


def where(name: str) -> dict:
    fault = FAULTS[name]
    return {"sizes": fault.sizes, "heat_sources": fault.heat_sources}


def test_the_catalogue_is_complete():
    assert len(FAULTS) >= 30
    assert next(iter(FAULTS)) == "none"
    for name, fault in FAULTS.items():
        assert fault.name == name
        assert fault.title and fault.remedy.endswith(".")
        assert fault.prior > 0.0
        assert FAULTS.of_code(fault.code) is fault


def test_every_prior_of_the_table_is_a_faults_under_its_title():
    priors = load("priors").fields
    assert set(priors) == {"pair", *FAULTS}
    for name, fault in FAULTS.items():
        assert priors[name].value == fault.prior
        assert priors[name].meaning == fault.title


def test_what_can_hurt_has_its_caution_and_is_not_for_owners():
    for fault in FAULTS.values():
        for source in fault.heat_sources:
            if fault.group in ("heat source", "unit"):
                assert fault.cautions(source), fault.name
            if fault.group == "unit" or (fault.group == "heat source" and source != "battery"):
                assert fault.not_for_owner(source), fault.name
    for name, source, word in (
        ("burner_weak", "gas", "carbon monoxide"),
        ("charge_lost", "mains", "ammonia"),
        ("circulation_blocked", "gas", "Never open"),
        ("fuse", "mains", "isn't dead yet"),
        ("heater_dead", "mains", "proven dead"),
        ("heater_dead", "battery", "negative post first"),
        ("boiler_insulation_lost", "gas", "mask"),
    ):
        assert word in " ".join(FAULTS[name].cautions(source))


def test_what_is_of_mains_isn_t_said_of_a_battery():
    for fault in FAULTS.values():
        if "battery" in fault.heat_sources:
            assert not re.search(r"mains|shore|unplug", " ".join(fault.cautions("battery"))), fault.name


def test_every_reach_behind_isolates_first():
    behind = WORK["reach_behind"].caution
    # at the supply, at the cylinder, under the wheels, on the roof
    elsewhere = {"low_voltage", "fuse", "gas_pressure_low", "cylinder_empty", "gas_valve_shut"}
    elsewhere |= {"out_of_level", "adverse_wind"}
    for fault in FAULTS.values():
        if fault.group in ("installation", "heat source", "unit") and fault.name not in elsewhere:
            assert fault.cautions(fault.heat_sources[0])[0] == behind, fault.name
            assert fault.first_steps != ("usual",), fault.name


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_changes_what_exists_and_nothing_else(name):
    cases = of(name, **where(name))
    assert FAULTS[name].touches <= of("none").situation.keys()
    for case in range(10):
        assert isinstance(cases.installation(case), Installation)


@pytest.mark.parametrize("name", sorted(set(FAULTS) - {"none"}))
def test_a_fault_is_seen_somewhere(name):
    """Its cases differ from good ones in what the unit does, or in a reading that shows it."""
    source = FAULTS[name].heat_sources[-1]
    both = [of(each, FAULTS[name].sizes, (source,)).readings for each in ("none", name)]
    good, bad = (values[:, [column(each) for each in readable(source)]] for values in both)
    spread = np.std(good, axis=0) + 1e-3 * np.mean(np.abs(good), axis=0) + 1e-9
    apart = np.abs(np.median(bad, axis=0) - np.median(good, axis=0)) / spread
    assert apart.max() > 0.8


@pytest.mark.parametrize(
    "name",
    ["lower_vent_blocked", "upper_vent_blocked", "fins_fouled", "boiler_insulation_lost", "charge_lost"],
)
def test_the_worse_the_warmer_on_a_hot_day(name):
    eight = Installation.of("8 cu ft")
    changes = FAULTS[name].effect(np.array([0.05, 0.95]), {"charge_pressure": eight.charge_pressure})
    mild, severe = steady_state(eight.changed(**changes), 314.0).food_temperature
    assert severe > mild > steady_state(eight, 314.0).food_temperature - 0.1


AS_IT_STANDS = {
    "rear_gap": 0.02,
    "baffle_gap": 0.01,
    "side_tilt": 0.001,
    "front_tilt": 0.002,
    "voltage": 120.0,
    "resistance": 44.0,
    "gas_pressure": 2740.0,
    "charge_pressure": 25e5,
    "gas_supply": 0.0,
    "load": 0.1,
    "setting": 275.0,
    "sensor_offset": 0.1,
}
DEGREE = np.pi / 180
BY_HAND = [
    ("none", 0.5, {}),
    ("lower_vent_blocked", 0.5, {"lower_vent_blocked": 0.735}),
    ("baffle_missing", 0.4, {"baffle_gap": 0.038}),
    ("baffle_missing", 0.6, {"baffle_gap": NO_BAFFLE}),
    ("cavity_too_deep", 0.5, {"rear_gap": 0.105, "baffle_gap": 0.061}),
    ("fan_dead", 0.3, {"fan_pressure": 0.0, "fan_state": FAN_STOPPED}),
    ("fan_backwards", 1.0, {"fan_pressure": 0.0, "wind_pressure": -0.45, "fan_state": FAN_DOWN}),
    ("out_of_level", 0.1, {"side_tilt": 4.44 * DEGREE, "front_tilt": 0.002}),
    ("out_of_level", 0.6, {"side_tilt": 5.84 * DEGREE, "front_tilt": 0.002}),
    ("out_of_level", 0.7, {"side_tilt": 0.001, "front_tilt": 7.7 * DEGREE}),
    ("low_voltage", 0.0, {"voltage": 113.4}),
    ("half_heater", 0.5, {"resistance": 88.0}),
    ("heater_dead", 0.2, {"resistance": OPEN_CIRCUIT}),
    ("fuse", 0.31, {"fuse": FUSE_OPEN}),
    ("gas_pressure_low", 1.0, {"gas_pressure": 959.0}),
    ("burner_weak", 0.5, {"burner": 0.62}),
    ("burner_weak", 0.86, {"burner": 0.0}),
    ("charge_lost", 0.1, {"charge_pressure": 0.734 * 25e5}),
    ("heavy_load", 0.1, {"load": 0.44, "food_place": LOAD_HEAVY}),
    ("heavy_load", 0.2, {"load": 0.48, "food_place": LOAD_AT_FINS}),
    ("thermostat", 0.5, {"setting": 285.0}),
    ("air_again", 0.5, {"recirculation": 0.245}),
    ("adverse_wind", 0.6, {"wind_pressure": -0.37}),
    ("bad_connection", 0.5, {"connection": 0.84}),
    ("flue_baffle", 0.0, {"flue_baffle": 0.82}),
    ("cylinder_empty", 0.4, {"gas_pressure": 0.0, "gas_supply": GAS_EMPTY}),
    ("gas_valve_shut", 0.4, {"gas_pressure": 0.0, "gas_supply": GAS_SHUT}),
    ("gas_valve_shut", 0.6, {"gas_pressure": 0.0, "gas_supply": GAS_THERE}),
    ("ignition_lockout", 0.1, {"spark": NO_SPARK}),
    ("still_air", 0.5, {"air_inside": 0.525, "sensor_offset": 5.6, "food_place": LOAD_PACKED}),
    ("sensor_off", 0.25, {"sensor_offset": 8.0, "sensor": SENSOR_WRONG}),
    ("sensor_off", 0.75, {"sensor_offset": -5.5, "sensor": SENSOR_OFF}),
    ("control_stuck", 0.9, {"sensor_offset": -30.0, "control": CONTROL_STUCK}),
    ("control_volts_low", 0.0, {"control_voltage": 10.3}),
]


@pytest.mark.parametrize(("name", "severity", "changes"), BY_HAND)
def test_what_a_fault_does_worked_out_by_hand(name, severity, changes):
    situation = {entry: np.full(1, value) for entry, value in AS_IT_STANDS.items()}
    done = FAULTS[name].effect(np.full(1, severity), situation)
    assert {entry: float(values[0]) for entry, values in done.items()} == pytest.approx(changes)


def test_heat_is_what_joule_says():
    low = of("low_voltage", heat_sources=("mains",))
    square = (low.situation["voltage"] * low.situation["connection"]) ** 2 / low.situation["resistance"]
    assert low.situation["heat_input"] == pytest.approx(square)
    assert (low.situation["voltage"] < 0.97 * 120).all()
    half = of("half_heater", sizes=("8 cu ft",), heat_sources=("mains",)).situation["heat_input"]
    good = of("none", sizes=("8 cu ft",), heat_sources=("mains",)).situation["heat_input"]
    assert half.mean() / good.mean() == pytest.approx(0.5, abs=0.02)
    assert (of("heater_dead", heat_sources=("mains",)).situation["heat_input"] == 0.0).all()
    fuses = of("fuse", heat_sources=("mains",)).situation
    assert (fuses["fuse"] == FUSE_OPEN).all()
    assert (fuses["heat_input"] == 0.0).all()
    bad = of("bad_connection", heat_sources=("battery",)).situation
    assert (bad["voltage"] > 0.96 * 12).all()
    at_heater = bad["connection"] * bad["voltage"]
    assert bad["heat_input"] == pytest.approx(at_heater**2 / bad["resistance"])


@pytest.mark.parametrize("name", [name for name, fault in FAULTS.items() if fault.leaves_no_heat])
def test_what_leaves_no_heat_leaves_none_and_is_paired_with_nothing(name):
    cases = of(name, **where(name))
    assert (cases.situation["heat_input"] == 0.0).all()
    for size, source in EVERYWHERE:
        assert not [pair for pair in labels(size, source)[1] if name in pair]


def test_a_control_without_volts_drops_valve_and_relay_on_any_source():
    cases = of("control_volts_low", **where("control_volts_low"))
    on_gas = cases.heat_source == "gas"
    assert (cases.readings[on_gas, column("gas_pressure")] == 0.0).all()
    assert (cases.readings[on_gas, column("lockout")] == 0).all()
    assert (cases.readings[~on_gas, column("voltage")] == 0.0).all()
    assert (cases.readings[~on_gas, column("supply_voltage")] > 110.0).all()
    other = [cases.readings[:, column(name)] for name in ("cup_on_gas", "cup_on_mains")]
    other = np.where(on_gas, other[1], other[0])
    assert (other > cases.ambient - 10.0).all()


def test_without_its_flue_baffle_a_burner_gives_the_boiler_less_and_the_flue_more():
    eight = Installation.of("8 cu ft", heat_source="gas")
    whole, less = (steady_state(eight.changed(flue_baffle=there), 305.0) for there in (1.0, 0.7))
    heat = float(eight.heat_input)
    assert [float(one.heat_input) for one in (whole, less)] == pytest.approx([0.55 * heat, 0.385 * heat])
    # what doesn't reach the boiler goes up the flue, two thirds of it into the air above the condenser
    assert float(less.flue_heat) == pytest.approx(0.30 / 0.45 * 0.615 * heat)
    mains = Installation.of("8 cu ft", flue_baffle=0.7)
    assert steady_state(mains, 305.0).heat_input == mains.heat_input


def test_gas_goes_with_the_root_of_its_pressure():
    gas = of("gas_pressure_low", sizes=("8 cu ft",), heat_sources=("gas",)).situation
    full = Installation.of("8 cu ft", heat_source="gas").heat_input * gas["burner"]
    nominal = 11 * 249.089  # Pa, 11 in w.c.
    assert gas["heat_input"] == pytest.approx(full * np.sqrt(gas["gas_pressure"] / nominal))


def test_faults_occur_only_where_they_can():
    for size, source in EVERYWHERE:
        names = possible(size, source)
        assert ("burner_weak" in names) == ("gas_pressure_low" in names) == (source == "gas")
        assert ("low_voltage" in names) == ("heater_dead" in names) == (source != "gas")
        assert ("half_heater" in names) == (source == "mains" and size != "6 cu ft")
        assert ("flue_baffle" in names) == ("cylinder_empty" in names) == (source == "gas")
        assert ("bad_connection" in names) == (source != "gas")
        assert ("control_volts_low" in names) == (source != "battery")
    for name in ("fan_dead", "fan_backwards"):
        assert (of(name).situation["fan_state"] > 1).all()


@pytest.mark.parametrize(("size", "source"), EVERYWHERE)
def test_pairs_are_of_the_kinds_stated(size, source):
    singles, pairs = labels(size, source)
    order = [label[0] for label in singles]
    assert len(set(pairs)) == len(pairs) > 50
    for first, second in pairs:
        assert order.index(first) < order.index(second)
        groups = {FAULTS[first].group, FAULTS[second].group}
        assert groups <= {"installation", "heat source", "use"} or groups == {"use", "control"}
        assert groups != {"heat source"}
        assert not (FAULTS[first].leaves_no_heat or FAULTS[second].leaves_no_heat)
        assert FAULTS[first].touches & FAULTS[second].touches <= {"baffle_gap"}
    assert ("door_seal", "frost") in pairs
    assert ("frost", "thermostat") in pairs
    assert ("fan_dead", "fan_backwards") not in pairs
    assert ("fan_backwards", "adverse_wind") not in pairs
    assert ("still_air", "sensor_off") not in pairs
    assert ("baffle_missing", "cavity_too_deep") in pairs
    assert ("side_gaps", "fan_dead") in pairs
    assert ("fan_dead", "out_of_level") in pairs


@pytest.mark.parametrize(("size", "source"), EVERYWHERE)
def test_priors_sum_to_one(size, source):
    for given in (None, {"frost": 0.0}, dict.fromkeys(FAULTS, 1.0)):
        believed = prior(size, source, given)
        assert sum(believed.values()) == pytest.approx(1.0)
        two = sum(value for label, value in believed.items() if len(label) == 2)
        assert two == pytest.approx(PAIR_PRIOR)


def test_a_pair_is_as_likely_as_both_together():
    believed = prior("8 cu ft", "mains", pair_prior=0.2)
    ratio = believed["lower_vent_blocked", "frost"] / believed["side_gaps", "door_seal"]
    assert ratio == pytest.approx((7 * 4) / (5 * 6))
    assert believed["side_gaps",] / believed["lower_vent_blocked",] == pytest.approx(5 / 7)
    assert sum(value for label, value in believed.items() if len(label) == 2) == pytest.approx(0.2)
    alone = dict.fromkeys(FAULTS, 0.0) | {"frost": 1.0}
    assert prior("6 cu ft", "gas", alone)["frost",] == 1.0


def test_what_is_said_of_a_pair_and_when_a_unit_is_gone():
    assert title_of(("fan_dead", "side_gaps")) == "Fan dead, and gaps beside the cabinet"
    assert condemns(("charge_lost",))
    assert condemns(("side_gaps", "charge_lost"))
    assert not condemns(("boiler_insulation_lost",))
    assert not condemns(("none",))


def test_a_fault_may_be_held_to_be_never_met():
    assert changed(prior=0.0).prior == 0.0


def test_priors_can_be_changed():
    twice = prior("6 cu ft", "gas", {"frost": 2 * FAULTS["frost"].prior})
    usual = prior("6 cu ft", "gas")
    ratio = (twice["frost",] / twice["none",]) / (usual["frost",] / usual["none",])
    assert ratio == pytest.approx(2.0)
    assert prior("6 cu ft", "gas", {"frost": 0.0})["frost",] == 0.0


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"gremlins": 1.0}, "there is no fault “gremlins”; there are none, lower_vent_blocked"),
        ({"frost": -1.0}, "-1.0 was read for frost; write a number from 0 on"),
        ({"frost": "often"}, "'often' was read for frost"),
        ({"frost": float("nan")}, "nan was read for frost"),
        (dict.fromkeys(FAULTS, 0.0), "every fault has 0"),
    ],
)
def test_wrong_priors_are_refused_in_a_sentence(given, sentence):
    with pytest.raises(InputError, match=sentence):
        prior("8 cu ft", "mains", given)


def changed(**entries) -> Fault:
    """The fault of a dead heater with other entries."""
    return Fault(
        **{name: getattr(FAULTS["heater_dead"], name) for name in Fault.__dataclass_fields__} | entries
    )


@pytest.mark.parametrize(
    ("entries", "sentence"),
    [
        ({"code": "x1"}, "fault heater_dead: its code is “x1”; write two to four letters a-z."),
        ({"code": "HD"}, "its code is “HD”"),
        ({"code": "h"}, "its code is “h”"),
        ({"prior": -1.0}, "its prior is -1.0; write a number from 0 on"),
        ({"prior": float("nan")}, "its prior is nan"),
        ({"group": "magic"}, "group has no “magic”; there are none, installation, heat source"),
        ({"cost": "dear"}, "cost has no “dear”; there are free, small"),
        ({"remedy_kind": "pray"}, "remedy_kind has no “pray”; there are explain"),
        ({"first_steps": ("run",)}, "first_steps has no “run”; there are usual"),
        ({"first_steps": ()}, "first_steps is empty; write one of usual"),
        ({"heat_sources": ("wood",)}, "heat_sources has no “wood”; there are mains"),
        ({"sizes": ()}, "sizes is empty; write one of 6 cu ft"),
    ],
)
def test_an_entry_that_is_no_fault_is_refused_in_a_sentence(entries, sentence):
    with pytest.raises(InputError, match=sentence):
        changed(**entries)


@pytest.mark.parametrize(
    ("entries", "sentence"),
    [
        ({}, "fault heater_dead: heater_dead has the name “heater_dead” already; give it another"),
        ({"name": "new"}, "fault new: heater_dead has the code “hd” already"),
        (
            {"name": "new", "code": "xx"},
            "fault new: heater_dead has the title “Heating element dead” already",
        ),
    ],
)
def test_what_another_fault_has_is_refused_in_a_sentence(entries, sentence):
    catalogue = Catalogue(*ENTRIES)
    with pytest.raises(InputError, match=sentence):
        catalogue.add(changed(**entries))
    assert list(catalogue) == list(FAULTS)
