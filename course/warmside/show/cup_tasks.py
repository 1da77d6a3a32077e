"""What to try beside the lab of module 05: each notices when it was done, and answers from the model."""

from dataclasses import replace
from functools import lru_cache

from warmside.show.cup_because import tenths
from warmside.show.enclosure import difference
from warmside.show.scene_lab import Task
from warmside.show.substance_temperature import HOURS, RATING, CupTest, Reader, day_of, read_test
from warmside.units import ZERO_CELSIUS, from_si, show, to_si, ureg

_HOUR = 3600.0
_MUCH = 0.9  # of what a control is turned to, since it has steps
_SHUT = 0.6  # of a vent


def _kelvin(fahrenheit: float) -> float:
    return to_si(ureg.Quantity(fahrenheit, "degF"), "temperature")


_MILD, _HOT, _NIGHT = _kelvin(76.0), _kelvin(95.0), 12 * _HOUR
_WIDE = to_si(ureg.Quantity(8, "delta_degF"), "temperature_difference")
_POUNDS = to_si(ureg.Quantity(20, "lb"), "mass")


_NEAR = {  # what a control's step may be off the usual, in either system
    "cup_mass": 0.001,
    "start_temperature": 0.3,
    "setting": 0.15,
    "swing": 0.1,
    "ambient": 0.3,
    "day_swing": 0.6,
    "warm_load": 0.1,
    "lower_blocked": 0.02,
}


def _departs(test: CupTest, *fields: str) -> bool:
    """Tell whether these differ from a test by practice, and nothing else but hour and thermometer."""
    differ = {
        name for name, near in _NEAR.items() if abs(getattr(test, name) - getattr(CupTest, name)) > near
    }
    differ |= {name for name in ("door", "full_demand") if getattr(test, name) != getattr(CupTest, name)}
    return differ == set(fields)


def _cup_at(test: CupTest, hour: float, system: str) -> str:
    return tenths(day_of(test).at("cup", hour * _HOUR), system)


def _tap_water(test: CupTest, system: str) -> str:
    return (
        f"{_cup_at(test, test.reading_time / _HOUR, system)} is the tap water: the refrigerator comes to "
        f"{_cup_at(test, HOURS, system)}. Who reads now condemns a sound one."
    )


def _long_enough(test: CupTest, system: str) -> str:
    left = difference(read_test(test).left, system)
    return (
        f"After {test.reading_time / _HOUR:g} hours {left} are left, which no household thermometer shows. "
        "Practice says 12, to be sure."
    )


def _left_open(test: CupTest, system: str) -> str:
    day, shut = day_of(test), day_of(replace(test, door=CupTest.door))
    air, more = float(day.air.max()), float(max(day.cup - shut.cup))
    return (
        f"The air went to {tenths(air, system)}, the cup up by {difference(more, system)} at most; after 24 "
        f"hours it is at {_cup_at(test, HOURS, system)} all the same."
    )


def _shopping(test: CupTest, system: str) -> str:
    without = replace(test, warm_load=0.0)
    return (
        f"After 8 hours {_cup_at(test, 8, system)}, without the food {_cup_at(without, 8, system)}: it tests "
        "the shopping. Cool the box first."
    )


def _wide(test: CupTest, system: str) -> str:
    day = day_of(test)
    air, cup = (
        " to ".join(tenths(each, system) for each in day.range_of(name, 18 * _HOUR, 24 * _HOUR))
        for name in ("air", "cup")
    )
    return f"The air minds: {air} in the last six hours. The cup: {cup}."


def _proven(test: CupTest, system: str) -> str:
    high = day_of(replace(test, ambient=_HOT)).range_of("cup", _NIGHT / 2, HOURS * _HOUR)[1]
    return (
        f"It holds, at {_cup_at(test, HOURS, system)}. At {tenths(_HOT, system)} it comes to "
        f"{tenths(high, system)}: a mild day proves that day alone."
    )


def _warmest(test: CupTest, system: str) -> str:
    hour = test.reading_time / _HOUR
    return (
        f"{_cup_at(test, hour, system)} at hour {hour:g}, and {_cup_at(test, HOURS, system)} at hour 24: who "
        "reads in the morning alone misses it. Read twice."
    )


def _frozen(test: CupTest, system: str) -> str:
    return f"It freezes, at {_cup_at(test, HOURS, system)}. On a mild day leave the thermostat alone."


def _is_warmest(test: CupTest) -> bool:
    day = day_of(test)
    high = day.range_of("cup", _NIGHT / 2, HOURS * _HOUR)[1]
    return high > RATING and day.at("cup", test.reading_time) > high - 0.5


@lru_cache(maxsize=1)
def cup_tasks() -> tuple[Task, ...]:
    """Return what to try with a cup."""
    return (
        Task(
            lambda system: "Drag the clock to hour 2. What would you tell the customer?",
            lambda it: _departs(it) and it.reading_time == 2 * _HOUR,
            _tap_water,
        ),
        Task(
            lambda system: "At which hour does the cup begin to count? Find it with the clock.",
            lambda it: (
                _departs(it)
                and Reader(it).at(it.reading_time).is_settled
                and not Reader(it).at(max(it.reading_time - _HOUR, 0.0)).is_settled
            ),
            _long_enough,
        ),
        Task(
            lambda system: "Leave the door open for five minutes. Who minds, the air or the cup?",
            lambda it: _departs(it, "door") and it.door == "left open five minutes",
            _left_open,
        ),
        Task(
            lambda system: (
                f"Put in {show(from_si(_POUNDS, 'mass'), system, kind='mass', digits=0)} of warm food with "
                "the cup. What does the test test?"
            ),
            lambda it: _departs(it, "warm_load") and it.warm_load > _MUCH * _POUNDS,
            _shopping,
        ),
        Task(
            lambda system: (
                f"Give the thermostat a swing of {difference(_WIDE, system)} (All settings). Which one minds?"
            ),
            lambda it: _departs(it, "swing") and it.swing > _MUCH * _WIDE,
            _wide,
        ),
        Task(
            lambda system: (
                f"Shut the lower vent by three quarters on a mild day, {tenths(_MILD, system)} or less. "
                "Is it proven?"
            ),
            lambda it: (
                _departs(it, "lower_blocked", "ambient")
                and it.lower_blocked > _SHUT
                and it.ambient < _MILD + 0.3
                and it.reading_time >= _NIGHT
            ),
            _proven,
        ),
        Task(
            lambda system: (
                f"Leave it shut and make it hot, {tenths(_HOT, system)} or more. At which hour is the cup "
                "warmest?"
            ),
            lambda it: (
                _departs(it, "lower_blocked", "ambient")
                and it.lower_blocked > _SHUT
                and it.ambient > _HOT - 0.3
                and _is_warmest(it)
            ),
            _warmest,
        ),
        Task(
            lambda system: (
                f"All by practice on a mild day, {tenths(_MILD, system)} or less, but the thermostat at "
                "full demand (All settings)."
            ),
            lambda it: (
                _departs(it, "full_demand", "ambient")
                and it.full_demand
                and it.ambient < _MILD + 0.3
                and day_of(it).at("cup", HOURS * _HOUR) < ZERO_CELSIUS
            ),
            _frozen,
        ),
    )
