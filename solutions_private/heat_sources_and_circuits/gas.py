"""Part 4 of “Heat sources and circuits”: gas."""

import math
from functools import lru_cache

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.model.heat_source import Burner, drill_diameter
from warmside.properties import propane
from warmside.units import ATMOSPHERE, BTU_PER_HOUR

from .mains import MIND_WATTS

LOG = "burner_log.csv"
REFERENCE_DRILL = 80
USUAL_PRESSURE = float(load("practice")["gas_pressure"])


# --- heat ---------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def heat_of(diameter: float, pressure: float = USUAL_PRESSURE) -> float:
    return float(Burner(diameter, pressure).heat)


def gas_heat(job: Job) -> float:
    return heat_of(job["orifice"])


GAS_HEAT = Item(
    name="gas_heat",
    title="Heat of the gas",
    kind="power",
    points=2,
    key=gas_heat,
    tolerance="2 %",
    why="Tables of orifices have three figures and differ by a percent.",
    could_be=("450 Btu/h", "10000 Btu/h"),
    hint="Heat goes with the area of the hole, so with the square of its diameter.",
    mistakes=(
        Mistake(
            "diameter not squared",
            "Gas goes through the area of the hole: square the ratio of the diameters.",
            lambda job: gas_heat(job) * drill_diameter(REFERENCE_DRILL) / job["orifice"],
        ),
        Mistake(
            "ratio turned upside down",
            "A wider hole lets more gas through: put the wider diameter on top.",
            lambda job: heat_of(drill_diameter(REFERENCE_DRILL) ** 2 / job["orifice"]),
        ),
        Mistake(
            "heat of the drill in the text given",
            "That is the heat of the 0.0135 in hole; yours is wider.",
            lambda job: heat_of(drill_diameter(REFERENCE_DRILL)),
        ),
        Mistake("a number of Btu/h written as watts", MIND_WATTS, lambda job: gas_heat(job) / BTU_PER_HOUR),
    ),
)


def low_pressure_heat(job: Job) -> float:
    return job.value("gas_heat") * heat_of(job["orifice"], job["low_pressure"]) / gas_heat(job)


LOW_PRESSURE_HEAT = Item(
    name="low_pressure_heat",
    title="Heat at low gas pressure",
    kind="power",
    points=2,
    key=low_pressure_heat,
    tolerance="2 %",
    why="A gas gauge is read to a tenth of an inch, and figures are rounded on the way.",
    hint="Heat goes with the square root of the gauge pressure.",
    mistakes=(
        Mistake(
            "heat taken in step with the pressure",
            "Flow through a hole goes with the square root of the pressure.",
            lambda job: gas_heat(job) * job["low_pressure"] / USUAL_PRESSURE,
        ),
        Mistake(
            "pressure squared",
            "The square root, not the square.",
            lambda job: gas_heat(job) * (job["low_pressure"] / USUAL_PRESSURE) ** 2,
        ),
        Mistake(
            "absolute pressure used, or no effect seen",
            "What drives gas through the hole is its pressure above the air's: what the gauge shows.",
            lambda job: (
                gas_heat(job) * math.sqrt((ATMOSPHERE + job["low_pressure"]) / (ATMOSPHERE + USUAL_PRESSURE))
            ),
        ),
    ),
)


# --- cylinder and log ---------------------------------------------------------------------------------------


def burns(job: Job) -> list[tuple[int, int | None]]:
    """When each burn of the log was lit and went out [min]; the last one is still lit."""
    rows = job.card.table(LOG)
    return [(int(row["lit_min"]), int(row["out_min"]) if row["out_min"] else None) for row in rows]


def share_lit(times: list[tuple[int, int | None]]) -> float:
    """Share of the time that the flame is on, from the first of these lightings to the last."""
    on = sum(out - lit for lit, out in times[:-1])
    return on / (times[-1][0] - times[0][0])


def burner_share(job: Job) -> float:
    return share_lit(burns(job)[1:])


