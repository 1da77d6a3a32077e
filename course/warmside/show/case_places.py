"""Where on a refrigerator each reading is taken: the places on a case's picture, and what is read there."""

from collections.abc import Iterable
from typing import NamedTuple


class Place(NamedTuple):
    """A part of the picture.

    Attributes
    ----------
    label : str
        What people call it.
    readings : tuple of str
        Names of what is read there.
    """

    label: str
    readings: tuple[str, ...]


PLACES: dict[str, Place] = {
    "top": Place("top", ("top_gap", "top_air")),
    "control": Place("control", ("setting", "control", "duty", "lockout", "control_voltage")),
    "freezer": Place("freezer", ("freezer",)),
    "frost": Place("fins inside", ("frost",)),
    "sensor": Place("sensor", ("sensor",)),
    "cup": Place("cup", ("cup", "quiet_night_cup", "cup_on_gas", "cup_on_mains")),
    "seal": Place("door seal", ("seal",)),
    "food": Place("food", ("load",)),
    "roof": Place("upper vent", ("upper_vent_look",)),
    "wind": Place("wind", ("wind",)),
    "fan": Place("fan", ("fan",)),
    "sides": Place("sides, not in view", ("side_gap", "side_air")),
    "condenser": Place("condenser", ("fins", "condenser_air", "panel_off_air")),
    "baffle": Place("baffle, gap behind", ("baffle_gap", "rear_gap")),
    "absorber": Place("absorber", ("absorber",)),
    "boiler": Place("boiler", ("jacket", "boiler")),
    "heater": Place("heater", ("voltage", "current", "fuse", "resistance")),
    "burner": Place("burner", ("flame", "spark", "gas_pressure", "flue_baffle")),
    "vent": Place("lower vent", ("lower_vent_look", "vent_air")),
    "supply": Place("supply", ("supply_voltage",)),
    "cylinder": Place("gas cylinder", ("gas_supply",)),
    "level": Place("level", ("side_level", "front_level")),
}
"""By name, as the page's script knows where each is drawn."""

NOWHERE = ""
"""The place of a reading that the picture doesn't show: it stands in a plain list."""


def place_of(reading: str) -> str:
    """Return the name of the place where a reading is taken; `NOWHERE` where there is none.

    Examples
    --------
    >>> place_of("fins"), place_of("a reading of tomorrow")
    ('condenser', '')
    """
    return next((name for name, place in PLACES.items() if reading in place.readings), NOWHERE)


def order_of(readings: Iterable[str]) -> list[str]:
    """Return readings in the order of their places; those of none last."""
    known = [name for place in PLACES.values() for name in place.readings]
    return sorted(readings, key=lambda name: known.index(name) if name in known else len(known))
