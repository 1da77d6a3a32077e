"""What to try beside the lab of module 06: each notices when it was done, and answers from the model."""

from dataclasses import replace
from functools import lru_cache

from warmside.show.cup_because import tenths
from warmside.show.enclosure import difference
from warmside.show.scene_lab import Task
from warmside.show.substance_temperature import HOURS, CupTest, day_of
from warmside.show.use_because import QUIET, hours_above, kept
from warmside.units import from_si, read_quantity, show, to_si

_HOUR = 3600.0
_POUNDS = to_si(read_quantity("20 lb", "mass"), "mass")
_HOT = to_si(read_quantity("100 °F", "temperature"), "temperature")
_OFF = to_si(read_quantity("10 delta_degF", "temperature_difference"), "temperature_difference")
_NEAR = 0.93  # of what a control is turned to, since it has steps
_USED = ("door", "warm_load", "load_cooled", "defrost", "sensor_error")


def _only(test: CupTest, *fields: str) -> bool:
    """Tell whether these differ from a quiet day, and no other use of it."""
    return {name for name in _USED if getattr(test, name) != getattr(QUIET, name)} == set(fields) and (
        abs(test.setting - QUIET.setting) < 0.15
    )


def _warmest(test: CupTest, system: str) -> str:
    return tenths(day_of(test).range_of("cup", 0.0, HOURS * _HOUR)[1], system)


def _coldest(test: CupTest, system: str) -> str:
    return tenths(day_of(test).range_of("cup", 0.0, HOURS * _HOUR)[0], system)


def _above(test: CupTest) -> str:
    return f"{hours_above(day_of(test), HOURS * _HOUR) / _HOUR:.1f} hours"


def _warm_food(test: CupTest, system: str) -> str:
    return f"{_above(test)} above {kept(system)}: the milk that was cold before goes into the bin, too."


def _cooled_food(test: CupTest, system: str) -> str:
    return f"The cup stays at {_warmest(test, system)} or below: a night of cooling before is worth it."


def _family(test: CupTest, system: str) -> str:
    hot = _warmest(replace(test, ambient=_HOT), system)
    return f"{_warmest(test, system)} at its warmest; on a day of {tenths(_HOT, system)} it would be {hot}."


def _off_its_fin(test: CupTest, system: str) -> str:
    return f"{_coldest(test, system)}: the sensor hangs in warm air, and the unit runs on. Lettuce freezes."


def _cold_sensor(test: CupTest, system: str) -> str:
    return f"{_warmest(test, system)}, while the unit rests half the day: look at sensor and setting."


def _afternoon(test: CupTest, system: str) -> str:
    night = _warmest(replace(test, defrost="two hours from 2 am"), system)
    return f"{_warmest(test, system)} at its warmest; at night {night}. So plan it for the cool hours."


@lru_cache(maxsize=1)
def use_tasks() -> tuple[Task, ...]:
    """Return what to try with a day of use."""
    return (
        Task(
            lambda system: (
                f"Put in {_mass(system)} of food as warm as the day. For how long is the cup above "
                f"{kept(system)}?"
            ),
            lambda it: _only(it, "warm_load") and it.warm_load > _NEAR * _POUNDS,
            _warm_food,
        ),
        Task(
            lambda system: "Now cool the same food before.",
            lambda it: _only(it, "warm_load", "load_cooled") and it.warm_load > _NEAR * _POUNDS,
            _cooled_food,
        ),
        Task(
            lambda system: "Take the food out, and make it a busy day at the door.",
            lambda it: _only(it, "door") and it.door == "a busy day",
            _family,
        ),
        Task(
            lambda system: (
                f"The sensor has come off its fin: it feels {difference(_OFF, system)} too warm. What "
                "becomes of the cup?"
            ),
            lambda it: _only(it, "sensor_error") and it.sensor_error > _NEAR * _OFF,
            _off_its_fin,
        ),
        Task(
            lambda system: f"Another one feels {difference(_OFF, system)} too cold. Which box is that?",
            lambda it: _only(it, "sensor_error") and it.sensor_error < -_NEAR * _OFF,
            _cold_sensor,
        ),
        Task(
            lambda system: "Let it defrost from 4 pm. Then think of the night.",
            lambda it: _only(it, "defrost") and it.defrost == "two hours from 4 pm",
            _afternoon,
        ),
    )


def _mass(system: str) -> str:
    return show(from_si(_POUNDS, "mass"), system, kind="mass", digits=0)
