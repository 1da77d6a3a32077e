"""Every number in the course's prose, traced to the model, the data or a sum; a new one must be traced too.

A row holds a phrase as it stands in a module's text (prose, code or self-checks; emphasis, and the SI value
beside a US one, left out) and what makes it right. A change to the prose or to the model makes it fail.
What a cell prints is not here: nbval compares that. Sources stand with the data. Where a fact of the trade
has none, that is said: common practice, no source.
"""

import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from helpers import NEEDS_BANK

from warmside import project
from warmside.data import load
from warmside.diagnosis.bank import COUNT
from warmside.diagnosis.causes import SETTLED
from warmside.diagnosis.fault import GROUPS
from warmside.diagnosis.faults import FAULTS, prior
from warmside.diagnosis.inference import explain, next_reading
from warmside.diagnosis.leading import LEAD
from warmside.diagnosis.readings import READINGS, Readings, from_text, readable
from warmside.model import circuit
from warmside.model.cabinet import Cabinet, Thermostat
from warmside.model.cup import (
    cup_conductance,
    cup_heat_capacity,
    cup_temperature,
    food_specific_heat,
    time_constant,
)
from warmside.model.cycle_points import cycle_points
from warmside.model.draught import stack_pressure
from warmside.model.ensemble import MEMBERS, Cost, cost_of, plausible
from warmside.model.fuse import needed_rating, next_rating, opens_first, wire_fuse
from warmside.model.heat_source import (
    Burner,
    boiler_share,
    code_derating,
    electric_heat,
    element_resistances,
    heat_share,
    on_electricity,
)
from warmside.model.heater_circuit import HeaterCircuit
from warmside.model.limits import Verdict, check
from warmside.model.refrigerator import Installation, door_recovery, holding_ambient, steady_state
from warmside.model.running import day_and_night
from warmside.model.sizes import SIZES, usual_rating
from warmside.model.trade_rules import VERDICTS, judged
from warmside.properties.ammonia import latent_heat, saturation_pressure, saturation_temperature
from warmside.show import odds
from warmside.show.cup_lab import CUP_CONTROLS
from warmside.show.enclosure import Enclosure, installation_of
from warmside.show.heater_meter import MYSTERIES, SITUATIONS
from warmside.show.model_page import SAID
from warmside.show.self_check import checks
from warmside.show.substance_temperature import DEFROSTS, CupTest, day_of
from warmside.show.substance_temperature import LIMITS as SHOWN_LIMITS
from warmside.show.survey import SURVEYS
from warmside.show.use_because import hours_above
from warmside.show.use_lab import DAYS
from warmside.units import from_si, read_quantity, to_si

ROOT = project.root()
NOTEBOOKS = {path.stem[:2]: path for path in (ROOT / "course").glob("[0-9]*.ipynb")}
CABINETS, PARAMETERS, RATINGS, LIMITS = (
    load(name) for name in ("cabinets", "parameters", "ratings", "limits")
)
FUELS, FUSES, HEATERS, PRACTICE = (load(name) for name in ("fuels", "fuses", "heaters", "practice"))
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:,\d{3})*(?:\.\d+)?(?:/\d+)?")


# --- what a trainee reads ---------------------------------------------------------------------------------

SI_BESIDE = re.compile(
    r"(?P<us>-?[\d,.]+ (?P<unit>°F|ft|oz|in w\.c\.)) \((?P<si>-?[\d,.]+ (?P<si_unit>°C|m|g|kPa))\)"
    r"(?P<difference> too warm)?"
)
KINDS = {"°F": "temperature", "ft": "length", "oz": "mass", "in w.c.": "pressure_difference"}


@cache
def cells(module: str, kind: str) -> str:
    """All cells of a kind, without numbers of lists and stars, with one space for any white space."""
    notebook = json.loads(NOTEBOOKS[module].read_text("utf-8"))
    sources = ["".join(cell["source"]) for cell in notebook["cells"] if cell["cell_type"] == kind]
    without_marks = re.sub(r"^\d+\. |\*", "", "\n".join(sources), flags=re.MULTILINE)
    return " ".join(without_marks.split())


@cache
def self_checks(module: str) -> str:
    said = [
        [check.question, *(text for one in check.answers for text in (one.text, one.tempts, one.why) if text)]
        for check in checks(module)
    ]
    return " ".join(text for check in said for text in check)


@cache
def prose(module: str) -> str:
    return f"{cells(module, 'markdown')} {self_checks(module)}"


def without_si(text: str) -> str:
    return SI_BESIDE.sub(lambda found: found["us"] + (found["difference"] or ""), text)


# --- a row and what can make it right ---------------------------------------------------------------------


class Row(NamedTuple):
    """A phrase of a module, and a check of the numbers in it."""

    phrase: str
    check: Callable[[str], None]


def last_digit(printed: str, trailing_zeros_count: bool = True) -> float:
    """Worth of the last digit of a printed number; of the last but its zeros, if these don't count."""
    whole, _, decimals = printed.replace(",", "").partition(".")
    if decimals or trailing_zeros_count:
        return 10.0 ** -len(decimals)
    return 10.0 ** (len(whole) - len(whole.rstrip("0") or "0"))


def computed(phrase: str, numbers: Callable[[], object]) -> Row:
    """All numbers in the phrase, in order, are what comes out, rounded to the digits printed."""

    def check(module: str) -> None:
        printed = NUMBER.findall(phrase)
        exact = np.atleast_1d(np.asarray(numbers(), dtype=float))
        assert len(printed) == len(exact)
        for text, number in zip(printed, exact, strict=True):
            value, _, divisor = text.replace(",", "").partition("/")
            allowed = 1e-6 if divisor else last_digit(text) / 2.0 + 1e-6
            assert float(value) / float(divisor or 1) == pytest.approx(number, rel=0.0, abs=allowed)

    return Row(phrase, check)


def holds(phrase: str, claim: Callable[[], object]) -> Row:
    """What the phrase claims is so."""

    def check(module: str) -> None:
        assert claim()

    return Row(phrase, check)


def typed(phrase: str, code: str) -> Row:
    """The number is the one that a cell of the module reckons with."""

    def check(module: str) -> None:
        assert code in cells(module, "code")

    return Row(phrase, check)


def cited(phrase: str, table: str) -> Row:
    """What is cited is the source of a value in the data."""

    def check(module: str) -> None:
        assert any(phrase in field.source for field in load(table).fields.values())

    return Row(phrase, check)


def judged_so(phrase: str, *rules: str) -> Row:
    """The phrase ends with what the page on the model says of each of these rules."""

    def check(module: str) -> None:
        for name in rules:
            assert phrase.lower().endswith(f"| {SAID[judged(100)[name].verdict]}"), name

    return Row(phrase, check)


def costs_so(phrase: str, name: str, *departure: float) -> Row:
    """A line of a table: how a rule is departed from, what that costs eight cubic feet [°F], and how sure."""
    cost = cache(lambda: judged(100)[name].costs["8 cu ft"])
    numbers = computed(phrase, lambda: [*departure, 1.8 * cost().low, 1.8 * cost().high])

    def check(module: str) -> None:
        numbers.check(module)
        assert phrase.lower().endswith(f"| {SAID[judged(100)[name].verdict]}")

    return Row(phrase, check)


def elsewhere(phrase: str, path: str, test: str) -> Row:
    """Another test holds the model to it."""

    def check(module: str) -> None:
        assert f"def {test}(" in (ROOT / "tests" / path).read_text("utf-8")

    return Row(phrase, check)


def free(phrase: str, why: str) -> Row:
    """Nothing can check it: set by the question, a date, minutes to work, or nobody knows."""
    assert why
    return Row(phrase, lambda module: None)


SET = "set by the question or the anecdote"
NO_SOURCE = "common practice, no source, and no value of the model"
CITATION = "number of a published text, none of the data's"


# --- quantities in the units of the prose -----------------------------------------------------------------


def kelvin(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) + 459.67) / 1.8


def fahrenheit(kelvins):
    return np.asarray(kelvins) * 1.8 - 459.67


def si(text: str, kind: str) -> float:
    return to_si(read_quantity(text, kind), kind)


def us(value: float, kind: str, unit: str) -> float:
    return float(from_si(value, kind, unit).magnitude)


def inches(value):
    return np.asarray(value) / 0.0254


def hours(value):
    return np.asarray(value) / 3600.0


# --- what the model says ----------------------------------------------------------------------------------

EIGHT = Installation.of("8 cu ft")
RATED = fahrenheit(RATINGS["rated_ambient"]["T"])
FOOD_LIMIT = fahrenheit(RATINGS["food_limit"]["T"])
HALF_A_VENT = EIGHT.changed(lower_vent_blocked=0.5)
A_QUARTER_OF_A_VENT = EIGHT.changed(lower_vent_blocked=0.75)
DIRTY_WITH_HALF_A_VENT = HALF_A_VENT.changed(fin_fouling=0.4)
DIRTY_AND_HALF_SHUT = {"lower_vent_blocked": 0.5, "fin_fouling": 0.4}
SETTING = Thermostat().setting
VENT_BAND = fahrenheit(LIMITS["cup_points_at_venting"])
VOLTS = HEATERS["nominal_voltage"]
WATTS = {"mains": CABINETS["heat_input"]["8 cu ft"], "battery": CABINETS["battery_heat_input"]["8 cu ft"]}
AMPS = {source: WATTS[source] / VOLTS[source] for source in WATTS}
TOGETHER = VOLTS["mains"] / AMPS["mains"]  # ohm; both elements side by side
LEFT_AT_105 = float(heat_share("mains", 105 / VOLTS["mains"]))
METER_ERROR = HEATERS["meter_accuracy"]["mains"]


def food(at: float, installation: Installation = EIGHT) -> float:
    """Food compartment at an ambient, with the thermostat at its usual setting, both [°F]."""
    return float(fahrenheit(steady_state(installation, kelvin(at), setting=SETTING).food_temperature))


def minutes_an_hour(at: float, installation: Installation = EIGHT) -> float:
    """For how long the unit runs at an ambient [°F], with the thermostat at its usual setting."""
    return 60.0 * float(steady_state(installation, kelvin(at), setting=SETTING).duty)


