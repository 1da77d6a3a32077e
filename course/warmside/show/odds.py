"""Working an invented case: readings one after the other, and how each moves the odds."""

import textwrap
from dataclasses import dataclass, fields
from functools import cache, lru_cache
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from warmside.colours import BLUE, DARK, GREEN, ORANGE, PURPLE, RED
from warmside.data import load
from warmside.diagnosis.causes import NOTHING_LEFT, SETTLED, chance
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.fault import GROUPS
from warmside.diagnosis.faults import FAULTS, Label
from warmside.diagnosis.inference import Explanation, explain, next_reading
from warmside.diagnosis.readings import READINGS, Readings, as_text, readable
from warmside.show.lab import Lab, Options, as_options
from warmside.show.pictures import as_html, styled
from warmside.units import from_si, show

_SEED = 20_270_401
_WANTED = (
    ("lower_vent_blocked",),
    ("half_heater",),
    ("door_seal",),
    ("none",),
    ("out_of_level",),
    ("fins_fouled",),
    ("baffle_missing", "low_voltage"),
    ("thermostat",),
)
CASES = tuple(f"case {number}" for number in range(1, len(_WANTED) + 1))
NOTHING = ""
"""No reading."""
_EIGHT_ON_A_HOT_DAY: dict[str, Any] = {
    "sizes": ["8 cu ft"],
    "heat_sources": ["mains"],
    "ambients": (309.0, 314.0),
}
_FOOD_LIMIT = load("ratings").in_column("food_limit", "T")
_DAYS_OF_WAITING = {"cup": 1, "cup_on_gas": 1, "cup_on_mains": 1, "quiet_night_cup": 1}
_MOST_DRAWS = 100
_SHOWN = 4
_COLOURS, _LINES = (BLUE, RED, GREEN, ORANGE, PURPLE, DARK), ("-", "--")
_MARKS = dict(zip(GROUPS, "XosDv^", strict=True))
"""Of an explanation's line: the mark tells the group, where it lies."""


@dataclass(frozen=True)
class Working:
    """A case and the readings taken of it, in order.

    Attributes
    ----------
    case : str
        One of `CASES`.
    first, second, third, fourth, fifth, sixth : str
        Names of readings; `NOTHING` where none was taken.
    shown : bool
        Whether it is told what is wrong.
    """

    case: str = CASES[0]
    first: str = "cup"
    second: str = NOTHING
    third: str = NOTHING
    fourth: str = NOTHING
    fifth: str = NOTHING
    sixth: str = NOTHING
    shown: bool = False

    @property
    def taken(self) -> tuple[str, ...]:
        """The readings in order, each once."""
        slots = (getattr(self, each.name) for each in fields(self)[1:-1])
        return tuple(dict.fromkeys(name for name in slots if name != NOTHING))


SITUATIONS = {
    "The cup alone": Working(),
    "Three that tell the same": Working(second="duty", third="control"),
    "A worked example": Working(second="condenser_air", third="lower_vent_look", fourth="panel_off_air"),
}
"""Workings to load, by what people read."""


@lru_cache(maxsize=len(_WANTED))
def all_readings(case: str) -> Readings:
    """Everything that could be read in a case, as a meter and an eye would find it.

    A case that can't be told even from all of it is drawn again, and so is a fault that the cup doesn't show:
    nobody would have called.
    """
    place, wanted = CASES.index(case), truth(case)
    share = float(len(wanted) > 1)
    for attempt in range(_MOST_DRAWS):
        seed = _SEED + place * _MOST_DRAWS + attempt
        cases = draw_cases(seed, 1, wanted=[wanted], pair_share=share, **_EIGHT_ON_A_HOT_DAY)
        readings = cases.measured(0, np.random.default_rng(seed))
        if wanted != ("none",) and float(readings.values["cup"]) <= _FOOD_LIMIT:
            continue
        best = explain(readings).best
        if best.label == wanted and best.probability >= SETTLED:
            return readings
    raise RuntimeError(f"{case}: {_MOST_DRAWS} draws gave no case that is seen and can be told.")


def truth(case: str) -> Label:
    """What is wrong in a case, one of `CASES`."""
    return _WANTED[CASES.index(case)]


@lru_cache(maxsize=256)
def after(case: str, taken: tuple[str, ...]) -> Explanation:
    """What these readings of a case say."""
    return explain(all_readings(case).only(taken))


def steps(working: Working) -> list[Explanation]:
    """What is known before any reading, and after each."""
    return [after(working.case, working.taken[:count]) for count in range(len(working.taken) + 1)]


