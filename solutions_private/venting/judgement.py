"""Part 5 of “Venting”: judge."""

from itertools import permutations
from typing import NamedTuple

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import instead_of
from warmside.units import CUBIC_FOOT_PER_MINUTE, INCH

from .air_column import flow_by_draught

# --- three departures ---------------------------------------------------------------------------------------


class Departure(NamedTuple):
    """Something that isn't as it should be: what the card says, what the model is told."""

    text: str
    changes: dict[str, float | str]


DEAR = (
    *(
        Departure(f"lower vent {share} % shut by a nest", {"lower_vent_blocked": share / 100})
        for share in (65, 70)
    ),
    *(
        Departure(f"upper vent {share} % shut by a cover", {"upper_vent_blocked": share / 100})
        for share in (60, 65)
    ),
    *(Departure(f"fins {share} % shut by lint", {"fin_fouling": share / 100}) for share in (45, 50)),
)
MIDDLING = (
    Departure("lower vent 50 % shut by a nest", {"lower_vent_blocked": 0.50}),
    Departure("upper vent 45 % shut by a cover", {"upper_vent_blocked": 0.45}),
    Departure("fins 30 % shut by lint", {"fin_fouling": 0.30}),
)
TENTH_BACK = Departure(
    "a cover over both vents: a tenth of the warm air comes in again below", {"recirculation": 0.10}
)
ELSEWHERE = (Departure("its outlet high in the wall, not in the roof", {"outlet": "wall"}), TENTH_BACK)
SLIGHT = (
    Departure("lower vent 20 % shut by leaves", {"lower_vent_blocked": 0.20}),
    Departure("lower vent 30 % shut by leaves", {"lower_vent_blocked": 0.30}),
    Departure("upper vent 15 % shut by twigs", {"upper_vent_blocked": 0.15}),
    Departure("upper vent 25 % shut by twigs", {"upper_vent_blocked": 0.25}),
    Departure("fins 10 % shut by dust", {"fin_fouling": 0.10}),
)
BESIDE = (
    Departure("side gaps of 1/2 in", {"side_gap": 0.5 * INCH}),
    Departure("side gaps of 3/4 in", {"side_gap": 0.75 * INCH}),
    Departure("side gaps of 1 in", {"side_gap": INCH}),
    Departure("a gap of 3 in over the top, open to the back", {"top_gap": 3 * INCH}),
    Departure("a gap of 1 in over the top, open to the back", {"top_gap": INCH}),
)
PAIRS = (
    (ELSEWHERE, SLIGHT),
    (ELSEWHERE, SLIGHT),
    (MIDDLING, SLIGHT),
    (DEAR, (*MIDDLING, TENTH_BACK)),
)
"""What costs most on a card, and what stands beside it. The first costs clearly more, on whatever
refrigerator; the tests look at many. In half of the pairs nothing that is shut costs most.

A missing baffle is none of them: what that costs hangs on how the air mixes, which nobody knows well enough.
"""
_RANKS = (DEAR, (*MIDDLING, *ELSEWHERE), SLIGHT, BESIDE)
_RANK = {each.text: rank for rank, group in enumerate(_RANKS) for each in group}


def by_cost(job: Job) -> str:
    """Return the letters of the three refrigerators, the one first that costs most."""
    return "".join(sorted("abc", key=lambda letter: _RANK[job.card[f"departure_{letter}"]]))


WORST_DEPARTURE = Item(
    name="worst_departure",
    title="Departure that costs most margin",
    kind="choice",
    points=3,
    choices=tuple("abcd"),
    key=lambda job: by_cost(job)[0],
    hint="Ask of each how much it takes from the air at the fins: way, height or coolness.",
    mistakes=(
        Mistake(
            "warm air beside or over the box taken for the worst",
            "That warms the box a little. Worse is what takes from the air at the fins.",
            lambda job: by_cost(job)[2],
            credit=0.25,
        ),
        Mistake(
            "a lesser hindrance taken for the worst",
            "It takes some. Another takes more from the air at the fins: of its amount, height or coolness.",
            lambda job: by_cost(job)[1],
        ),
        Mistake(
            "all departures taken as alike",
            "They aren't: ask of each how much it takes from the air at the fins.",
            lambda job: "d",
        ),
    ),
)


