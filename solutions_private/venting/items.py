"""Items, keys, mistakes and job cards of the exercise “Venting”. Never released."""

import math
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from warmside.data import load
from warmside.marking.exercise import ByHand, Exercise, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin, less_32, read_as_celsius
from warmside.model.draught import Fan, opening_flow, stack_pressure
from warmside.model.limits import Verdict, check
from warmside.model.refrigerator import Installation, holding_ambient, steady_state
from warmside.properties import air
from warmside.properties.water import FREEZING_POINT

LOG = "hot_room_log.csv"
RATINGS = load("ratings").fields
DISCHARGE = float(load("parameters")["vent_discharge_coefficient"])
INCH = 0.0254  # m
WATER_INCH = 249.0889  # Pa
CUBIC_FOOT_PER_MINUTE = 0.3048**3 / 60  # m³/s
BTU_PER_HOUR = 1055.056 / 3600  # W


# --- the draught ------------------------------------------------------------------------------------------


def draught(job: Job) -> float:
    return float(stack_pressure(job["height"], job["column_air"], job["outside_air"]))


def draught_of_scale(job: Job, zero: float) -> float:
    """Draught by the rule of the text, with temperatures counted from a zero [K] that isn't absolute."""
    inside, outside = job["column_air"] - zero, job["outside_air"] - zero
    right = 1.0 / job["outside_air"] - 1.0 / job["column_air"]
    return draught(job) * (1.0 / outside - 1.0 / inside) / right


# --- openings in a row ------------------------------------------------------------------------------------


def whole_outlet(job: Job) -> float:
    return math.pi / 4.0 * job["outlet_diameter"] ** 2


def outlet_free_area(job: Job) -> float:
    return whole_outlet(job) * job["outlet_free_share"]


def effective_area(job: Job) -> float:
    """One opening that lets as much air through as both in a row."""
    return 1.0 / math.hypot(1.0 / job["lower_free_area"], 1.0 / job.value("outlet_free_area"))


def added_areas(job: Job) -> float:
    return job["lower_free_area"] + job.value("outlet_free_area")


def flow_through(job: Job, area: float, pressure: float, coefficient: float = DISCHARGE) -> float:
    return float(opening_flow(area, pressure, air.density(job["outside_air"]), coefficient))


def draught_flow(job: Job) -> float:
    return flow_through(job, job.value("effective_area"), job.value("draught"))


# --- warm air ---------------------------------------------------------------------------------------------


def heat_of_stream(job: Job) -> float:
    """Heat that warms the stream of air by one kelvin [W/K]."""
    outside = job["outside_air"]
    return job["measured_flow"] * float(air.density(outside) * air.specific_heat(outside))


def air_rise(job: Job) -> float:
    return job["heat_below"] / heat_of_stream(job)


def condenser_air(job: Job) -> float:
    return job["outside_air"] + job.value("air_rise")


# --- the hot-room log -------------------------------------------------------------------------------------


def limit_met(job: Job, name: str) -> float:
    """Return the ambient [K] at which a column of the log passes the limit, on a straight line."""
    ambient, food = job.card.column(LOG, "ambient_F"), job.card.column(LOG, name)
    limit = fahrenheit(job["food_limit"])
    last = np.flatnonzero(food <= limit)[-1]
    return kelvin(float(np.interp(limit, food[last : last + 2], ambient[last : last + 2])))


def highest_ambient(job: Job) -> float:
    return limit_met(job, "food_as_found_F")


def food_at_rating(job: Job) -> float | None:
    """Return the food temperature as found at the rated ambient [K], where the run went to its end."""
    food = np.interp(
        fahrenheit(job["rated_ambient"]),
        job.card.column(LOG, "ambient_F"),
        job.card.column(LOG, "food_as_found_F"),
    )
    return None if np.isnan(food) else kelvin(float(food))


def margin(job: Job) -> float:
    return job.value("highest_ambient") - job["rated_ambient"]


# --- tape and rules ---------------------------------------------------------------------------------------

WITHIN, TOO_WIDE, TOO_NARROW, TOO_NEAR = "abcd"
TOP, SIDE, REAR, NO_GAP = "abcd"
GAPS = {TOP: "top_gap", SIDE: "side_gap", REAR: "rear_gap"}


@lru_cache(maxsize=4096)
def checked(size: str, name: str, measured: float):
    """Hold one measured gap against its rule; cached, as each mistake asks for it."""
    return check(size, **{name: measured})[0]


