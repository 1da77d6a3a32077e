"""Part 4 of “Clearances”: the same test again."""

from functools import lru_cache

import numpy as np

from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.wrong_turns import fahrenheit, instead_of, kelvin, less_32
from warmside.model.refrigerator import Installation, steady_state
from warmside.units import INCH

from .tape import VERDICT_WORDS, baffle_verdict, rear_verdict, side_verdict

LOG = "retest_log.csv"
OUTSIDE = np.arange(74, 97, 2)  # °F
CLEAR = 2.0 / 1.8
"""What two thermometers may be off together, rounded up [K]: less is too near to tell."""

READ_OFF = 0.4  # °F; by which one reading of the log is off, made up

HELPED, TOO_NEAR, WARMER = "abc"
IN_ORDER: dict[str, float] = {}
WORK = {
    HELPED: (
        ({"lower_vent_blocked": 0.65}, IN_ORDER),
        ({"upper_vent_blocked": 0.6}, IN_ORDER),
        ({"upper_vent_blocked": 0.65, "side_gap": 0.5 * INCH}, {"side_gap": 0.5 * INCH}),
    ),
    TOO_NEAR: (
        ({"side_gap": 0.5 * INCH}, IN_ORDER),
        ({"top_gap": INCH}, IN_ORDER),
        ({"lower_vent_blocked": 0.1}, IN_ORDER),
    ),
    WARMER: (
        ({"side_gap": 0.5 * INCH}, {"upper_vent_blocked": 0.6}),
        (IN_ORDER, {"lower_vent_blocked": 0.65}),
        ({"top_gap": INCH}, {"upper_vent_blocked": 0.65}),
    ),
}
"""What the model is told before and after the work; nine in ten plausible ones come to the same side."""


# --- reading ------------------------------------------------------------------------------------------------


def below_condenser(job: Job, when: str) -> float:
    """Return the air below the condenser at the ambient of the card [K], before or after."""
    outside, air = job.card.column(LOG, "outside_F"), job.card.column(LOG, f"{when}_F")
    return kelvin(float(np.interp(fahrenheit(job["compared_at"]), outside, air)))


def rise_before(job: Job) -> float:
    return below_condenser(job, "before") - job["compared_at"]


def rise_after(job: Job) -> float:
    return below_condenser(job, "after") - job["compared_at"]


def mistakes_of(rise, when: str) -> tuple[Mistake, ...]:
    """Return the wrong turns of a rise read off the figure."""
    return (
        Mistake(
            "the air below the condenser given, not its rise",
            "Take the air outside off it.",
            lambda job: fahrenheit(below_condenser(job, when)) / 1.8,
            credit=0.5,
        ),
        Mistake(
            "32 taken off a temperature difference",
            "A difference in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures.",
            lambda job: less_32(rise(job)),
            credit=0.25,
        ),
        Mistake(
            "the air outside given",
            "That is where you start. Go up to the curve and read at the left.",
            lambda job: fahrenheit(job["compared_at"]) / 1.8,
        ),
    )


READ = "The figure has a line for each degree and can be read to half of that."
RISE_BEFORE = Item(
    name="rise_before",
    title="Rise before the work",
    kind="temperature_difference",
    points=2,
    key=rise_before,
    tolerance="1 °F",
    why=READ,
    could_be=("8 degF", "50 degF"),
    hint="Straight up from the air outside to the curve before the work, then to the left.",
    mistakes=mistakes_of(rise_before, "before"),
)
RISE_AFTER = Item(
    name="rise_after",
    title="Rise after the work",
    kind="temperature_difference",
    points=1,
    key=rise_after,
    tolerance="1 °F",
    why=READ,
    could_be=("8 degF", "50 degF"),
    hint="The same place outside, on the curve after the work.",
    mistakes=mistakes_of(rise_after, "after"),
)


def did_it_help(job: Job) -> str:
    cooler = job.value("rise_before") - job.value("rise_after")
    return HELPED if cooler > CLEAR else WARMER if cooler < -CLEAR else TOO_NEAR


HELP_WORDS = {
    HELPED: "it helped: the air comes cooler to the fins by more than the thermometers may be off",
    TOO_NEAR: "nothing can be said: the change is no more than the thermometers may be off",
    WARMER: "it got worse: the air comes warmer to the fins, so something was shut in the work",
}
DID_IT_HELP = Item(
    name="did_it_help",
    title="What the re-test says",
    kind="choice",
    points=3,
    choices=(HELPED, TOO_NEAR, WARMER),
    key=did_it_help,
    hint="Rise before less rise after: by more than two thermometers may be off?",
    decides=lambda job, answer: f"By the log {HELP_WORDS[did_it_help(job)]}.",
    mistakes=(
        Mistake(
            "a gain seen that isn't there",
            "Rise before less rise after: is it above what the thermometers may be off?",
            instead_of(did_it_help, HELPED),
        ),
        Mistake(
            "a clear change called too near to tell",
            "The change is well above what the thermometers may be off.",
            instead_of(did_it_help, TOO_NEAR),
        ),
        Mistake(
            "a loss seen that isn't there",
            "Look which curve lies higher, and by how much.",
            instead_of(did_it_help, WARMER),
        ),
    ),
)