def runs_longer_by(at: float, installation: Installation) -> float:
    """By how many minutes an hour more than a correct one."""
    return minutes_an_hour(at, installation) - minutes_an_hour(at)


# --- what plausible refrigerators share: the answer to a prediction holds for nine in ten of them -----------


@cache
def plausible_at(at: float, changes: tuple[tuple[str, float], ...] = (), full_demand: bool = False):
    """Steady states of a hundred of them, each with the same done to it."""
    one = EIGHT.changed(**dict(changes))
    return steady_state(plausible(one, 100), kelvin(at), setting=None if full_demand else SETTING)


def nine_in_ten(claim: np.ndarray) -> bool:
    return bool(np.mean(claim) >= 0.9)


def food_as_before(at: float, **changes: float) -> np.ndarray:
    """In which of them the food is as cold as in a correct one, to a fifth of a °F."""
    changed, usual = plausible_at(at, tuple(changes.items())), plausible_at(at)
    return abs(changed.food_temperature - usual.food_temperature) < 0.1


def minutes_more(at: float, **changes: float) -> np.ndarray:
    """By how many minutes an hour more each of them runs than a correct one."""
    return 60.0 * (plausible_at(at, tuple(changes.items())).duty - plausible_at(at).duty)


def condenser_air_rise(at: float, **changes: float) -> np.ndarray:
    """How far the air below the condenser is above the outside's, in each of them [°F]."""
    state = plausible_at(at, tuple(changes.items()))
    return 1.8 * (state.condenser_air_temperature - state.inlet_air_temperature)


def rises_more(at: float, shut: float) -> np.ndarray:
    """By how much more than in a correct one, with the lower vent so far shut [°F]."""
    return condenser_air_rise(at, lower_vent_blocked=shut) - condenser_air_rise(at)


def held(installation: Installation = EIGHT) -> np.ndarray:
    """Up to where each of them holds [K]."""
    return holding_ambient(plausible(installation, 100))


def dearer_than(vent: Installation, *others: dict[str, float]) -> bool:
    """Whether each of the others costs less, in nine of ten."""
    return all(nine_in_ten(held(vent) < held(EIGHT.changed(**other))) for other in others)


def is_a_cliff(installation: Installation) -> bool:
    """In nine of ten of them the food warms by 3 K and more for the first kelvin beyond the limit."""
    limit = held(installation)
    at, beyond = (steady_state(plausible(installation, 100), limit + more) for more in (0.0, 1.0))
    return nine_in_ten(beyond.food_temperature - at.food_temperature > 3.0)


def weak_fan_costs() -> bool:
    """In nine of ten of them, by as much as a thermometer shows."""
    usual, weak = (held(installation_of(Enclosure(fan=fan))) for fan in ("none", "weak"))
    return nine_in_ten(weak < usual - 0.05)


def at_a_quarter_of_the_pressure() -> float:
    """What is left of a burner's heat."""
    quarter = Burner.of("8 cu ft", gas_pressure=PRACTICE["gas_pressure"] / 4)
    return quarter.heat / Burner.of("8 cu ft").heat


def swings(node: str) -> float:
    """How far air or cup swings over a test's last hours [K]."""
    late = getattr(day_of(CupTest()), node)[-6 * 60 :]
    return float(np.ptp(late))


def odds_move(case: str, taken: tuple[str, ...], more: tuple[str, ...]) -> float:
    """By how much further readings move the odds of any fault at most."""
    before, after = odds.after(case, taken), odds.after(case, (*taken, *more))
    return max(abs(before.of_fault(name) - after.of_fault(name)) for name in FAULTS)


def food_at_full_demand(at: float) -> float:
    return float(fahrenheit(steady_state(EIGHT, kelvin(at)).food_temperature))


def at_volts(volts: float) -> Installation:
    return on_electricity(EIGHT, volts)


def gained_by_a_larger_flame() -> float:
    """Margin from a fifth more gas [°F]."""
    gas = Installation.of("8 cu ft", heat_source="gas")
    larger = gas.changed(heat_input=1.2 * gas.heat_input)
    return 1.8 * float(holding_ambient(larger) - holding_ambient(gas))


def eight_loses(name: str) -> Cost:
    """What a departure costs plausible refrigerators of eight cubic feet [°F]."""
    return Cost(*(1.8 * each for each in judged(100)[name].costs["8 cu ft"]))


def minutes_of(remedy: str) -> float:
    return float(load("remedies").fields[remedy].given)


def vent_before_sides() -> bool:
    """On the sheet that the lab of module 03 begins with."""
    found = installation_of(SURVEYS["As found"])
    vent, sides = found.changed(lower_vent_blocked=0.0), found.changed(side_gap=Enclosure.side_gap)
    gained = [holding_ambient(plausible(one, 100)).squeeze() for one in (vent, sides)]
    return float(np.mean(gained[0] > gained[1])) >= 0.9


def several_cost_more() -> bool:
    """In the middle of the plausible refrigerators, of each size."""
    found = judged(100)
    return all(
        found["several"].costs[size].median > found[name].costs[size].median
        for name in ("top", "side_inch", "baffle")
        for size in found["several"].costs
    )


def draught(feet: float) -> float:
    """The worked example's, for a height [Pa]."""
    return float(stack_pressure(feet * 0.3048, kelvin(130), kelvin(102)))


def absorbers_share() -> float:
    """Of all heat that the unit gives off, at its rating."""
    state = steady_state(EIGHT, kelvin(RATED))
    others = state.condenser_heat + state.rectifier_heat + state.boiler_loss
    return float(state.absorber_heat / (state.absorber_heat + others))


def boiler_is_near_400() -> bool:
    """The hottest of all sizes at their rating, to a hundred degrees; what the trade says has no source."""
    rated = {size: RATINGS["rated_ambient"][usual_rating(size)] for size in SIZES}
    boilers = [steady_state(Installation.of(size), at).boiler_temperature for size, at in rated.items()]
    return round(float(fahrenheit(max(boilers))), -2) == 400


def runs_above_the_charge() -> bool:
    """The pressure in a running unit is above that of its charge, which was measured standing."""
    return steady_state(EIGHT, kelvin(RATED)).pressure > CABINETS["charge_pressure"]["8 cu ft"]


def charge_of_common_practice() -> list[int]:
    return [int(bar) for bar in re.findall(r"\d+", CABINETS.fields["charge_pressure"].source)]


def rise_below_condenser(at: float, installation: Installation = EIGHT) -> float:
    state = steady_state(installation, kelvin(at), setting=SETTING)
    return 1.8 * float(state.condenser_air_temperature - state.inlet_air_temperature)


def with_an_open_element():
    heater = HeaterCircuit.of("8 cu ft")
    return heater.changed(elements=(np.inf, *heater.elements[1:])).meter()


def volts_lost_in_the_example(gauge: int = 10) -> float:
    wires = circuit.wire_resistance(circuit.gauge_area(gauge), si("40 ft", "length"), 303.15, stranded=True)
    return float(circuit.voltage_drop(13.6, element_resistances("8 cu ft", "battery")[0], wires))


def hours_of_100_ah() -> float:
    return float(hours(circuit.hours_on_battery(si("100 Ah", "charge"), AMPS["battery"])))


def is_like(shown: float, true: float) -> bool:
    """Whether a meter may show that."""
    return abs(shown / true - 1.0) <= METER_ERROR


def lab_takes(controls, name: str, *values: float) -> bool:
    """Whether a lab's control has these values among its steps, in US units."""
    scale = next(control for control in controls if control.name == name).us
    steps = [(value - scale.low) / scale.step for value in values]
    return all(scale.low <= value <= scale.high for value in values) and np.allclose(steps, np.round(steps))


TAU = float(time_constant(cup_heat_capacity(si("8 oz", "mass")), cup_conductance(si("8 oz", "mass"))))


def cup(hour: float) -> float:
    """The worked example's cup after some hours [°F]."""
    return float(fahrenheit(cup_temperature(hour * 3600.0, kelvin(70), kelvin(38), TAU)))


def left(time_constants: float) -> float:
    """What is left of a cup's extra warmth [%]."""
    return 100.0 * math.exp(-time_constants)


CASE = Readings("8 cu ft", "mains", ambient=kelvin(102))
WITH_CUP = CASE.adding(cup=from_text("cup", "55 °F"))


@cache
def explained(with_cup: bool):
    """The worked example of module 07, before any reading or with the cup."""
    return explain(WITH_CUP if with_cup else CASE)


def group_share(group: str) -> float:
    ranked = explained(with_cup=True).ranked
    return sum(one.probability for one in ranked if group in {FAULTS[name].group for name in one.label})


def minutes(*names: str) -> float:
    return sum(READINGS[name].minutes for name in names)


def hours_of_all_readings() -> list[float]:
    return [minutes(*readable(source)) / 60.0 for source in ("mains", "battery", "gas")]


def leads(case: str, *taken: str) -> tuple[str, float]:
    """Which fault is likeliest in a case of the lab after these readings, and how likely."""
    known = odds.after(case, taken)
    name = max(FAULTS, key=known.of_fault)
    return name, known.of_fault(name)


def settles(case: str, *taken: str, by: float = SETTLED) -> bool:
    name, likely = leads(case, *taken)
    return name in odds.truth(case) and likely >= by


def no_fault_leads() -> bool:
    first, second, *_ = sorted((explained(with_cup=False).of_fault(name) for name in FAULTS), reverse=True)
    return first < 0.1 and first - second < 0.01


def shares_of_the_enclosure() -> list[float]:
    """Of vents, baffle, depth, gaps and fins, before any reading: invented shares."""
    vents = {"lower_vent_blocked", "upper_vent_blocked", "baffle_missing", "cavity_too_deep"}
    named = vents | {"side_gaps", "pocket_open", "fins_fouled"}
    return [
        sum(share for label, share in prior("8 cu ft", source).items() if named & set(label))
        for source in ("mains", "battery", "gas")
    ]


WAYS = {
    "case 1": ("cup", "condenser_air", "lower_vent_look"),
    "case 2": ("voltage", "current", "resistance"),
}
"""Readings that settle a case of the lab, as the things to try suggest."""
THREE_THAT_TELL_THE_SAME = odds.SITUATIONS["Three that tell the same"].taken

