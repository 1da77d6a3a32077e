"""Parts 1 and 2 of “Venting”: what moves the air, and how warm it gets."""

import math
from functools import lru_cache

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.tape import inches
from warmside.marking.wrong_turns import kelvin, less_32, read_as_celsius
from warmside.model.draught import opening_flow, stack_pressure
from warmside.model.refrigerator import Installation, steady_state
from warmside.model.sizes import usual_rating
from warmside.properties import air
from warmside.properties.water import FREEZING_POINT
from warmside.units import BTU_PER_HOUR, CUBIC_FOOT_PER_MINUTE, INCH, WATER_INCH, ZERO_FAHRENHEIT

RATINGS = load("ratings").fields
DISCHARGE = float(load("parameters")["vent_discharge_coefficient"])
ROUNDED = "Figures are rounded on the way, and rules of thumb for warm air are good to 1 %."
MIND_UNITS = "A number of °F needs °F behind it: write “104 degF”, or convert it to °C first."
NO_32 = "A difference in °F becomes °C by dividing by 1.8 alone; the 32 is only for temperatures."


# --- draught ------------------------------------------------------------------------------------------------


def draught(job: Job) -> float:
    return float(stack_pressure(job["height"], job["column_air"], job["outside_air"]))


def draught_of_scale(job: Job, zero: float) -> float:
    """Draught by the rule of the text, with temperatures counted from a zero [K] that isn't absolute."""
    inside, outside = job["column_air"] - zero, job["outside_air"] - zero
    right = 1.0 / job["outside_air"] - 1.0 / job["column_air"]
    return draught(job) * (1.0 / outside - 1.0 / inside) / right


DRAUGHT = Item(
    name="draught",
    title="Draft of the warm column",
    kind="pressure_difference",
    points=2,
    key=draught,
    tolerance="3 %",
    why="A draft is so small that two figures are left of it after rounding.",
    could_be=("0.0005 in w.c.", "0.02 in w.c."),
    hint="Height in inches, both temperatures in °R: what is the column's rise over their product?",
    mistakes=(
        Mistake(
            "°F in a ratio",
            "Air swells with its absolute temperature: add 460 to the °F before you divide.",
            lambda job: draught_of_scale(job, ZERO_FAHRENHEIT),
        ),
        Mistake(
            "Celsius in a ratio",
            "Air swells with its absolute temperature: add 273 to the °C before you divide.",
            lambda job: draught_of_scale(job, FREEZING_POINT),
        ),
        Mistake(
            "height turned into feet",
            "With 0.635 the height stays in inches, as the tape has it.",
            lambda job: draught(job) / 12.0,
            credit=0.25,
        ),
        Mistake(
            "inches of height taken as meters",
            "With 3,460 the height must be in meters: an inch is 0.0254 m.",
            lambda job: draught(job) / INCH,
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
)


# --- openings in a row --------------------------------------------------------------------------------------


def round_area(diameter: float) -> float:
    return math.pi / 4.0 * diameter**2


def whole_outlet(job: Job) -> float:
    return round_area(job["outlet_diameter"])


def outlet_free_area(job: Job) -> float:
    return whole_outlet(job) * job["outlet_free_share"]


OUTLET_FREE_AREA = Item(
    name="outlet_free_area",
    title="Free area of the round outlet",
    kind="area",
    points=1,
    key=outlet_free_area,
    tolerance="2 %",
    why="Three figures, and 3.14 for pi.",
    could_be=("15 in²", "480 in²"),
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
)


def in_a_row(*areas: float) -> float:
    """One opening that lets as much air through as all of these in a row."""
    return 1.0 / math.hypot(*(1.0 / area for area in areas))


def effective_area(job: Job) -> float:
    return in_a_row(job["lower_free_area"], job.value("outlet_free_area"))


def added_areas(job: Job) -> float:
    return job["lower_free_area"] + job.value("outlet_free_area")


EFFECTIVE_AREA = Item(
    name="effective_area",
    title="Both openings as one",
    kind="area",
    points=2,
    key=effective_area,
    tolerance="2 %",
    why="Three figures.",
    could_be=("12 in²", "380 in²"),
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
)


def flow_of(area: float, pressure: float, outside: float, coefficient: float = DISCHARGE) -> float:
    return float(opening_flow(area, pressure, air.density(outside), coefficient))


def flow_through(job: Job, area: float, pressure: float, coefficient: float = DISCHARGE) -> float:
    return flow_of(area, pressure, job["outside_air"], coefficient)


def draught_flow(job: Job) -> float:
    return flow_through(job, job.value("effective_area"), job.value("draught"))


DRAUGHT_FLOW = Item(
    name="draught_flow",
    title="Air that the draft moves",
    kind="volume_flow",
    points=2,
    key=draught_flow,
    tolerance="3 %",
    why=ROUNDED,
    hint="28.5 × coefficient × area in in² × square root of the draft in in w.c.",
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
            "draft without its square root",
            "Flow goes with the square root of the pressure.",
            lambda job: draught_flow(job) * math.sqrt(draught(job) / WATER_INCH),
        ),
        Mistake(
            "Pa where in w.c. belongs",
            "With 28.5 the draft must be in inches of water, 249 Pa each.",
            lambda job: draught_flow(job) * math.sqrt(WATER_INCH),
        ),
    ),
)