def baffle_verdict(job: Job) -> str:
    found = checked(job.card["size"], "baffle_gap", job["baffle_gap"])
    if found.verdict is Verdict.OUTSIDE:
        return TOO_WIDE if found.measured > found.highest else TOO_NARROW
    return WITHIN if found.verdict is Verdict.WITHIN else TOO_NEAR


def gap_outside(job: Job) -> str:
    outside = [
        letter
        for letter, name in GAPS.items()
        if checked(job.card["size"], name, job[name]).verdict is not Verdict.WITHIN
    ]
    return outside[0] if outside else NO_GAP


# --- three departures -------------------------------------------------------------------------------------


class Departure(NamedTuple):
    """Something that isn't as it should be: what the card says, what the model is told."""

    text: str
    changes: dict[str, float]


HEAVY = (
    *(
        Departure(f"lower vent {share} % shut by a nest", {"lower_vent_blocked": share / 100})
        for share in (50, 60, 70)
    ),
    *(
        Departure(f"upper vent {share} % shut by a cover", {"upper_vent_blocked": share / 100})
        for share in (50, 60, 70)
    ),
    *(Departure(f"fins {share} % shut by lint", {"fin_fouling": share / 100}) for share in (40, 50)),
    *(
        Departure(
            f"no baffle, {inches} in from tubes to wall",
            {"baffle_gap": math.inf, "rear_gap": inches * INCH},
        )
        for inches in (3, 4)
    ),
)
LIGHT = (
    Departure("baffle 5/8 in from the fins", {"baffle_gap": 0.625 * INCH}),
    Departure("baffle 3/4 in from the fins", {"baffle_gap": 0.75 * INCH}),
    Departure("lower vent 15 % shut by leaves", {"lower_vent_blocked": 0.15}),
    Departure("upper vent 10 % shut by a twig", {"upper_vent_blocked": 0.10}),
    Departure("fins 10 % shut by dust", {"fin_fouling": 0.10}),
)
BESIDE = (
    Departure("side gaps of 1/2 in", {"side_gap": 0.5 * INCH}),
    Departure("side gaps of 3/4 in", {"side_gap": 0.75 * INCH}),
    Departure("side gaps of 1 in", {"side_gap": INCH}),
    Departure("a gap of 3 in over the top, open to the back", {"top_gap": 3 * INCH}),
    Departure("a gap of 1 in over the top, open to the back", {"top_gap": INCH}),
)
CLEARLY = 2.0  # K, by which the costliest departure stands out


@lru_cache(maxsize=8)
def margins_lost(size: str) -> dict[str, float]:
    """Return the margin [K] that each departure costs, by its text; all of a size in one go."""
    departures = (Departure("as it should be", {}), *HEAVY, *LIGHT, *BESIDE)
    correct = Installation.of(size)
    names = {name for departure in departures for name in departure.changes}
    changes = {
        name: np.array([departure.changes.get(name, getattr(correct, name)) for departure in departures])
        for name in names
    }
    held = holding_ambient(Installation.of(size, **changes))
    return dict(zip((departure.text for departure in departures), (held[0] - held).tolist(), strict=True))


def worst_departure(job: Job) -> str:
    lost = margins_lost(job.card["size"])
    return max("abc", key=lambda letter: lost[job.card[f"departure_{letter}"]])


def letter_of(departures: tuple[Departure, ...]):
    """Return a path: the letter of the refrigerator whose departure is one of these."""
    texts = {departure.text for departure in departures}
    return lambda job: next(letter for letter in "abc" if job.card[f"departure_{letter}"] in texts)


# --- the fan ----------------------------------------------------------------------------------------------

HELPS, ADDS, IN_THE_WAY, HARDLY = "abcd"
MUCH, LITTLE = 3.0 / 1.8, 1.0 / 1.8  # K
FREE_FLOWS = {  # cfm, by what the fan does; what it does is for the model to say
    "eight": {"weak": (15, 20, 25, 30), "like the draught": (44, 45, 46), "strong": (80, 90, 100, 120)},
    "eighteen": {"weak": (20, 25, 30, 40), "like the draught": (59, 60, 61), "strong": (90, 100, 120, 140)},
}
SHUT_OFF = (0.03, 0.05, 0.08, 0.10)  # in w.c.