def departures(draw: Draw) -> tuple[Entry, ...]:
    """Draw three departures, one of which costs clearly more than the others."""
    chosen = [draw.pick(group) for group in (*draw.pick(PAIRS), BESIDE)]
    order = draw.pick(list(permutations(chosen)))
    return tuple(
        Entry(f"departure_{letter}", f"Others of this size: refrigerator {letter}", departure.text)
        for letter, departure in zip("abc", order, strict=True)
    )


# --- fan ----------------------------------------------------------------------------------------------------

HELPS, ADDS, IN_THE_WAY, HARDLY = "abcd"
FREE_FLOWS = {  # over what the draught moves
    HELPS: (1.8, 2.0, 2.3, 2.7),
    IN_THE_WAY: (0.35, 0.45, 0.55, 0.65),
    HARDLY: (0.98, 1.0, 1.02),
}
ALIKE = 0.1
SHUT_OFF = (0.03, 0.05, 0.08, 0.10)  # in w.c.


def fan(job: Job) -> str:
    """At the flow of the draught a fan pushes below its free flow, and holds back above it."""
    more = job["fan_free_flow"] / job["draught_alone"] - 1.0
    if abs(more) < ALIKE:
        return HARDLY
    return HELPS if more > 0.0 else IN_THE_WAY


FAN = Item(
    name="fan",
    title="What the added fan does",
    kind="choice",
    points=2,
    choices=(HELPS, ADDS, IN_THE_WAY, HARDLY),
    key=fan,
    hint="All air must pass the fan. Hold its free flow against what the draft moves without it.",
    mistakes=(
        Mistake(
            "the fan's air added to the draft's",
            "The same air passes both, one after the other: flows in a row don't add.",
            lambda job: ADDS,
        ),
        Mistake(
            "a fan in the way called a help",
            "The draft alone moves more than this fan can let through.",
            instead_of(fan, HELPS, IN_THE_WAY),
        ),
        Mistake(
            "a fan that only keeps up called a help",
            "At its free flow a fan pushes with nothing, and the draft is there already.",
            instead_of(fan, HELPS, HARDLY),
        ),
        Mistake(
            "a fan that helps called an obstacle",
            "Its free flow is far above what the draft moves: it still pushes there.",
            instead_of(fan, IN_THE_WAY, HELPS),
        ),
        Mistake(
            "a fan that keeps up called an obstacle",
            "It passes about what the draft moves: it neither pushes nor holds back much.",
            instead_of(fan, IN_THE_WAY, HARDLY),
            credit=0.25,
        ),
        Mistake(
            "an effect of the fan overlooked",
            "Its free flow is far from what the draft moves, so it does matter.",
            instead_of(fan, HARDLY),
        ),
    ),
)


def added_fan(draw: Draw, size: str) -> tuple[Entry, ...]:
    """Draw a fan that helps, hardly matters, or is in the way."""
    alone = flow_by_draught(size) / CUBIC_FOOT_PER_MINUTE
    free = alone * draw.pick(FREE_FLOWS[draw.pick(list(FREE_FLOWS))])
    return (
        Entry("draught_alone", "Fan: air that the draft alone moves", f"{alone:.0f} cfm", "volume_flow"),
        Entry("fan_free_flow", "Fan: its free flow, on its label", f"{free:.0f} cfm", "volume_flow"),
        Entry(
            "fan_pressure",
            "Fan: its pressure when shut off, on its label",
            f"{draw.pick(SHUT_OFF):.2f} in w.c.",
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
            "Warmth alone isn't all: twice the height of warm air gives twice the draft.",
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
