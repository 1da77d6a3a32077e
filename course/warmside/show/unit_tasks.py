"""What to try beside the lab of module 01: each notices when it was done, and answers from the model."""

from dataclasses import replace
from functools import lru_cache

from warmside.show.enclosure import temperature
from warmside.show.scene_lab import Task
from warmside.show.sealed_unit import (
    ALWAYS,
    LIMIT,
    RATED,
    WARM,
    SealedUnit,
    food_text,
    gas_text,
    percent,
    power_text,
    pressure_text,
    solve,
)
from warmside.show.unit_because import boils_at
from warmside.units import to_si, ureg

_NEAR = 0.3  # K; what a control's step may be off, in either system
_FREE_TILT, _STANDS = 0.053, 0.078  # rad; 3 and 4.5 degrees, with what a step may be off


def _kelvin(fahrenheit: float) -> float:
    return to_si(ureg.Quantity(fahrenheit, "degF"), "temperature")


_MILD, _HOT = _kelvin(85.0), _kelvin(112.0)


def _departs(unit: SealedUnit, *fields: str) -> bool:
    """Tell whether heat, tilt, charge and setting are usual but for these."""
    usual = SealedUnit()
    return {
        name for name in ("heat", "tilt", "charge", "setting") if getattr(unit, name) != getattr(usual, name)
    } == set(fields)


def _own_part_of_food(unit: SealedUnit, system: str) -> str:
    solved = solve(unit)
    own = float(solved.state.rich_gas_pressure)
    first = float(solved.points.freezer_gas_pressure)
    return (
        f"{pressure_text(own, system)} of {pressure_text(float(solved.state.pressure), system)}: it boils at "
        f"{boils_at(own, system)}. In the freezer’s coil, which meets the hydrogen first, it is "
        f"{pressure_text(first, system)}, so there it is colder: {boils_at(first, system)}."
    )


def _whole(unit: SealedUnit, system: str) -> str:
    state = solve(unit).state
    return (
        f"{pressure_text(float(state.pressure), system)}, the same as in the coils. Here it is ammonia "
        f"alone, so it turns to liquid at {temperature(float(state.condensing_temperature), system)}."
    )


def _cliff(unit: SealedUnit, system: str) -> str:
    solved = solve(unit)
    return (
        f"At {temperature(unit.ambient, system)} outside the fins’ air is at "
        f"{temperature(float(solved.state.condenser_air_temperature), system)}: {percent(solved.condensed)} "
        f"turn to liquid, and the food comes to {food_text(solved, system)}."
    )


def _no_more(unit: SealedUnit, system: str) -> str:
    coldest = solve(replace(unit, setting=ALWAYS))
    return (
        f"{food_text(solve(unit), system)} set to warm, {food_text(coldest, system)} set to coldest. It "
        "ran all the time before: a higher setting asks for cold that isn’t there."
    )


def _starves(unit: SealedUnit, system: str) -> str:
    solved = solve(unit)
    state = solved.state
    return (
        f"Freezer {temperature(float(state.freezer_temperature), system)}, food {food_text(solved, system)}. "
        "Liquid comes to the freezer first: it takes its share, and the food’s coil gets what is left."
    )


def _food_starves(unit: SealedUnit) -> bool:
    state = solve(unit).state
    return float(state.food_temperature) > LIMIT > float(state.freezer_temperature) + 5.0


def _little_more(unit: SealedUnit, system: str) -> str:
    now, usual = solve(unit), solve(replace(unit, heat=1.0))
    cold = [power_text(float(each.state.capacity), system) for each in (usual, now)]
    return (
        f"{percent(unit.heat - 1.0)} more heat, and the cold goes from {cold[0]} to {cold[1]}; "
        f"{gas_text(float(now.points.unused), system)} of liquid run back unused."
    )


def _level_enough(unit: SealedUnit, system: str) -> str:
    level = solve(replace(unit, tilt=0.0))
    return (
        f"{food_text(level, system)} level, {food_text(solve(unit), system)} so: the tubes still fall. Half "
        "a degree or a degree more, and they don’t."
    )


def _stands(unit: SealedUnit, system: str) -> str:
    solved = solve(unit)
    return (
        f"{gas_text(float(solved.state.vapour_flow), system)} of ammonia are left of "
        f"{gas_text(float(solve(replace(unit, tilt=0.0)).state.vapour_flow), system)}, and all of the heat "
        "still goes in. Switch it off until it stands level."
    )


def _mild_hides(unit: SealedUnit, system: str) -> str:
    hot = replace(unit, ambient=RATED)
    return (
        f"{food_text(solve(unit), system)} today. At {temperature(RATED, system)} it would be: "
        f"{food_text(solve(hot), system)}. And nobody tops it up: a unit that has lost charge "
        "leaks, and is replaced."
    )


def _usual_at(unit: SealedUnit, point: str) -> bool:
    return unit.point == point and _departs(unit)


@lru_cache(maxsize=1)
def unit_tasks() -> tuple[Task, ...]:
    """Return what to try with a sealed unit."""
    return (
        Task(
            lambda system: (
                "Touch the ring at the condenser. How high is the pressure there, and in the coils?"
            ),
            lambda it: _usual_at(it, "condenser") and it.ambient < _HOT,
            _whole,
        ),
        Task(
            lambda system: (
                "Follow the hydrogen, and touch the ring at the food’s coil. What part is ammonia’s?"
            ),
            lambda it: _usual_at(it, "food") and it.flow == "hydrogen",
            _own_part_of_food,
        ),
        Task(
            lambda system: "Make it hotter outside until the food no longer holds. What stops first?",
            lambda it: _departs(it) and it.ambient > RATED and not solve(it).holds,
            _cliff,
        ),
        Task(
            lambda system: (
                f"At {temperature(_HOT, system)} or more, turn the thermostat to warm. Does the food mind?"
            ),
            lambda it: it.setting == WARM and _departs(it, "setting") and it.ambient > _HOT - _NEAR,
            _no_more,
        ),
        Task(
            lambda system: (
                "Take heat away until the food is too warm and the freezer still cold. Who starves first?"
            ),
            lambda it: _departs(it, "heat") and it.heat < 1.0 and _food_starves(it),
            _starves,
        ),
        Task(
            lambda system: (
                f"On a day of {temperature(_MILD, system)} or less, give it a fifth more heat. More cold?"
            ),
            lambda it: _departs(it, "heat") and it.heat > 1.19 and it.ambient < _MILD + _NEAR,
            _little_more,
        ),
        Task(
            lambda system: "Tilt it by 2 or 3 degrees. What does the food say?",
            lambda it: _departs(it, "tilt") and 0.03 < it.tilt < _FREE_TILT,
            _level_enough,
        ),
        Task(
            lambda system: "Tilt it by 4.5 degrees or more. What stops, and what goes on?",
            lambda it: _departs(it, "tilt") and it.tilt > _STANDS,
            _stands,
        ),
        Task(
            lambda system: (
                f"At {temperature(_MILD, system)} or less, take a quarter of the charge away. Does it tell?"
            ),
            lambda it: (
                _departs(it, "charge") and it.charge < 0.76 and it.ambient < _MILD + _NEAR and solve(it).holds
            ),
            _mild_hides,
        ),
    )