@lru_cache(maxsize=8)
def fan_gains(size: str) -> dict[tuple[float, float], float]:
    """Return the margin [K] that each fan brings, by its pressure [in w.c.] and free flow [cfm]."""
    fans = [(push, flow) for flows in FREE_FLOWS[size].values() for push in SHUT_OFF for flow in flows]
    push, flow = np.array(fans).T
    with_fan = Installation.of(size, fan=Fan(push * WATER_INCH, flow * CUBIC_FOOT_PER_MINUTE))
    gains = holding_ambient(with_fan) - holding_ambient(Installation.of(size))
    return dict(zip(fans, gains.tolist(), strict=True))


@lru_cache(maxsize=8)
def flow_by_draught(size: str) -> float:
    """Return the air flow of a correct installation at its rated ambient [m³/s]."""
    rated = kelvin(RATINGS["rated_ambient"].given[size])
    return float(steady_state(Installation.of(size), rated).air_flow)


def fan(job: Job) -> str:
    asked = job["fan_pressure"] / WATER_INCH, job["fan_free_flow"] / CUBIC_FOOT_PER_MINUTE
    gains = fan_gains(job.card["size"])
    gain = gains[min(gains, key=lambda one: math.dist(one, asked))]
    if abs(gain) < MUCH:
        return HARDLY
    return HELPS if gain > 0.0 else IN_THE_WAY


# --- judgement --------------------------------------------------------------------------------------------

STOP, PUT_RIGHT, FIT_FAN, NEW_UNIT, COLDEST = "abcde"
QUIET = "no smell, no soot, and it stands level"
SIGNS = (
    "a smell of gas at the lower vent",
    "a sharp smell of ammonia and a yellow stain at the back",
    "soot on the flue, and the alarm for carbon monoxide went off last night",
)


def first_step(job: Job) -> str:
    return PUT_RIGHT if job.card["on_arrival"] == QUIET else STOP


ROUNDED = "Figures are rounded on the way, and rules of thumb for warm air are good to 1 %."
MIND_UNITS = "A number of °F needs °F behind it: write “104 degF”, or convert it to °C first."
NO_32 = "A difference in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures."

