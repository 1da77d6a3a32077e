"""What a sealed unit does, in one sentence with its reason: what costs the food most."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from warmside.properties import ammonia
from warmside.show.enclosure import minutes_an_hour, temperature
from warmside.show.sealed_unit import (
    RATED,
    SealedUnit,
    Solved,
    gas_text,
    percent,
    power_text,
    pressure_text,
    solve_all,
)

_COUNTS = 0.4  # K of food; what costs less is no reason
_LITTLE_HEAT = 0.45  # of the plate's; losses take that much
_ALL = 0.97  # of the ammonia; from there on all of it turns to liquid
CANT_TELL = (
    "The model can’t tell: with so little heat the pump may stand or lift, as it did before. "
    "Give it a little more or less."
)
_RIGHT = {"heat": 1.0, "tilt": 0.0, "charge": 1.0}


def mended(unit: SealedUnit) -> dict[str, SealedUnit]:
    """Return the unit with each one of what is wrong put right, by what that is."""
    usual: dict[str, Any] = {name: value for name, value in _RIGHT.items() if getattr(unit, name) != value}
    put_right = {name: replace(unit, **{name: value}) for name, value in usual.items()}
    if unit.ambient > RATED + 0.1:
        put_right["ambient"] = replace(unit, ambient=RATED)
    return put_right


def asked_for(unit: SealedUnit) -> tuple[SealedUnit, ...]:
    """Return all units that a sentence looks at."""
    return (unit, *mended(unit).values())


def cause(unit: SealedUnit) -> str:
    """Return what costs the food most, a field of `SealedUnit`; nothing where all is in order."""
    others = mended(unit)
    now, *better = solve_all(asked_for(unit))
    costs = {
        name: float(now.state.food_temperature - one.state.food_temperature)
        for name, one in zip(others, better, strict=True)
    }
    if not costs:
        return ""
    dearest = max(costs, key=lambda name: costs[name])
    if costs[dearest] > _COUNTS:
        return dearest
    return _among_several(unit, now) if now.fails else ""


def _among_several(unit: SealedUnit, now: Solved) -> str:
    """Return what comes first where several fail it, each alone."""
    if unit.heat < _LITTLE_HEAT:
        return "heat"
    if now.condensed < 0.5:
        return "charge" if unit.charge < 1.0 else "ambient"
    return "tilt" if unit.tilt else "heat"


def because(unit: SealedUnit, system: str = "US") -> str:
    """Say in a sentence what the unit does, and why.

    Examples
    --------
    >>> because(SealedUnit())
    'The cold comes from ammonia that boils at 2 °F because its own part of the pressure is only 32 of \
393 psi there. Hydrogen makes the rest.'
    """
    (now,) = solve_all([unit])
    if not now.is_known:
        return CANT_TELL
    name = cause(unit)
    if name:
        (right,) = solve_all([mended(unit)[name]])
        return _REASONS[name](unit, now, right, system)
    return _more_heat(unit, now, system) if unit.heat > 1.0 else _in_order(unit, now, system)


def boils_at(pressure: float, system: str) -> str:
    """Return at which temperature ammonia boils under a pressure of its own, as text."""
    return temperature(float(ammonia.saturation_temperature(pressure)), system)


def _in_order(unit: SealedUnit, now: Solved, system: str) -> str:
    share = float(now.points.freezer_gas_pressure)
    part = pressure_text(share, system).split()[0]
    whole = pressure_text(float(now.state.pressure), system)
    runs = ""
    if now.state.duty < 0.99:
        runs = f" It runs {minutes_an_hour(float(now.state.duty))}, then the thermostat stops it."
    return (
        f"The cold comes from ammonia that boils at {boils_at(share, system)} because its own part of the "
        f"pressure is only {part} of {whole} there. Hydrogen makes the rest.{runs}"
    )


def _more_heat(unit: SealedUnit, now: Solved, system: str) -> str:
    (usual,) = solve_all([replace(unit, heat=1.0)])
    cold, before = (power_text(float(one.state.capacity), system) for one in (now, usual))
    more = f"{percent(unit.heat - 1.0)} more heat makes {cold} of cold in place of {before}"
    if now.condensed < _ALL:
        return f"{more} because {_not_all_condenses(now, system)}."
    return (
        f"{more} because the coils boil no more ammonia than the heat of the boxes can: "
        f"{gas_text(float(now.points.unused), system)} of liquid run back unused."
    )


def _not_all_condenses(now: Solved, system: str) -> str:
    air, limit = float(now.state.condenser_air_temperature), float(now.state.condensing_temperature)
    part = f"only {percent(now.condensed)} of the ammonia turns to liquid"
    if now.condensed < 0.005:
        part = "no ammonia turns to liquid"
    near = "too near" if air < limit else "above"
    return (
        f"{part}: the air at the fins is at {temperature(air, system)}, {near} the "
        f"{temperature(limit, system)} at which ammonia condenses at "
        f"{pressure_text(float(now.state.pressure), system)}"
    )


def _who_starves(now: Solved) -> str:
    if now.fails:
        return "Nothing is left for either coil"
    if now.points.food_wet > _ALL:
        return "Both coils still get what they need"
    if now.points.freezer_wet > _ALL:
        return "The freezer comes first, and the food’s coil starves"
    wet, later = (percent(float(each)) for each in (now.points.freezer_wet, now.points.food_wet))
    return f"The freezer’s coil, first in line, does {wet} of what it could, the food’s {later}"


def _too_hot(unit: SealedUnit, now: Solved, right: Solved, system: str) -> str:
    del unit, right
    if now.condensed >= _ALL:
        return (
            "The food gets warmer because all that gives off heat stands in hotter air, the absorber at "
            f"{temperature(float(now.state.absorber_temperature), system)}. {_who_starves(now)}."
        )
    return f"Cold is short because {_not_all_condenses(now, system)}. {_who_starves(now)}."


def _heat(unit: SealedUnit, now: Solved, right: Solved, system: str) -> str:
    if unit.heat > 1.0:
        return f"More heat makes the food warmer because {_not_all_condenses(now, system)}."
    if unit.heat == 0.0:
        return "No cold is made because the boiler gets no heat: nothing boils, so nothing goes round."
    if now.fails:
        return (
            f"Hardly any cold is made because {percent(unit.heat)} of the heat goes into losses first: the "
            "pump lifts next to nothing."
        )
    drives, usual = (gas_text(float(one.state.vapour_flow), system) for one in (now, right))
    return (
        f"Cold is short because {percent(unit.heat)} of the heat drives out {drives} of ammonia in place of "
        f"{usual}. {_who_starves(now)}."
    )


def _tilt(unit: SealedUnit, now: Solved, right: Solved, system: str) -> str:
    del unit, system
    left = float(now.state.vapour_flow) / max(float(right.state.vapour_flow), 1e-12)
    does = "The cold stops" if now.fails else "Cold is short"
    return (
        f"{does} because liquid stands in the tilted tubes: {percent(left)} of the ammonia is still driven "
        "out. The boiler cooks on, and what is left behind there can plug the tubes for good."
    )


def _charge(unit: SealedUnit, now: Solved, right: Solved, system: str) -> str:
    if unit.charge < 1.0:
        return f"Cold is short because {_not_all_condenses(now, system)}. {_who_starves(now)}."
    drives, usual = (gas_text(float(one.state.vapour_flow), system) for one in (now, right))
    return (
        f"The food is a little warmer because at {pressure_text(float(now.state.pressure), system)} the "
        f"boiler has to get hotter, and drives out {drives} of ammonia in place of {usual}."
    )


_REASONS: dict[str, Callable[[SealedUnit, Solved, Solved, str], str]] = {
    "ambient": _too_hot,
    "heat": _heat,
    "tilt": _tilt,
    "charge": _charge,
}
