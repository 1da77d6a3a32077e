"""The check of a heater's circuit: finds what is there, nothing in sound ones, and refuses bad input."""

import dataclasses
import itertools

import numpy as np
import pytest
from heater_cases import FAULTS, NOT_A_NUMBER, cases, is_one_sentence, refused, take_readings
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside import hazards
from warmside.data import load
from warmside.diagnosis.circuit_check import Fault, check_circuit
from warmside.diagnosis.circuit_readings import KINDS, OPEN, CircuitReadings
from warmside.errors import InputError
from warmside.model.circuit import gauge_area
from warmside.model.fuse import Fuse
from warmside.model.heat_source import ELECTRIC
from warmside.model.heater_circuit import HeaterCircuit
from warmside.model.sizes import SIZES
from warmside.units import from_si, show

READINGS = tuple(KINDS)
CASES = 200


def faults(readings: CircuitReadings) -> list[Fault]:
    return [finding.fault for finding in check_circuit(readings).findings]


def of(size: str = "8 cu ft", source: str = "mains", **readings: float) -> CircuitReadings:
    return CircuitReadings(size, source, **readings)


def sound(size: str = "8 cu ft", source: str = "mains", **changes: float) -> CircuitReadings:
    """All readings of a heater in order, some of them changed."""
    heater = HeaterCircuit.of(size, source)
    taken = take_readings(heater, holder_amps=heater.fuse.current_rating)
    return dataclasses.replace(taken, **changes)


def only(readings: CircuitReadings, names: tuple[str, ...]) -> CircuitReadings:
    """The readings of these names, the others not taken."""
    return dataclasses.replace(readings, **{name: None for name in READINGS if name not in names})


# --- what is there is found ---


@pytest.mark.parametrize("fault", [None, *FAULTS], ids=str)
def test_the_fault_that_is_there_is_named_first(fault):
    wrong = {}
    for number, (_, readings) in enumerate(cases(CASES, 7, fault)):
        found = faults(readings)
        if (found[0] if found else None) is not fault:
            wrong[number] = found
    assert not wrong


def with_nuisances(readings: CircuitReadings, random: np.random.Generator) -> CircuitReadings:
    """The wire paced up to a quarter wrong, the element cold, and an ohmmeter that counts its leads."""
    return dataclasses.replace(
        readings,
        wire_length=readings.wire_length / random.uniform(0.75, 1.25),
        ohms=readings.ohms / random.uniform(1.0, 1.06) + random.uniform(0.0, 0.2),
    )


