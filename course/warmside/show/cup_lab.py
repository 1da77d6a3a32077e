"""The lab of module 05: a cup of water over a day, read at any hour."""

from dataclasses import replace
from typing import Any

from warmside.show.cup_because import asked_for, because
from warmside.show.cup_scene import cup_costs, cup_details, cup_scene, judge, scene_page
from warmside.show.cup_tasks import cup_tasks
from warmside.show.lab import Options, Scale, Slider
from warmside.show.scene_lab import SceneLab
from warmside.show.substance_temperature import DOORS, SITUATIONS, CupTest, run_ahead
from warmside.units import read_quantity, to_si

_HOURS = Scale("hour", "h", 0, 24, 0.5)
_PERCENT = Scale("percent", "%", 0, 95, 5)


def _cup(ounces: int) -> tuple[str, float]:
    mass = to_si(read_quantity(f"{ounces} oz", "mass"), "mass")
    return f"{ounces} oz ({1000.0 * mass:.0f} g)", mass


CUP_CONTROLS = (
    Slider("reading_time", "Hour of reading", "time", _HOURS, _HOURS),
    Options("cup_mass", "Water in the cup", tuple(map(_cup, (4, 8, 16, 32)))),
    Slider(
        "start_temperature",
        "Water at the start",
        "temperature",
        Scale("degF", "°F", 35, 100, 1),
        Scale("degC", "°C", 2, 38, 0.5),
    ),
    Slider(
        "thermometer_error",
        "Thermometer reads high by",
        "temperature_difference",
        Scale("delta_degF", "°F", -4, 4, 0.2),
        Scale("delta_degC", "°C", -2.2, 2.2, 0.1),
    ),
    Options("door", "Door", tuple((name, name) for name in DOORS)),
    Slider(
        "warm_load",
        "Warm food put in with it",
        "mass",
        Scale("pound", "lb", 0, 20, 5),
        Scale("kilogram", "kg", 0, 9, 1.5),
    ),
    Options("full_demand", "Thermostat", (("at a setting", False), ("at full demand", True))),
    Slider(
        "setting",
        "Thermostat’s setting",
        "temperature",
        Scale("degF", "°F", 34, 59, 0.5),
        Scale("degC", "°C", 1.2, 15, 0.2),
    ),
    Slider(
        "swing",
        "Thermostat’s swing",
        "temperature_difference",
        Scale("delta_degF", "°F", 0.5, 10, 0.5),
        Scale("delta_degC", "°C", 0.3, 5.5, 0.1),
    ),
    Slider(
        "ambient",
        "Outside, mean of the day",
        "temperature",
        Scale("degF", "°F", 59, 113, 1),
        Scale("degC", "°C", 15, 45, 0.5),
    ),
    Slider(
        "day_swing",
        "Day’s swing, up and down",
        "temperature_difference",
        Scale("delta_degF", "°F", 0, 20, 5),
        Scale("delta_degC", "°C", 0, 10, 2.5),
    ),
    Slider("lower_blocked", "Lower vent shut", "fraction", _PERCENT, _PERCENT),
)


def substance_temperature_lab() -> SceneLab:
    """Return the lab of module 05: put a cup into a refrigerator, let a day go by, and read it."""
    return SceneLab(
        CupTest(),
        CUP_CONTROLS,
        cup_scene,
        because,
        name="cup",
        page=scene_page(),
        judge=judge,
        tasks=cup_tasks(),
        details=cup_details,
        costs=_costs,
        prepare=_prepare,
        hidden=lambda test: {"setting", "swing"} if test.full_demand else set(),
        situations=SITUATIONS,
    )


_TOGETHER = ("ambient", "setting", "swing", "lower_blocked", "start_temperature")  # in one run of the model


def around(test: CupTest) -> list[CupTest]:
    """Return the tests that a hand may come to next and that take the model no longer than one of them."""
    controls = [control for control in CUP_CONTROLS if control.name in _TOGETHER]
    found: list[CupTest] = []
    for each in controls:
        changes: list[dict[str, Any]] = [{each.name: place} for place in each.places("US")]
        found += [replace(test, **change) for change in changes]
    return found


def _prepare(tests: list[CupTest]) -> None:
    """Run these where the model takes no longer for all than for one of them."""
    run_ahead(each for one in tests for each in asked_for(one))


def _costs(test: CupTest, system: str) -> dict[str, Any]:
    """Return what takes longer, and get ready for the hand's next move."""
    told = cup_costs(test, system)
    _prepare(around(test))
    return told