ITEMS = (
    Item(
        name="draught",
        title="Draught of the warm column",
        kind="pressure_difference",
        points=2,
        key=draught,
        tolerance="3 %",
        why="A draught is so small that two figures are left of it after rounding.",
        hint="Height in feet, both temperatures in °R: what is the column's rise over their product?",
        mistakes=(
            Mistake(
                "°F in a ratio",
                "Air swells with its absolute temperature: add 460 to the °F before you divide.",
                lambda job: draught_of_scale(job, FREEZING_POINT - 32.0 / 1.8),
            ),
            Mistake(
                "Celsius in a ratio",
                "Air swells with its absolute temperature: add 273 to the °C before you divide.",
                lambda job: draught_of_scale(job, FREEZING_POINT),
            ),
            Mistake(
                "inches of height taken as feet",
                "The card gives the height in inches: divide by 12 to get feet.",
                lambda job: 12.0 * draught(job),
                credit=0.25,
            ),
            Mistake(
                "feet of height taken as meters",
                "With 3,460 the height must be in meters: a foot is 0.305 m.",
                lambda job: draught(job) / 0.3048,
                credit=0.25,
            ),
            Mistake(
                "a number of Pa written as in w.c.",
                "An inch of water is 249 Pa: look at the unit you wrote behind the number.",
                lambda job: draught(job) * WATER_INCH,
            ),
            Mistake(
                "a number of in w.c. written as Pa",
                "An inch of water is 249 Pa: look at the unit you wrote behind the number.",
                lambda job: draught(job) / WATER_INCH,
            ),
        ),
    ),
    Item(
        name="outlet_free_area",
        title="Free area of the round outlet",
        kind="area",
        points=1,
        key=outlet_free_area,
        tolerance="2 %",
        why="Three figures, and 3.14 for pi.",
        hint="Area of a circle from its radius, then only the share of it that is free.",
        mistakes=(
            Mistake(
                "diameter used as the radius",
                "The radius is half of the diameter: yours is four times too large.",
                lambda job: 4.0 * outlet_free_area(job),
            ),
            Mistake(
                "screen and cap left out",
                "That is the whole circle. Air only passes where screen and cap leave it free.",
                whole_outlet,
                credit=0.5,
            ),
            Mistake(
                "free share taken for the shut share",
                "The card says how much is free, not how much is shut.",
                lambda job: whole_outlet(job) * (1.0 - job["outlet_free_share"]),
                credit=0.25,
            ),
        ),
    ),
    Item(
        name="effective_area",
        title="Both openings as one",
        kind="area",
        points=2,
        key=effective_area,
        tolerance="2 %",
        why="Three figures.",
        hint="One over each area squared; add these two; one over the root of the sum.",
        mistakes=(
            Mistake(
                "areas added",
                "The same air must pass both, one after the other: less gets by than either lets by alone.",
                added_areas,
            ),
            Mistake(
                "areas not squared",
                "Pressure is lost with the square of the speed, so the areas go in squared.",
                lambda job: job["lower_free_area"] * outlet_free_area(job) / added_areas(job),
                credit=0.25,
            ),
            Mistake(
                "the smaller opening alone",
                "The smaller one counts most, but the air has to pass the other as well.",
                lambda job: min(job["lower_free_area"], outlet_free_area(job)),
                credit=0.25,
            ),
        ),
    ),
    Item(
        name="draught_flow",
        title="Air that the draught moves",
        kind="volume_flow",
        points=2,
        key=draught_flow,
        tolerance="3 %",
        why=ROUNDED,
        hint="28.5 × coefficient × area in in² × square root of the draught in in w.c.",
        mistakes=(
            Mistake(
                "discharge coefficient left out",
                "Air draws together behind an edge: only a part of the free area counts.",
                lambda job: flow_through(job, effective_area(job), draught(job), 1.0),
                credit=0.5,
            ),
            Mistake(
                "areas added in place of in a row",
                "The same air passes both vents: take the one opening that stands for both.",
                lambda job: flow_through(job, added_areas(job), draught(job)),
            ),
            Mistake(
                "draught without its square root",
                "Flow goes with the square root of the pressure.",
                lambda job: draught_flow(job) * math.sqrt(draught(job) / WATER_INCH),
            ),
            Mistake(
                "Pa where in w.c. belongs",
                "With 28.5 the draught must be in inches of water, 249 Pa each.",
                lambda job: draught_flow(job) * math.sqrt(WATER_INCH),
            ),
        ),
    ),
    Item(
        name="air_rise",
        title="Rise of the air below the condenser",
        kind="temperature_difference",
        points=2,
        key=air_rise,
        tolerance="3 %",
        why=ROUNDED,
        hint="Btu/h over 1.03 times cfm; or W over 1.15 times the liters in a second.",
        mistakes=(
            Mistake(
                "cfm taken as cubic feet in an hour",
                "Heat is for an hour and cfm for a minute: 1.03 has the 60 minutes in it.",
                lambda job: 60.0 * air_rise(job),
            ),
            Mistake(
                "Btu/h taken as watts",
                "A watt is 3.41 Btu/h: turn one into the other first.",
                lambda job: air_rise(job) / BTU_PER_HOUR,
            ),
            Mistake(
                "32 taken off a temperature difference",
                NO_32,
                lambda job: less_32(air_rise(job)),
                credit=0.25,
            ),
            Mistake(
                "turned upside down",
                "More heat makes the air warmer, more air makes it cooler: heat over air.",
                lambda job: 1.0 / (air_rise(job) * 1.8) / 1.8,
            ),
        ),
    ),
    Item(
        name="condenser_air",
        title="Air before the condenser",
        kind="temperature",
        points=1,
        key=condenser_air,
        tolerance="1 °F",
        why="A rise of some 20 °F, good to 3 %, and the rounding.",
        hint="The air comes in as it is outside and gets warmer by the rise.",
        mistakes=(
            Mistake(
                "the rise given as a temperature",
                "That is how much warmer it gets; add what it comes in with.",
                lambda job: kelvin(air_rise(job) * 1.8),
                credit=0.25,
            ),
            Mistake(
                "the rise taken off",
                "The air comes from outside and is warmed on its way: add the rise.",
                lambda job: job["outside_air"] - air_rise(job),
            ),
            Mistake(
                "°F added to °C",
                "Add the rise in the unit of the temperature: a rise in °F over 1.8 is one in °C.",
                lambda job: job["outside_air"] + air_rise(job) * 1.8,
            ),
            Mistake("°F taken as °C", MIND_UNITS, lambda job: read_as_celsius(condenser_air(job))),
        ),
    ),
    Item(
        name="highest_ambient",
        title="Highest ambient that it holds",
        kind="temperature",
        points=2,
        key=highest_ambient,
        tolerance="1 °F",
        why="The figure has a line for each 2 °F and can be read to half of that.",
        hint="Go along the limit until you meet the curve as found, then straight down to the ambient.",
        mistakes=(
            Mistake(
                "curve of the correct installation read",
                "That is the other curve: look at the key of the figure.",
                lambda job: limit_met(job, "food_if_correct_F"),
                credit=0.25,
            ),
            Mistake(
                "food temperature read in place of the ambient",
                "That is how warm the food is at the rated ambient. Start from the limit instead.",
                food_at_rating,
            ),
            Mistake("°F taken as °C", MIND_UNITS, lambda job: read_as_celsius(highest_ambient(job))),
        ),
    ),
    Item(
        name="margin",
        title="Margin to the rating",
        kind="temperature_difference",
        points=1,
        key=margin,
        tolerance="1 °F",
        why="The figure is read to 1 °F.",
        hint="Highest ambient that it holds, less the rated ambient: minus when it falls short.",
        mistakes=(
            Mistake(
                "sign of the margin turned round",
                "The margin is what it holds less what it should: minus when it falls short.",
                lambda job: -margin(job),
                credit=0.5,
            ),
            Mistake(
                "limit of the food taken for the rated ambient",
                "Take the rated ambient off, not the limit of the food.",
                lambda job: highest_ambient(job) - job["food_limit"],
            ),
            Mistake(
                "32 taken off a temperature difference", NO_32, lambda job: less_32(margin(job)), credit=0.25
            ),
        ),
    ),
    Item(
        name="baffle_verdict",
        title="Gap at the baffle against the rule",
        kind="choice",
        points=1,
        choices=(WITHIN, TOO_WIDE, TOO_NARROW, TOO_NEAR),
        key=baffle_verdict,
        hint="1/4 to 1/2 in is the rule. The tape is good to 1/16 in: is it off by more than that?",
        mistakes=(
            Mistake(
                "a wrong gap passed",
                "Hold the gap against both ends of the rule, 1/4 and 1/2 in.",
                instead_of(baffle_verdict, WITHIN, TOO_WIDE, TOO_NARROW),
            ),
            Mistake(
                "the tape trusted to more than 1/16 in",
                "It is off the rule by no more than the tape may be: measure again before you judge.",
                instead_of(baffle_verdict, WITHIN, TOO_NEAR),
                credit=0.25,
            ),
            Mistake(
                "a gap called wide that isn't",
                "Too wide is more than 1/2 in and the sixteenth that the tape may be off.",
                instead_of(baffle_verdict, TOO_WIDE),
            ),
            Mistake(
                "a gap called narrow that isn't",
                "Too narrow is less than 1/4 in and the sixteenth that the tape may be off.",
                instead_of(baffle_verdict, TOO_NARROW),
            ),
            Mistake(
                "a doubt where the tape is good enough",
                "The tape may be off by 1/16 in. That doesn't change the answer here.",
                instead_of(baffle_verdict, TOO_NEAR),
            ),
        ),
    ),
    Item(
        name="gap_outside",
        title="Which other gap is outside",
        kind="choice",
        points=1,
        choices=(TOP, SIDE, REAR, NO_GAP),
        key=gap_outside,
        hint="Top: none. Each side: at most 1/4 in. Tubes to wall: at most 1 in.",
        mistakes=(
            Mistake(
                "a gap outside its rule passed over",
                "One of the three is wider than its rule by more than the tape may be off.",
                instead_of(gap_outside, NO_GAP),
            ),
            Mistake(
                "the rule for the sides held against the back",
                "At the back 1 in is allowed: the tubes must not scorch the wall.",
                instead_of(gap_outside, REAR),
            ),
            Mistake(
                "a side gap within 1/4 in condemned",
                "This side gap is within its rule.",
                instead_of(gap_outside, SIDE),
            ),
            Mistake(
                "a closed top condemned",
                "The top is closed off, as it should be.",
                instead_of(gap_outside, TOP),
            ),
        ),
    ),
    Item(
        name="worst_departure",
        title="Departure that costs most margin",
        kind="choice",
        points=3,
        choices=tuple("abcd"),
        key=worst_departure,
        hint="Ask of each: does it keep much air from coming in, from passing the fins, or from going out?",
        mistakes=(
            Mistake(
                "warm air beside or over the box taken for the worst",
                "That warms the box a little. Worse is what keeps air from the fins.",
                letter_of(BESIDE),
                credit=0.25,
            ),
            Mistake(
                "a slight hindrance taken for the worst",
                "It is in the air's way, but takes little of it: look at how much, not only at where.",
                letter_of(LIGHT),
            ),
            Mistake(
                "all departures taken as alike",
                "They aren't: ask of each how much air it keeps from the fins.",
                lambda job: "d",
            ),
        ),
    ),
    Item(
        name="fan",
        title="What the added fan does",
        kind="choice",
        points=2,
        choices=(HELPS, ADDS, IN_THE_WAY, HARDLY),
        key=fan,
        hint="All air must pass the fan. Hold its free flow against what the draught moves without it.",
        mistakes=(
            Mistake(
                "the fan's air added to the draught's",
                "The same air passes both, one after the other: flows in a row don't add.",
                lambda job: ADDS,
            ),
            Mistake(
                "a fan in the way called a help",
                "The draught alone moves more than this fan can let through.",
                instead_of(fan, HELPS, IN_THE_WAY),
            ),
            Mistake(
                "a fan that only keeps up called a help",
                "At its free flow a fan pushes with nothing, and the draught is there already.",
                instead_of(fan, HELPS, HARDLY),
            ),
            Mistake(
                "a fan that helps called an obstacle",
                "Its free flow is far above what the draught moves: it still pushes there.",
                instead_of(fan, IN_THE_WAY, HELPS),
            ),
            Mistake(
                "a fan that keeps up called an obstacle",
                "It passes about what the draught moves: it neither pushes nor holds back much.",
                instead_of(fan, IN_THE_WAY, HARDLY),
                credit=0.25,
            ),
            Mistake(
                "an effect of the fan overlooked",
                "Its free flow is far from what the draught moves, so it does matter.",
                instead_of(fan, HARDLY),
            ),
        ),
    ),
    Item(
        name="why_draught",
        title="What moves the air",
        kind="choice",
        points=1,
        choices=tuple("abcd"),
        key=lambda job: "c",
        hint="It moves on a still day too, and more with a taller or a warmer column.",
        mistakes=(
            Mistake(
                "venturi in place of stack effect",
                "A venturi needs a stream that is there already. Here warm air is lighter: stack effect.",
                lambda job: "a",
            ),
            Mistake(
                "wind over the roof taken for the cause",
                "It draws on a still day too. Wind may help or hinder; it isn't what drives the air.",
                lambda job: "b",
            ),
            Mistake(
                "height left out",
                "Warmth alone isn't all: twice the height of warm air gives twice the draught.",
                lambda job: "d",
                credit=0.25,
            ),
        ),
    ),
    Item(
        name="first_step",
        title="What to do first",
        kind="choice",
        points=2,
        choices=(STOP, PUT_RIGHT, FIT_FAN, NEW_UNIT, COLDEST),
        key=first_step,
        hint="Stop signs come before all else; then what is cheap and certain; then measure again.",
        mistakes=(
            Mistake(
                "work begun in spite of a stop sign",
                "Read what you met on arrival: that comes before any work on the air path.",
                instead_of(first_step, PUT_RIGHT),
            ),
            Mistake(
                "a stop sign seen where there is none",
                "Nothing you met is a stop sign: go on with what is cheap and certain.",
                instead_of(first_step, STOP),
                credit=0.25,
            ),
            Mistake(
                "a fan before the faults are put right",
                "A fan comes after what is shut or missing is put right, if it still falls short.",
                lambda job: FIT_FAN,
            ),
            Mistake(
                "a cooling unit condemned untested",
                "A unit is judged by a test in an enclosure that is right, not before.",
                lambda job: NEW_UNIT,
            ),
            Mistake(
                "the setting turned up",
                "A colder setting asks for more running. It runs all day already: there is no more to have.",
                lambda job: COLDEST,
            ),
        ),
    ),
)

