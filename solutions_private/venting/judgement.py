"""Part 5 of “Venting”: judge."""

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import instead_of
from warmside.model.draught import Fan
from warmside.model.refrigerator import Installation, holding_ambient
from warmside.units import CUBIC_FOOT_PER_MINUTE, INCH, WATER_INCH

from .air_column import flow_by_draught

# --- three departures ---------------------------------------------------------------------------------------


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


WORST_DEPARTURE = Item(
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
)


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


# --- fan ----------------------------------------------------------------------------------------------------

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


def fan(job: Job) -> str:
    asked = job["fan_pressure"] / WATER_INCH, job["fan_free_flow"] / CUBIC_FOOT_PER_MINUTE
    gains = fan_gains(job.card["size"])
    gain = gains[min(gains, key=lambda one: math.dist(one, asked))]
    if abs(gain) < MUCH:
        return HARDLY
    return HELPS if gain > 0.0 else IN_THE_WAY


FAN = Item(
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


# --- what comes first ---------------------------------------------------------------------------------------


WHY_DRAUGHT = Item(
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
)

STOP, PUT_RIGHT, FIT_FAN, NEW_UNIT, COLDEST = "abcde"
QUIET = "no smell, no soot, and it stands level"
SIGNS = (
    "a smell of gas at the lower vent",
    "a sharp smell of ammonia and a yellow stain at the back",
    "soot on the flue, and the alarm for carbon monoxide went off last night",
)


def first_step(job: Job) -> str:
    return PUT_RIGHT if job.card["on_arrival"] == QUIET else STOP


FIRST_STEP = Item(
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
)


ITEMS = (
    WORST_DEPARTURE,
    FAN,
    WHY_DRAUGHT,
    FIRST_STEP,
)
