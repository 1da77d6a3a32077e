"""The substance-temperature test as a picture: what would the thermometer say, and how wrong is it?"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.figure import Figure

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.data import load
from warmside.model.cabinet import AIR, CUP, Cabinet, Run, Thermostat, run
from warmside.show.lab import Lab, Scale, Slider
from warmside.show.pictures import as_html, styled
from warmside.units import from_si, read_quantity, show, to_si

HOURS = 24
STEP = 60.0
SETTLED_HOURS = 6


@dataclass(frozen=True)
class Limit:
    """A temperature that people hold a refrigerator against.

    Attributes
    ----------
    temperature : float
        In K.
    short, meaning, source : str
        A few words for a picture; what it is for; who says so.
    published : bool
        Whether there is a published source.
    """

    temperature: float
    short: str
    meaning: str
    source: str
    published: bool


# The two texts of the US Food and Drug Administration were read as other public pages quote them (a state
# code that takes over the Food Code; a page on refrigerators), not in the original.
LIMITS = (
    Limit(
        load("ratings").in_column("food_limit", "T"),
        "43 °F appliance rating",
        "What the food compartment should hold at the rated ambient: 110 °F for eight cubic feet and more, "
        "90 °F for six.",
        "common practice, no source",
        False,
    ),
    Limit(
        load("limits").number("food_code"),
        "41 °F rule for food sellers",
        "Cold holding of food that spoils, for those who sell it.",
        "US Food and Drug Administration, Food Code, 3-501.16(A)(2)",
        True,
    ),
    Limit(
        load("limits").number("consumer_refrigerator"),
        "40 °F advice for homes",
        "Refrigerators at home: 40 °F or colder. Freezers: 0 °F.",
        "US Food and Drug Administration, Refrigerator Thermometers: Cold Facts about Food Safety",
        True,
    ),
)


@dataclass(frozen=True)
class CupTest:
    """One test with a cup of water, in SI units.

    Attributes
    ----------
    cup_mass : float
        Water in the cup [kg].
    start_temperature : float
        Of the water [K].
    cabinet_temperature : float
        What the thermostat is set to [K].
    swing : float
        How far the cabinet air swings from edge to edge [K].
    reading_time : float
        When the cup is read [s].
    thermometer_error : float
        What the thermometer reads too high [K].
    """

    cup_mass: float = to_si(read_quantity("8 oz", "mass"), "mass")
    start_temperature: float = to_si(read_quantity("70 °F", "temperature"), "temperature")
    cabinet_temperature: float = to_si(read_quantity("38 °F", "temperature"), "temperature")
    swing: float = 4 / 1.8
    reading_time: float = 86400.0
    thermometer_error: float = 1 / 1.8


SITUATIONS = {
    "By common practice": CupTest(),
    "Read too soon": CupTest(reading_time=2 * 3600.0),
    "A quart, after a night": CupTest(cup_mass=0.907, reading_time=10 * 3600.0),
    "Thermometer never checked": CupTest(thermometer_error=4 / 1.8),
    "Wide thermostat, small cup": CupTest(cup_mass=0.1134, swing=10 / 1.8),
    "Too warm inside": CupTest(cabinet_temperature=(52 + 459.67) / 1.8),
}
"""Tests to load, by what people read."""


@dataclass(frozen=True)
class Reading:
    """What comes out of a test, in SI units.

    Attributes
    ----------
    shown : float
        What the thermometer shows [K].
    mean_air : float
        Mean cabinet air over the last six of the 24 hours, which is what the test is after [K].
    not_settled : float
        How much warmer the water is than that mean [K].
    thermometer_error : float
        What the thermometer adds [K].
    air_low, air_high : float
        Coldest and warmest cabinet air over those hours [K].
    """

    shown: float
    mean_air: float
    not_settled: float
    thermometer_error: float
    air_low: float
    air_high: float

    @property
    def error(self) -> float:
        """How far the reading is off [K]; plus when it is too warm."""
        return self.shown - self.mean_air


@lru_cache(maxsize=32)
def simulate(cup_mass: float, start_temperature: float, cabinet_temperature: float, swing: float) -> Run:
    """Let a cabinet of eight cubic feet run for 24 hours at 90 °F with a cup put in at the start."""
    start = [255.0, cabinet_temperature, cabinet_temperature, start_temperature]
    return run(
        Cabinet(cup_mass=cup_mass),
        start,
        305.37,
        steps=round(HOURS * 3600 / STEP),
        time_step=STEP,
        thermostat=Thermostat(cabinet_temperature, swing),
    )


def run_test(test: CupTest) -> Run:
    """Return what cabinet and cup do during a test."""
    return simulate(test.cup_mass, test.start_temperature, test.cabinet_temperature, test.swing)


def read_test(test: CupTest) -> Reading:
    """Return what the thermometer shows, and what it should."""
    ran = run_test(test)
    water = float(np.interp(test.reading_time, ran.time, ran.temperatures[:, CUP]))
    late = ran.temperatures[ran.time >= (HOURS - SETTLED_HOURS) * 3600, AIR]
    mean = float(late.mean())
    return Reading(
        shown=water + test.thermometer_error,
        mean_air=mean,
        not_settled=water - mean,
        thermometer_error=test.thermometer_error,
        air_low=float(late.min()),
        air_high=float(late.max()),
    )


def finding(test: CupTest, system: str = "US") -> str:
    """Say in two sentences what the thermometer would show and how wrong that is."""
    reading = read_test(test)
    hour = f"{test.reading_time / 3600:g}"
    shown, mean, low, high = (
        show(from_si(value, "temperature"), system)
        for value in (reading.shown, reading.mean_air, reading.air_low, reading.air_high)
    )
    cup, meter = (
        show(from_si(abs(value), "temperature_difference"), system)
        for value in (reading.not_settled, reading.thermometer_error)
    )
    water = f"{cup} warmer than" if reading.not_settled > 0 else f"{cup} colder than"
    settled = "at" if cup.startswith("0.0") else water
    return (
        f"At hour {hour} the thermometer would say {shown}. The cabinet air settles at a mean of {mean}, "
        f"so the reading is {_judged(reading.error, system)}: the water is {settled} that mean, "
        f"and the thermometer reads {meter} {'high' if test.thermometer_error >= 0 else 'low'}. "
        f"A single reading of the air could have been anything from {low} to {high}."
    )


def _judged(error: float, system: str) -> str:
    """Say how far a reading is off, given its error [K]."""
    off = show(from_si(abs(error), "temperature_difference"), system)
    return "right" if off.startswith("0.0") else f"{off} too {'warm' if error > 0 else 'cold'}"


def alt_text(test: CupTest, system: str = "US") -> str:
    """Describe the picture of a test."""
    shown = "Line chart of 24 hours: water in the cup and cabinet air, with three limits."
    return f"{shown} {finding(test, system)}"


def cup_test_figure(test: CupTest, system: str = "US") -> Figure:
    """Draw a test, 1000 by 600 pixels."""
    unit = {"US": "degF", "SI": "degC"}[system]

    def degrees(kelvin: np.ndarray | float) -> np.ndarray | float:
        celsius = np.asarray(kelvin) - 273.15
        return celsius * 1.8 + 32.0 if unit == "degF" else celsius

    ran, reading = run_test(test), read_test(test)
    hours = ran.time / 3600
    with styled():
        figure = Figure(figsize=(10, 6), layout="constrained")
        axes = figure.subplots()
        axes.plot(hours, degrees(ran.of("air")), color=BLUE, linewidth=1.2, label="Cabinet air")
        axes.plot(hours, degrees(ran.of("cup")), color=ORANGE, linewidth=4, label="Water in the cup")
        axes.axhline(
            float(degrees(reading.mean_air)), color=GREEN, linestyle="--", label="Mean air, last 6 hours"
        )
        axes.plot(
            test.reading_time / 3600,
            degrees(reading.shown),
            "D",
            color=RED,
            markersize=12,
            clip_on=False,
            label=f"Thermometer says {show(from_si(reading.shown, 'temperature'), system)}",
            zorder=5,
        )
        for limit, lift in zip(LIMITS, (10, 0, -14), strict=True):
            axes.axhline(
                float(degrees(limit.temperature)),
                color=DARK,
                linewidth=1.2,
                linestyle=":" if limit.published else (0, (6, 2, 1, 2)),
                label="Limit, published" if limit.published else "Limit, common practice",
            )
            label = limit.short if system == "US" else limit.short.replace(*_in_celsius(limit))
            axes.annotate(
                label,
                (1.0, degrees(limit.temperature)),
                (14, lift),
                xycoords=("axes fraction", "data"),
                textcoords="offset points",
                color=DARK,
                va="center",
                annotation_clip=False,
            )
        # The limits are always in the picture, so that their labels stay beside their lines.
        shown = [test.start_temperature, reading.shown, reading.air_low, reading.air_high]
        shown += [limit.temperature for limit in LIMITS]
        axes.set(
            xlim=(0, HOURS),
            ylim=(degrees(min(shown)) - 3, degrees(max(shown)) + 3),
            xticks=range(0, HOURS + 1, 3),
            xlabel="Hours since the cup was put in",
            ylabel=f"Temperature ({'°F' if system == 'US' else '°C'})",
        )
        axes.set_title(f"The reading is {_judged(reading.error, system)}")
        entries = dict(
            zip(*reversed(axes.get_legend_handles_labels()), strict=True)
        )  # one for each kind of limit
        figure.legend(
            entries.values(),
            entries.keys(),
            loc="outside lower center",
            ncols=3,
            title="Teaching model of eight cubic feet, not validated against measured refrigerators",
        )
    return figure


def _in_celsius(limit: Limit) -> tuple[str, str]:
    fahrenheit = limit.short.split(" °F")[0] + " °F"
    return fahrenheit, show(from_si(limit.temperature, "temperature"), "SI")


_HOURS = Scale("hour", "h", 0.5, 24, 0.5)
CUP_CONTROLS = (
    Slider(
        "cup_mass",
        "Water in the cup",
        "mass",
        Scale("ounce", "oz", 4, 32, 0.5),
        Scale("gram", "g", 110, 910, 1),
    ),
    Slider(
        "start_temperature",
        "Water at the start",
        "temperature",
        Scale("degF", "°F", 35, 100, 1),
        Scale("degC", "°C", 2, 38, 0.1),
    ),
    Slider(
        "cabinet_temperature",
        "Cabinet air, middle",
        "temperature",
        Scale("degF", "°F", 33, 60, 0.5),
        Scale("degC", "°C", 1, 16, 0.1),
    ),
    Slider(
        "swing",
        "Thermostat's swing",
        "temperature_difference",
        Scale("delta_degF", "°F", 0.5, 10, 0.5),
        Scale("delta_degC", "°C", 0.3, 5.5, 0.1),
    ),
    Slider("reading_time", "Hour of reading", "time", _HOURS, _HOURS),
    Slider(
        "thermometer_error",
        "Thermometer reads high by",
        "temperature_difference",
        Scale("delta_degF", "°F", -4, 4, 0.2),
        Scale("delta_degC", "°C", -2, 2, 0.1),
    ),
)


def substance_temperature_lab() -> Lab:
    """Return the lab of module 05: what would the thermometer say, and how wrong is it?"""
    return Lab(
        CupTest(),
        CUP_CONTROLS,
        lambda test, system: as_html(cup_test_figure(test, system), alt_text(test, system)),
        finding,
        situations=SITUATIONS,
    )