BAFFLE_WORDS = {
    WITHIN: "the baffle's gap is within the rule",
    TOO_WIDE: "the baffle stands too far from the fins",
    TOO_NARROW: "the baffle stands too near to the fins",
    TOO_NEAR: "the baffle's gap must be measured again",
}
GAP_WORDS = {
    TOP: "the top isn't closed off",
    SIDE: "the side gaps are too wide",
    REAR: "the back is too deep",
    NO_GAP: "the other gaps are within their rules",
}


def report_rubric(job: Job) -> tuple[str, ...]:
    shut = job.card["air_path"]
    holds, short = fahrenheit(highest_ambient(job)), -margin(job) * 1.8
    stop = job.card["on_arrival"]
    return (
        f"On this card: {shut}; {BAFFLE_WORDS[baffle_verdict(job)]}; {GAP_WORDS[gap_outside(job)]}. It holds "
        f"43 °F up to about {holds:.0f} °F, {short:.0f} °F short of its rating. On arrival: {stop}.",
        "1: says what was found, with readings: what is shut, the gaps, the ambient up to which it holds.",
        "1: puts the steps in order: stop signs first, then what is cheap and certain, a fan or a unit last.",
        "1: says how it is proven: the same cup test of 24 hours, with the ambient, before and after.",
        "1: says that a mild day proves nothing, or on how hot a day it would fail again; plain words.",
        "A wrong answer to an earlier question costs marks there; a report that follows from it may have all "
        "four.",
        "No mark at all for advice that could hurt: work in spite of a stop sign, vents shut, a sealed unit "
        "opened.",
    )