# --- the sealed unit ---

GIVEN_OFF = ("absorber_heat", "condenser_heat", "rectifier_heat", "boiler_loss")
BTU_A_POUND = si("1 Btu", "energy") / si("1 lb", "mass")


def psi(pascals):
    return us(float(pascals), "pressure_absolute", "psi")


def btu(watts):
    return us(float(watts), "power", "Btu/hour")


def ounces_an_hour(flow):
    return us(float(flow), "mass_flow", "oz/hour")


@cache
def unit_at(at: float):
    """The eight at full demand, at an ambient [°F]."""
    return steady_state(EIGHT, kelvin(at))


def parts_at(at: float):
    return cycle_points(unit_at(at))


def sum_of_heat() -> float:
    return float(unit_at(100).heat_input + unit_at(100).capacity)


def parts_of_pressure_are(hydrogen: float, ammonia: float, whole: float) -> bool:
    own, all_of_it = psi(parts_at(100).freezer_gas_pressure), psi(unit_at(100).pressure)
    found = own - ammonia, all_of_it - own - hydrogen, all_of_it - whole
    return hydrogen + ammonia == whole and max(map(abs, found)) < 1


def food_by_heat(at: float, part: float) -> float:
    hotter = EIGHT.changed(heat_input=part * EIGHT.heat_input)
    return float(fahrenheit(steady_state(hotter, kelvin(at)).food_temperature))


def units_at(at: float, setting: float | None = None, **changes: object):
    return steady_state(plausible(EIGHT.changed(**changes), 100), kelvin(at), setting=setting)


def food_starves_first():
    points = cycle_points(units_at(114))
    return points.food_wet < points.freezer_wet


def freezer_s_coil_is_colder():
    state = units_at(100)
    return state.freezer_coil_temperature < state.food_coil_temperature


def a_colder_setting_changes_nothing():
    foods = [units_at(114, kelvin(at)).food_temperature for at in (42, 34)]
    return (np.abs(foods[0] - foods[1]) < 0.6) | (foods[1] < kelvin(42))


def a_quarter_less_holds_on_a_mild_day():
    less = 0.75 * float(np.asarray(EIGHT.charge_pressure))
    return units_at(75, charge_pressure=less).food_temperature < kelvin(FOOD_LIMIT)


def a_sixth_is_cold():
    return np.abs(units_at(100).cop - 1 / 6) < 0.02


def it_fails_at_five_degrees():
    return units_at(100, side_tilt=np.radians(5)).failed


# --- the rows ---------------------------------------------------------------------------------------------

START = [
    free("about 15 minutes", "minutes to work"),
    holds("ammonia and hydrogen at 12 to 25 bar, and more when it runs", runs_above_the_charge),
    computed("at 12 to 25 bar", charge_of_common_practice),  # common practice, no source
    holds("400 °F, 200 °C near the boiler", boiler_is_near_400),  # common practice, no source
    typed("A temperature of 3 °F", "read_quantity('3 °F', kind)"),
    free("A difference of 3 °F is what a poor thermometer may be off", NO_SOURCE),
    computed("have the 32 in them", lambda: fahrenheit(273.15)),
    computed("without the 32", lambda: fahrenheit(273.15)),
    free("Special Publication 811", CITATION),
    free("38.5 degF", SET),
    free("38.5 alone", SET),
    computed(
        "38.5 °F, 38.5F, 38.5 degF or 3.6 °C",
        lambda: [
            *(us(si(f"38.5{unit}", "temperature"), "temperature", "degF") for unit in (" °F", "F", " degF")),
            us(si("38.5 °F", "temperature"), "temperature", "degC"),
        ],
    ),
    # common practice, no source
    computed("The rating says 43 °F at 110 °F outside", lambda: (FOOD_LIMIT, RATED)),
    free("a margin of 3 °F", SET),
    computed("-16.1 °C", lambda: kelvin(3) - 273.15),
    free("it takes 3 °F for a temperature", SET),
    computed("and the 32 has no place", lambda: fahrenheit(273.15)),
    computed("1.7 °C", lambda: 3 / 1.8),
    computed("divided by 1.8. The 32 belongs", lambda: (180 / 100, 32)),
    free("3 °C", "a wrong answer: the unit is changed and the number is not"),
    computed("divide by 1.8", lambda: 180 / 100),
]

CYCLE = [
    free("about 45 minutes", "minutes to work"),
    # as the table in the lesson has it: Gao et al. 2020 (tests/reference/test_ammonia.py)
    holds("a gauge shows some 15 psi less", lambda: abs(psi(101325.0) - 15) < 0.5),
    typed("at 143 °F", '"143 °F")'),
    holds("some 395 psi to turn liquid", lambda: abs(psi(saturation_pressure(kelvin(143))) - 395) < 2),
    computed("at 2 °F, it must feel no more than 32 psi", lambda: (2, psi(saturation_pressure(kelvin(2))))),
    holds(
        "Where hydrogen pushes with 361 psi and ammonia with 32, the whole is 393",
        lambda: parts_of_pressure_are(361, 32, 393),
    ),
    holds("and the ammonia boils as if there were 32", lambda: parts_of_pressure_are(361, 32, 393)),
    computed("There ammonia makes all of the 393 psi alone", lambda: psi(unit_at(100).pressure)),
    typed("at full demand, 100 °F outside", 'read_quantity("100 °F", "temperature")'),
    computed("1,299 Btu/h", lambda: round(btu(unit_at(100).heat_input)) + round(btu(unit_at(100).capacity))),
    computed(
        "1,300 Btu/h",
        lambda: sum(round(btu(getattr(unit_at(100), name))) for name in GIVEN_OFF),
    ),
    holds(
        "nearly half of it at the absorber", lambda: 0.4 < unit_at(100).absorber_heat / sum_of_heat() < 0.5
    ),
    computed(
        "190 over 1,109 is 0.17",
        lambda: (btu(unit_at(100).capacity), btu(unit_at(100).heat_input), unit_at(100).cop),
    ),
    free("A small compressor has one of 1 to 2", "from memory, and said so"),
    computed("some 570 Btu", lambda: round(latent_heat(kelvin(2)) / BTU_A_POUND, -1)),
    holds(
        "less than 6 oz of ammonia an hour",
        lambda: 5 < ounces_an_hour(unit_at(100).capacity / latent_heat(kelvin(2))) < 6,
    ),
    computed("The boiler drives out about 8", lambda: ounces_an_hour(unit_at(100).vapour_flow)),
    computed(
        "At 393 psi ammonia turns liquid at 143 °F",
        lambda: (psi(unit_at(100).pressure), fahrenheit(unit_at(100).condensing_temperature)),
    ),
    computed(
        "At 100 °F outside it comes to the fins at about 121 °F",
        lambda: (100, fahrenheit(unit_at(100).condenser_air_temperature)),
    ),
    computed(
        "At 117 °F outside it comes at about 140 °F",
        lambda: (117, fahrenheit(unit_at(117).condenser_air_temperature)),
    ),
    holds(
        "a quarter of the ammonia stays gas",
        lambda: 0.2 < 1 - unit_at(117).condensate_flow / unit_at(117).vapour_flow < 0.3,
    ),
    holds("So the food side starves first", lambda: nine_in_ten(food_starves_first())),
    holds("It comes first: it gets the fresh hydrogen", lambda: nine_in_ten(freezer_s_coil_is_colder())),
    holds(
        "a fifth more on a hot day gains a degree or two",
        lambda: 0.5 < food_by_heat(110, 1.0) - food_by_heat(110, 1.2) < 3,
    ),
    # common practice, no source
    computed(
        "3° to the side and 6° front to back", lambda: np.degrees([LIMITS["side_tilt"], LIMITS["front_tilt"]])
    ),
    computed(
        "at 12 to 25 bar (174 to 363 psi)",
        lambda: (*charge_of_common_practice(), *(psi(each * 1e5) for each in charge_of_common_practice())),
    ),
    holds(
        "A quarter less doesn't even show on a mild day",
        lambda: nine_in_ten(a_quarter_less_holds_on_a_mild_day()),
    ),
    holds("A sixth of the heat comes out as cold", lambda: nine_in_ten(a_sixth_is_cold())),
    free("J. Phys. Chem. Ref. Data 49 (2020) 013102", CITATION),
    free("IAPWS G4-01 (2001)", CITATION),
    free("Int. J. Refrigeration 35 (2012) 605", CITATION),
    # self-checks
    holds(
        "boils at 28 below zero in the open",
        lambda: abs(fahrenheit(saturation_temperature(101325.0)) + 28) < 0.5,
    ),
    typed("at 143 °F instead", '"143 °F")'),
    computed(
        "turns liquid at 143 °F in the condenser and boils at 2 °F in the freezer",
        lambda: (
            fahrenheit(unit_at(100).condensing_temperature),
            fahrenheit(saturation_temperature(parts_at(100).freezer_gas_pressure)),
        ),
    ),
    computed(
        "gets 1,109 Btu/h of heat and takes 190 Btu/h",
        lambda: (btu(unit_at(100).heat_input), btu(unit_at(100).capacity)),
    ),
    holds(
        "All of it together, about 1,300", lambda: abs(sum_of_heat() / si("1300 Btu/h", "power") - 1) < 0.005
    ),
    holds("about 920", lambda: abs(btu(unit_at(100).heat_input - unit_at(100).capacity) - 920) < 5),
    holds("about 1,110", lambda: abs(btu(unit_at(100).heat_input) - 1110) < 5),
    computed(
        "turns liquid at 148 °F. The air comes to the fins at 140 °F",
        lambda: (
            fahrenheit(unit_at(117).condensing_temperature),
            fahrenheit(unit_at(117).condenser_air_temperature),
        ),
    ),
    computed(
        "It is 114 °F outside, and the unit runs all the time. The food stands at 55 °F",
        lambda: (114, fahrenheit(unit_at(114).food_temperature)),
    ),
    holds("Nothing, the food stays as it is", lambda: nine_in_ten(a_colder_setting_changes_nothing())),
    holds("A unit stands 5° out of level", lambda: nine_in_ten(it_fails_at_five_degrees())),
]