def minutes(working: Working) -> float:
    """What the readings took of one's work [min], without the days that a cup stands."""
    return sum(READINGS[name].minutes for name in working.taken)


def _took(working: Working) -> str:
    """Say what the readings took: work, and days of waiting."""
    days = sum(_DAYS_OF_WAITING.get(name, 0) for name in working.taken)
    waiting = f" and {days} day{'s' if days > 1 else ''} of waiting" if days else ""
    return f"{minutes(working):g} minutes of work{waiting}"


def finding(working: Working, system: str = "US") -> str:
    """Say what was read, what it makes of the odds, and what would tell most."""
    everything = all_readings(working.case)
    ambient = show(from_si(everything.ambient, "temperature"), system)
    read = "; ".join(
        f"{READINGS[name].title.lower()}: {as_text(name, everything.values[name], system)}"
        for name in working.taken
        if name in everything.values
    )
    known = steps(working)[-1]
    likeliest = max(FAULTS, key=known.of_fault)
    title, likely = FAULTS[likeliest].title.lower(), chance(known.of_fault(likeliest))
    said = f"Eight cubic feet on mains, {ambient} outside. "
    said += f"Read in {_took(working)}: {read}. " if read else "Nothing was read yet. "
    said += f"Likeliest, alone or with another fault: {title}, {likely}."
    return said + (_told(working) if working.shown else "")


def _told(working: Working) -> str:
    readings = all_readings(working.case).only(working.taken)
    wrong = ", and ".join(FAULTS[name].title.lower() for name in truth(working.case))
    best = next_reading(readings)[0]
    after_all = f" Most telling for its minutes would now be: {best.title.lower()}."
    return f" What is wrong: {wrong}.{after_all if best.gain > NOTHING_LEFT else ''}"


def alt_text(working: Working, system: str = "US") -> str:
    """Describe the picture."""
    return (
        f"Chart of the chances of the likeliest explanations after each reading. {finding(working, system)}"
    )


@cache
def look_of(fault: str) -> tuple[str, str, str]:
    """Return colour, mark and line of an explanation: its own, in whatever case and order it is drawn."""
    group = FAULTS[fault].group
    place = [name for name in FAULTS if FAULTS[name].group == group].index(fault)
    turn, colour = divmod(place, len(_COLOURS))
    return _COLOURS[colour], _MARKS[group], _LINES[turn]


def odds_figure(working: Working, system: str = "US") -> Figure:
    """Draw how each reading moves the odds, 1000 by 600 pixels."""
    known = steps(working)
    likeliest = sorted(FAULTS, key=lambda name: -known[-1].of_fault(name))[:_SHOWN]
    everything = all_readings(working.case)
    with styled():
        figure = Figure(figsize=(10, 6), layout="constrained")
        axes = figure.subplots()
        for name in likeliest:
            colour, marker, line = look_of(name)
            chances = [100.0 * one.of_fault(name) for one in known]
            axes.plot(
                chances,
                marker=marker,
                color=colour,
                linestyle=line,
                markersize=11,
                label=FAULTS[name].title,
                clip_on=False,
            )
        ticks = ["before"]
        for name in working.taken:
            title = textwrap.fill(READINGS[name].title.split(",")[0], 15)
            ticks.append(f"{title}\n{as_text(name, everything.values[name], system)}")
        axes.set_xticks(range(len(ticks)), ticks)
        axes.set(
            xlim=(-0.3, max(len(ticks) - 0.7, 1.3)), ylim=(0, 100), ylabel="Chance, alone or with another (%)"
        )
        axes.axhline(90.0, color=DARK, linewidth=1.2, linestyle=(0, (6, 2, 1, 2)))
        axes.text(-0.28, 91.5, "9 to 1", color=DARK)
        axes.set_title(f"{working.case.capitalize()} (invented): {_took(working)}")
        figure.legend(loc="outside lower center", ncols=2)
    return figure


def working_controls() -> tuple[Options, ...]:
    """Return the lab's controls, with every reading that there is by now."""
    readings = (("(none)", NOTHING), *((READINGS[name].title, name) for name in readable("mains")))
    places = [each.name for each in fields(Working)[1:-1]]
    return (
        Options("case", "Case", as_options(CASES)),
        *(Options(place, f"{place.capitalize()} reading", readings) for place in places),
        Options("shown", "Tell me what is wrong", (("No", False), ("Yes", True))),
    )


def working_lab() -> Lab:
    """Return the lab of module 07: take readings of an invented case, and see how each moves the odds."""
    return Lab(
        Working(),
        working_controls(),
        lambda working, system: as_html(odds_figure(working, system), alt_text(working, system)),
        finding,
        situations=SITUATIONS,
    )
