"""Part 2 of “Clearances”: how much of a vent is free."""

import math

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.tape import inches

TAPE = load("limits").number("tape_accuracy")
FIGURES = "Three figures."


def between_blades(job: Job, height: float) -> float:
    """Free area of the louver with its screen, from the height of one gap between blades [m²]."""
    return job["louver_gaps"] * job["louver_length"] * height * job["louver_screen"]


def louver_area(job: Job) -> float:
    return between_blades(job, job["louver_height"])


LOUVER_AREA = Item(
    name="louver_area",
    title="Free area of the louver",
    kind="area",
    points=2,
    key=louver_area,
    tolerance="2 %",
    why=FIGURES,
    could_be=("25 in²", "240 in²"),
    hint="Number of gaps × length × height of one, and of that the share that the screen leaves.",
    mistakes=(
        Mistake(
            "the frame taken for free",
            "Blades and frame let no air by: count the gaps between the blades.",
            lambda job: job["louver_width"] * job["louver_tall"],
        ),
        Mistake(
            "the screen left out",
            "That is what the blades leave. The screen takes its wires off that.",
            lambda job: louver_area(job) / job["louver_screen"],
            credit=0.5,
        ),
        Mistake(
            "one gap alone",
            "That is one gap; the louver has several.",
            lambda job: louver_area(job) / job["louver_gaps"],
            credit=0.25,
        ),
    ),
)


def louver_least(job: Job) -> float:
    height = job["louver_height"]
    return job.value("louver_area") * (height - TAPE) / height


LOUVER_LEAST = Item(
    name="louver_least",
    title="The least that it may be",
    kind="area",
    points=2,
    key=louver_least,
    tolerance="2 %",
    why=FIGURES,
    hint="Take 1/16 in off the height of each gap, then the same sum.",
    mistakes=(
        Mistake(
            "the tape trusted",
            "The tape may show a sixteenth too much, at each gap.",
            louver_area,
        ),
        Mistake(
            "the sixteenth added",
            "That is the most it may be. Asked is the least.",
            lambda job: between_blades(job, job["louver_height"] + TAPE),
            credit=0.5,
        ),
    ),
)


def within_rim(job: Job) -> float:
    """Area of the outlet's circle that the screen leaves [m²]."""
    return math.pi / 4.0 * job["outlet_diameter"] ** 2 * job["outlet_screen"]


def under_cap(job: Job) -> float:
    """Area all round between rim and cap [m²]."""
    return math.pi * job["outlet_diameter"] * job["cap_height"]


def outlet_area(job: Job) -> float:
    return min(within_rim(job), under_cap(job))


OUTLET_AREA = Item(
    name="outlet_area",
    title="Narrowest place of the round outlet",
    kind="area",
    points=2,
    key=outlet_area,
    tolerance="2 %",
    why="Three figures, and 3.14 for pi.",
    hint="Two places: the circle with its screen, and all round below the cap. Which is the smaller?",
    mistakes=(
        Mistake(
            "the wider of two places given",
            "The air must pass both; the narrower one counts.",
            lambda job: max(within_rim(job), under_cap(job)),
            credit=0.5,
        ),
        Mistake(
            "the whole circle given",
            "The screen takes its wires off the circle.",
            lambda job: within_rim(job) / job["outlet_screen"],
            credit=0.25,
        ),
        Mistake(
            "diameter used as the radius",
            "The radius is half of the diameter: that is four times too large.",
            lambda job: 4.0 * within_rim(job),
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------


def vents(draw: Draw) -> tuple[Entry, ...]:
    """Draw a louver with its frame, and a round outlet below a cap."""
    count, length, height = draw.between(7, 11, 1), draw.between(18, 23, 1), draw.between(5, 10, 1)
    diameter, cap = draw.between(96, 136, 4), draw.between(16, 30, 2)  # sixteenths of an inch
    tall = count * (height + draw.between(7, 9, 1)) + 24
    return (
        Entry("louver_gaps", "Vents: gaps between the louver's blades", f"{count:.0f}", "number"),
        Entry("louver_length", "Vents: length of each gap", f"{length:.0f} in", "length"),
        Entry(
            "louver_height",
            "Vents: height of each gap, square to the blades",
            inches(round(height)),
            "length",
        ),
        Entry("louver_width", "Vents: louver's frame, wide", f"{length + 2:.0f} in", "length"),
        Entry("louver_tall", "Vents: louver's frame, tall", inches(round(tall)), "length"),
        Entry(
            "louver_screen",
            "Vents: share that the louver's screen leaves",
            f"{draw.between(65, 85, 5):.0f} %",
            "fraction",
        ),
        Entry("outlet_diameter", "Vents: diameter of the round outlet", inches(round(diameter)), "length"),
        Entry(
            "outlet_screen",
            "Vents: share that the outlet's screen leaves",
            f"{draw.between(60, 80, 5):.0f} %",
            "fraction",
        ),
        Entry("cap_height", "Vents: from the outlet's rim up to its cap", inches(round(cap)), "length"),
    )


ITEMS = (LOUVER_AREA, LOUVER_LEAST, OUTLET_AREA)