CANT = "| | Practice says so; the model can't tell"
CLEARANCES = [
    free("about 40 minutes", "minutes to work"),
    # common practice, no source
    computed("Behind the fins, at most 1 in.", lambda: inches(LIMITS["rear_gap"])),
    computed("Baffle, 1/4 to 1/2 in off the fins.", lambda: inches(LIMITS["baffle_gap"])),
    computed("Sides, at most 1/4 in each.", lambda: inches(LIMITS["side_gap"])),
    computed("A side gap may have 1/4 in.", lambda: inches(LIMITS["side_gap"])),
    computed("so that 1 in or less is left behind the fins", lambda: inches(LIMITS["rear_gap"])),
    computed("a gap is taken to be off by 1/16 in at most", lambda: inches(LIMITS["tape_accuracy"])),
    computed("The tape may be off by 1/16 in at each", lambda: inches(LIMITS["tape_accuracy"])),
    computed("rated for 110 °F", lambda: RATED),  # common practice, no source
    costs_so("Clean fins | 40 % shut by dirt | 5.3 to 7.8 °F | Comes out", "fins", 40),
    costs_so("An outlet high above the fins | in the wall | 4.9 to 6.0 °F | Comes out", "outlet"),
    costs_so("A free outlet | 50 % shut | 4.0 to 5.7 °F | Comes out", "upper_vent", 50),
    costs_so("A free lower vent | 50 % shut | 3.1 to 4.5 °F | Comes out", "lower_vent", 50),
    costs_so(
        "Not too deep, without a baffle | 4 in deeper | 2.5 to 6.7 °F | Likely", "depth_without_baffle", 4
    ),
    costs_so("No warm air in again | 5 % of it | 1.4 to 1.6 °F | Comes out", "comes_in_again", 5),
    costs_so("Sides tight | 1 in each | 0.3 to 1.1 °F | Comes out", "side_inch", 1),
    costs_so("Pocket closed off | open | 0.3 to 0.6 °F | Comes out", "pocket"),
    costs_so("Top closed | 3 in open | 0.2 to 0.5 °F | Comes out", "top", 3),
    costs_so("Sides tight | 1/2 in each | 0.1 to 0.4 °F | Likely", "side_half", 0.5),
    judged_so(f"A baffle | none {CANT}", "baffle"),
    judged_so(f"Baffle not too near | 1/16 in {CANT}", "near_baffle"),
    judged_so(f"Baffle not too far | 3/4 in {CANT}", "far_baffle"),
    judged_so(f"Not too deep, with a baffle | 4 in deeper {CANT}", "depth_with_baffle"),
    holds(
        "Vents, fins and outlet are worth degrees, gaps at top and sides parts of one",
        lambda: (
            min(eight_loses(name).median for name in ("lower_vent", "upper_vent", "fins", "outlet"))
            > 3.0
            > 1.0
            > max(eight_loses(name).median for name in ("top", "pocket", "side_half", "side_inch"))
        ),
    ),
    computed(
        "open top, 1 in sides and no baffle together cost 1.0 to 3.1 °F",
        lambda: [1, eight_loses("several").low, eight_loses("several").high],
    ),
    typed("A louver has 9 gaps, each 22 in (559 mm) long and 1/2 in (13 mm) high", "gaps, length = 9"),
    holds(
        "A sixteenth on a small gap is an eighth of the whole vent",
        lambda: inches(LIMITS["tape_accuracy"]) / 0.5 == pytest.approx(1 / 8),
    ),
    holds(
        "lay a strip of 3/8 in against the fins",
        lambda: LIMITS["baffle_gap"].mean() == pytest.approx(3 / 8 * 0.0254),
    ),
    free("Feed it from 12 V", NO_SOURCE),
    holds(
        "It's 5/16, so it fails.\"",
        lambda: check("T", side_gap=5 / 16 * 0.0254)[0].verdict == Verdict.TOO_NEAR,
    ),
    holds("Half a degree of the hottest day, or less", lambda: 0.2 < eight_loses("top").high < 0.51),
    holds(
        "By about five or six degrees Fahrenheit",
        lambda: 4.5 < eight_loses("outlet").low < eight_loses("outlet").high < 6.5,
    ),
    # what is to be done first: it gives more, surely, and takes less
    holds("nine in ten plausible refrigerators gain more by it than by the sides", vent_before_sides),
    holds("and take an hour", lambda: minutes_of("side_gap") == 60 and minutes_of("lower_blocked") < 60),
    holds("and it is most of the work", lambda: minutes_of("rear_gap") > minutes_of("side_gap")),
    holds("With a good baffle, hardly", lambda: abs(eight_loses("depth_with_baffle").median) < 0.5),
    holds(
        "One at the vent is worth ten over the top",
        lambda: eight_loses("lower_vent").median > 10 * eight_loses("top").median,
    ),
]

VENTING = [
    free("about 45 minutes", "minutes to work"),
    holds(
        "at four in the afternoon",
        lambda: np.argmax(day_and_night(np.arange(24) * 3600.0, 300.0, 5.0)) == 16,
    ),
    typed("it is 5 ft", 'read_quantity("5 ft", "length")'),
    typed("Outside it is 102 °F, and behind the unit 130 °F", '("130 °F", "102 °F")'),
    # ordinary paper of 80 g/m², to a tenth
    holds("one sheet of paper, lying flat, presses as hard", lambda: abs(draught(5) / 0.785 - 1) < 0.1),
    holds("twice the height of warm air is twice the push", lambda: abs(draught(10) / draught(5) - 2) < 1e-6),
    holds("Nearly half of the unit's heat leaves here", lambda: 0.44 < absorbers_share() < 0.5),
    # common practice, no source
    computed("1/4 to 1/2 in off them", lambda: inches(LIMITS["baffle_gap"])),
    computed("the sides have 1/4 in at most", lambda: inches(LIMITS["side_gap"])),
    computed("with its thermostat at 38 °F", lambda: fahrenheit(SETTING)),
    typed("on days of 90, 100, 105 and 110 °F", "in (90, 100, 105, 110)]"),
    typed("then with its lower vent half shut", '("half shut", 0.5)'),
    holds(
        "Up to 105 °F the thermometer in the box shows nothing",
        lambda: all(abs(food(at, HALF_A_VENT) - food(at)) < 0.1 for at in (90, 100, 105)),
    ),
    holds(
        "the unit runs a minute or two longer",
        lambda: all(0.5 < runs_longer_by(at, HALF_A_VENT) < 3 for at in (90, 100, 105)),
    ),
    holds(
        "At 110 °F there is nothing left to make up with",
        lambda: minutes_an_hour(110, HALF_A_VENT) == 60 and food(110, HALF_A_VENT) > FOOD_LIMIT + 3,
    ),
    elsewhere(
        "each degree outside costs many degrees inside",
        "reference/test_trade.py",
        "test_venting_faults_are_a_cliff",
    ),
    computed("43 °F", lambda: FOOD_LIMIT),  # common practice, no source
    computed("where the rating is 110 °F", lambda: RATED),  # common practice, no source
    computed("So 500 refrigerators of each size were tried", lambda: MEMBERS),
    elsewhere(
        "and dear: these cost most",
        "reference/test_trade.py",
        "test_free_vents_clean_fins_and_a_high_outlet_cost_most",
    ),
    elsewhere(
        "it always costs, but little", "reference/test_trade.py", "test_an_open_top_always_costs_but_little"
    ),
    judged_so(
        "Free vents, clean fins, an outlet high above them | Comes out",
        "lower_vent",
        "upper_vent",
        "fins",
        "outlet",
    ),
    judged_so("No warm air that comes in again below | Comes out", "comes_in_again"),
    judged_so("The space over the top closed off, under a roof outlet too | Comes out", "top", "pocket"),
    judged_so("not an inch | Comes out", "side_inch"),
    judged_so("not even half an inch | Likely", "side_half"),
    judged_so("where no baffle stands | Likely", "depth_without_baffle"),
    holds(
        "and dear on the larger sizes",
        lambda: all(
            judged(100)["depth_without_baffle"].costs[size].median > 1.0 for size in ("8 cu ft", "18 cu ft")
        ),
    ),
    judged_so(
        "A baffle, not too near the fins and not too far from them | Practice says so; the model can't tell",
        "baffle",
        "near_baffle",
        "far_baffle",
    ),
    judged_so(
        "though a baffle stands there | Practice says so; the model can't tell",
        "depth_with_baffle",
    ),
    holds("Several of them together cost more than each alone", several_cost_more),
    computed("At the sides 1/4 in at most", lambda: inches(LIMITS["side_gap"])),
    elsewhere(
        "A slot of 1/4 in seals itself by friction",
        "reference/test_trade.py",
        "test_a_side_gap_seals_at_a_quarter_inch_and_not_at_half_an_inch",
    ),
    holds(
        "with a vent three quarters shut it runs but a few minutes an hour longer at 80 °F",
        lambda: 1 < runs_longer_by(80, A_QUARTER_OF_A_VENT) < 5,
    ),
    typed("on a day of 60 °F as on one of 100 °F", "for degrees in (60, 100)]"),
    holds(
        "With a vent three quarters shut it is ten more or so, on a day of 60 °F as on one of 100 °F",
        lambda: all(nine_in_ten(abs(rises_more(at, 0.75) - 12) < 4) for at in (60, 70, 80, 100)),
    ),
    holds(
        "With half a vent shut it is 3 to 4 °F more",
        lambda: all(nine_in_ten(abs(rises_more(at, 0.5) - 3.5) < 1) for at in (60, 70, 80, 100)),
    ),
    computed("Two thermometers may be off by 1.8 °F", lambda: 2 * 1.8 * LIMITS["thermometer_accuracy"]),
    holds(
        "and good refrigerators differ by as much",
        lambda: all(np.ptp(np.percentile(condenser_air_rise(at), [5, 95])) > 1.8 for at in (60, 80, 100)),
    ),
    holds(
        "So this finds what is badly shut, on any such day, and half a vent on none",
        lambda: all(
            np.percentile(condenser_air_rise(at, lower_vent_blocked=0.75), 5)
            > np.percentile(condenser_air_rise(at), 95) + 1.8
            and np.percentile(condenser_air_rise(at, lower_vent_blocked=0.5), 5)
            < np.percentile(condenser_air_rise(at), 95)
            for at in (60, 70, 80, 90, 100)
        ),
    ),
    holds(
        "It fits two more: a site whose volts sag when all air conditioners run, and a box that is loaded",
        lambda: all(
            food(90, one) < FOOD_LIMIT < food(110, one) for one in (at_volts(105), EIGHT.changed(load=0.37))
        ),
    ),
    holds(
        "some 20 °F above the outside air",
        lambda: {round(rise_below_condenser(at), -1) for at in (70, 80, 95, 110)} == {20},
    ),
    computed("The milk is at 38 °F", lambda: fahrenheit(SETTING)),
    elsewhere(
        "Up to 1/4 in the air in the slot hardly moves. From 1/2 in on it flows",
        "reference/test_trade.py",
        "test_a_side_gap_seals_at_a_quarter_inch_and_not_at_half_an_inch",
    ),
    holds(
        "a few thousandths of an inch of water",
        lambda: 0.002 < us(draught(5), "pressure_difference", "inch_water_column") < 0.006,
    ),
    holds("close to 400 °F", boiler_is_near_400),  # common practice, no source
    cited("E3S Web of Conferences 396 (2023) 02030", "louvres"),
    computed(
        "stands 4 in over the fins, one in the roof 2 ft",
        lambda: (
            inches(CABINETS["wall_outlet_height"]["8 cu ft"]),
            CABINETS["roof_outlet_height"]["8 cu ft"] / 0.3048,
        ),
    ),
    computed("It holds 38 °F", lambda: food(85, DIRTY_WITH_HALF_A_VENT)),
    free("on a day of 85 °F, with dirty fins and a vent half shut", SET),
    holds(
        "It proves that for 85 °F. At 110 °F the same enclosure fails",
        lambda: nine_in_ten(
            fahrenheit(plausible_at(110, tuple(DIRTY_AND_HALF_SHUT.items())).food_temperature) > FOOD_LIMIT
        ),
    ),
    holds(
        "dirty fins and a vent half shut. What does that prove",
        lambda: nine_in_ten(food_as_before(85, **DIRTY_AND_HALF_SHUT)),
    ),
    holds("As a sheet of paper lying on a table", lambda: abs(draught(5) / 0.785 - 1) < 0.1),
    # a tire of 2 bar
    holds("The draft is many thousand times weaker", lambda: 2e5 / draught(5) > 1e5),
    free("Outside it is 90 °F", SET),
    holds(
        "It stays cold; the unit runs a bit longer",
        lambda: nine_in_ten(food_as_before(90, lower_vent_blocked=0.5)),
    ),
    holds(
        "with a minute or so of running in the hour",
        lambda: nine_in_ten(abs(minutes_more(90, lower_vent_blocked=0.5) - 1.0) < 0.6),
    ),
    holds("Beyond the limit each degree outside costs several inside", lambda: is_a_cliff(HALF_A_VENT)),
    holds(
        "it costs more than either of the other two",
        lambda: dearer_than(HALF_A_VENT, {"top_gap": 0.0762}, {"baffle_gap": np.inf}),
    ),
    holds(
        "How much it is worth the model can't tell; less than half of a vent",
        lambda: judged(100)["baffle"].verdict == VERDICTS[-1],
    ),
    holds(
        "But the plausible refrigerators don't agree on what it costs",
        lambda: all(judged(100)[name].verdict == VERDICTS[-1] for name in ("near_baffle", "far_baffle")),
    ),
    holds("Little, but always: nine in ten of them agree", lambda: judged(100)["top"].verdict == VERDICTS[0]),
    free("It is 80 °F outside, and the lower vent is shut by three quarters", SET),
    holds(
        "It is about ten degrees warmer than in a correct enclosure, or more",
        lambda: nine_in_ten(condenser_air_rise(80, lower_vent_blocked=0.75) - condenser_air_rise(80) > 9.5),
    ),
    holds("On such a day it shows nothing", lambda: nine_in_ten(food_as_before(80, lower_vent_blocked=0.75))),
    holds(
        "By a few minutes only",
        lambda: nine_in_ten(abs(minutes_more(80, lower_vent_blocked=0.75) - 2.5) < 2.0),
    ),
    holds("A weak one costs more margin than it gives", weak_fan_costs),
    holds(
        "the unit runs a little longer",
        lambda: 0.5 < runs_longer_by(85, DIRTY_WITH_HALF_A_VENT) < 5,
    ),
    holds(
        "Twenty inches more of the warmest air",
        lambda: (
            round(
                inches(CABINETS["roof_outlet_height"]["8 cu ft"] - CABINETS["wall_outlet_height"]["8 cu ft"])
            )
            == 20
        ),
    ),
]

