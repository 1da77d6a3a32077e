"""The lab of module 06: a day of use, with food put in, doors opened, a defrost and a sensor."""

from dataclasses import replace

from warmside.show.cup_lab import CUP_CONTROLS
from warmside.show.lab import Options, Scale, Slider
from warmside.show.scene_lab import SceneLab
from warmside.show.substance_temperature import DEFROSTS, CupTest, run_ahead
from warmside.show.use_because import QUIET, asked_for, because
from warmside.show.use_scene import judge, use_costs, use_details, use_page, use_scene
from warmside.show.use_tasks import use_tasks
from warmside.units import read_quantity, to_si

_POUNDS = to_si(read_quantity("20 lb", "mass"), "mass")
_OFF = 10 / 1.8  # K
_AS_BEFORE = {control.name: control for control in CUP_CONTROLS}
_MARKS = {  # that a day of use has and a test hasn't
    "warm_load": (Scale("pound", "lb", 0, 40, 5), Scale("kilogram", "kg", 0, 18, 1.5)),
    "setting": (Scale("degF", "°F", 34, 46, 0.5), Scale("degC", "°C", 1.2, 8, 0.2)),
}
USE_CONTROLS = (
    _AS_BEFORE["reading_time"],
    _AS_BEFORE["door"],
    Slider("warm_load", "Food put in at 8 am", "mass", *_MARKS["warm_load"]),
    Options("load_cooled", "That food", (("as warm as the day", False), ("cooled before", True))),
    Slider("setting", "Thermostat’s setting", "temperature", *_MARKS["setting"]),
    Slider(
        "sensor_error",
        "Sensor feels too warm by",
        "temperature_difference",
        Scale("delta_degF", "°F", -10, 10, 1),
        Scale("delta_degC", "°C", -5.5, 5.5, 0.5),
    ),
    Options("defrost", "Timed defrost", tuple((name, name) for name in DEFROSTS)),
    _AS_BEFORE["ambient"],
    _AS_BEFORE["day_swing"],
)
DAYS = {
    "A quiet day": QUIET,
    "Warm shopping": replace(QUIET, warm_load=_POUNDS),
    "Cooled shopping": replace(QUIET, warm_load=_POUNDS, load_cooled=True),
    "Busy door": replace(QUIET, door="a busy day"),
    "Sensor off its fin": replace(QUIET, sensor_error=_OFF),
    "Sensor too cold": replace(QUIET, sensor_error=-_OFF),
    "Defrost at 4 pm": replace(QUIET, defrost="two hours from 4 pm"),
}
"""Days to load, by what people read. Invented."""


def day_of_use_lab() -> SceneLab:
    """Return the lab of module 06: use a refrigerator for a day, and see what the cup in it makes of it."""
    return SceneLab(
        QUIET,
        USE_CONTROLS,
        use_scene,
        because,
        name="use",
        page=use_page(),
        judge=judge,
        tasks=use_tasks(),
        details=use_details,
        costs=use_costs,
        prepare=_prepare,
        hidden=lambda test: set() if test.warm_load else {"load_cooled"},
        situations=DAYS,
    )


def _prepare(days: list[CupTest]) -> None:
    run_ahead(each for one in days for each in asked_for(one))
