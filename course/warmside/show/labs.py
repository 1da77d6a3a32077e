"""Labs: controls beside a picture that answers. They hold no formula of their own."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import ipywidgets as widgets

from warmside.show.pictures import as_html
from warmside.show.substance_temperature import CupTest, alt_text, cup_test_figure, finding
from warmside.units import from_si, to_si, ureg


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
    us, metric : tuple
        Unit, its label, lowest, highest value and step in each system.
    """

    name: str
    label: str
    kind: str
    us: tuple[str, str, float, float, float]
    metric: tuple[str, str, float, float, float]


CUP_CONTROLS = (
    Control("cup_mass", "Water in the cup", "mass", ("ounce", "oz", 4, 32, 0.5), ("gram", "g", 110, 910, 1)),
    Control(
        "start_temperature",
        "Water at the start",
        "temperature",
        ("degF", "°F", 35, 100, 1),
        ("degC", "°C", 2, 38, 0.1),
    ),
    Control(
        "cabinet_temperature",
        "Cabinet air, middle",
        "temperature",
        ("degF", "°F", 33, 60, 0.5),
        ("degC", "°C", 1, 16, 0.1),
    ),
    Control(
        "swing",
        "Thermostat's swing",
        "temperature_difference",
        ("delta_degF", "°F", 0.5, 10, 0.5),
        ("delta_degC", "°C", 0.3, 5.5, 0.1),
    ),
    Control(
        "reading_time", "Hour of reading", "time", ("hour", "h", 0.5, 24, 0.5), ("hour", "h", 0.5, 24, 0.5)
    ),
    Control(
        "thermometer_error",
        "Thermometer reads high by",
        "temperature_difference",
        ("delta_degF", "°F", -4, 4, 0.2),
        ("delta_degC", "°C", -2, 2, 0.1),
    ),
)


class Lab(widgets.VBox):
    """Controls, a picture, and the finding in words; every control has a slider and a number box.

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
        self.settings = settings
        self._controls = controls
        self._picture, self._words = picture, words
        self._system = "US"
        self._holding = False
        self._boxes: dict[str, tuple[widgets.FloatSlider, widgets.BoundedFloatText]] = {}
        rows = [self._row(control) for control in controls]
        switch = widgets.ToggleButtons(options=["US", "SI"], description="Units")
        switch.observe(lambda change: self._switch(change["new"]), names="value")
        reset = widgets.Button(description="Back to the start", icon="undo")
        self._first = settings
        reset.on_click(lambda _: self._set_all(self._first))
        self._image = widgets.HTML()
        self._text = widgets.HTML()
        super().__init__([*rows, widgets.HBox([switch, reset]), self._text, self._image])
        self._set_all(settings)

    def _row(self, control: Control) -> widgets.HBox:
        wide = {"description_width": "230px"}
        slider = widgets.FloatSlider(
            readout=False, continuous_update=True, style=wide, layout={"width": "560px"}
        )
        box = widgets.BoundedFloatText(layout={"width": "110px"})
        box.tooltip = control.label
        for widget in (slider, box):
            widget.observe(lambda change: self._moved(control, change["new"]), names="value")
        self._boxes[control.name] = (slider, box)
        return widgets.HBox([slider, box])

    def _scale(self, control: Control) -> tuple[str, str, float, float, float]:
        return control.us if self._system == "US" else control.metric

    def _moved(self, control: Control, value: float) -> None:
        """Take over what one slider or box says.

        Only the control's other half is set in turn: setting back what a hand still moves would lose steps.
        """
        if self._holding:
            return
        self._holding = True
        for widget in self._boxes[control.name]:
            widget.value = value
        self._holding = False
        quantity = ureg.Quantity(value, self._scale(control)[0])
        self._answer(replace(self.settings, **{control.name: to_si(quantity, control.kind)}))

    def _switch(self, system: str) -> None:
        self._system = system
        self._set_all(self.settings)

    def _set_all(self, settings: CupTest) -> None:
        """Show these settings in all controls, to the nearest step, and answer."""
        self._holding = True
        for control in self._controls:
            unit, label, low, high, step = self._scale(control)
            value = from_si(getattr(settings, control.name), control.kind, unit).magnitude
            shown = round(low + step * round((float(value) - low) / step), 6)
            slider, box = self._boxes[control.name]
            for widget in (slider, box):
                widget.min, widget.max = min(low, widget.max), max(high, widget.min)
                widget.min, widget.max, widget.step, widget.value = low, high, step, shown
            slider.description = f"{control.label} ({label})"
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