BURNER_SHARE = Item(
    name="burner_share",
    title="Share of the time that the burner is on",
    kind="fraction",
    points=2,
    key=burner_share,
    tolerance="4 %",
    why="The strip has a line each ten minutes and is read to two; four cycles are added up.",
    could_be=("20 %", "95 %"),
    hint="Add up the minutes lit from burn 2 on, over the minutes from its lighting to the last one.",
    mistakes=(
        Mistake(
            "the long first burn counted in",
            "That burn cools down what was just loaded: begin at the lighting of burn 2.",
            lambda job: share_lit(burns(job)),
            credit=0.5,
        ),
        Mistake(
            "the share that it is out",
            "That is how long it rests. Asked is how long it burns.",
            lambda job: 1.0 - burner_share(job),
            credit=0.25,
        ),
        Mistake(
            "minutes lit over minutes out",
            "Divide by the whole time, lit and out together.",
            lambda job: burner_share(job) / (1.0 - burner_share(job)),
        ),
    ),
)


def gas_left(job: Job) -> float:
    return job["cylinder_weighs"] - job["cylinder_tare"]


def time_on(job: Job, contents: float, duty: float) -> float:
    """Time that this much gas lasts at the usual pressure."""
    whole = float(Burner(job["orifice"]).cylinder_time(contents, duty))
    return whole * gas_heat(job) / job.value("gas_heat")


def cylinder_days(job: Job) -> float:
    return time_on(job, gas_left(job), job.value("burner_share"))


CYLINDER_DAYS = Item(
    name="cylinder_days",
    title="Days on the cylinder",
    kind="time",
    points=2,
    key=cylinder_days,
    tolerance="2 %",
    why="Printed heating values of propane differ by half a percent, and figures are rounded.",
    hint="Pounds of gas × 21,600 Btu, over the heat for each hour that the burner is on.",
    mistakes=(
        Mistake(
            "the cylinder's own weight counted as gas",
            "Take the stamped tare weight off what the scale shows.",
            lambda job: time_on(job, job["cylinder_weighs"], job.value("burner_share")),
        ),
        Mistake(
            "burner taken to be on all the time",
            "It is on for a part of the time, so the gas lasts longer.",
            lambda job: time_on(job, gas_left(job), 1.0),
            credit=0.5,
        ),
        Mistake(
            "multiplied by the share of time on",
            "A burner that rests makes the gas last longer: divide by the share of time on.",
            lambda job: time_on(job, gas_left(job), 1.0) * job.value("burner_share"),
        ),
        Mistake(
            "lower heating value used",
            "Burners are rated by the higher heating value, about 21,600 Btu per pound.",
            lambda job: cylinder_days(job) * propane.lower_heating_value() / propane.higher_heating_value(),
            credit=0.5,
        ),
        Mistake(
            "a number of hours written as days",
            "A day has 24 hours: look at the unit you wrote behind the number.",
            lambda job: cylinder_days(job) * 24.0,
        ),
    ),
)


# --- lines of the job card, and its log ---------------------------------------------------------------------

FIRST_BURN, CYCLE = (150, 200), (56, 76)  # min
CYCLES = 4  # whole ones, after the first burn


def gas(draw: Draw) -> tuple[Entry, ...]:
    """Draw a burner with its cylinder."""
    tare = draw.between(16.5, 18.5, 0.1)
    return (
        Entry(
            "orifice",
            "Burner: diameter of the orifice",
            f"{draw.between(145, 185, 5) / 1e4:.4f} in",
            "length",
        ),
        Entry(
            "low_pressure",
            "Burner: gas pressure you measure, burner on",
            f"{draw.between(5.0, 8.5, 0.1):.1f} in w.c.",
            "pressure_difference",
        ),
        Entry(
            "cylinder_weighs",
            "Cylinder: weight on the scale",
            f"{tare + draw.between(8, 18, 0.1):.1f} lb",
            "mass",
        ),
        Entry("cylinder_tare", "Cylinder: tare weight stamped on it", f"{tare:.1f} lb", "mass"),
    )


def burner_log(draw: Draw) -> str:
    """Draw a log as CSV: one long burn, then cycles that are much alike, up to a last lighting."""
    share = draw.between(0.55, 0.65, 0.01)
    rows, lit, on = [], 0, draw.between(*FIRST_BURN, 1)
    for burn in range(1, CYCLES + 2):
        cycle = draw.between(*CYCLE, 1)
        rows.append({"burn": burn, "lit_min": lit, "out_min": lit + round(on)})
        lit += round(on + cycle * (1.0 - share))
        on = cycle * share + draw.between(-2, 2, 1)
    return as_csv([*rows, {"burn": CYCLES + 2, "lit_min": lit, "out_min": ""}])


ITEMS = (
    GAS_HEAT,
    LOW_PRESSURE_HEAT,
    BURNER_SHARE,
    CYLINDER_DAYS,
)