@pytest.mark.parametrize("fault", [None, *(each for each in FAULTS if each is not Fault.THIN_WIRE)], ids=str)
def test_nuisances_hide_nothing_and_raise_no_alarm(fault):
    random = np.random.default_rng(17)
    for _, readings in cases(CASES // 2, 17, fault):
        found = faults(with_nuisances(readings, random))
        assert (found[0] if found else None) is fault


ALSO_TRUE = {Fault.FUSE_BLOWN: {Fault.INTERRUPTED}, Fault.THIN_WIRE: {Fault.JOINT}}
"""What else may be said where readings are missing: a blown fuse interrupts, thin wire loses volts."""


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_some_of_the_readings_point_at_the_fault_or_at_nothing(fault):
    random = np.random.default_rng(19)
    for _, readings in cases(CASES // 2, 19, fault):
        names = random.permutation(READINGS)[: random.integers(len(READINGS))]
        assert set(faults(only(readings, tuple(names)))) <= {fault} | ALSO_TRUE.get(fault, set())


REACHED = {
    Fault.LEAKAGE: of(ground_ohms=5e4),
    Fault.DISAGREEMENT: of(heater_volts=118.0, amps=2.67, ohms=88.0),
    Fault.FUSE_BLOWN: of(fuse_ohms=OPEN),
    Fault.WRONG_FUSE: of(fuse_amps=5.0, fuse_rated_volts=32.0),
    Fault.HEATER_OPEN: of(ohms=OPEN),
    Fault.ONE_OF_TWO_OPEN: of(ohms=88.6),
    Fault.WRONG_HEATER: of(ohms=30.0),
    Fault.NO_SUPPLY: of(supply_volts=0.0),
    Fault.LOW_SUPPLY: of(supply_volts=104.0),
    Fault.HIGH_SUPPLY: of(supply_volts=140.0),
    Fault.JOINT: of(drop_volts=14.0, amps=2.3, heater_volts=104.0),
    Fault.THIN_WIRE: of("8 cu ft", "battery", wire_area=float(gauge_area(10)), wire_length=6.0),
    Fault.INTERRUPTED: of(supply_volts=120.0, heater_volts=0.0),
}


@pytest.mark.parametrize("fault", Fault, ids=str)
def test_every_fault_can_be_reached(fault):
    assert faults(REACHED[fault]) == [fault]


CONTRADICTIONS = {
    "volts over amps are not the ohms": {"heater_volts": 118.0, "amps": 2.67, "ohms": 60.0},
    "half the ohms": {"heater_volts": 118.0, "amps": 2.67, "ohms": 22.0},
    "volts at a sound heater, no current": {"heater_volts": 118.0, "amps": 0.0, "ohms": 44.0},
    "current through an open heater": {"heater_volts": 118.0, "amps": 2.67, "ohms": OPEN},
    "current through an open heater, no volts taken": {"amps": 2.67, "ohms": OPEN},
    "current and no volts at the heater": {"heater_volts": 0.0, "amps": 2.67, "supply_volts": 120.0},
    "current through a blown fuse": {"heater_volts": 118.0, "amps": 2.67, "fuse_ohms": OPEN},
    "volts that don't add up": {"supply_volts": 120.0, "heater_volts": 104.0, "drop_volts": 0.4},
    "a drop that both ends deny": {
        "supply_volts": 120.0,
        "heater_volts": 119.0,
        "drop_volts": 14.0,
        "amps": 2.7,
    },
    "more volts at the heater than at the supply": {
        "supply_volts": 112.0,
        "heater_volts": 128.0,
        "drop_volts": 1.0,
    },
}


@pytest.mark.parametrize("readings", CONTRADICTIONS.values(), ids=CONTRADICTIONS)
def test_readings_that_contradict_each_other_are_told_and_nothing_is_made_of_them(readings):
    assert faults(of(**readings)) == [Fault.DISAGREEMENT]
    assert not any("The wires lose" in words for words in check_circuit(of(**readings)).consistent)


@settings(deadline=None)
@given(st.sampled_from(SIZES), st.floats(90, 130), st.floats(0.5, 2.0))
def test_ohm_s_law_is_kept_within_the_meter_and_broken_beyond_it(size, volts, off):
    ohms = of(size).nominal_ohms
    contradict = Fault.DISAGREEMENT in faults(
        of(size, heater_volts=volts, amps=volts / ohms, ohms=ohms * off)
    )
    if 0.96 < off < 1.04:
        assert not contradict
    if off < 0.8 or off > 1.2:
        assert contradict


def test_leakage_comes_before_all_and_cautions_before_it():
    report = check_circuit(sound(ground_ohms=1e4, supply_volts=100.0, ohms=88.6, fuse_ohms=OPEN))
    assert [finding.fault for finding in report.findings] == [Fault.LEAKAGE]
    assert (report.consistent, report.measure_next) == ((), ())
    assert [field.name for field in dataclasses.fields(report)][:2] == ["cautions", "stops"]
    assert "kills" in report.cautions[0]
    assert any("proven dead" in caution for caution in report.cautions)
    assert report.cautions[-1] == hazards.FIRST


def test_a_wrong_fuse_ends_the_check():
    report = check_circuit(sound(fuse_rated_volts=32.0, supply_volts=100.0, ohms=88.6))
    assert [sign.name for sign in report.stops] == ["wrong_fuse"]
    assert [finding.fault for finding in report.findings] == [Fault.WRONG_FUSE]
    assert report.findings[0].next_step in report.stops[0].steps
    assert (report.consistent, report.measure_next) == ((), ())


@pytest.mark.parametrize("name", hazards.STOP_SIGNS)
def test_a_stop_sign_that_was_met_ends_the_check(name):
    for readings in (of(stop_signs=(name,)), sound(supply_volts=100.0, stop_signs=(name,))):
        report = check_circuit(readings)
        assert [sign.name for sign in report.stops] == [name]
        assert (report.findings, report.consistent, report.measure_next) == ((), (), ())
    assert CircuitReadings.read("8 cu ft", "mains", (name,), amps="2.7 A").stop_signs == (name,)


def test_a_sign_that_there_is_none_of_is_refused():
    with pytest.raises(InputError, match="no stop sign “damp”; there are gas, "):
        of(stop_signs=("damp",))


def test_cautions_are_those_of_the_source_and_stand_with_their_work():
    on_mains, on_battery = (check_circuit(of(source=source)).cautions for source in ELECTRIC)
    assert any("negative post first" in caution for caution in on_battery)
    assert not any("mains" in caution for caution in on_battery)
    live = next(caution for caution in on_mains if caution.startswith(hazards.WORK["volts_under_load"].title))
    assert "nplug" not in live and "proven dead" not in live


@pytest.mark.parametrize("fault", [each for each in FAULTS if each is not Fault.LEAKAGE], ids=str)
def test_leakage_comes_before_any_other_fault(fault):
    for _, readings in cases(10, 3, fault):
        assert faults(dataclasses.replace(readings, ground_ohms=2e4))[0] is Fault.LEAKAGE


# --- sound circuits, and no false alarm ---

HAND_MADE = {
    "wire paced a quarter short": sound(wire_length=8.0 * 0.75),
    "wire paced a quarter long": sound(wire_length=8.0 * 1.25),
    "battery wire paced a quarter short": sound(source="battery", wire_length=5.0 * 0.75),
    "battery wire paced a quarter long": sound(source="battery", wire_length=5.0 * 1.25),
    "cold ohms read 5 % low": sound(ohms=44.3 * 0.95),
    "cold ohms read 5 % high": sound(ohms=44.3 * 1.05),
    "element 6 % hotter and the meter 2 % off each way": sound(
        ohms=44.3 * 0.98, heater_volts=119.0 * 1.02, amps=2.67 / 1.06 * 0.98
    ),
    "ordinary ohmmeter on a battery heater, leads not taken off": sound(source="battery", ohms=0.457 + 0.25),
    "ordinary ohmmeter that shows 0.5 ohm": sound("18 cu ft", "battery", ohms=0.5),
    "long cord at a site of 110 V": take_readings(
        HeaterCircuit.of("18 cu ft", voltage=112.0, wire_length=25.0)
    ),
    "generator at 126 V": take_readings(HeaterCircuit.of("6 cu ft", voltage=127.0)),
    "battery on a charger at 14.4 V": take_readings(HeaterCircuit.of("8 cu ft", "battery", voltage=14.6)),
    "battery with the engine off, 12.2 V": take_readings(
        HeaterCircuit.of("8 cu ft", "battery", voltage=12.2)
    ),
    "insulation of 2 megohm after damp storage": sound(ground_ohms=2e6),
    "larger wire than asked for": sound(wire_area=float(gauge_area(10))),
    "fuse read with the meter's leads": sound(fuse_ohms=0.4),
}


@pytest.mark.parametrize("readings", HAND_MADE.values(), ids=HAND_MADE)
def test_what_happens_at_sound_heaters_is_no_fault(readings):
    assert faults(readings) == []


def test_a_brown_out_is_a_low_supply_and_nothing_else():
    found = check_circuit(take_readings(HeaterCircuit.of("8 cu ft", voltage=106.0))).findings
    assert [each.fault for each in found] == [Fault.LOW_SUPPLY]
    assert "77 % of the nominal heat" in found[0].because
    assert "pedestal" in found[0].next_step


def test_a_battery_that_nothing_charges_is_told_without_a_fault():
    report = check_circuit(take_readings(HeaterCircuit.of("8 cu ft", "battery", voltage=12.2)))
    assert any("nothing seems to charge the battery" in words for words in report.consistent)
    empty = check_circuit(take_readings(HeaterCircuit.of("8 cu ft", "battery", voltage=11.5)))
    assert [each.fault for each in empty.findings] == [Fault.LOW_SUPPLY]
    assert "engine" in empty.findings[0].next_step and "pedestal" not in empty.findings[0].next_step


def test_a_measured_drop_stands_against_a_paced_length():
    """Wire paced far too long looks too thin; the volts that were measured along it say it isn't."""
    paced = sound(source="battery", wire_length=15.0)
    small = dataclasses.replace(paced, drop_volts=0.4, heater_volts=13.0, supply_volts=13.4)
    assert Fault.THIN_WIRE in faults(only(paced, ("wire_area", "wire_length")))
    assert faults(small) == []


def test_a_drop_is_known_from_both_ends_where_it_was_not_measured():
    assert faults(of(supply_volts=120.0, heater_volts=96.0, amps=2.2)) == [Fault.JOINT]
    assert faults(of(supply_volts=120.0, heater_volts=96.0)) == [Fault.JOINT]
    assert faults(of(supply_volts=120.0, heater_volts=117.0)) == []
    assert faults(of(supply_volts=120.0, drop_volts=119.0)) == [Fault.INTERRUPTED]
    assert faults(of(drop_volts=119.0)) == []
    one = check_circuit(of(supply_volts=120.0, heater_volts=96.0)).findings[0]
    assert "or the wire is too thin" in one.because  # neither its area nor its length is known


BOUNDS = {
    # the last reading that is in order, the first that isn't, and what it is then
    "low mains": ("mains", {"supply_volts": 108.0}, {"supply_volts": 107.9}, Fault.LOW_SUPPLY),
    "high mains": ("mains", {"supply_volts": 132.0}, {"supply_volts": 132.1}, Fault.HIGH_SUPPLY),
    "no mains": ("mains", {"supply_volts": 3.59}, {"supply_volts": 3.61}, None),
    "low battery": ("battery", {"supply_volts": 11.8}, {"supply_volts": 11.79}, Fault.LOW_SUPPLY),
    "high battery": ("battery", {"supply_volts": 15.2}, {"supply_volts": 15.21}, Fault.HIGH_SUPPLY),
    "insulation": ("mains", {"ground_ohms": 0.98e6}, {"ground_ohms": 0.979e6}, Fault.LEAKAGE),
    "fuse": ("mains", {"fuse_ohms": 10.0}, {"fuse_ohms": 10.1}, Fault.FUSE_BLOWN),
    "volts at the heater": (
        "mains",
        {"supply_volts": 120.0, "heater_volts": 3.7},
        {"supply_volts": 120.0, "heater_volts": 3.5},
        Fault.INTERRUPTED,
    ),
}


@pytest.mark.parametrize(("source", "last", "first", "fault"), BOUNDS.values(), ids=BOUNDS)
def test_where_a_fault_begins(source, last, first, fault):
    if fault is None:
        assert faults(of(source=source, **last)) == [Fault.NO_SUPPLY]
        assert faults(of(source=source, **first)) == [Fault.LOW_SUPPLY]
    else:
        assert fault not in faults(of(source=source, **last))
        assert fault in faults(of(source=source, **first))


def test_a_battery_is_charged_from_the_voltage_of_the_table_on():
    for shown, told in ((12.6, False), (12.59, True)):
        said = check_circuit(of(source="battery", supply_volts=shown)).consistent
        assert any("nothing seems to charge" in words for words in said) is told


@pytest.mark.parametrize(("off", "told"), [(0.99, False), (1.01, True)])
def test_volts_add_up_within_what_two_meters_allow(off, told):
    # supply and heater each by 1.1 of 2 %, the drop by 2 % of itself
    supply, heater = 120.0, 110.0
    doubt = 1.1 * 0.02 * (supply + heater)
    drop = (supply - heater + off * doubt) / (1.0 - off * 0.02)
    assert (
        Fault.DISAGREEMENT in faults(of(supply_volts=supply, heater_volts=heater, drop_volts=drop))
    ) is told


@pytest.mark.parametrize(("off", "told"), [(0.99, False), (1.01, True)])
def test_ohms_agree_with_volts_over_amps_within_both_meters(off, told):
    # 3.3 times 2 % and 0.3 ohm each way; 6 % besides where the element is hot
    hot = 119.0 / 2.6
    for ohms in ((hot - 0.3 * off) / (1.0 + off * 0.126), (hot + 0.3 * off) / (1.0 - off * 0.066)):
        assert (Fault.DISAGREEMENT in faults(of(heater_volts=119.0, amps=2.6, ohms=ohms))) is told


@pytest.mark.parametrize(("off", "told"), [(0.99, False), (1.01, True)])
def test_what_wires_may_lose_is_their_own_and_some_for_contacts(off, told):
    area, length, current = float(gauge_area(14)), 8.0, 2.6
    wire = of(wire_area=area, wire_length=length).wire_ohms
    may = (wire * 1.35 + 0.15) * current / (1.0 - 2.0 * 0.02)
    lost = of(drop_volts=off * may, amps=current, wire_area=area, wire_length=length)
    assert (Fault.JOINT in faults(lost)) is told


@pytest.mark.parametrize(("off", "told"), [(0.999, False), (1.001, True)])
def test_wire_may_take_a_twentieth_of_the_supply(off, told):
    area, one = (
        float(gauge_area(10)),
        of("8 cu ft", "battery", wire_area=float(gauge_area(10)), wire_length=1.0),
    )
    length = off * 0.05 * 12.0 / (one.wire_ohms * one.nominal_amps)
    assert (Fault.THIN_WIRE in faults(of("8 cu ft", "battery", wire_area=area, wire_length=length))) is told


@pytest.mark.parametrize(("off", "told"), [(0.99, False), (1.01, True)])
def test_an_element_is_right_within_its_tolerance_and_the_meters(off, told):
    right = of().nominal_ohms
    doubt = 0.08 + 2.5 * 0.02 + 0.3 / right
    for ohms in (right * (1.0 - off * doubt), right * (1.0 + off * doubt)):
        assert bool(faults(of(ohms=ohms))) is told


@pytest.mark.parametrize("ratio", [2.0, 1.7, 2.3])
def test_one_of_two_elements_open_is_twice_the_resistance(ratio):
    assert faults(of(ohms=ratio * of().nominal_ohms)) == [Fault.ONE_OF_TWO_OPEN]
    assert faults(of("6 cu ft", ohms=ratio * of("6 cu ft").nominal_ohms)) == [Fault.WRONG_HEATER]


# --- partial readings ---


@settings(deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([None, *FAULTS]), st.data())
def test_any_subset_of_readings_is_checked_and_a_sound_heater_has_no_fault(seed, fault, data):
    _, readings = next(cases(1, seed, fault))
    names = data.draw(st.lists(st.sampled_from(READINGS), unique=True))
    report = check_circuit(only(readings, tuple(names)))
    for finding in report.findings:
        assert is_one_sentence(finding.because) and is_one_sentence(finding.next_step)
    if fault is None:
        assert report.findings == ()
        assert len(report.measure_next) == len(READINGS) - len(names)
    if report.findings:
        assert report.measure_next == ()


@pytest.mark.parametrize("taken", list(itertools.combinations(READINGS, 2)))
def test_what_is_missing_is_listed_once_and_in_one_order(taken):
    everything = check_circuit(of()).measure_next
    assert len(everything) == len(set(everything)) == len(READINGS)
    left = check_circuit(only(sound(), taken)).measure_next
    assert len(left) == len(READINGS) - 2
    assert [words for words in everything if words in left] == list(left)


@pytest.mark.parametrize("name", READINGS)
def test_each_reading_has_its_own_words(name):
    """All but one are taken: exactly that one is asked for."""
    (asked,) = check_circuit(only(sound(), tuple(each for each in READINGS if each != name))).measure_next
    expected = {"volts": "olts", "amps": "mps", "ohms": "hms", "area": "gauge", "length": "length"}
    assert expected[name.rpartition("_")[2]] in asked
    assert check_circuit(sound()).measure_next == ()


def test_live_measurements_come_first_then_the_dead_ones_with_the_insulation_before_the_others():
    order = check_circuit(of()).measure_next
    on = [number for number, words in enumerate(order) if "heater on" in words]
    assert on == list(range(len(on)))
    assert "sheath" in order[len(on)]


# --- words ---


def test_all_that_is_said_is_one_sentence_each():
    said = set()
    several = [readings for fault in (None, *FAULTS) for _, readings in cases(15, 11, fault)]
    contradicting = [of(**each) for each in CONTRADICTIONS.values()]
    battery = [
        of("6 cu ft", "battery", **each)
        for each in (
            {"supply_volts": 0.0},
            {"supply_volts": 11.0},
            {"supply_volts": 17.0},
            {"ground_ohms": 2e3},
            {"ohms": 40.0},
            {"ohms": 0.8},
            {"supply_volts": 13.0, "heater_volts": 0.0},
        )
    ]
    for readings in (*several, *contradicting, *battery, *REACHED.values(), *HAND_MADE.values()):
        report = check_circuit(readings)
        said.update(report.consistent, report.measure_next)
        for finding in report.findings:
            said.update((finding.because, finding.next_step))
    for sentence in said:
        assert is_one_sentence(sentence), sentence
        assert sentence[0].isupper() or sentence[0].isdigit(), sentence
        assert len(sentence) < 280, sentence
        assert "e-" not in sentence.replace("one-", ""), sentence  # no figure such as 1e-05
        assert " inf" not in sentence.replace("information", ""), sentence
        assert "nan" not in sentence


@pytest.mark.parametrize("source", ELECTRIC)
def test_words_belong_to_the_source(source):
    other = {"mains": "battery", "battery": "off at the supply"}[source]
    for fault in FAULTS:
        for _, readings in cases(8, 5, fault):
            if readings.source == source:
                for finding in check_circuit(readings).findings:
                    assert other not in finding.because + finding.next_step


def test_findings_that_want_hands_on_say_to_make_it_dead():
    for fault in (Fault.HEATER_OPEN, Fault.ONE_OF_TWO_OPEN, Fault.FUSE_BLOWN):
        (finding,) = check_circuit(REACHED[fault]).findings
        assert "prove it dead" in finding.next_step
    assert "proven dead before" in check_circuit(REACHED[Fault.JOINT]).findings[0].next_step
    assert "power off" in check_circuit(REACHED[Fault.LEAKAGE]).findings[0].next_step


# --- reading texts ---

TEXTS = {
    "supply_volts": "118.4 V",
    "heater_volts": "0.1175 kV",
    "drop_volts": "900 mV",
    "amps": "2650 mA",
    "ohms": "44 ohm",
    "ground_ohms": "OL",
    "fuse_ohms": "0.1 ohm",
    "fuse_amps": "5 A",
    "fuse_rated_volts": "250 V",
    "holder_amps": "5A",
    "wire_area": "14 AWG",
    "wire_length": "26 ft",
}


def test_readings_are_read_from_texts():
    read = CircuitReadings.read("8 cu ft", "mains", **TEXTS)
    si = of(
        supply_volts=118.4,
        heater_volts=117.5,
        drop_volts=0.9,
        amps=2.65,
        ohms=44.0,
        ground_ohms=OPEN,
        fuse_ohms=0.1,
        fuse_amps=5.0,
        fuse_rated_volts=250.0,
        holder_amps=5.0,
        wire_area=float(gauge_area(14)),
        wire_length=26 * 0.3048,
    )
    for name in READINGS:
        assert getattr(read, name) == pytest.approx(getattr(si, name)), name
    assert faults(read) == faults(si) == []


@pytest.mark.parametrize("text", ["14 AWG", "AWG 14", "awg14", "#14", "gauge 14", "14ga", " 14  gauge "])
def test_a_gauge_as_people_write_it(text):
    assert CircuitReadings.read("6 cu ft", "mains", wire_area=text).wire_area == pytest.approx(
        2.0809e-6, rel=1e-4
    )


@pytest.mark.parametrize(("us", "metric"), [("0.00323 in²", "2.084 mm²"), ("0.0129 in²", "0.0832 cm2")])
def test_an_area_in_us_and_metric_units_is_the_same_wire(us, metric):
    one, other = (
        CircuitReadings.read("6 cu ft", "mains", wire_area=text, wire_length="20 ft") for text in (us, metric)
    )
    assert one.wire_ohms == pytest.approx(other.wire_ohms, rel=1e-3)


@pytest.mark.parametrize("system", ["US", "SI"])
def test_all_that_is_shown_is_read_back(system):
    for _, readings in cases(20, 13, None):
        texts = {
            name: "open" if value == OPEN else show(from_si(value, kind), system, kind=kind, digits=9)
            for name, kind in KINDS.items()
            if (value := getattr(readings, name)) is not None
        }
        back = CircuitReadings.read(readings.size, readings.source, **texts)
        for name in texts:
            assert getattr(back, name) == pytest.approx(getattr(readings, name), rel=1e-3, abs=1e-9)
        assert faults(back) == []


@pytest.mark.parametrize("word", ["open", "Open", " OL ", "o.l.", "infinite", "no connection"])
@pytest.mark.parametrize("name", [name for name, kind in KINDS.items() if kind == "resistance"])
def test_an_open_connection_as_people_write_it(word, name):
    assert getattr(CircuitReadings.read("8 cu ft", "mains", **{name: word}), name) == OPEN


# --- bad input ---

OUT_OF_RANGE = {
    "supply_volts": [-1.0, 240.0, 1e9],
    "heater_volts": [-1.0, 240.0],
    "drop_volts": [-0.5, 400.0],
    "amps": [-2.7, 50.0, np.inf],
    "ohms": [-44.0, 0.0, 1.0],
    "ground_ohms": [-1.0],
    "fuse_ohms": [-1.0],
    "fuse_amps": [0.0, -5.0, 1e4, np.inf],
    "fuse_rated_volts": [0.0, -32.0, 1e5, np.inf],
    "holder_amps": [0.0, -5.0, 1e4, np.inf],
    "wire_area": [0.0, -2e-6, 1.0, np.inf],
    "wire_length": [0.0, -8.0, 1e9, np.inf],
}


@pytest.mark.parametrize("name", READINGS)
def test_a_reading_that_is_none_is_refused_in_one_sentence(name):
    for value in (*OUT_OF_RANGE[name], *NOT_A_NUMBER, [1.0, 2.0], np.array([2.0])):
        if value is not None:
            refused(f"^{name} is .* must be", of, **{name: value})


UNREADABLE = [
    *[
        "",
        " ",
        "abc",
        "V",
        "12",
        "14",
        "12 lb",
        "-5 V",
        "-5 A",
        "-5 ohm",
        "-5 m",
        "nan V",
        "inf A",
        "1e999 ohm",
    ],
    *["12,5 V", "9e9 V", "9e9 A", "9e99 m", "9e9 in²", "99 AWG", "-3 AWG", "5 A 3 V", "1/0 V", "x" * 1000],
    *[None, 5, 5.0, [], True, np.nan],
]


@pytest.mark.parametrize("name", READINGS)
def test_a_text_that_is_no_reading_is_refused_in_one_sentence(name):
    for text in UNREADABLE:
        refused(f"^{name}", CircuitReadings.read, "8 cu ft", "mains", **{name: text})


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        (
            "supply_volts",
            "120",
            "supply_volts: “120” was read, without a unit; write a voltage such as 120 V.",
        ),
        ("wire_area", "thick", "write an area such as 14 AWG."),
        ("wire_area", "99 AWG", "wire_area: The wire's gauge is 99; it must be a number from 0 to 40"),
        (
            "ohms",
            "0.1 ohm",
            "ohms is 0.1 ohm; it must be 2.2 ohm or more, or open: .* see that no leads touch",
        ),
        ("amps", "27 A", "amps is 27 A; it must be from 0 to 13.5 A, and is about 2.71 A here"),
        ("wire_length", "5000 ft", "wire_length is 1524 m; it must be from 0.1 to 200 m one way"),
    ],
)
def test_what_would_be_right_is_told(name, text, sentence):
    refused(sentence, CircuitReadings.read, "8 cu ft", "mains", **{name: text})


