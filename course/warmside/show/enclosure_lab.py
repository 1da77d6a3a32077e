"""The lab of module 02: change an enclosure, and see what it does."""

from dataclasses import replace

from warmside.data import load
from warmside.model.installation import HEAT_SOURCES, OUTLETS
from warmside.model.sizes import RATINGS
from warmside.show import enclosure
from warmside.show.because import asked_for, because
from warmside.show.enclosure import Enclosure
from warmside.show.enclosure_scene import enclosure_scene, judge, scene_costs, scene_details, scene_page
from warmside.show.enclosure_tasks import enclosure_tasks, first_tasks
from warmside.show.lab import Options, Scale, Slider
from warmside.show.scene_lab import SceneLab
from warmside.units import read_quantity, to_si

_SIZES = ("4 cu ft", "6 cu ft", "8 cu ft", "10 cu ft", "12 cu ft", "18 cu ft", "20 cu ft")
_RATED = load("ratings").fields["rated_ambient"].given  # °F
_INCHES = ("inch", "in")
_PERCENT = Scale("percent", "%", 0, 95, 5)
_HOT, _MILD = (to_si(read_quantity(text, "temperature"), "temperature") for text in ("102 °F", "80 °F"))
_MAINS, _BATTERY = Scale("volt", "V", 80, 140, 1), Scale("volt", "V", 8, 15, 0.1)
ENCLOSURE_CONTROLS = (
    Options("size", "Cabinet", tuple((size, size) for size in _SIZES)),
    Options(
        "rating", "Rating on the plate", tuple((f"{_RATED[each]} °F ({each})", each) for each in RATINGS)
    ),
    Options("outlet", "Outlet", tuple((f"in the {outlet}", outlet) for outlet in reversed(OUTLETS))),
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
    Options("heat_source", "Heat source", tuple((name, name) for name in HEAT_SOURCES)),
    Slider("mains_voltage", "Mains at the heater", "voltage", _MAINS, _MAINS),
    Slider("battery_voltage", "Battery at the heater", "voltage", _BATTERY, _BATTERY),
    Slider(
        "gas_pressure",
        "Gas at the burner",
        "pressure_difference",
        Scale("inch_water_column", "in w.c.", 5, 14, 0.25),
        Scale("pascal", "Pa", 1200, 3500, 20),
    ),
    Options("full_demand", "Thermostat", (("at its usual setting", False), ("at full demand", True))),
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


def enclosure_lab() -> SceneLab:
    """Return the lab of module 02: change an enclosure, and see what it does."""
    situations = {name: enclosure.situation(name) for name in enclosure.SITUATIONS}
    prepare(list(situations.values()))
    return SceneLab(
        Enclosure(),
        ENCLOSURE_CONTROLS,
        enclosure_scene,
        because,
        name="enclosure",
        page=scene_page(),
        judge=judge,
        tasks=enclosure_tasks(),
        details=scene_details,
        costs=scene_costs,
        prepare=prepare,
        hidden=hidden,
        situations=situations,
    )


def first_touch_lab() -> SceneLab:
    """Return the lab of module 00: it isn't cooling, and the cause can be seen and pulled away."""
    found = replace(Enclosure(), lower_blocked=0.75, ambient=_HOT)
    situations = {
        "It isn’t cooling": found,
        "As it should be": replace(found, lower_blocked=0.0),
        "Cooler outside": replace(found, ambient=_MILD),
    }
    prepare(list(situations.values()))
    return SceneLab(
        found,
        ENCLOSURE_CONTROLS,
        enclosure_scene,
        because,
        name="enclosure",
        page={**scene_page(), "predicts": False},
        judge=judge,
        tasks=first_tasks(),
        details=scene_details,
        costs=scene_costs,
        prepare=prepare,
        hidden=hidden,
        situations=situations,
    )


def hidden(settings: Enclosure) -> set[str]:
    """Return the names of controls that have no place in these settings."""
    return enclosure.without_effect(settings) - {"baffle_gap"}


def prepare(settings: list[Enclosure]) -> None:
    """Solve these together, and what the sentences on them look at."""
    enclosure.solve_all(*(each for one in settings for each in asked_for(one)))