HEAT = [
    free("about 45 minutes", "minutes to work"),
    holds("in a quarter of an hour", lambda: minutes("voltage", "current") <= 15),
    computed("a long 12 V run", lambda: VOLTS["battery"]),
    holds("All of an electric heater's heat", lambda: boiler_share("mains") == boiler_share("battery") == 1),
    holds("little more than half does", lambda: 0.5 < boiler_share("gas") < 0.6),
    computed("a mains heater of 325 W at 120 V", lambda: (WATTS["mains"], VOLTS["mains"])),
    holds("two elements side by side", lambda: len(element_resistances("8 cu ft")) == 2),
    computed("watts, volts = 325, 120", lambda: (WATTS["mains"], VOLTS["mains"])),
    holds(
        "the ohms double and the amps halve",
        lambda: np.allclose(
            [
                with_an_open_element().ohms / TOGETHER,
                electric_heat("8 cu ft", "mains", 120.0, 1) / WATTS["mains"],
            ],
            [2, 1 / 2],
            rtol=0.01,  # leads and leakage
        ),
    ),
    typed("on a mild day of 80 °F and on a hot one of 110 °F", "for degrees in (80, 110)]"),
    computed("the thermostat at 38 °F", lambda: fahrenheit(SETTING)),
    holds(
        "On the mild day the food shows nothing",
        lambda: all(abs(food(80, at_volts(volts)) - food(80)) < 0.1 for volts in (115, 110, 105)),
    ),
    # that many a campsite gives so little is common practice, no source
    holds(
        "at 105 V, which many a crowded campsite gives, half as long again",
        lambda: 1.4 < minutes_an_hour(80, at_volts(105)) / minutes_an_hour(80) < 1.8,
    ),
    holds("On the hot day it runs all the time already", lambda: minutes_an_hour(110) > 58),
    holds(
        "At 115 V it still holds its 43 °F, at 110 V it is a little above, at 105 V far",
        lambda: (
            food(110, at_volts(115))
            < FOOD_LIMIT
            < food(110, at_volts(110))
            < FOOD_LIMIT + 5
            < food(110, at_volts(105)) - 5
        ),
    ),
    computed(
        "from 108 to 132 V, within 10 % of 120 V",
        lambda: (
            HEATERS.in_column("lowest_voltage", "mains"),
            HEATERS.in_column("highest_voltage", "mains"),
            100 * (1 - HEATERS.in_column("lowest_voltage", "mains") / VOLTS["mains"]),
            VOLTS["mains"],
        ),
    ),
    holds(
        "on the hottest one, in the table above, 110 V are too few",
        lambda: food(110, at_volts(110)) > FOOD_LIMIT > food(80, at_volts(110)),
    ),
    holds(
        "In the model a fifth more heat gains a degree or so of margin",
        lambda: 0.4 < gained_by_a_larger_flame() < 2.0,
    ),
    computed("On 12 V it is a lot", lambda: VOLTS["battery"]),
    holds("the current is ten times as large", lambda: round(AMPS["battery"] / AMPS["mains"]) == 10),
    computed("A battery heater of 315 W takes 26 A", lambda: (WATTS["battery"], AMPS["battery"])),
    typed("through 20 ft", 'read_quantity("20 ft", "length")'),
    typed("of 10 AWG wire", "for gauge in (10, 8, 6)"),
    computed("from a battery at 13.6 V", lambda: HeaterCircuit.of("8 cu ft", "battery").voltage),
    typed("at 13.6 V with the engine running", "left = 13.6 - circuit.voltage_drop(13.6, "),
    computed("circuit.heater_current(12.0, heater)", lambda: VOLTS["battery"]),
    holds("Over a volt goes into 10 AWG", lambda: 1.0 < volts_lost_in_the_example() < 1.5),
    # NFPA 70, 210.19(A), informational note, from memory
    computed("more than the 5 % that wires should take", lambda: 100 * HEATERS["usual_drop"]["battery"]),
    computed(
        "26 A for hours ask for a fuse of 33 A, where 10 AWG may have 30 A",
        lambda: (
            AMPS["battery"],
            needed_rating(AMPS["battery"]),
            10,
            wire_fuse(float(circuit.gauge_area(10))),
        ),
    ),
    holds(
        "6 AWG will do",
        lambda: (
            volts_lost_in_the_example(6) / 13.6 < 0.05
            and wire_fuse(float(circuit.gauge_area(6))) > needed_rating(AMPS["battery"])
        ),
    ),
    computed("5 % for wires", lambda: 100 * HEATERS["usual_drop"]["battery"]),
    cited("210.19(A)", "heaters"),
    cited("NFPA 70, 240.4(D)", "wire"),
    free("for 10 AWG; others from memory", CITATION),
    cited("NFPA 54 (2015), table E.1.1(d)", "fuels"),
    computed(
        "above 2,000 ft, 4 % for each 1,000 ft over the sea, 20 % here",
        lambda: (
            us(FUELS["code_free_altitude"], "length", "foot"),
            100 * FUELS["code_derating"],
            us(FUELS["code_altitude_step"], "length", "foot"),
            100 * code_derating(si("5000 ft", "length")),
        ),
    ),
    holds(
        "So the code wants more off",
        lambda: (
            1 - Burner.of("8 cu ft", altitude=1524.0).heat / Burner.of("8 cu ft").heat < code_derating(1524.0)
        ),
    ),
    computed("takes 26 amp-hours", lambda: AMPS["battery"]),
    typed("A battery of 100 Ah", 'read_quantity("100 Ah", "charge")'),
    holds("of which half may be used", lambda: hours_of_100_ah() * AMPS["battery"] == pytest.approx(50)),
    holds("done in less than two hours", lambda: 1.5 < hours_of_100_ah() < 2),
    holds(
        'Load "Element 1 open: volts", then "amps"',
        lambda: {"Element 1 open: volts", "Element 1 open: amps"} <= SITUATIONS.keys(),
    ),
    holds('Choose "mystery 1"', lambda: "mystery 1" in MYSTERIES),
    holds("There are six", lambda: len(MYSTERIES) == 6),
    computed("The full 119 V stand across it", lambda: with_an_open_element().heater_volts),
    holds(
        "found 119 V, 1.35 A and 88 ohm on the heater above",
        lambda: (
            is_like(119, with_an_open_element().heater_volts)
            and is_like(1.35, with_an_open_element().amps)
            and is_like(88, with_an_open_element().ohms)
        ),
    ),
    typed("119 V, 1.35 A and 88 ohm", 'heater_volts="119 V", amps="1.35 A", ohms="88 ohm"'),
    # NFPA 70, 210.20(A), from memory
    computed("at most 80 % of the rating", lambda: 100 * FUSES["continuous_share"]),
    computed(
        "2.7 A need 3.4 A at least: the next size is 4 A, and 5 A is common practice",
        lambda: (
            AMPS["mains"],
            needed_rating(AMPS["mains"]),
            next_rating(AMPS["mains"], "cartridge"),
            FUSES["mains_heater_fuse"],  # common practice, no source
        ),
    ),
    # ISO 8820-1:1994
    computed(
        "One made for 32 V in a car need not put out an arc at 120 V",
        lambda: (FUSES["blade_voltage"], VOLTS["mains"]),
    ),
    # common practice, no source: fuses at the board and at the panel
    computed("show_fuse_times(5, 15)", lambda: (FUSES["control_fuse"][1], FUSES["panel_fuse"])),
    computed(
        "32), circuit_voltage=120, load_current=325 / 120, holder_rating=5",
        lambda: (
            FUSES["blade_voltage"],
            VOLTS["mains"],
            WATTS["mains"],
            VOLTS["mains"],
            FUSES["mains_heater_fuse"],
        ),
    ),
    # bands of opening times from memory, for the idea alone
    holds("With small overloads it does", lambda: opens_first(5, 15, 10)),
    holds("With a dead short both may go", lambda: not opens_first(5, 15, 150)),
    # common practice, no source
    computed(
        "11 in w.c. under load",
        lambda: us(PRACTICE["gas_pressure"], "pressure_difference", "inch_water_column"),
    ),
    computed(
        "11 in w.c., 5 A, sizes of heaters",
        lambda: (
            us(PRACTICE["gas_pressure"], "pressure_difference", "inch_water_column"),
            FUSES["mains_heater_fuse"],
        ),
    ),
    typed("altitude: at 5,000 ft", 'read_quantity("5000 ft", "length")'),
    computed(
        "carries 9 % less heat",
        lambda: (
            100
            * (1 - Burner.of("8 cu ft", altitude=si("5000 ft", "length")).heat / Burner.of("8 cu ft").heat)
        ),
    ),
    holds('"105 V is close enough." It is three quarters of the heat', lambda: round(4 * LEFT_AT_105) == 3),
    holds(
        "Twice the ohms is half the heater",
        lambda: circuit.heater_power(120, 2) == circuit.heater_power(120, 1) / 2,
    ),
    # IEC 60079-20-1; the lower limit
    computed("burns from about 2 % in the air", lambda: 100 * FUELS["flammable"][0]),
    holds("at almost 400 °F", boiler_is_near_400),  # common practice, no source
    cited("IEC 60028", "wire"),
    cited("ASTM B258", "wire"),
    elsewhere(
        "NFPA 70 (the National Electrical Code), chapter 9, table 8",
        "reference/test_circuit.py",
        "test_the_electrical_code_s_table",
    ),
    elsewhere(
        "Blade fuses up to 30 A and 32 V",
        "reference/test_fuse.py",
        "test_blade_fuses_are_for_vehicles_of_32_v",
    ),
    cited("ISO 8820-1:1994", "fuses"),
    computed("Continuous loads at 80 %", lambda: 100 * FUSES["continuous_share"]),
    cited("NFPA 70, 210.20(A)", "fuses"),
    cited("IEC 60079-20-1", "fuels"),
    # self-checks
    holds(
        "there is more heat to lose on gas",
        lambda: CABINETS["gas_heat_input"]["8 cu ft"] > CABINETS["heat_input"]["8 cu ft"],
    ),
    computed("The plate says 120 V, 325 W", lambda: (VOLTS["mains"], WATTS["mains"])),
    free("The campsite gives 105 V", SET),
    computed(
        "88 %, for 105 is 88 % of 120",
        lambda: (100 * 105 / 120, 105, 100 * 105 / 120, VOLTS["mains"]),
    ),
    computed("the heat falls twice: 0.875 × 0.875", lambda: (105 / 120, 105 / 120)),
    computed("77 %", lambda: 100 * LEFT_AT_105),
    computed("0.875 × 0.875 is 0.77", lambda: (105 / 120, 105 / 120, LEFT_AT_105)),
    computed("It gives 249 W", lambda: electric_heat("8 cu ft", "mains", 105.0)),
    computed("44 ohm together. You measure 89 ohm", lambda: (TOGETHER, element_resistances("8 cu ft")[0])),
    free("fed through 20 ft of wire", SET),
    free("20 ft, for that is how far it goes", SET),
    computed("40 ft, for it goes there and back", lambda: 2 * 20),
    computed("10 ft, for the two wires", lambda: 20 / 2),
    computed("The plate says 325 W at 120 V", lambda: (WATTS["mains"], VOLTS["mains"])),
    computed("2.7 A Watts divided by volts", lambda: AMPS["mains"]),
    computed("0.37 A It is a division", lambda: VOLTS["mains"] / WATTS["mains"]),
    computed("26 A The battery's heater takes as much", lambda: AMPS["battery"]),
    computed("On 12 V. Mains has ten times the volts", lambda: VOLTS["battery"]),
    free("A campsite gives 105 V in place of 120 V. Outside it is 80 °F", SET),
    holds(
        "Nothing: the unit only runs for longer",
        lambda: nine_in_ten(food_as_before(80, heat_input=at_volts(105).heat_input)),
    ),
    holds(
        "At 105 V it lifts less, but it lifts",
        lambda: nine_in_ten(
            plausible_at(80, (("heat_input", at_volts(105).heat_input),), full_demand=True).vapour_flow
            < plausible_at(80, full_demand=True).vapour_flow
        ),
    ),
    holds("Half of it Heat goes as the square root", lambda: round(at_a_quarter_of_the_pressure(), 6) == 0.5),
    free("the cup is at 38 °F", SET),
    computed("it is made for 32 V On 120 V its arc", lambda: (FUSES["blade_voltage"], VOLTS["mains"])),
]

