"""The lab of module 04: two probes, a knob, and a heater's circuit to clip them to."""

from warmside.show.heater_meter import (
    AMPS,
    FAULTS,
    HEATERS,
    MYSTERIES,
    OHMS,
    POINTS,
    SITUATIONS,
    VOLTS,
    MeterOnHeater,
)
from warmside.show.lab import Options, Scale, Slider, as_options
from warmside.show.meter_because import because
from warmside.show.meter_scene import judge, meter_costs, meter_details, meter_scene, scene_page, solve
from warmside.show.meter_tasks import meter_tasks
from warmside.show.scene_lab import SceneLab

_LETTERS = tuple((f"{letter}  {words}", letter) for letter, (_, words) in POINTS.items())
METER_CONTROLS = (
    Options("red", "Red probe at", _LETTERS),
    Options("black", "Black probe at", _LETTERS),
    Options("meter", "Meter", as_options((VOLTS, AMPS, OHMS))),
    Options("isolated", "State", (("On, under load", False), ("Off and isolated", True))),
    Options("heater", "Heater", as_options(HEATERS)),
    Options("fault", "Fault", as_options((*FAULTS, *MYSTERIES))),
    Options("shown", "Tell me the fault", (("No", False), ("Yes", True))),
    Slider(
        "ambient",
        "Outside",
        "temperature",
        Scale("degF", "°F", 70, 115, 5),
        Scale("degC", "°C", 21, 46, 2.5),
    ),
)


def heater_meter_lab() -> SceneLab:
    """Return the lab of module 04: put a meter on a heater's circuit and find what is wrong."""
    return SceneLab(
        MeterOnHeater(),
        METER_CONTROLS,
        meter_scene,
        because,
        name="meter",
        page=scene_page(),
        judge=judge,
        tasks=meter_tasks(),
        details=meter_details,
        costs=meter_costs,
        prepare=solve,
        hidden=lambda setting: {"red", "black"} if setting.meter == AMPS else set(),
        situations=SITUATIONS,
    )
