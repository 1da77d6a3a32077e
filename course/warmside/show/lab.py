"""What a lab is made of: controls, the page they stand on, and what answers them.

Each lab stands with its own picture and finding. It holds no formula of its own.
"""

import logging
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from importlib.resources import files
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

import anywidget
import traitlets

from warmside.errors import InputError
from warmside.units import from_si, read_quantity, to_si, ureg

SYSTEMS = ("US", "SI")
_NOBODY = ("", 0)  # whose question an answer is to that no page asked for
_INSTEAD = "move a control, or press “Back to the start”."
NO_VIEW = f"What is set can't be shown: {_INSTEAD}"
NO_DETAILS = f"The details of what is set can't be shown: {_INSTEAD}"
NOT_DONE = f"What was asked for can't be done: {_INSTEAD}"
_log = logging.getLogger(__name__)
_T = TypeVar("_T")


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
        ends = [self.taken(end, system) for end in (low, high)]
        marks = {"unit": label, "low": low, "high": high, "step": step, "ends": ends}
        return {"name": self.name, "label": f"{self.label} ({label})", "title": self.label, **marks}

    def shown(self, value: float, system: str) -> float:
        """Return what the page shows for an SI value: the nearest step."""
        unit, _, low, _, step = self.scale(system)
        steps = round((float(from_si(value, self.kind, unit).magnitude) - low) / step)
        return round(low + steps * step, 6)

    def taken(self, shown: float, system: str) -> float:
        """Return the SI value of what the page shows; InputError if the control doesn't go there."""
        unit, label, low, high, _ = self.scale(system)
        if not isinstance(shown, int | float) or not low - 1e-6 <= shown <= high + 1e-6:
            raise InputError(
                f"{self.label}: {str(shown)[:40]} was asked for; it goes from {low:g} to {high:g} {label}."
            )
        return to_si(ureg.Quantity(shown, unit), self.kind)

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
        options = [text for text, _ in self.options]
        return {"name": self.name, "label": self.label, "title": self.label, "options": options}

    def shown(self, value: Any, system: str) -> int:
        """Return the place of a value in the list."""
        del system
        return [option for _, option in self.options].index(value)

    def taken(self, shown: int, system: str) -> Any:
        """Return the value at a place of the list; InputError if there is no such place."""
        del system
        if shown not in range(len(self.options)):
            raise InputError(f"{self.label}: the list has no place {str(shown)[:40]}.")
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