CUP = [
    free("about 40 minutes", "minutes to work"),
    # common practice, no source: hours and water of the test
    computed("A cup of water, 24 hours and", lambda: hours(PRACTICE["cup_test_time"][1])),
    computed("12 hours at least, and 24 where you can", lambda: hours(PRACTICE["cup_test_time"])),
    computed("After 24 hours read the water", lambda: hours(PRACTICE["cup_test_time"][1])),
    computed("and 24 hours to be sure", lambda: hours(PRACTICE["cup_test_time"][1])),
    holds("A cup needs half a day", lambda: hours(PRACTICE["cup_test_time"][0]) == 12),
    computed(
        "Put 4 to 8 oz of tap water", lambda: [us(mass, "mass", "ounce") for mass in PRACTICE["cup_mass"]]
    ),
    typed("a cup of 8 oz", 'read_quantity("8 oz", "mass")'),
    computed(
        "After one time constant 37 % of the extra warmth is left. After two, 14 %. After three, 5 %",
        lambda: (left(1), left(2), left(3)),
    ),
    typed("The water starts at 70 °F", 'in ("70 °F", "38 °F"))'),
    typed("at a steady 38 °F", 'in ("70 °F", "38 °F"))'),
    computed("the water is 32 °F too warm at the start", lambda: 70 - 38),
    typed("after 2, 6, 12 and 24 hours", "in (2, 6, 12, 24)"),
    holds("after two hours would condemn a sound refrigerator", lambda: cup(2) > VENT_BAND[0]),
    holds("as large as that of a poor thermometer", lambda: 1 < cup(6) - 38 < 2.5),
    holds("After a night it is gone", lambda: cup(12) - 38 < 0.2),
    free("off by one or two degrees", NO_SOURCE),
    free("Checking takes five minutes", NO_SOURCE),
    computed("That mixture is at 32 °F", lambda: fahrenheit(273.15)),
    computed("shows above 32 °F", lambda: fahrenheit(273.15)),
    computed(
        "An error of 1.8 °F is 1.0 °C. A temperature of 1.8 °F is -16.8 °C. The 32 belongs",
        lambda: (1.0 * 1.8, 1.8 / 1.8, 1.8, kelvin(1.8) - 273.15, fahrenheit(273.15)),
    ),
    computed(
        "8 oz of water at 70 °F, a day of 90 °F, and a thermostat that lets the air swing by 4 °F",
        lambda: (
            us(CupTest().cup_mass, "mass", "ounce"),
            fahrenheit(CupTest().start_temperature),
            fahrenheit(CupTest().ambient),
            1.8 * CupTest().swing,
        ),
    ),
    holds("Read at hour 3, then at 12", lambda: lab_takes(CUP_CONTROLS, "reading_time", 3, 12)),
    holds("a swing of 8 °F", lambda: lab_takes(CUP_CONTROLS, "swing", 8)),
    holds("Start with water at 36 °F", lambda: lab_takes(CUP_CONTROLS, "start_temperature", 36)),
    computed("meet its rating at 43 °F", lambda: FOOD_LIMIT),  # common practice, no source
    computed("Between 44 and 60 °F", lambda: VENT_BAND),  # common practice, no source
    computed("the band of 44 to 60 °F", lambda: VENT_BAND),
    computed("above 60 °F on a hot day look", lambda: VENT_BAND[1]),
    holds(
        "food is at 44 °F on a day of 100 °F and above 60 °F on one of 105 °F",
        lambda: round(food(100, A_QUARTER_OF_A_VENT)) == 44 and food(105, A_QUARTER_OF_A_VENT) > 60,
    ),
    holds(
        "a thermostat set too warm can't show then",
        lambda: (
            food_at_full_demand(90)
            < FOOD_LIMIT
            < float(fahrenheit(steady_state(EIGHT, kelvin(90), setting=kelvin(50)).food_temperature))
        ),
    ),
    holds(
        "What does the model say? Too little heat can bring a cup into that band as well",
        lambda: any(VENT_BAND[0] < food(at, at_volts(105)) < VENT_BAND[1] for at in (100, 105, 110)),
    ),
    holds("on a mild one that may freeze the cup", lambda: food_at_full_demand(80) < 31),
    elsewhere(
        "holds well at 80 °F outside and fails at 100 °F",
        "reference/test_trade.py",
        "test_a_cup_between_44_and_60_points_at_venting_on_hot_days_only",
    ),
    free("The air was 50 °F", SET),
    free("It says 42 °F", SET),
    holds("Its time constant is about two hours", lambda: round(TAU / 3600) == 2),
    # the rating is common practice, no source; FDA Food Code; FDA's advice to consumers
    computed(
        "43, 41 and 40 °F are three limits",
        lambda: (FOOD_LIMIT, *fahrenheit([LIMITS["food_code"], LIMITS["consumer_refrigerator"]])),
    ),
    holds(
        "a cabinet of eight cubic feet",
        lambda: Cabinet().food_conductance == CABINETS["food_conductance"]["8 cu ft"],
    ),
    holds("can be near 400 °F", boiler_is_near_400),  # common practice, no source
    cited("3-501.16(A)(2)", "limits"),
    free("chapter 5", CITATION),
    cited("IAPWS-95", "fuels"),
    # self-checks
    free("read 52 °F on an air thermometer", SET),
    holds("About midnight After half a day nothing is left", lambda: cup(12) - 38 < 0.2),
    holds("still more than ten degrees too warm", lambda: cup(2) - 38 > 10),
    computed("lets the air in the box swing by 4 °F", lambda: 1.8 * CupTest().swing),
    holds("Hardly, by a small part of that", lambda: swings("cup") < 0.2 * swings("air")),
    holds(
        "It is steadier and needs longer",
        lambda: 2 * cup_conductance(0.2) > cup_conductance(0.4) > cup_conductance(0.2),
    ),
    computed("On its rated day a refrigerator holds 43 °F", lambda: FOOD_LIMIT),  # common practice, no source
    holds(
        "How cold food should be is another limit, and a lower one",
        lambda: max(fahrenheit([LIMITS["food_code"], LIMITS["consumer_refrigerator"]])) < FOOD_LIMIT,
    ),
    free("the cup stays at 52 °F", SET),
    computed("for a cup between 44 and 60 °F", lambda: VENT_BAND),  # common practice, no source
    holds(
        "Too little heat can bring it there as well",
        lambda: any(VENT_BAND[0] < food(at, at_volts(105)) < VENT_BAND[1] for at in (100, 105, 110)),
    ),
    free("On a mild day of 75 °F", SET),
    holds(
        "the food compartment gets colder than ice",
        lambda: nine_in_ten(plausible_at(75, full_demand=True).food_temperature < 273.15),
    ),
    free("a time constant of 2 hours", SET),
    free("is left after 6 hours", SET),
    computed("leaves 37 % of what was there", lambda: left(1)),
    holds("About a third", lambda: abs(left(1) - 100 / 3) < 5),
    free("after one time constant, 2 hours", SET),
    holds("Six hours are three of them", lambda: 6 / 2 == 3),
    holds("About a twentieth", lambda: round(left(6 / 2)) == 100 / 20),
    computed("0.37 × 0.37 × 0.37 is 0.05", lambda: (*3 * [left(1) / 100], left(3) / 100)),
    free("reads 33.4 °F in ice water and 42.0 °F in the cup", SET),
    computed("40.6 °F", lambda: 42.0 - (33.4 - 32)),
    computed("1.4 °F", lambda: 33.4 - fahrenheit(273.15)),
    free("42.0 °F", SET),
    computed("43.4 °F", lambda: 42.0 + (33.4 - 32)),
    free("is at 39 °F. The hottest hour was 82 °F", SET),
    computed("39 °F is below 43 °F", lambda: (39, FOOD_LIMIT)),
    computed("The rating speaks of 110 °F outside", lambda: RATED),  # common practice, no source
    computed("food needs 40 °F", lambda: fahrenheit(LIMITS["consumer_refrigerator"])),
    computed("The cup is below 40 °F", lambda: fahrenheit(LIMITS["consumer_refrigerator"])),
]