# --- the helper's plan --------------------------------------------------------------------------------------

OTHER_SOURCE, OTHER_PLACE, COOLER_DAY, GOOD = "abcd"
BEFORE = "on mains, cup in the middle of the food compartment, 24 h, 94 to 97 °F outside"
PLANS = {
    OTHER_SOURCE: (
        "on gas, cup in the middle of the food compartment, 24 h, 93 to 96 °F outside",
        "on gas, cup in the middle of the food compartment, 24 h, 95 to 98 °F outside",
    ),
    OTHER_PLACE: (
        "on mains, cup on the top shelf at the fins, 24 h, 94 to 96 °F outside",
        "on mains, cup in the door, 24 h, 93 to 97 °F outside",
    ),
    COOLER_DAY: (
        "on mains, cup in the middle of the food compartment, 24 h, 70 to 74 °F outside",
        "on mains, cup in the middle of the food compartment, 24 h, 66 to 71 °F outside",
    ),
    GOOD: (
        "on mains, cup in the middle of the food compartment, 24 h, 93 to 96 °F outside",
        "on mains, cup in the middle of the food compartment, 24 h, 95 to 97 °F outside",
    ),
}


def plan_flaw(job: Job) -> str:
    return next(letter for letter, plans in PLANS.items() if job.card["plan"] in plans)


PLAN_FLAW = Item(
    name="plan_flaw",
    title="Is it the same test",
    kind="choice",
    points=2,
    choices=(OTHER_SOURCE, OTHER_PLACE, COOLER_DAY, GOOD),
    key=plan_flaw,
    hint="Hold both lines side by side: heat source, place of the cup, hours, air outside.",
    mistakes=(
        Mistake(
            "another heat source seen where it is the same",
            "Both run on mains.",
            instead_of(plan_flaw, OTHER_SOURCE),
        ),
        Mistake(
            "another place of the cup seen where it is the same",
            "The cup stands where it stood.",
            instead_of(plan_flaw, OTHER_PLACE),
        ),
        Mistake(
            "another day seen where it is as hot",
            "The air outside is as warm as it was.",
            instead_of(plan_flaw, COOLER_DAY),
        ),
        Mistake(
            "a test passed that isn't the same",
            "One thing isn't as it was: look again.",
            instead_of(plan_flaw, GOOD),
        ),
    ),
)


# --- the plan -----------------------------------------------------------------------------------------------


def plan_rubric(job: Job) -> tuple[str, ...]:
    gaps = (
        f"the side gap is {VERDICT_WORDS[side_verdict(job)]}, the gap behind the fins "
        f"{VERDICT_WORDS[rear_verdict(job)]}; the baffle's answer is {baffle_verdict(job)}"
    )
    return (
        f"On this card: {gaps}. On arrival: {job.card['on_arrival']}. The first test: "
        f"{job.card['first_test']}.",
        "1: names what the tape found, with readings, and sends what is too near to tell back to a better "
        "measure.",
        "1: puts the work in order: stop signs, gas and power off and cold, least work first, a fan or a "
        "unit last.",
        "1: says what closes the gaps, and that nothing that burns stands near the flue and the burner's air "
        "stays free.",
        "1: says how it is proven: the same test, same source, cup, hours, and air outside written down.",
        "A wrong answer to an earlier question costs marks there; a plan that follows from it may have all "
        "four.",
        "No mark at all for advice that could hurt: work in spite of a stop sign, foam at the flue, vents "
        "shut.",
    )


PLAN = ByHand(name="work_plan", title="Plan of work", points=4, rubric=plan_rubric)


# --- the log ------------------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def air_below(size: str, changes: tuple[tuple[str, float], ...]) -> np.ndarray:
    """Return the air below the condenser at full demand, over the log's ambients, by the model [°F]."""
    state = steady_state(Installation.of(size, **dict(changes)), kelvin(OUTSIDE))
    return fahrenheit(state.condenser_air_temperature)


def tested(draw: Draw) -> tuple[tuple[Entry, ...], str]:
    """Draw the two tests, what they are compared at, and an invented log of the air below the condenser."""
    size = draw.pick(["8 cu ft", "18 cu ft"])
    before, after = draw.pick(WORK[draw.pick(list(WORK))])
    curves = [
        [air + draw.between(-READ_OFF, READ_OFF, 0.1) for air in air_below(size, tuple(each.items()))]
        for each in (before, after)
    ]
    compared = draw.pick([int(each) for each in OUTSIDE[2:-1]])
    log = as_csv(
        [
            {"outside_F": f"{outside}", "before_F": f"{first:.1f}", "after_F": f"{then:.1f}"}
            for outside, first, then in zip(OUTSIDE, *curves, strict=True)
        ]
    )
    plan = draw.pick(PLANS[draw.pick(list(PLANS))])
    return (
        Entry("compared_at", "Re-test: compare at, air outside", f"{compared} °F", "temperature"),
        Entry("first_test", "Re-test: cup test before the work", BEFORE),
        Entry("plan", "Re-test: your helper's plan for after it", plan),
    ), log


ITEMS = (RISE_BEFORE, RISE_AFTER, DID_IT_HELP, PLAN_FLAW)
