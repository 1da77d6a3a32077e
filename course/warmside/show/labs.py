"""Labs: controls beside a picture that answers. They hold no formula of their own."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from types import MappingProxyType
from typing import Any, NamedTuple

import anywidget
import traitlets

from warmside.diagnosis.readings import READINGS, readable
from warmside.errors import InputError
from warmside.show import enclosure, heater_meter, odds
from warmside.show.enclosure import Enclosure
from warmside.show.enclosure_picture import enclosure_picture
from warmside.show.heater_meter import MeterOnHeater
from warmside.show.odds import Working
from warmside.show.pictures import as_html
from warmside.show.substance_temperature import SITUATIONS, CupTest, alt_text, cup_test_figure, finding
from warmside.units import from_si, read_quantity, to_si, ureg

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

    def places(self, system: str) -> list[float]:
        """Return the SI values of all its steps."""
        _, _, low, high, step = self.scale(system)
        steps = round((high - low) / step)
        return [self.taken(round(low + place * step, 6), system) for place in range(steps + 1)]

    def text(self, value: float) -> str:
        """Return an SI value as text, in US units."""
        unit, label, *_ = self.us
        return f"{float(from_si(value, self.kind, unit).magnitude):.5g} {label}"

    def read(self, text: str) -> float:
        """Return the SI value of a text; InputError if it isn't one, or out of the control's range."""
        value = to_si(read_quantity(text, self.kind), self.kind)
        low, high = (self.taken(end, "US") for end in (self.us.low, self.us.high))
        if not low - 1e-6 <= value <= high + 1e-6:
            raise InputError(
                f"{self.label}: “{text[:40]}” was read; it goes from {self.text(low)} to {self.text(high)}."
            )
        return value


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

    def places(self, system: str) -> list[Any]:
        """Return all values of the list."""
        del system
        return [value for _, value in self.options]

    def text(self, value: Any) -> str:
        """Return what people read for a value."""
        return self.options[self.shown(value, "US")][0]

    def read(self, text: str) -> Any:
        """Return the value of a text; InputError if it is none of the list."""
        by_text = {shown.lower(): value for shown, value in self.options}
        if text.lower() not in by_text:
            listed = ", ".join(shown for shown, _ in self.options)
            raise InputError(f"{self.label}: “{text[:40]}” was read; it must be one of {listed}.")
        return by_text[text.lower()]


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

    The page asks with a control's new value, a system of units, a situation to load, a line of text that
    says all values, to keep what is shown as "before", or to go back to the start. What it asks is answered
    with words and picture at once, so that one question and one answer cross the wire. Details, which may
    take longer, are asked for when the hand rests. Where solving a whole range takes little longer than one
    value, the page asks for the views ahead of the hand as soon as a control gets the focus, the nearest
    values first; it then shows them itself, and says what was set when the hand rests.

    Parameters
    ----------
    settings : dataclass
        What the controls start with, in SI units.
    controls : tuple of Slider or Options
        What can be set.
    picture : callable
        From settings, system ("US" or "SI") and the settings kept as "before", or None, to the picture as
        HTML, alternative text included.
    words : callable
        From settings and system to the finding in words.
    details : callable, optional
        From settings and system to what stands below the picture, as HTML.
    prepare : callable, optional
        Takes several settings that will likely be asked for next, and solves them together; with it, views
        are made ahead of the hand.
    hidden : callable, optional
        From settings to the names of controls that aren't shown, since they have no place there.
    situations : mapping of str to dataclass, optional
        Settings to load, by what people read.
    compares : bool, optional
        Whether there is a "before" to keep.
    """

    _esm = files("warmside.show").joinpath("lab.js").read_text("utf-8")
    _css = files("warmside.show").joinpath("lab.css").read_text("utf-8")
    page = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        settings: Any,
        controls: tuple[Slider | Options, ...],
        picture: Callable[[Any, str, Any], str],
        words: Callable[[Any, str], str],
        *,
        details: Callable[[Any, str], str] = lambda settings, system: "",
        prepare: Callable[[list[Any]], object] | None = None,
        hidden: Callable[[Any], Collection[str]] = lambda _: (),
        situations: Mapping[str, Any] = MappingProxyType({}),
        compares: bool = False,
    ) -> None:
        self._first = self.settings = settings
        self.before: Any = None
        self._controls = {control.name: control for control in controls}
        self._picture, self._words, self._details = picture, words, details
        self._prepare, self._hidden = prepare, hidden
        self._situations = situations
        self.system = SYSTEMS[0]
        page = {
            "controls": {system: [control.on_page(system) for control in controls] for system in SYSTEMS},
            "situations": list(situations),
            "compares": compares,
            "ahead": prepare is not None,
        }
        super().__init__(page=page, answer=self._answer_to({"serial": 0}))
        # a message, since synchronised traits would leave one by one
        self.on_msg(lambda _, question, __: self.ask(question))

    def ask(self, question: dict[str, Any]) -> None:
        """Answer what the page asks, in `answer`; what it asks ahead of the hand, in a message."""
        if "ahead" in question:
            self.send({"serial": question["serial"], "views": self.views_ahead(**question["ahead"])})
        else:
            self.answer = self._answer_to(question)

    def views_ahead(self, name: str, values: list[Any]) -> list[dict[str, Any]]:
        """Return the views of some values of a control, everything else left as it is.

        Parameters
        ----------
        name : str
            A control's.
        values : list
            What it would show.

        Returns
        -------
        list of dict
            Words, picture and hidden controls of each value.
        """
        control = self._controls[name]
        self._prepare([replace(self.settings, **{name: value}) for value in control.places(self.system)])
        return [
            self._view(replace(self.settings, **{name: control.taken(value, self.system)}))
            for value in values
        ]

    def _view(self, settings: Any, problem: str = "") -> dict[str, Any]:
        return {
            "words": problem or self._words(settings, self.system),
            "picture": self._picture(settings, self.system, self.before),
            "hidden": list(self._hidden(settings)),
        }

    def _answer_to(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return words and picture, and what the controls show; `set_all` where more than one changes."""
        same = {**self.answer, "serial": question["serial"], "set_all": False}
        if question.get("details"):
            details = self._details(self.settings, self.system)
            return {**same, "shows": "details", "details": details, "line": self._line()}
        problem, set_all = self._do(question), "name" not in question
        return {
            "serial": question["serial"],
            "shows": "picture",
            "system": self.system,
            **self._view(self.settings, problem),
            "set_all": set_all,
            "values": self._values() if set_all else {**same["values"], question["name"]: question["value"]},
        }

    def _values(self) -> dict[str, Any]:
        """Return what each control shows."""
        return {
            name: control.shown(getattr(self.settings, name), self.system)
            for name, control in self._controls.items()
        }

    def _line(self) -> str:
        hidden = self._hidden(self.settings)
        shown = [control for name, control in self._controls.items() if name not in hidden]
        return as_line(self.settings, shown)

    def _do(self, question: dict[str, Any]) -> str:
        """Do what is asked; return a sentence where it can't be done."""
        self.system = question.get("system", self.system)
        if "name" in question:
            control = self._controls[question["name"]]
            value = control.taken(question["value"], self.system)
            self.settings = replace(self.settings, **{control.name: value})
        elif "situation" in question:
            self.settings = self._situations[question["situation"]]
        elif "keep" in question:
            self.before = self.settings if question["keep"] else None
        elif "line" in question:
            try:
                self.settings = from_line(question["line"], self._first, self._controls.values())
            except InputError as problem:
                return str(problem)
        elif question.get("reset"):
            self.settings, self.before = self._first, None
        return ""


def as_line(settings: Any, controls: Iterable[Slider | Options]) -> str:
    """Return settings as one line of text, such as ``"Side gaps: 0.25 in; Fan: none"``."""
    return "; ".join(
        f"{control.label}: {control.text(getattr(settings, control.name))}" for control in controls
    )


def from_line(line: str, start: Any, controls: Iterable[Slider | Options]) -> Any:
    """Return the settings that a line says; what it doesn't name stays as in `start`.

    Raises
    ------
    InputError
        One sentence, if a name is unknown or a value isn't one.
    """
    by_label, changes = {control.label: control for control in controls}, {}
    for part in filter(str.strip, line.split(";")):
        label, _, text = part.partition(":")
        control = by_label.get(label.strip())
        if control is None:
            raise InputError(f"The line names “{label.strip()[:40]}”; there are {', '.join(by_label)}.")
        changes[control.name] = control.read(text.strip())
    return replace(start, **changes)


def substance_temperature_lab() -> Lab:
    """Return the lab of module 05: what would the thermometer say, and how wrong is it?"""
    return Lab(
        CupTest(),
        CUP_CONTROLS,
        lambda test, system, _: as_html(cup_test_figure(test, system), alt_text(test, system)),
        finding,
        situations=SITUATIONS,
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
        lambda setting, system, _: as_html(
            heater_meter.meter_figure(setting, system), heater_meter.alt_text(setting, system)
        ),
        heater_meter.finding,
        situations=heater_meter.SITUATIONS,
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
        lambda working, system, _: as_html(odds.odds_figure(working, system), odds.alt_text(working, system)),
        odds.finding,
        situations=odds.SITUATIONS,
    )


def _both(*marks) -> tuple[Scale, Scale]:
    """Return a scale for both systems of units."""
    return Scale(*marks), Scale(*marks)


_INCHES = ("inch", "in")
_PERCENT = Scale("percent", "%", 0, 95, 5)
ENCLOSURE_CONTROLS = (
    Options("size", "Cabinet", tuple((f"{size} cubic feet", size) for size in ("six", "eight", "eighteen"))),
    Options("outlet", "Outlet", (("in the roof", "roof"), ("in the wall", "wall"))),
    Options("baffle", "Baffle", (("there", True), ("none", False))),
    Slider(
        "baffle_gap",
        "Baffle to fins",
        "length",
        Scale(*_INCHES, 0.25, 1.5, 0.05),
        Scale("millimeter", "mm", 6, 38, 1),
    ),
    Slider(
        "rear_gap",
        "Behind the fins",
        "length",
        Scale(*_INCHES, 0.5, 6, 0.1),
        Scale("millimeter", "mm", 12, 152, 1),
    ),
    Slider(
        "side_gap",
        "Side gaps, each",
        "length",
        Scale(*_INCHES, 0.05, 1.5, 0.05),
        Scale("millimeter", "mm", 1, 38, 1),
    ),
    Slider(
        "top_gap",
        "Gap over the top",
        "length",
        Scale(*_INCHES, 0, 6, 0.25),
        Scale("millimeter", "mm", 0, 152, 5),
    ),
    Options("pocket_open", "Space over the top", (("closed off", False), ("open", True))),
    Slider("lower_blocked", "Lower vent shut", "fraction", _PERCENT, _PERCENT),
    Slider("upper_blocked", "Outlet shut", "fraction", _PERCENT, _PERCENT),
    Options("fan", "Fan", tuple((name, name) for name in enclosure.FANS)),
    Options("wind", "Wind", tuple((name, name) for name in enclosure.WINDS)),
    Options("heat_source", "Heat source", tuple((name, name) for name in ("mains", "battery", "gas"))),
    Slider("mains_voltage", "Mains at the heater", "voltage", *_both("volt", "V", 80, 140, 1)),
    Slider("battery_voltage", "Battery at the heater", "voltage", *_both("volt", "V", 8, 15, 0.1)),
    Slider(
        "gas_pressure",
        "Gas at the burner",
        "pressure_difference",
        Scale("inch_water_column", "in w.c.", 5, 14, 0.25),
        Scale("pascal", "Pa", 1200, 3500, 20),
    ),
    Slider(
        "ambient",
        "Outside, mean of the day",
        "temperature",
        Scale("degF", "°F", 70, 118, 1),
        Scale("degC", "°C", 21, 48, 0.5),
    ),
    Slider(
        "swing",
        "Day's swing, up and down",
        "temperature_difference",
        Scale("delta_degF", "°F", 0, 20, 1),
        Scale("delta_degC", "°C", 0, 11, 0.5),
    ),
)


def enclosure_lab() -> Lab:
    """Return the lab of module 02: change an enclosure, and see what it does."""
    return Lab(
        Enclosure(),
        ENCLOSURE_CONTROLS,
        enclosure_picture,
        enclosure.finding,
        details=enclosure.departures_table,
        prepare=lambda settings: enclosure.solve_all(*settings),
        hidden=lambda settings: enclosure.without_effect(settings) - {"baffle_gap"},
        situations={name: enclosure.situation(name) for name in enclosure.SITUATIONS},
        compares=True,
    )
