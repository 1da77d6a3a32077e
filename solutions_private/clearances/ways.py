"""The way to each right answer of “Clearances”, with a card's numbers. Never released."""

import numpy as np

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us

from .retest import BEFORE, GOOD, HELP_WORDS, LOG, did_it_help, plan_flaw
from .tape import (
    B_TOO_NEAR,
    B_WITHIN,
    HEIGHTS,
    TOO_WIDE,
    VERDICT_WORDS,
    baffle_verdict,
    rear_verdict,
    side_verdict,
)
from .work import FOUND, QUIET, by_gain, by_material

TAPE = 1 / 16  # in


def side_counts(job: Job, given: Given) -> tuple[str, ...]:
    read = [f"side_{height}" for height in HEIGHTS]
    widest = max(read, key=lambda name: us(job, name))
    said = ", ".join(on_card(job, name) for name in read)
    return (f"Read were {said}. The widest counts: {us(job, widest):g} in",)


def side(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"1/4 in is the most, the tape is good to 1/16 in: the gap is {VERDICT_WORDS[side_verdict(job)]}.",
    )


def rear(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"{on_card(job, 'rear_gap')} where 1 in is the most, with a tape good to 1/16 in: "
        f"{VERDICT_WORDS[rear_verdict(job)]}.",
    )


def baffle(job: Job, given: Given) -> tuple[str, ...]:
    letter = baffle_verdict(job)
    said = {
        B_WITHIN: "it is within the rule",
        TOO_WIDE: "it is too far off",
        B_TOO_NEAR: "it is too near the rule to tell",
    }.get(letter, "it is too near to the fins")
    return (f"{on_card(job, 'baffle_gap')}, the rule is 1/4 to 1/2 in, the tape good to 1/16 in: {said}.",)


def louver(job: Job, height: float) -> float:
    return us(job, "louver_gaps") * us(job, "louver_length") * height * job["louver_screen"]


def louver_area(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"{on_card(job, 'louver_gaps')} × {on_card(job, 'louver_length')} × {on_card(job, 'louver_height')} "
        f"× {on_card(job, 'louver_screen')} = {figures(louver(job, us(job, 'louver_height')))} in²",
    )


def louver_least(job: Job, given: Given) -> tuple[str, ...]:
    least = us(job, "louver_height") - TAPE
    return (
        f"A gap may be 1/16 in lower than read: {least:g} in.",
        f"The same sum gives {figures(louver(job, least))} in²",
    )


def outlet_area(job: Job, given: Given) -> tuple[str, ...]:
    across = us(job, "outlet_diameter")
    circle = 3.14 * (across / 2) ** 2 * job["outlet_screen"]
    below = 3.14 * across * us(job, "cap_height")
    return (
        f"The circle with its screen: 3.14 × ({on_card(job, 'outlet_diameter')} / 2)² × "
        f"{on_card(job, 'outlet_screen')} = {figures(circle)} in².",
        f"All round below the cap: 3.14 × {on_card(job, 'outlet_diameter')} × {on_card(job, 'cap_height')} = "
        f"{figures(below)} in².",
        f"The smaller one counts: {figures(min(circle, below))} in²",
    )


def most_for_work(job: Job, given: Given) -> tuple[str, ...]:
    said = []
    for letter in by_gain(job)[:3]:
        finding = next(one for one in FOUND.values() if one.line == job.card[f"finding_{letter}"])
        low, high = (each / finding.minutes for each in finding.gives)
        said.append(f"{letter}: {figures(low, 2)} to {figures(high, 2)} °F for each minute.")
    return (*said, f"The range of {by_gain(job)[0]} lies above the others.")


def practice_alone(job: Job, given: Given) -> tuple[str, ...]:
    return (f"“{on_card(job, f'finding_{by_gain(job)[3]}')}”: no range, so practice alone asks for it.",)


def material(job: Job, given: Given) -> tuple[str, ...]:
    return (f"Of the four only {on_card(job, f'material_{by_material(job)[0]}')} can't burn.",)


def first_step(job: Job, given: Given) -> tuple[str, ...]:
    met = on_card(job, "on_arrival")
    if met == QUIET:
        return (f"You met {met}: no stop sign. Gas and power off, cold, then what takes least work.",)
    return (f"You met {met}: that is a stop sign, which comes before all work.",)


def rises(job: Job) -> tuple[float, float, float]:
    """Return the air outside, and how much warmer it is below the condenser before and after [°F]."""
    at = us(job, "compared_at")
    outside = job.card.column(LOG, "outside_F")
    before, after = (
        float(np.interp(at, outside, job.card.column(LOG, f"{when}_F"))) for when in ("before", "after")
    )
    return at, before - at, after - at


def rise_before(job: Job, given: Given) -> tuple[str, ...]:
    at, rise, _ = rises(job)
    return (f"At {at:.0f} °F outside the curve before the work stands at {at + rise:.1f} °F: {rise:.1f} °F",)


def rise_after(job: Job, given: Given) -> tuple[str, ...]:
    at, _, rise = rises(job)
    return (f"At {at:.0f} °F outside the curve after the work stands at {at + rise:.1f} °F: {rise:.1f} °F",)


def help_or_not(job: Job, given: Given) -> tuple[str, ...]:
    _, before, after = rises(job)
    return (
        f"The rise was {before:.1f} °F and is {after:.1f} °F; up to 2 °F is too near to tell.",
        f"So {HELP_WORDS[did_it_help(job)]}.",
    )


def plan(job: Job, given: Given) -> tuple[str, ...]:
    same = (
        "nothing that matters differs"
        if plan_flaw(job) == GOOD
        else "one thing differs, so it isn't the same test"
    )
    return (f"Before: {BEFORE}.", f"The plan: {on_card(job, 'plan')}. Here {same}.")


WAYS: dict[str, Way] = {
    "side_counts": side_counts,
    "side_verdict": side,
    "rear_verdict": rear,
    "baffle_verdict": baffle,
    "louver_area": louver_area,
    "louver_least": louver_least,
    "outlet_area": outlet_area,
    "most_for_work": most_for_work,
    "practice_alone": practice_alone,
    "material": material,
    "first_step": first_step,
    "rise_before": rise_before,
    "rise_after": rise_after,
    "did_it_help": help_or_not,
    "plan_flaw": plan,
}
