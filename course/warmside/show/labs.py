"""Labs: controls beside a picture that answers. They hold no formula of their own."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import ipywidgets as widgets

from warmside.show import heater_meter
from warmside.show.heater_meter import MeterOnHeater
from warmside.show.pictures import as_html
from warmside.show.substance_temperature import CupTest, alt_text, cup_test_figure, finding
from warmside.units import from_si, to_si, ureg


class Scale(NamedTuple):
    """How a control is marked in one system of units."""

    unit: str
    label: str
    low: float
    high: float
    step: float


class Row(NamedTuple):
    """A control on the page: what is seen, and how a value is shown in it, to the nearest step."""

    widget: widgets.Widget
    show: Callable[[Any], None]


_LABEL = {"description_width": "230px"}
_WIDTH = {"width": "560px"}


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

    def row(self, system: str, moved: Callable[[str, Any], None]) -> Row:
        """Return slider and box in system "US" or "SI"; `moved` hears of the field's name and SI value.

        Only the control's other half is set in turn: setting back what a hand still moves would lose steps.
        A slider in a page repeats what it was told in its own rounding (0.6000000000000001): that is no
        move.
        """
        scale = self.us if system == "US" else self.si
        name = f"{self.label} ({scale.label})"
        limits = {"min": scale.low, "max": scale.high, "step": scale.step, "tooltip": name}
        slider = widgets.FloatSlider(
            scale.low, **limits, description=name, readout=False, style=_LABEL, layout=_WIDTH
        )
        box = widgets.BoundedFloatText(scale.low, **limits, layout={"width": "110px"})
        holding = False

        def take(value: float, other: widgets.Widget) -> None:
            nonlocal holding
            value = round(value, 6)
            if holding or value == other.value:
                return
            holding = True
            other.value = value
            holding = False
            moved(self.name, to_si(ureg.Quantity(value, scale.unit), self.kind))

        def show(value: float) -> None:
            nonlocal holding
            holding = True
            steps = round((float(from_si(value, self.kind, scale.unit).magnitude) - scale.low) / scale.step)
            slider.value = box.value = round(scale.low + steps * scale.step, 6)
            holding = False

        slider.observe(lambda change: take(change["new"], box), names="value")
        box.observe(lambda change: take(change["new"], slider), names="value")
        return Row(widgets.HBox([slider, box]), show)


@dataclass(frozen=True)
class Options:
    """One of several that can be chosen from a list, by mouse or with the arrow keys.

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

    def row(self, system: str, moved: Callable[[str, Any], None]) -> Row:
        """Return the list; it is the same in both systems of units."""
        del system
        box = widgets.Dropdown(
            options=self.options, description=self.label, tooltip=self.label, style=_LABEL, layout=_WIDTH
        )
        box.observe(lambda change: moved(self.name, change["new"]), names="value")

        def show(value: Any) -> None:
            box.value = value

        return Row(box, show)


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


class Lab(widgets.VBox):
    """Controls, a picture, and the finding in words.

    Each system of units has controls of its own, whose ranges never change: a slider in a page that is told
    of another range sends back values that nobody has set.

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

    def __init__(
        self,
        settings: Any,
        controls: tuple[Slider | Options, ...],
        picture: Callable[[Any, str], str],
        words: Callable[[Any, str], str],
    ) -> None:
        self._controls = controls
        self._picture, self._words = picture, words
        self._system = "US"
        self._holding = False
        self._rows = {
            system: [control.row(system, self._moved) for control in controls] for system in ("US", "SI")
        }
        self._panel = widgets.VBox()
        switch = widgets.ToggleButtons(options=["US", "SI"], description="Units")
        switch.observe(lambda change: self._switch(change["new"]), names="value")
        reset = widgets.Button(description="Back to the start", icon="undo")
        reset.on_click(lambda _: self._set_all(settings))
        self._image = widgets.HTML()
        self._text = widgets.HTML()
        super().__init__([self._panel, widgets.HBox([switch, reset]), self._text, self._image])
        self.settings = settings
        self._switch("US")

    def _moved(self, name: str, value: Any) -> None:
        if not self._holding:
            self._answer(replace(self.settings, **{name: value}))

    def _switch(self, system: str) -> None:
        self._system = system
        self._set_all(self.settings)
        self._panel.children = [row.widget for row in self._rows[system]]

    def _set_all(self, settings: Any) -> None:
        """Show these settings in all controls, and answer."""
        self._holding = True
        for control, row in zip(self._controls, self._rows[self._system], strict=True):
            row.show(getattr(settings, control.name))
        self._holding = False
        self._answer(settings)

    def _answer(self, settings: Any) -> None:
        """Show picture and words for these settings."""
        self.settings = settings
        self._image.value = self._picture(settings, self._system)
        self._text.value = (
            f"<p role='status' style='font-size:18px;line-height:1.4;max-width:60em'>"
            f"{self._words(settings, self._system)}</p>"
        )


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
