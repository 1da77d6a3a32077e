"""The exercise “The substance-temperature test”: its items and its job card. Never released."""

from warmside.data import load
from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.temperature_log import temperature_log

from . import cup, judgement
from .judgement import LOG, NOTE, VENTING_BAND

RATINGS = load("ratings").fields
RATING = RATINGS["rated_ambient"].given  # °F by size
FOOD_LIMIT = RATINGS["food_limit"].given  # °F by size, at the rated ambient
LIMIT_LABEL = "Food-compartment limit at that ambient"

ITEMS = (*cup.ITEMS, *judgement.ITEMS)

SCENARIOS = {
    # cabinet air at the day's mean ambient (°F); its rise per °F of ambient; swing of the thermostat (°F)
    "proven": ((36.0, 39.0), 0.10, 2.0),
    "mild day": ((35.0, 38.0), 0.10, 2.0),
    "venting": ((47.5, 54.0), 0.35, 0.3),
    "hardly cooling": ((64.0, 72.0), 0.50, 0.3),
    "spoiled": ((36.0, 39.0), 0.10, 2.0),
}


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its temperature log.

    A log whose corrected cup lies within 1 °F of a limit is drawn again: nobody should win or lose by a
    rounding.
    """
    size = draw.pick(list(RATING))
    start = draw.between(62, 80, 1)
    error = draw.pick([-2.0, -1.6, -1.2, -0.8, 0.8, 1.2, 1.6, 2.0])
    entries = (
        Entry("size", "Refrigerator", f"{size} cubic feet, absorption, on mains"),
        Entry("rated_ambient", "Rated ambient", f"{RATING[size]} °F", "temperature"),
        Entry("food_limit", LIMIT_LABEL, f"{FOOD_LIMIT[size]} °F", "temperature"),
        Entry("ice_reading", "Your thermometer in ice water reads", f"{32 + error:.1f} °F", "temperature"),
        Entry("cup_water", "Water in the cup weighs", f"{draw.between(4.5, 8.5, 0.1):.1f} oz", "mass"),
        Entry("water_at_start", "Water at the start", f"{start:.0f} °F", "temperature"),
        Entry("cabinet_air", "Cabinet air, steady", f"{draw.between(36, 46, 1):.0f} °F", "temperature"),
        Entry(
            "cup_conductance",
            "Conductance from cup to air",
            f"{draw.between(0.20, 0.30, 0.01):.2f} Btu/(h °F)",
            "heat_conductance",
        ),
        Entry("reading_hour", "Early reading after", f"{draw.pick([2, 3])} h", "time"),
    )
    scenario = draw.pick(list(SCENARIOS))
    while True:
        log = drawn_log(draw, scenario, RATING[size], start, error)
        true_cup = log[-1]["cup_F"] - error
        if all(abs(true_cup - limit) > 1.0 for limit in (FOOD_LIMIT[size], *VENTING_BAND)):
            return entries, {LOG: as_csv(log)}


def drawn_log(draw: Draw, scenario: str, rated: float, start: float, error: float) -> list[dict]:
    """Return an invented log of 24 hours: what the thermometer in the cup, and two loggers, would show."""
    (low, high), rise, swing = SCENARIOS[scenario]
    first_hour = draw.pick([7, 8, 9, 18, 19])
    hottest = rated + draw.between(1, 4, 0.5) if scenario == "proven" else rated - draw.between(6, 18, 0.5)
    half_range = draw.between(8, 13, 0.5)
    mean_air = draw.between(low, high, 0.1)
    phase = draw.between(0, 1, 0.01)
    tau = draw.between(1.8, 2.4, 0.1) * 3600.0
    opened = draw.pick([21, 22]) if scenario == "spoiled" else None

    return temperature_log(
        first_hour=first_hour,
        hottest=hottest,
        half_range=half_range,
        mean_air=mean_air,
        rise=rise,
        swing=swing,
        phase=phase,
        time_constant=tau,
        start=start,
        error=error,
        opened=opened,
    )


EXERCISE = Exercise(
    "substance_temperature_test", "The substance-temperature test", ITEMS, draw, by_hand=(NOTE,)
)