def test_120_volts_at_a_battery_heater_are_refused():
    for name in ("supply_volts", "heater_volts"):
        refused(
            f"{name} is 120 V; .* from 0 to 20 V on a battery circuit",
            of,
            "8 cu ft",
            "battery",
            **{name: 120.0},
        )


@pytest.mark.parametrize(
    "name", ["ten", "", None, 8, [], "Eight", np.array(["6 cu ft", "8 cu ft"]), "x" * 500]
)
def test_sizes_and_sources_that_there_are_not(name):
    refused("^size is .* must be a volume from 4 to 20", CircuitReadings, name, "mains")
    refused("^source is .* must be one of mains, battery", CircuitReadings, "8 cu ft", name)
    refused("^source is .* must be one of mains, battery", CircuitReadings.read, "8 cu ft", "gas")


def test_a_reading_that_there_is_not():
    refused(
        "There is no reading “volts”; there are supply_volts",
        CircuitReadings.read,
        "8 cu ft",
        "mains",
        volts="5 V",
    )


texts = st.one_of(
    st.text(max_size=30),
    st.from_regex(
        r"-?[0-9]{0,12}[.,/]?[0-9]{0,3} ?(V|mV|A|ohm|Ω|kohm|m|ft|in|AWG|ga|mm2|in²|#|°F|)", fullmatch=True
    ),
    st.builds("{} {}".format, st.floats(), st.sampled_from(["V", "A", "ohm", "Mohm", "ft", "AWG", "mm²"])),
)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([*SIZES, "ten"]),
    st.sampled_from([*ELECTRIC, "gas"]),
    st.dictionaries(st.sampled_from([*READINGS, "volts"]), texts, max_size=4),
)
def test_random_texts_are_read_and_checked_or_refused_in_one_sentence(size, source, readings):
    try:
        read = CircuitReadings.read(size, source, **readings)
    except InputError as problem:
        assert is_one_sentence(str(problem)), str(problem)
        return
    check_circuit(read)


