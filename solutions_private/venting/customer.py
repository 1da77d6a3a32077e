"""Parts 3 and 4 of “Venting”: the hot room, lamp and tape, and the report on it."""

from functools import lru_cache

import numpy as np

from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.tape import inches
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin, less_32, read_as_celsius
from warmside.model.cabinet import Thermostat
from warmside.model.limits import Verdict, check
from warmside.model.refrigerator import Installation, steady_state
from warmside.model.sizes import usual_rating
from warmside.units import INCH

from .air_column import MIND_UNITS, NO_32

LOG = "hot_room_log.csv"


# --- the hot-room log ---------------------------------------------------------------------------------------


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


HIGHEST_AMBIENT = Item(
    name="highest_ambient",
    title="Highest ambient that it holds",
    kind="temperature",
    points=2,
    key=highest_ambient,
    tolerance="1 °F",
    why="The figure has a line for each 2 °F and can be read to half of that.",
    could_be=("80 °F", "130 °F"),
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
)


def margin(job: Job) -> float:
    return job.value("highest_ambient") - job["rated_ambient"]


MARGIN = Item(
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
)


# --- tape and rules -----------------------------------------------------------------------------------------

WITHIN, TOO_WIDE, TOO_NARROW, TOO_NEAR = "abcd"
TOP, SIDE, REAR, NO_GAP = "abcd"
GAPS = {TOP: "top_gap", SIDE: "side_gap", REAR: "rear_gap"}


@lru_cache(maxsize=4096)
def checked(size: str, name: str, measured: float):
    """Hold one measured gap against its rule; cached, as each mistake asks for it."""
    return check(usual_rating(size), **{name: measured})[0]


def baffle_verdict(job: Job) -> str:
    found = checked(job.card["size"], "baffle_gap", job["baffle_gap"])
    if found.verdict is Verdict.OUTSIDE:
        return TOO_WIDE if found.measured > found.highest else TOO_NARROW
    return WITHIN if found.verdict is Verdict.WITHIN else TOO_NEAR


BAFFLE_VERDICT = Item(
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
)


def gap_outside(job: Job) -> str:
    outside = [
        letter
        for letter, name in GAPS.items()
        if checked(job.card["size"], name, job[name]).verdict is not Verdict.WITHIN
    ]
    return outside[0] if outside else NO_GAP


GAP_OUTSIDE = Item(
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
)


# --- report -------------------------------------------------------------------------------------------------

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


# --- lines of the job card, and its log ---------------------------------------------------------------------

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
SETTING = Thermostat().setting


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


@lru_cache(maxsize=8)
def food_if_correct(size: str) -> np.ndarray:
    """Return the food temperature of a correct installation over the ambients of the log [°F]."""
    return food_over_ambients(Installation.of(size))


def food_over_ambients(installation: Installation) -> np.ndarray:
    """Return the food temperature over the ambients of the log, the thermostat at its usual setting [°F]."""
    return fahrenheit(steady_state(installation, kelvin(AMBIENTS), setting=SETTING).food_temperature)


def hot_room_log(size: str, changes: dict[str, float]) -> str:
    """Return an invented log as CSV: the food temperature that the model has, as found and if correct."""
    found = food_over_ambients(Installation.of(size, **changes))
    return as_csv(
        [
            {"ambient_F": ambient, "food_as_found_F": noted(as_found), "food_if_correct_F": noted(correct)}
            for ambient, as_found, correct in zip(AMBIENTS, found, food_if_correct(size), strict=True)
        ]
    )


def noted(food: float) -> str:
    """Return a food temperature as the log has it: nothing where the run was stopped."""
    return f"{food:.1f}" if food <= STOPPED else ""


ITEMS = (
    HIGHEST_AMBIENT,
    MARGIN,
    BAFFLE_VERDICT,
    GAP_OUTSIDE,
)