# --- warm air -----------------------------------------------------------------------------------------------


def heat_of_stream(job: Job) -> float:
    """Heat that warms the stream of air by one kelvin [W/K]."""
    outside = job["outside_air"]
    return job["measured_flow"] * float(air.density(outside) * air.specific_heat(outside))


def air_rise(job: Job) -> float:
    return job["heat_below"] / heat_of_stream(job)


AIR_RISE = Item(
    name="air_rise",
    title="Rise of the air below the condenser",
    kind="temperature_difference",
    points=2,
    key=air_rise,
    tolerance="3 %",
    why=ROUNDED,
    could_be=("5 degF", "80 degF"),
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
)


def condenser_air(job: Job) -> float:
    return job["outside_air"] + job.value("air_rise")


CONDENSER_AIR = Item(
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
)


# --- lines of the job card ----------------------------------------------------------------------------------


LEFT_BY_THE_WAY = (0.6, 0.85)
"""Part of the flow through both openings that is left where fins and turns hold the air back, too."""


def air_column(draw: Draw) -> tuple[Entry, ...]:
    """Draw a column of warm air and its two openings, the flow you measure, and the heat that warms it."""
    outside = draw.between(92, 104, 1)
    inside = outside + draw.between(20, 34, 1)
    height, lower = draw.between(50, 78, 1), draw.between(90, 150, 2)
    outlet, free = round(draw.between(176, 216, 8)), draw.between(60, 85, 5)  # sixteenths of an inch; %

    pressure = float(stack_pressure(height * INCH, kelvin(inside), kelvin(outside)))
    areas = lower * INCH**2, free / 100.0 * round_area(outlet / 16.0 * INCH)
    openings = flow_of(in_a_row(*areas), pressure, kelvin(outside)) / CUBIC_FOOT_PER_MINUTE
    flow = round(openings * draw.between(*LEFT_BY_THE_WAY, 0.01))
    heat = 1.03 * flow * draw.between(17, 26, 0.5)  # Btu/h, of a rise in °F
    return (
        Entry("outside_air", "Yard: air outside", f"{outside:.0f} °F", "temperature"),
        Entry("column_air", "Yard: air behind the refrigerator, mean", f"{inside:.0f} °F", "temperature"),
        Entry("height", "Yard: height from lower vent to roof outlet", f"{height:.0f} in", "length"),
        Entry("lower_free_area", "Yard: free area of the lower vent", f"{lower:.0f} in²", "area"),
        Entry("outlet_diameter", "Yard: diameter of the round roof outlet", inches(outlet), "length"),
        Entry(
            "outlet_free_share",
            "Yard: share of the outlet that screen and cap leave free",
            f"{free:.0f} %",
            "fraction",
        ),
        Entry(
            "heat_below",
            "Yard: heat given off below the condenser",
            f"{round(heat, -1):.0f} Btu/h",
            "power",
        ),
        Entry("measured_flow", "Yard: flow you measure at the lower vent", f"{flow} cfm", "volume_flow"),
    )


@lru_cache(maxsize=8)
def flow_by_draught(size: str) -> float:
    """Return the air flow of a correct installation at its rated ambient [m³/s]."""
    rated = kelvin(RATINGS["rated_ambient"].given[usual_rating(size)])
    return float(steady_state(Installation.of(size), rated).air_flow)


ITEMS = (
    DRAUGHT,
    OUTLET_FREE_AREA,
    EFFECTIVE_AREA,
    DRAUGHT_FLOW,
    AIR_RISE,
    CONDENSER_AIR,
)
