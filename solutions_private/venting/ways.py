"""The way to each right answer of “Venting”, with a card's numbers. Never released."""

import math

import numpy as np

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us

from .customer import BAFFLE_WORDS, GAP_WORDS, LOG, baffle_verdict, gap_outside
from .judgement import HARDLY, HELPS, QUIET, WORST_DEPARTURE, fan

ZERO = 460.0
"""0 °F above absolute zero, as the text has it [°R]."""


def rise(job: Job) -> float:
    return us(job, "column_air") - us(job, "outside_air")


def pressure(job: Job) -> float:
    """Draught by the rule of the text [in w.c.]."""
    both = (us(job, "column_air") + ZERO) * (us(job, "outside_air") + ZERO)
    return 0.635 * us(job, "height") * rise(job) / both


def outlet(job: Job) -> float:
    return 3.14 * (us(job, "outlet_diameter") / 2.0) ** 2 * job["outlet_free_share"]


def as_one(job: Job) -> float:
    return 1.0 / math.hypot(1.0 / us(job, "lower_free_area"), 1.0 / outlet(job))


def warmer(job: Job) -> float:
    """Rise of the air below the condenser [°F]."""
    return us(job, "heat_below") / (1.03 * us(job, "measured_flow"))


def draught(job: Job, given: Given) -> tuple[str, ...]:
    inside, outside = us(job, "column_air") + ZERO, us(job, "outside_air") + ZERO
    return (
        f"The column is {figures(rise(job))} °F warmer and {on_card(job, 'height')} tall; in °R it has "
        f"{figures(inside)}, the air outside {figures(outside)}.",
        f"0.635 × {on_card(job, 'height')} × {figures(rise(job))} / ({figures(inside)} × {figures(outside)})",
        f"= {figures(pressure(job))} in w.c.",
    )


def outlet_free_area(job: Job, given: Given) -> tuple[str, ...]:
    radius = us(job, "outlet_diameter") / 2.0
    return (
        f"The radius is half of {on_card(job, 'outlet_diameter')}: {figures(radius, 4)} in.",
        f"3.14 × {figures(radius, 4)}² × {on_card(job, 'outlet_free_share')} = {figures(outlet(job))} in²",
    )


def effective_area(job: Job, given: Given) -> tuple[str, ...]:
    lower = us(job, "lower_free_area")
    return (
        f"1/A² = 1/{figures(lower)}² + 1/{figures(outlet(job))}², which is less than the smaller one alone.",
        f"A = {figures(as_one(job))} in²",
    )


def draught_flow(job: Job, given: Given) -> tuple[str, ...]:
    flow = 28.5 * 0.55 * as_one(job) * math.sqrt(pressure(job))
    return (
        f"28.5 × 0.55 × {figures(as_one(job))} in² × √{figures(pressure(job))} in w.c. = {figures(flow)} cfm",
    )


def air_rise(job: Job, given: Given) -> tuple[str, ...]:
    heat, flow = on_card(job, "heat_below"), on_card(job, "measured_flow")
    return (f"{heat} over 1.03 × {flow} = {figures(warmer(job))} °F",)


def condenser_air(job: Job, given: Given) -> tuple[str, ...]:
    before = us(job, "outside_air") + warmer(job)
    return (f"{on_card(job, 'outside_air')} outside and {figures(warmer(job))} °F more: {before:.1f} °F",)


def where_it_meets(job: Job) -> tuple[float, tuple[float, ...]]:
    """Where the curve as found meets the limit, and the two points of the log around that [°F]."""
    ambient, food = job.card.column(LOG, "ambient_F"), job.card.column(LOG, "food_as_found_F")
    limit = us(job, "food_limit")
    last = int(np.flatnonzero(food <= limit)[-1])
    around = ambient[last], food[last], ambient[last + 1], food[last + 1]
    low, cool, high, warm = (float(each) for each in around)
    return low + (limit - cool) / (warm - cool) * (high - low), (low, cool, high, warm)


def highest_ambient(job: Job, given: Given) -> tuple[str, ...]:
    holds, (low, cool, high, warm) = where_it_meets(job)
    return (
        f"As found the food is at {cool:.1f} °F at {low:g} °F, and at {warm:.1f} °F at {high:g} °F.",
        f"The line between passes {on_card(job, 'food_limit')} at an ambient of {holds:.1f} °F",
    )


def margin(job: Job, given: Given) -> tuple[str, ...]:
    holds, _ = where_it_meets(job)
    rated = us(job, "rated_ambient")
    return (f"{holds:.1f} °F less the rated {rated:g} °F: {holds - rated:.1f} °F",)


def baffle(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"The gap is {on_card(job, 'baffle_gap')}, the rule 1/4 to 1/2 in, and the tape is good to 1/16 in: "
        f"{BAFFLE_WORDS[baffle_verdict(job)]}.",
    )


def gaps(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"Over the top {on_card(job, 'top_gap')} (none is allowed), on each side {on_card(job, 'side_gap')} "
        f"(1/4 in), from tubes to wall {on_card(job, 'rear_gap')} (1 in): {GAP_WORDS[gap_outside(job)]}.",
    )


def worst_departure(job: Job, given: Given) -> tuple[str, ...]:
    worst = WORST_DEPARTURE.key(job)
    others = [f"“{job.card[f'departure_{letter}']}”" for letter in "abc" if letter != worst]
    return (
        f"“{job.card[f'departure_{worst}']}” takes most from the air at the fins, of its amount, its height "
        "or its coolness.",
        f"{' and '.join(others)} cost less.",
    )


def added_fan(job: Job, given: Given) -> tuple[str, ...]:
    truth = fan(job)
    said = (
        "it still pushes there"
        if truth == HELPS
        else "it neither pushes nor holds back much"
        if truth == HARDLY
        else "it holds back"
    )
    return (
        f"The draft alone moves {on_card(job, 'draught_alone')}, and all of that must pass the fan, whose "
        f"free flow is {on_card(job, 'fan_free_flow')}: at the draft's flow {said}.",
    )


def why_draught(job: Job, given: Given) -> tuple[str, ...]:
    return (
        "A tall column of warm air weighs less than one of cool air outside; the difference pushes air in "
        "below. That is the stack effect: it works on a still day, and twice the height gives twice the "
        "draft.",
    )


def first_step(job: Job, given: Given) -> tuple[str, ...]:
    met = job.card["on_arrival"]
    if met == QUIET:
        return (
            f"You met {met}: no stop sign. What is cheap and certain comes first, gas and power off and "
            "cooled down, and then the same test again.",
        )
    return (f"You met {met}: that is a stop sign, which comes before all work on the air path.",)


WAYS: dict[str, Way] = {
    "draught": draught,
    "outlet_free_area": outlet_free_area,
    "effective_area": effective_area,
    "draught_flow": draught_flow,
    "air_rise": air_rise,
    "condenser_air": condenser_air,
    "highest_ambient": highest_ambient,
    "margin": margin,
    "baffle_verdict": baffle,
    "gap_outside": gaps,
    "worst_departure": worst_departure,
    "fan": added_fan,
    "why_draught": why_draught,
    "first_step": first_step,
}