def as_options(values: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Return values as options that people read as they are, but for a capital."""
    return tuple((value[0].upper() + value[1:], value) for value in values)


def page_part(*names: str) -> str:
    """Return files of this folder as one: parts of a page's script, which see each other, or of its style."""
    return "\n".join(files("warmside.show").joinpath(name).read_text("utf-8") for name in names)


class Lab(anywidget.AnyWidget):
    """Controls, the finding in words, and a picture; the page is lab.js, the answers are made here.

    The page asks with a control's new value, a system of units, a situation to load, a line of text that
    says all values, or to go back to the start. What it asks is answered with words and picture at once, so
    that one question and one answer cross the wire. Details, which may take longer, are asked for when the
    hand rests. Where solving a whole range takes little longer than one value, the page asks for the views
    ahead of the hand as soon as a control gets the focus, the nearest values first; it then shows them
    itself, and says what was set when the hand rests.

    Every question is answered. Where one of the lab's functions raises, the reader is told in the picture's
    place that this can't be shown, the log has the exception for the author, and the next question is as good
    as any.

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
    details : callable, optional
        From settings and system to what stands below the picture, as HTML.
    prepare : callable, optional
        Takes several settings that will likely be asked for next, and solves them together; with it, views
        are made ahead of the hand.
    hidden : callable, optional
        From settings to the names of controls that aren't shown, since they have no place there.
    situations : mapping of str to dataclass, optional
        Settings to load, by what people read.
    page : mapping, optional
        What else the page is told once.
    """

    _esm = page_part("lab_talk.js", "lab.js")
    _css = page_part("lab.css")
    page = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        settings: Any,
        controls: tuple[Slider | Options, ...],
        picture: Callable[[Any, str], Any],
        words: Callable[[Any, str], str],
        *,
        details: Callable[[Any, str], Any] = lambda settings, system: "",
        prepare: Callable[[list[Any]], object] | None = None,
        hidden: Callable[[Any], Collection[str]] = lambda _: (),
        situations: Mapping[str, Any] = MappingProxyType({}),
        page: Mapping[str, Any] = MappingProxyType({}),
    ) -> None:
        self._first = self.settings = settings
        self._controls = {control.name: control for control in controls}
        self._picture, self._words, self._details = picture, words, details
        self._prepare, self._hidden = prepare, hidden
        self._situations = situations
        self.system = SYSTEMS[0]
        known = {
            "controls": {system: [control.on_page(system) for control in controls] for system in SYSTEMS},
            "situations": list(situations),
            "ahead": prepare is not None,
        }
        super().__init__(page={**known, **page}, answer={"values": {}})
        self.ask({})
        # a message, since synchronised traits would leave one by one
        self.on_msg(lambda _, question, __: self.ask(question))

    def ask(self, question: Any) -> None:
        """Answer what the page asks, in `answer`; what it asks ahead of the hand, in a message.

        A question that no page of ours would ask is answered too.
        """
        asked: dict[str, Any] = question if isinstance(question, dict) else {}
        serial = asked.get("serial") or _NOBODY
        if "ahead" in asked:
            views = self._tried(lambda: self.views_ahead(**asked["ahead"]), None)
            self.send({"serial": serial, "views": views or []})
        else:
            self.answer = {**self._answer_to(asked), "serial": serial}

    def _tried(self, make: Callable[[], _T], otherwise: _T) -> _T:
        """Return what is made, or something else where that raises; the log then tells the author why."""
        try:
            return make()
        except Exception:
            _log.exception("A lab couldn't show or do what was asked at %r", self.settings)
            return otherwise

    def views_ahead(self, name: str, values: list[Any]) -> list[dict[str, Any] | None]:
        """Return the views of some values of a control, everything else left as it is.

        Parameters
        ----------
        name : str
            A control's.
        values : list
            What it would show.

        Returns
        -------
        list of dict or None
            Words, picture and hidden controls of each value; None for one that can't be shown, which the
            page asks for when the hand comes to it.
        """
        if self._prepare is not None:
            prepare, places = self._prepare, self._controls[name].places(self.system)
            self._tried(lambda: prepare([replace(self.settings, **{name: place}) for place in places]), None)
        return [self._tried(partial(self._view_ahead, name, value), None) for value in values]

    def _view_ahead(self, name: str, value: Any) -> dict[str, Any]:
        return self._view(self._changed(name, value))

    def _changed(self, name: str, value: Any) -> Any:
        """Return the settings with a control where the page would show `value`."""
        return replace(self.settings, **{name: self._controls[name].taken(value, self.system)})

    def _view(self, settings: Any, problem: str = "") -> dict[str, Any]:
        return {
            "words": problem or self._words(settings, self.system),
            "picture": self._picture(settings, self.system),
            "hidden": list(self._hidden(settings)),
        }

    def _answer_to(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return words and picture, and what the controls show; `set_all` where more than one changes."""
        if question.get("details"):
            return {
                **self.answer,
                "set_all": False,
                "shows": "details",
                "details": self._tried(lambda: self._details(self.settings, self.system), _told(NO_DETAILS)),
                "line": self._tried(self._line, ""),
            }
        problem = self._tried(lambda: self._do(question), NOT_DONE)
        no_view = {"words": problem, "picture": _told(NO_VIEW), "hidden": []}
        set_all = bool(problem) or "name" not in question
        known = self.answer["values"]
        return {
            "shows": "picture",
            "system": self.system,
            **self._tried(lambda: self._view(self.settings, problem), no_view),
            "set_all": set_all,
            "values": self._tried(self._values, known)
            if set_all
            else {**known, question["name"]: question["value"]},
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
        """Do what is asked; return a sentence where the reader can mend it."""
        try:
            if "system" in question:
                self.system = SYSTEMS[SYSTEMS.index(question["system"])]
            if "name" in question:
                self.settings = self._changed(question["name"], question["value"])
            elif "situation" in question:
                self.settings = self._situations[question["situation"]]
            elif "line" in question:
                self.settings = from_line(question["line"], self._first, self._controls.values())
            elif question.get("reset"):
                self.settings = self._first
        except InputError as problem:
            return str(problem)
        return ""


def _told(sentence: str) -> str:
    """Return a sentence as what stands in the place of what can't be shown."""
    return f'<p class="warmside-told" role="alert">{sentence}</p>'


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