numbers = st.floats(allow_nan=True, allow_infinity=True)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(SIZES), st.sampled_from(ELECTRIC), st.dictionaries(st.sampled_from(READINGS), numbers))
def test_random_numbers_are_checked_or_refused_in_one_sentence(size, source, readings):
    try:
        read = CircuitReadings(size, source, **readings)
    except InputError as problem:
        assert is_one_sentence(str(problem)), str(problem)
        return
    report = check_circuit(read)
    assert all(is_one_sentence(finding.because) for finding in report.findings)


@st.composite
def believable(draw):
    """Readings that each could be, in any mixture, however absurd together."""
    size, source = draw(st.sampled_from(SIZES)), draw(st.sampled_from(ELECTRIC))
    empty = CircuitReadings(size, source)
    volts = load("heaters")["believable_voltage"][source]
    most = {
        "supply_volts": volts, "heater_volts": volts, "drop_volts": volts, "amps": 4 * empty.nominal_amps,
        "ohms": 5 * empty.nominal_ohms, "ground_ohms": 1e8, "fuse_ohms": 50.0, "fuse_amps": 60.0,
        "fuse_rated_volts": 300.0, "holder_amps": 60.0, "wire_area": 3e-5, "wire_length": 50.0,
    }  # fmt: skip
    values = {}
    for name in draw(st.lists(st.sampled_from(READINGS), unique=True)):
        share = st.floats(0.1, 1.0)
        if name in ("supply_volts", "heater_volts", "drop_volts", "amps"):
            share = st.one_of(st.just(0.0), share)
        value = most[name] * draw(share)
        is_open = KINDS[name] == "resistance" and draw(st.booleans())
        values[name] = OPEN if is_open else value
    return CircuitReadings(size, source, **values)


