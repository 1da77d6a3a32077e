"""Labs: controls beside a picture that answers. They hold no formula of their own."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

import ipywidgets as widgets

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


@dataclass(frozen=True)
class Control:
    """One thing that can be set.

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


_HOURS = Scale("hour", "h", 0.5, 24, 0.5)
CUP_CONTROLS = (
    Control(
        "cup_mass",
        "Water in the cup",
        "mass",
        Scale("ounce", "oz", 4, 32, 0.5),
        Scale("gram", "g", 110, 910, 1),
    ),
    Control(
        "start_temperature",
        "Water at the start",
        "temperature",
        Scale("degF", "°F", 35, 100, 1),
        Scale("degC", "°C", 2, 38, 0.1),
    ),
    Control(
        "cabinet_temperature",
        "Cabinet air, middle",
        "temperature",
        Scale("degF", "°F", 33, 60, 0.5),
        Scale("degC", "°C", 1, 16, 0.1),
    ),
    Control(
        "swing",
        "Thermostat's swing",
        "temperature_difference",
        Scale("delta_degF", "°F", 0.5, 10, 0.5),
        Scale("delta_degC", "°C", 0.3, 5.5, 0.1),
    ),
    Control("reading_time", "Hour of reading", "time", _HOURS, _HOURS),
    Control(
        "thermometer_error",
        "Thermometer reads high by",
        "temperature_difference",
        Scale("delta_degF", "°F", -4, 4, 0.2),
        Scale("delta_degC", "°C", -2, 2, 0.1),
    ),
)


class Lab(widgets.VBox):
    """Controls, a picture, and the finding in words; every control has a slider and a number box.

    Each system of units has controls of its own, whose ranges never change: a slider in a page that is told
    of another range sends back values that nobody has set.

    Parameters
    ----------
    settings : dataclass
        What the controls start with, in SI units.
    controls : tuple of Control
        What can be set.
    picture : callable
        From settings and system ("US" or "SI") to the picture as HTML, alternative text included.
    words : callable
        From settings and system to the finding in words.
    """

    def __init__(
        self,
        settings: CupTest,
        controls: tuple[Control, ...],
        picture: Callable[[CupTest, str], str],
        words: Callable[[CupTest, str], str],
    ) -> None:
        self._controls = controls
        self._picture, self._words = picture, words
        self._system = "US"
        self._holding = False
        self._rows = {
            system: [self._row(control, control.scale(system)) for control in controls]
            for system in ("US", "SI")
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

    def _row(self, control: Control, scale: Scale) -> widgets.HBox:
        name = f"{control.label} ({scale.label})"
        limits = {"min": scale.low, "max": scale.high, "step": scale.step, "tooltip": name}
        slider = widgets.FloatSlider(
            scale.low,
            **limits,
            description=name,
            readout=False,
            style={"description_width": "230px"},
            layout={"width": "560px"},
        )
        box = widgets.BoundedFloatText(scale.low, **limits, layout={"width": "110px"})
        slider.observe(lambda change: self._moved(control, scale, change["new"], box), names="value")
        box.observe(lambda change: self._moved(control, scale, change["new"], slider), names="value")
        return widgets.HBox([slider, box])

    def _moved(self, control: Control, scale: Scale, value: float, other: widgets.Widget) -> None:
        """Take over what one slider or box says.

        Only the control's other half is set in turn: setting back what a hand still moves would lose steps.
        A slider in a page repeats what it was told in its own rounding (0.6000000000000001): that is no move.
        """
        value = round(value, 6)
        if self._holding or value == other.value:
            return
        self._holding = True
        other.value = value
        self._holding = False
        quantity = ureg.Quantity(value, scale.unit)
        self._answer(replace(self.settings, **{control.name: to_si(quantity, control.kind)}))

    def _switch(self, system: str) -> None:
        self._system = system
        self._set_all(self.settings)
        self._panel.children = self._rows[system]

    def _set_all(self, settings: CupTest) -> None:
        """Show these settings in all controls, to the nearest step, and answer."""
        self._holding = True
        for control, row in zip(self._controls, self._rows[self._system], strict=True):
            scale = control.scale(self._system)
            value = from_si(getattr(settings, control.name), control.kind, scale.unit).magnitude
            steps = round((float(value) - scale.low) / scale.step)
            for widget in row.children:
                widget.value = round(scale.low + steps * scale.step, 6)
        self._holding = False
        self._answer(settings)

    def _answer(self, settings: CupTest) -> None:
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
