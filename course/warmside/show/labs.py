"""Labs: controls beside a picture that answers. They hold no formula of their own."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.resources import files
from typing import Any, NamedTuple

import anywidget
import traitlets

from warmside.diagnosis.readings import READINGS, readable
from warmside.show import heater_meter, odds
from warmside.show.heater_meter import MeterOnHeater
from warmside.show.odds import Working
from warmside.show.pictures import as_html
from warmside.show.substance_temperature import CupTest, alt_text, cup_test_figure, finding
from warmside.units import from_si, to_si, ureg

SYSTEMS = ("US", "SI")


class Scale(NamedTuple):
    """How a control is marked in one system of units."""

    unit: str
    label: str
    low: float
    high: float
    step: float


@dataclass(frozen=True)
class Slider:
    """A quantity that can be set, with a slider and a number box.

    Attributes
    ----------
    name : str
        The field of the settings that it sets.
    label : str
        What people read, without the unit.
    kind : str
        A kind of quantity (`warmside.units.KINDS`).
    us, si : Scale
        Its marks in each system of units.
    """

    name: str
    label: str
    kind: str
    us: Scale
    si: Scale

    def scale(self, system: str) -> Scale:
        """Return the marks in system "US" or "SI"."""
        return self.us if system == "US" else self.si

    def on_page(self, system: str) -> dict[str, Any]:
        """Return what the page needs to show it."""
        _, label, low, high, step = self.scale(system)
        return {"name": self.name, "label": f"{self.label} ({label})", "low": low, "high": high, "step": step}

    def shown(self, value: float, system: str) -> float:
        """Return what the page shows for an SI value: the nearest step."""
        unit, _, low, _, step = self.scale(system)
        steps = round((float(from_si(value, self.kind, unit).magnitude) - low) / step)
        return round(low + steps * step, 6)

    def taken(self, shown: float, system: str) -> float:
        """Return the SI value of what the page shows."""
        return to_si(ureg.Quantity(shown, self.scale(system).unit), self.kind)


@dataclass(frozen=True)
class Options:
    """One of several that can be chosen from a list.

    Attributes
    ----------
    name : str
        The field of the settings that it sets.
    label : str
        What people read.
    options : tuple of (str, object)
        What people read, and what the field is set to.
    """

    name: str
    label: str
    options: tuple[tuple[str, Any], ...]

    def on_page(self, system: str) -> dict[str, Any]:
        """Return what the page needs to show it."""
        del system
        return {"name": self.name, "label": self.label, "options": [text for text, _ in self.options]}

    def shown(self, value: Any, system: str) -> int:
        """Return the place of a value in the list."""
        del system
        return [option for _, option in self.options].index(value)

    def taken(self, shown: int, system: str) -> Any:
        """Return the value at a place of the list."""
        del system
        return self.options[shown][1]


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


class Lab(anywidget.AnyWidget):
    """Controls, the finding in words, and a picture; the page is lab.js, the answers are made here.

    The page asks with a control's new value, a system of units, or to go back to the start. What it asks is
    answered with words and picture at once, so that one question and one answer cross the wire.

    Parameters
    ----------
    settings : dataclass
        What the controls start with, in SI units.
    controls : tuple of Slider or Options
        What can be set.
    picture : callable
        From settings and system ("US" or "SI") to the picture as HTML, alternative text included.
    words : callable
        From settings and system to the finding in words.
    """

    _esm = files("warmside.show").joinpath("lab.js").read_text("utf-8")
    _css = files("warmside.show").joinpath("lab.css").read_text("utf-8")
    page = traitlets.Dict().tag(sync=True)
    asked = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        settings: Any,
        controls: tuple[Slider | Options, ...],
        picture: Callable[[Any, str], str],
        words: Callable[[Any, str], str],
    ) -> None:
        self._first = self.settings = settings
        self._controls = {control.name: control for control in controls}
        self._picture, self._words = picture, words
        self.system = SYSTEMS[0]
        pages = {system: [control.on_page(system) for control in controls] for system in SYSTEMS}
        super().__init__(page={"controls": pages}, answer=self._answer_to({"serial": 0}))

    @traitlets.observe("asked")
    def _asked(self, change: dict[str, Any]) -> None:
        self.answer = self._answer_to(change["new"])

    def _answer_to(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return words and picture, and what the controls show; `set_all` where more than one changes."""
        if question.get("reset"):
            self.settings = self._first
        self.system = question.get("system", self.system)
        moved = self._controls.get(question.get("name"))
        if moved:
            value = moved.taken(question["value"], self.system)
            self.settings = replace(self.settings, **{moved.name: value})
        return {
            "serial": question["serial"],
            "system": self.system,
            "words": self._words(self.settings, self.system),
            "picture": self._picture(self.settings, self.system),
            "set_all": moved is None,
            "values": {
                name: control.shown(getattr(self.settings, name), self.system)
                for name, control in self._controls.items()
            },
        }


def substance_temperature_lab() -> Lab:
    """Return the lab of module 05: what would the thermometer say, and how wrong is it?"""
    return Lab(
        CupTest(),
        CUP_CONTROLS,
        lambda test, system: as_html(cup_test_figure(test, system), alt_text(test, system)),
        finding,
    )


def _same(texts) -> tuple[tuple[str, Any], ...]:
    return tuple((text[0].upper() + text[1:], text) for text in texts)


_LETTERS = tuple((f"{letter}  {words}", letter) for letter, (_, words) in heater_meter.POINTS.items())
METER_CONTROLS = (
    Options("heater", "Heater", _same(heater_meter.HEATERS)),
    Options("fault", "Fault", _same((*heater_meter.FAULTS, *heater_meter.MYSTERIES))),
    Options("shown", "Tell me the fault", (("No", False), ("Yes", True))),
    Options("isolated", "State", (("On, under load", False), ("Off and isolated", True))),
    Options("meter", "Meter", _same((heater_meter.VOLTS, heater_meter.AMPS, heater_meter.OHMS))),
    Options("red", "Red probe at", _LETTERS),
    Options("black", "Black probe at", _LETTERS),
)


def heater_meter_lab() -> Lab:
    """Return the lab of module 04: put a meter on a heater's circuit and find what is wrong."""
    return Lab(
        MeterOnHeater(),
        METER_CONTROLS,
        lambda setting, system: as_html(
            heater_meter.meter_figure(setting, system), heater_meter.alt_text(setting, system)
        ),
        heater_meter.finding,
    )


_READING_OF = (("(none)", odds.NOTHING), *((READINGS[name].title, name) for name in readable("mains")))
WORKING_CONTROLS = (
    Options("case", "Case", _same(odds.CASES)),
    *(
        Options(place, f"{place.capitalize()} reading", _READING_OF)
        for place in ("first", "second", "third", "fourth", "fifth", "sixth")
    ),
    Options("shown", "Tell me what is wrong", (("No", False), ("Yes", True))),
)


def working_lab() -> Lab:
    """Return the lab of module 07: take readings of an invented case, and see how each moves the odds."""
    return Lab(
        Working(),
        WORKING_CONTROLS,
        lambda working, system: as_html(odds.odds_figure(working, system), odds.alt_text(working, system)),
        odds.finding,
    )