@settings(max_examples=200, deadline=None)
@given(believable())
def test_no_mixture_of_readings_breaks_the_check(readings):
    report = check_circuit(readings)
    found = [finding.fault for finding in report.findings]
    for sentence in (*report.consistent, *(finding.because for finding in report.findings)):
        assert is_one_sentence(sentence), sentence
    if Fault.LEAKAGE in found:
        assert found[0] is Fault.LEAKAGE
    assert len(found) - found.count(Fault.DISAGREEMENT) == len(set(found) - {Fault.DISAGREEMENT})
    assert not {Fault.HEATER_OPEN, Fault.ONE_OF_TWO_OPEN} <= set(found)
    assert not {Fault.LOW_SUPPLY, Fault.HIGH_SUPPLY} <= set(found)
    assert bool(report.measure_next) <= (not report.findings)


def test_readings_are_taken_with_the_meter_s_error():
    heater = HeaterCircuit.of("8 cu ft", fuse=Fuse(5.0, 250.0))
    exact, high = take_readings(heater), take_readings(heater, lambda: 1.02, 5.0)
    assert high.supply_volts == pytest.approx(1.02 * exact.supply_volts)
    assert high.amps == pytest.approx(1.02 * exact.amps)
    assert (high.fuse_amps, high.wire_length, high.holder_amps) == (5.0, exact.wire_length, 5.0)
    assert exact.holder_amps is None
