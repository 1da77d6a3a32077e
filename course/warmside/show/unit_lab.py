"""The lab of module 01: a sealed unit as it works, its flows to follow and its points to read."""

from warmside.show.lab import Options, Scale, Slider, as_options
from warmside.show.scene_lab import SceneLab
from warmside.show.sealed_unit import (
    ALWAYS,
    COLD,
    FLOWS,
    MIDDLE,
    POINTS,
    SITUATIONS,
    WARM,
    SealedUnit,
    solve_all,
)
from warmside.show.unit_because import asked_for, because
from warmside.show.unit_scene import judge, scene_page, unit_costs, unit_details, unit_scene
from warmside.show.unit_tasks import unit_tasks

_HEAT, _CHARGE = Scale("percent", "%", 0, 130, 5), Scale("percent", "%", 60, 115, 5)
_TILT = Scale("degree", "°", 0, 6, 0.5)
UNIT_CONTROLS = (
    Slider("heat", "Heat at the boiler", "fraction", _HEAT, _HEAT),
    Slider(
        "ambient",
        "Outside",
        "temperature",
        Scale("degF", "°F", 60, 120, 1),
        Scale("degC", "°C", 16, 49, 0.5),
    ),
    Slider("tilt", "Out of level", "angle", _TILT, _TILT),
    Slider("charge", "Charge, of the usual", "fraction", _CHARGE, _CHARGE),
    Options("setting", "Thermostat", as_options((WARM, MIDDLE, COLD, ALWAYS))),
    Options("flow", "Flow to follow", as_options(FLOWS)),
    Options("point", "Point to read", tuple((name, point) for point, name in POINTS.items())),
)


def unit_lab() -> SceneLab:
    """Return the lab of module 01: change what a sealed unit gets, follow its flows, read its points."""
    _prepare(list(SITUATIONS.values()))
    return SceneLab(
        SealedUnit(),
        UNIT_CONTROLS,
        unit_scene,
        because,
        name="unit",
        page=scene_page(),
        judge=judge,
        tasks=unit_tasks(),
        details=unit_details,
        costs=unit_costs,
        prepare=_prepare,
        situations=SITUATIONS,
    )


def _prepare(units: list[SealedUnit]) -> None:
    """Solve these together, and what the sentences on them look at."""
    solve_all(each for one in units for each in asked_for(one))
