"""A cup test as a still picture, for copies without a kernel."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.show.cup_because import because
from warmside.show.enclosure import HONEST, degrees, temperature
from warmside.show.pictures import styled
from warmside.show.substance_temperature import HOURS, LIMITS, CupTest, day_of, read_test

_HALF_AN_HOUR = 30  # minutes to both sides that the air's band takes in
_APART = 17  # points between the names of two limits


def alt_text(test: CupTest, system: str = "US") -> str:
    """Describe the picture of a test."""
    shown = "Line chart of 24 hours: water in the cup and cabinet air with three limits, outside, freezer."
    return f"{shown} {because(test, system)}"


def cup_test_figure(test: CupTest, system: str = "US") -> Figure:
    """Draw a test, 1000 by 600 pixels."""
    sign, zero, degree = degrees(system)

    def shown(kelvin: Any) -> np.ndarray:
        return (np.asarray(kelvin) - zero) / degree

    day, reading = day_of(test), read_test(test)
    hours = np.arange(day.cup.size) / 60.0
    with styled():
        figure = Figure(figsize=(10, 6), layout="constrained")
        outside, axes, freezer = figure.subplots(3, sharex=True, height_ratios=(1, 5, 1))
        outside.plot(hours, shown(day.outside), color=RED)
        freezer.plot(hours, shown(day.freezer), color=DARK, linewidth=1.5)
        low, high = _band(shown(day.air))
        axes.fill_between(hours, low, high, color=BLUE, alpha=0.25, linewidth=0, label="Cabinet air")
        axes.plot(hours, shown(day.cup), color=ORANGE, linewidth=4, label="Water in the cup")
        axes.plot(
            test.reading_time / 3600,
            shown(reading.shown),
            "D",
            color=GREEN,
            markersize=12,
            clip_on=False,
            label=f"Thermometer says {temperature(reading.shown, system, 1)}",
            zorder=5,
        )
        _draw_limits(axes, shown, system)
        for strip, name in ((outside, "Outside"), (freezer, "Freezer")):
            strip.set_ylabel(name, rotation=0, ha="right", va="center")
            strip.margins(y=0.25)
            strip.locator_params(axis="y", nbins=2)
        seen = shown([*(limit.temperature for limit in LIMITS), day.cup.min(), day.air.min(), reading.shown])
        above = shown([LIMITS[0].temperature, day.cup.max(), day.air.max(), reading.shown])
        axes.set(xlim=(0, HOURS), ylim=(seen.min() - 2, above.max() + 3), ylabel=sign)
        freezer.set(xticks=range(0, HOURS + 1, 3), xlabel="Hours since the cup was put in, at eight")
        outside.set_title(f"At hour {test.reading_time / 3600:g}: {temperature(reading.shown, system, 1)}")
        figure.legend(loc="outside lower center", ncols=3, title=HONEST)
    return figure


def _band(air: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest and highest of the air around each minute: the thermostat's zigzag as a band."""
    padded = np.pad(air, _HALF_AN_HOUR, mode="edge")
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * _HALF_AN_HOUR + 1)
    return around.min(axis=-1), around.max(axis=-1)


def _draw_limits(axes: Any, shown: Any, system: str) -> None:
    """Draw the limits across, their names beside, apart from each other, each with a line to its own."""
    for place, limit in enumerate(LIMITS):
        at = float(shown(limit.temperature))
        style = ":" if limit.published else (0, (6, 2, 1, 2))
        axes.axhline(at, color=DARK, linewidth=1.4, linestyle=style, zorder=1)
        name = f"{temperature(limit.temperature, system, int(system == 'SI'))}{limit.short[5:]}"
        axes.annotate(
            name,
            (1.0, at),
            (16, (1 - place) * _APART),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            arrowprops={"arrowstyle": "-", "color": DARK, "linewidth": 0.8, "shrinkA": 0, "shrinkB": 0},
            color=DARK,
            va="center",
            annotation_clip=False,
        )