DIAGNOSIS = [
    free("about 45 minutes", "minutes to work"),
    # minutes of readings, shares of faults and errors of meters are invented
    holds("More than four hours of readings", lambda: all(4 < each < 5 for each in hours_of_all_readings())),
    holds("a quarter of a million invented refrigerators", lambda: abs(COUNT / 250_000 - 1) < 0.05),
    free("takes a few minutes, once", "depends on the computer"),
    holds(
        "It costs two minutes, and hardly a reading is cheaper",
        lambda: np.mean([one.minutes < 2 for one in READINGS.values()]) < 0.1,
    ),
    holds(
        "Warm at four, fine at dawn",
        lambda: np.argmax(day_and_night(np.arange(24) * 3600.0, 300.0, 5.0)) == 16,
    ),
    holds("No fault leads", no_fault_leads),
    typed("stands at 102 °F", "ambient=(102 + 459.67) / 1.8"),
    typed("The cup reads 55 °F", 'from_text("cup", "55 °F")'),
    holds("add up to more than 100 %", lambda: sum(map(group_share, GROUPS)) > 1.0),
    holds("The installation leads", lambda: max(GROUPS, key=group_share) == "installation"),
    computed("for a cup between 44 and 60 °F", lambda: VENT_BAND),  # common practice, no source
    holds(
        "they cost a minute each",
        lambda: [one.minutes for one in next_reading(WITH_CUP)[:2]] == [1, 1],
    ),
    holds("wait half an hour", lambda: 30 <= READINGS["panel_off_air"].minutes < 40),
    holds(
        "one case, six readings",
        lambda: sum(control.label.endswith(" reading") for control in odds.working_controls()) == 6,
    ),
    computed("stands at 9 to 1", lambda: (SETTLED / (1 - SETTLED), 1)),
    holds(
        "Can you get there within 30 minutes",
        lambda: any(settles(case, *taken) and minutes(*taken) <= 30 for case, taken in WAYS.items()),
    ),
    holds("That is half an hour of work", lambda: minutes(*THREE_THAT_TELL_THE_SAME) == 30),
    holds(
        "Take the last two readings away again: what did they add",
        lambda: odds_move("case 1", THREE_THAT_TELL_THE_SAME[:1], THREE_THAT_TELL_THE_SAME[1:]) < 0.05,
    ),
    computed(
        "a cup stands for 24 hours, and counts for the 10 minutes",
        lambda: (hours(PRACTICE["cup_test_time"][1]), minutes("cup")),
    ),
    holds(
        "Case 1: begin with the cup, then the air below the condenser. Who leads now? Which look settles it",
        lambda: (
            leads("case 1", "cup", "condenser_air")[1] < 0.3 and settles("case 1", *WAYS["case 1"], by=0.8)
        ),
    ),
    holds("Case 2: three readings with one meter settle it", lambda: settles("case 2", *WAYS["case 2"])),
    holds("Case 4: how do you show that nothing is wrong", lambda: odds.truth("case 4") == ("none",)),
    holds("Case 7: two things are wrong at once", lambda: len(odds.truth("case 7")) == 2),
    computed("leads by 9 to 1", lambda: (LEAD, 1)),
    computed("9 to 1 is enough", lambda: (LEAD, 1)),
    holds(
        "There are a dozen things between",
        lambda: (
            sum("vent" not in name and one.group not in ("unit", "none") for name, one in FAULTS.items())
            >= 12
        ),
    ),
    elsewhere(
        "about nine times in ten with all readings",
        "diagnosis/test_inference.py",
        "test_single_faults_are_found_as_often_as_asked_for",
    ),
    holds("come near 400 °F", boiler_is_near_400),  # common practice, no source
    free("(1948)", CITATION),
    # self-checks
    holds(
        "make up more than a third", lambda: all(1 / 3 < share < 0.4 for share in shares_of_the_enclosure())
    ),
    free("The cup is at 55 °F on a hot day", SET),
    free("brings the cup to 55 °F", SET),
    free("on a day of 82 °F", SET),
    free("The odds say 95 % for the cooling unit", SET),
    holds("nineteen in twenty is sure enough", lambda: 95 / 100 == 19 / 20),
    holds("and takes minutes", lambda: minutes("side_level", "front_level") < 5),
    holds(
        "Hardly at all, for the warm cup had said it", lambda: odds_move("case 1", ("cup",), ("duty",)) < 0.05
    ),
    holds(
        "So does a sound one behind a blocked vent",
        lambda: (
            odds.truth("case 1") == ("lower_vent_blocked",)
            and odds.all_readings("case 1").values["duty"] == 1.0
        ),
    ),
    holds("That takes more than four hours", lambda: all(4 < each < 5 for each in hours_of_all_readings())),
]

# --- a day of use ---


@cache
def cup_over_the_day(name: str):
    return day_of(DAYS[name]).cup


def at_its_worst(name: str) -> list[float]:
    """The cup's farthest from the thermostat's setting [°F], and for how long it is above 40 °F [h]."""
    cup_then = cup_over_the_day(name)
    farthest = cup_then[np.argmax(np.abs(cup_then - SETTING))]
    above = hours_above(day_of(DAYS[name]), 86400.0) / 3600.0
    return [float(fahrenheit(farthest)), *([above] if above else [])]


def row_of_day(phrase: str, name: str, *given: float) -> Row:
    """A line of the lab's table."""
    return computed(phrase, lambda: [*given, *at_its_worst(name)])


@cache
def plausible_recovery(at: float) -> np.ndarray:
    """Minutes that a hundred plausible eights make up for twenty seconds at an ambient [°F]."""
    return door_recovery(plausible(EIGHT, 100), kelvin(at), 20.0).time.ravel() / 60.0