REPORT = ByHand(name="job_report", title="Job report", points=4, rubric=report_rubric)


# --- the job card -----------------------------------------------------------------------------------------

SIZES = ("eight", "eighteen")
"""The six is left out: it meets its limit on a gentle slope, which is harder to read than a cliff."""
AIR_PATHS = (
    ("lower vent {} % shut by a nest", "lower_vent_blocked", (55, 70)),
    ("upper vent {} % shut by a cover", "upper_vent_blocked", (50, 65)),
    ("{} % of the way between the fins shut by lint", "fin_fouling", (40, 50)),
)
BAFFLE_GAPS = {  # sixteenths of an inch
    WITHIN: (4, 5, 6, 7, 8),
    TOO_WIDE: (12, 14, 16, 18),
    TOO_NARROW: (1, 2),
    TOO_NEAR: (3, 9),
}
GAPS_WITHIN = {TOP: (0,), SIDE: (2, 3, 4), REAR: (10, 12, 14, 16)}
GAPS_OUTSIDE = {TOP: (8, 12, 16), SIDE: (6, 8, 10, 12), REAR: (20, 24, 32, 40, 48)}
AMBIENTS = np.arange(88, 115, 2)  # °F
STOPPED = 90.0  # °F, at which a run was ended


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its hot-room log."""
    size = draw.pick(SIZES)
    survey, changes = surveyed(draw)
    return (
        (
            *air_column(draw),
            *warm_air(draw, size),
            Entry("size", "Customer: cubic feet", size),
            Entry(
                "rated_ambient",
                "Customer: rated ambient",
                f"{RATINGS['rated_ambient'].given[size]} °F",
                "temperature",
            ),
            Entry(
                "food_limit",
                "Customer: limit of the food compartment at that ambient",
                f"{RATINGS['food_limit'].given[size]} °F",
                "temperature",
            ),
            *survey,
            *departures(draw, size),
            *added_fan(draw, size),
            Entry("on_arrival", "Customer: on arrival", draw.pick([QUIET, QUIET, QUIET, *SIGNS])),
        ),
        {LOG: hot_room_log(size, changes)},
    )


def air_column(draw: Draw) -> tuple[Entry, ...]:
    """Draw the column of warm air and its two openings."""
    outside = draw.between(92, 104, 1)
    return (
        Entry("outside_air", "Yard: air outside", f"{outside:.0f} °F", "temperature"),
        Entry(
            "column_air",
            "Yard: air behind the refrigerator, mean",
            f"{outside + draw.between(20, 34, 1):.0f} °F",
            "temperature",
        ),
        Entry(
            "height",
            "Yard: height from lower vent to roof outlet",
            f"{draw.between(50, 78, 1):.0f} in",
            "length",
        ),
        Entry(
            "lower_free_area",
            "Yard: free area of the lower vent",
            f"{draw.between(90, 150, 2):.0f} in²",
            "area",
        ),
        Entry(
            "outlet_diameter",
            "Yard: diameter of the round roof outlet",
            inches(round(draw.between(176, 216, 8))),
            "length",
        ),
        Entry(
            "outlet_free_share",
            "Yard: share of the outlet that screen and cap leave free",
            f"{draw.between(60, 85, 5):.0f} %",
            "fraction",
        ),
    )


def inches(sixteenths: int) -> str:
    """Return a length as a tape shows it."""
    whole, part = divmod(sixteenths, 16)
    fraction = f"{Fraction(part, 16)}" if part else ""
    return f"{' '.join(filter(None, [str(whole) if whole or not part else '', fraction]))} in"


def warm_air(draw: Draw, size: str) -> tuple[Entry, ...]:
    """Draw the heat given off below the condenser, and an air flow near to what the model has."""
    flow = round(flow_by_draught(size) / CUBIC_FOOT_PER_MINUTE * draw.between(0.8, 1.1, 0.02))
    rise = draw.between(17, 26, 0.5)  # °F
    return (
        Entry(
            "heat_below",
            "Yard: heat given off below the condenser",
            f"{round(1.03 * flow * rise, -1):.0f} Btu/h",
            "power",
        ),
        Entry("measured_flow", "Yard: flow you measure at the lower vent", f"{flow} cfm", "volume_flow"),
    )


def surveyed(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, float]]:
    """Draw what lamp and tape find; return it with what the model is told."""
    text, field, (low, high) = draw.pick(AIR_PATHS)
    shut = draw.between(low, high, 5)
    wrong = draw.pick([*GAPS, NO_GAP])
    tape = {
        GAPS[letter]: draw.pick((GAPS_OUTSIDE if letter == wrong else GAPS_WITHIN)[letter])
        for letter in (TOP, SIDE, REAR)
    } | {"baffle_gap": draw.pick(BAFFLE_GAPS[draw.pick(list(BAFFLE_GAPS))])}
    labels = {
        "top_gap": "over the top",
        "side_gap": "on each side",
        "rear_gap": "from tubes to the wall behind them",
        "baffle_gap": "from the baffle's edge to the fins",
    }
    entries = (
        Entry("air_path", "Customer: seen with a lamp", text.format(f"{shut:.0f}")),
        *(
            Entry(name, f"Customer: gap {labels[name]}", inches(sixteenths), "length")
            for name, sixteenths in tape.items()
        ),
    )
    gaps = {name: sixteenths / 16 * INCH for name, sixteenths in tape.items()}
    return entries, gaps | {field: shut / 100}


def departures(draw: Draw, size: str) -> tuple[Entry, ...]:
    """Draw three departures, one of which costs clearly more than the others."""
    lost = margins_lost(size)
    while True:
        chosen = [draw.pick(group) for group in (HEAVY, LIGHT, BESIDE)]
        worst, *others = (lost[departure.text] for departure in chosen)
        if worst > CLEARLY + max(others) and worst > 2.0 * max(others):
            break
    order = draw.pick([(0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)])
    return tuple(
        Entry(f"departure_{letter}", f"Others of this size: refrigerator {letter}", chosen[index].text)
        for letter, index in zip("abc", order, strict=True)
    )


def added_fan(draw: Draw, size: str) -> tuple[Entry, ...]:
    """Draw a fan that helps, hardly matters, or is in the way."""
    gains = fan_gains(size)
    flows = FREE_FLOWS[size][draw.pick(list(FREE_FLOWS[size]))]
    while True:
        push, flow = draw.pick(SHUT_OFF), draw.pick(flows)
        if not LITTLE < abs(gains[push, flow]) < 1.2 * MUCH:
            break
    alone = flow_by_draught(size) / CUBIC_FOOT_PER_MINUTE
    return (
        Entry("draught_alone", "Fan: air that the draught alone moves", f"{alone:.0f} cfm", "volume_flow"),
        Entry("fan_free_flow", "Fan: its free flow, on its label", f"{flow} cfm", "volume_flow"),
        Entry(
            "fan_pressure",
            "Fan: its pressure when shut off, on its label",
            f"{push:.2f} in w.c.",
            "pressure_difference",
        ),
    )


@lru_cache(maxsize=8)
def food_if_correct(size: str) -> np.ndarray:
    """Return the food temperature of a correct installation over the ambients of the log [°F]."""
    return fahrenheit(steady_state(Installation.of(size), kelvin(AMBIENTS)).food_temperature)


def hot_room_log(size: str, changes: dict[str, float]) -> str:
    """Return an invented log as CSV: the food temperature that the model has, as found and if correct."""
    found = fahrenheit(steady_state(Installation.of(size, **changes), kelvin(AMBIENTS)).food_temperature)
    return as_csv(
        [
            {"ambient_F": ambient, "food_as_found_F": noted(as_found), "food_if_correct_F": noted(correct)}
            for ambient, as_found, correct in zip(AMBIENTS, found, food_if_correct(size), strict=True)
        ]
    )


def noted(food: float) -> str:
    """Return a food temperature as the log has it: nothing where the run was stopped."""
    return f"{food:.1f}" if food <= STOPPED else ""


EXERCISE = Exercise("venting", "Venting", ITEMS, draw, by_hand=(REPORT,))