def load_in_the_night() -> float:
    """The worked example's hours."""
    heat = si("20 lb", "mass") * float(food_specific_heat(0.8)) * 42 / 1.8
    return heat / float(door_recovery(EIGHT, kelvin(80), 20.0).spare_cooling) / 3600.0


@cache
def costs_of_the_eight(**changes: object) -> Cost:
    return cost_of(Installation.of("8 cu ft", **changes), count=100)


def range_of_cost(**changes: object) -> list[float]:
    """What one in ten loses less than, and one in ten more than [°F]."""
    cost = costs_of_the_eight(**changes)
    return [1.8 * cost.low, 1.8 * cost.high]


def freezer_at(at: float) -> np.ndarray:
    """Of the eight and of plausible ones under their thermostat [°F]."""
    return fahrenheit(steady_state(plausible(EIGHT, 100), kelvin(at), setting=SETTING).freezer_temperature)


def freezer_of_the_eight(at: float) -> float:
    return float(steady_state(EIGHT, kelvin(at), setting=SETTING).freezer_temperature)


HIGH_UP = {"altitude": 2438.4}
SAFETY = load("food_safety")
USE = [
    free("It takes about 40 minutes", "minutes to work"),
    free("On a day of 80 °F someone puts in 20 lb", SET),
    typed("20 lb of food and drinks", 'read_quantity("20 lb", "mass")'),
    computed("and wants them at 38 °F", lambda: fahrenheit(SETTING)),
    # J. E. Siebel, as in the ASHRAE Handbook; a Btu is what a pound of water takes for a °F
    computed(
        "takes 0.84 Btu for each pound and °F; water takes 1",
        lambda: (float(food_specific_heat(0.8)) * 1.0 / BTU_A_POUND / 1.8, 1.0),
    ),
    holds("Some time tomorrow, after the night", lambda: 8 < load_in_the_night() < 16),
    holds(
        "At 80 °F the rule holds. On a cool day it is less, and at 100 °F it is several times as much",
        lambda: (
            np.all(np.abs(np.percentile(plausible_recovery(80), [10, 90]) - 20) < 4)
            and np.percentile(plausible_recovery(70), 90) < 15
            and np.percentile(plausible_recovery(100) / plausible_recovery(80), 10) > 3
        ),
    ),
    holds(
        "on a day of 100 °F. How long does the unit make up for it",
        lambda: np.percentile(plausible_recovery(100), 10) > 60,
    ),
    holds("It holds on a day of 80 °F or so", lambda: abs(np.median(plausible_recovery(80)) - 20) < 4),
    computed("for a day from 8 am", lambda: 8),
    computed(
        "A day of 90 °F, 10 up and down",
        lambda: (fahrenheit(DAYS["A quiet day"].ambient), 1.8 * DAYS["A quiet day"].day_swing),
    ),
    computed("Above 40 °F |", lambda: fahrenheit(LIMITS["consumer_refrigerator"])),
    row_of_day("A quiet day | 36.2 °F | never", "A quiet day"),
    row_of_day("20 lb as warm as the day | 43.7 °F | 10.8 h", "Warm shopping", 20),
    row_of_day("The same, cooled before | 36.2 °F | never", "Cooled shopping"),
    row_of_day("A minute at the door each half hour | 49.9 °F | 16.0 h", "Busy door"),
    row_of_day("Sensor feels 10 °F too warm | 27.5 °F | never", "Sensor off its fin", 10),
    row_of_day("Sensor feels 10 °F too cold | 48.2 °F | 23.5 h", "Sensor too cold", 10),
    row_of_day("Unit stopped for two hours from 4 pm | 43.2 °F | 3.4 h", "Defrost at 4 pm", 4),
    holds(
        "which of these makes the cup warmest, on a day of 90 °F",
        lambda: (
            at_its_worst("Busy door")[0]
            > max(
                at_its_worst("Defrost at 4 pm")[0],
                fahrenheit(day_of(replace(DAYS["A quiet day"], door="left open five minutes")).cup.max()),
            )
        ),
    ),
    holds(
        "A unit stopped two hours from 4 pm on",
        lambda: DEFROSTS["two hours from 4 pm"].starts(86400.0).tolist() == [8 * 3600.0],
    ),
    holds(
        "a pound of it takes more than 20 °F off the hottest day",
        lambda: range_of_cost(frost=si("1 lb", "mass"))[0] > 20,
    ),
    computed("some 20 minutes with the door open", lambda: PRACTICE["manual_defrost_time"] / 60),
    typed("the first after 30 hours, then one each 24 hours", "TimedDefrost(30 3600, 24 3600, 3600)"),
    typed("each for 1 hour. None may run from 6 am to 10 pm", "6 3600, 22 3600)"),
    holds(
        "the first may begin at 10 pm at the earliest, and at 5 am at the latest",
        lambda: (16 + 30) % 24 == 22 and (23 + 30) % 24 == 5,
    ),
    computed(
        "about 3° from side to side and 6° front to back",
        lambda: np.degrees([LIMITS["side_tilt"], LIMITS["front_tilt"]]),
    ),
    computed("27 °F on a day of 50 °F", lambda: (fahrenheit(freezer_of_the_eight(50)), 50)),
    holds("it thaws near freezing", lambda: freezer_of_the_eight(35) > kelvin(32)),
    holds(
        "It is 50 °F outside, and the food is at 38 °F",
        lambda: np.mean(freezer_at(50) > freezer_at(100) + 5) >= 0.9,
    ),
    computed(
        "At 8,000 ft the hottest day that an eight-cubic-foot one still holds is 4.9 to 5.8 °F cooler on "
        "mains, and 5.3 to 9.5 °F cooler on gas",
        lambda: [
            us(HIGH_UP["altitude"], "length", "foot"),
            *range_of_cost(**HIGH_UP),
            *range_of_cost(**HIGH_UP, heat_source="gas"),
        ],
    ),
    computed(
        "kept at 40 °F or colder, and a freezer at 0 °F. Those who sell it have 41 °F",
        lambda: fahrenheit(
            [LIMITS["consumer_refrigerator"], LIMITS["consumer_freezer"], LIMITS["food_code"]]
        ),
    ),
    computed(
        "Above 40 °F for more than 2 hours",
        lambda: (fahrenheit(LIMITS["consumer_refrigerator"]), hours(SAFETY["hours_above"])),
    ),
    computed(
        "More than 1 hour where the air around was above 90 °F",
        lambda: (hours(SAFETY["hours_above_in_heat"]), fahrenheit(SAFETY["heat"])),
    ),
    computed("or at 40 °F or colder, may be frozen again", lambda: fahrenheit(SAFETY["refreeze"])),
    holds("don't reach 0 °F on a hot day", lambda: np.mean(freezer_at(100) > 0) >= 0.9),
    free("12 V supply and its connections", SET),
    cited("3-501.16(A)(2)", "limits"),
    computed(
        "40 °F and 0 °F: US Food and Drug Administration",
        lambda: fahrenheit([LIMITS["consumer_refrigerator"], LIMITS["consumer_freezer"]]),
    ),
    computed("41 °F: Food Code", lambda: fahrenheit(LIMITS["food_code"])),
    free("J. E. Siebel (1892)", CITATION),
    free("Olama (1975)", CITATION),
    free("Milk stood at 50 °F from noon to four", SET),
]

ROWS = {
    "00": START,
    "01": CYCLE,
    "02": VENTING,
    "03": CLEARANCES,
    "04": HEAT,
    "05": CUP,
    "06": USE,
    "07": DIAGNOSIS,
}

# --- tests ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("module", "row"),
    [
        pytest.param(module, row, id=f"{module}-{row.phrase}", marks=NEEDS_BANK if module == "07" else ())
        for module in ROWS
        for row in ROWS[module]
    ],
)
def test_what_the_prose_says_is_so(module, row):
    assert row.phrase in without_si(f"{prose(module)} {cells(module, 'code')}")
    row.check(module)


@pytest.mark.parametrize("module", sorted(NOTEBOOKS))
def test_no_number_is_untraced(module):
    """With all phrases of its rows taken out, and numbers of modules, no digit is left in the prose."""
    rest = without_si(prose(module))
    for phrase in sorted((row.phrase for row in ROWS[module]), key=len, reverse=True):
        rest = re.sub(rf"(?<![\d.,/-]){re.escape(phrase)}(?![\d/])", "…", rest)
    rest = re.sub(r"\b0[0-7]\b", "", rest)
    assert [rest[max(found.start() - 40, 0) : found.end() + 20] for found in re.finditer(r"\d+", rest)] == []


@pytest.mark.parametrize("module", sorted(NOTEBOOKS))
def test_si_beside_us_is_the_same_quantity(module):
    """To the digits printed; a round number, such as 400 °F (200 °C), to its last digit that isn't 0."""
    there = list(SI_BESIDE.finditer(f"{prose(module)} {cells(module, 'code')}"))
    assert there or module == "00"
    for found in there:
        kind = KINDS[found["unit"]] + ("_difference" if found["difference"] else "")
        allowed = last_digit(found["si"].split()[0], trailing_zeros_count=False) / 2.0
        unit = si(f"2 {found['si_unit']}", kind) - si(f"1 {found['si_unit']}", kind)
        assert si(found["us"], kind) == pytest.approx(si(found["si"], kind), abs=allowed * unit), found[0]


def test_the_limits_that_module_05_shows():
    # Food Code and advice to consumers are the FDA's; the ratings are common practice, no source
    rating, _, homes = SHOWN_LIMITS
    printed = [float(number) for number in NUMBER.findall(f"{rating.meaning} {homes.meaning}")]
    rated = RATINGS["rated_ambient"]
    assert [usual_rating(size) for size in SIZES] == ["N", "T", "T"]
    expected = [
        rated["T"],
        rated["N"],
        LIMITS["consumer_refrigerator"],
        LIMITS["consumer_freezer"],
    ]
    assert printed == pytest.approx([fahrenheit(each) for each in expected])
    for limit in SHOWN_LIMITS:
        assert float(limit.short.split()[0]) == pytest.approx(float(fahrenheit(limit.temperature)))
