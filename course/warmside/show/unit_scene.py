"""The scene of a sealed unit: the numbers and texts that the page's script draws, by name."""

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Any

import numpy as np

from warmside.hazards import cautions_of
from warmside.model.ensemble import plausible
from warmside.properties import ammonia
from warmside.show.enclosure import HONEST, minutes_an_hour, temperature
from warmside.show.enclosure_scene import marks
from warmside.show.scene_lab import agreed
from warmside.show.sealed_unit import (
    LIMIT,
    NOMINAL,
    POINTS,
    SIZE,
    SealedUnit,
    Solved,
    degrees_text,
    food_text,
    gas_text,
    percent,
    power_text,
    pressure_text,
    solution_text,
    solve,
    states_of,
)
from warmside.units import to_si, ureg

MEMBERS = 100
"""Plausible units that a prediction and the range are held against."""
_SAME = 1.1  # K; a change of the food that nobody notices
_TENTHS = 10.0, 90.0
_LINE = np.arange(230.0, 346.0, 5.0)  # K; of ammonia's pressure line
_DEGREES = {"US": range(-40, 161, 40), "SI": range(-40, 71, 20)}
_PRESSURES = {"US": ("psi", range(0, 501, 100)), "SI": ("bar", range(0, 41, 10))}
_PRESSURE_STEPS = {"US": to_si(ureg.Quantity(1, "psi"), "pressure_absolute"), "SI": 1e4}  # Pa; as printed
_TILT_RULE = float(np.radians(3.0))  # common practice, no source


@cache
def scene_page() -> dict[str, Any]:
    """Return what the page is told once: ammonia's pressure line, the chart's marks, names of points."""
    systems = {}
    for system, (unit, values) in _PRESSURES.items():
        pressures = [(to_si(ureg.Quantity(value, unit), "pressure_absolute"), str(value)) for value in values]
        systems[system] = {
            "unit": unit,
            "degrees": {"US": "°F", "SI": "°C"}[system],
            "temperatures": marks(_DEGREES[system], system),
            "pressures": pressures,
        }
    line = [[float(kelvin), float(ammonia.saturation_pressure(kelvin))] for kelvin in _LINE]
    return {"line": line, "systems": systems, "points": list(POINTS), "names": POINTS, "honest": HONEST}


def unit_scene(unit: SealedUnit, system: str = "US") -> dict[str, Any]:
    """Return what the page draws of a unit: settings, flows and temperatures [SI], and texts."""
    solved = solve(unit)
    state, points = solved.state, solved.points
    shares = {
        "weak_share": state.weak_gas_pressure / state.pressure,
        "freezer_share": points.freezer_gas_pressure / state.pressure,
        "rich_share": state.rich_gas_pressure / state.pressure,
        "rich_fraction": state.rich_fraction,
        "weak_fraction": state.weak_fraction,
    }
    flows = {
        "vapour_flow": state.vapour_flow,
        "condensate_flow": state.condensate_flow,
        **{name: getattr(points, name) for name in ("unused", "hydrogen_flow", "rich_flow", "weak_flow")},
        "freezer_wet": points.freezer_wet,
        "food_wet": points.food_wet,
    }
    warm = (
        "boiler",
        "absorber",
        "condensing",
        "freezer_coil",
        "food_coil",
        "condenser_air",
        "food",
        "freezer",
    )
    return {
        **{name: value for name, value in vars(unit).items() if isinstance(value, float)},
        "setting": unit.setting,
        "point": unit.point,
        "flow": unit.flow,
        "known": solved.is_known,
        "fails": solved.fails or not solved.is_known,
        "condensed": solved.condensed,
        "pressure": float(state.pressure),
        "limit": LIMIT,
        **{name: round(float(value), 9) for name, value in (shares | flows).items()},
        **{name: round(float(getattr(state, f"{name}_temperature")), 3) for name in warm},
        **_told(unit, solved, system),
        **_line_points(solved, system),
        "cards": {name: card(name, solved, system) for name in POINTS},
        "caution": caution(unit),
    }


def _told(unit: SealedUnit, solved: Solved, system: str) -> dict[str, Any]:
    state = solved.state
    plate = power_text(float(state.heat_input), system)
    number, mark, says = power_text(float(state.capacity), system), "✔ enough", ""
    if not solved.is_known:
        number, mark, says = "?", "? can’t tell", "it may do one or the other"
    elif solved.fails:
        number, mark, says = "none", "✘ it fails", f"of {plate} of heat"
    else:
        mark = mark if solved.holds else "✘ too little"
        says = f"{percent(float(state.cop))} of {plate}"
    label = "Cold made, out of heat put in"
    if solved.is_known and float(state.duty) < 0.99:
        label = f"Cold made while it runs, {minutes_an_hour(float(state.duty))}"
    hides = solved.fails or not solved.is_known
    texts = {
        name: temperature(float(getattr(state, f"{field}_temperature")), system)
        for name, field in (
            ("air_text", "condenser_air"),
            ("condensing_text", "condensing"),
            ("absorber_text", "absorber"),
            ("boiler_text", "boiler"),
            ("freezer_text", "freezer"),
        )
    }
    for name in ("absorber_text", "boiler_text", "freezer_text") if hides else ():
        texts[name] = "–"
    return {
        **texts,
        "number": number,
        "number_label": label,
        "margin_text": mark,
        "margin_says": says,
        "good": solved.holds,
        "food_text": food_text(solved, system),
        "state_text": "✔ holds" if solved.holds else "✘ too warm" if solved.is_known else "?",
        "outside_text": temperature(unit.ambient, system),
        "heat_text": percent(unit.heat),
        "tilt_text": degrees_text(unit),
        "charge_text": pressure_text(unit.charge * float(NOMINAL.charge_pressure), system),
        "pressure_text": pressure_text(float(state.pressure), system),
    }


def _line_points(solved: Solved, system: str) -> dict[str, Any]:
    """Return what stands on ammonia's pressure line: where it boils in each coil."""
    pressures = [float(each) for each in (solved.points.freezer_gas_pressure, solved.state.rich_gas_pressure)]
    kelvins = ammonia.saturation_temperature(pressures).tolist()
    there: dict[str, Any] = {}
    for name, kelvin, own in zip(("freezer", "food"), kelvins, pressures, strict=True):
        there[name] = [kelvin, own]
        there[f"{name}_told"] = f"{temperature(kelvin, system)} at {pressure_text(own, system)}"
    return {"boils": there}


# --- what is read at a point --------------------------------------------------------------------------------


def _gas(solved: Solved, pressure: Any, flow: str, system: str) -> dict[str, Any]:
    """Return what gas is made of: ammonia's and hydrogen's parts of one pressure."""
    whole, own = float(solved.state.pressure), float(pressure)
    step = _PRESSURE_STEPS[system]
    rest = (round(whole / step) - round(own / step)) * step  # so that what is shown adds up
    lines = [
        f"{pressure_text(own, system)} ammonia, {percent(own / whole)}",
        f"+ {pressure_text(rest, system)} hydrogen",
        f"= {pressure_text(whole, system)} everywhere",
        flow,
    ]
    return {"share": own / whole, "kind": "gas", "lines": lines}


def _pure(solved: Solved, flow: tuple[str, ...], system: str) -> dict[str, Any]:
    whole = pressure_text(float(solved.state.pressure), system)
    lines = [f"{whole} ammonia", "no hydrogen here", *flow]
    return {"share": 1.0, "kind": "gas", "lines": lines}


def _solution(solved: Solved, fraction: Any, flow: str, system: str) -> dict[str, Any]:
    part = float(fraction)
    lines = [
        f"{percent(part)} ammonia",
        f"{percent(1.0 - part)} water, by weight",
        f"{pressure_text(float(solved.state.pressure), system)} everywhere",
        flow,
    ]
    return {"share": part, "kind": "solution", "lines": lines}


def _hydrogen(solved: Solved, system: str) -> str:
    return f"hydrogen {gas_text(float(solved.points.hydrogen_flow), system)}"


def _coil(name: str, solved: Solved, system: str) -> dict[str, Any]:
    evaporated, wet, pressure = {
        "freezer": (
            solved.points.freezer_evaporated,
            solved.points.freezer_wet,
            solved.points.freezer_gas_pressure,
        ),
        "food": (solved.points.food_evaporated, solved.points.food_wet, solved.state.rich_gas_pressure),
    }[name]
    flow = f"{gas_text(float(evaporated), system)} boil"
    if wet < 0.98:
        flow += f", {percent(float(wet))} wet"
    at = temperature(float(getattr(solved.state, f"{name}_coil_temperature")), system)
    return {"at": at, **_gas(solved, pressure, flow, system)}


def _at_boiler(solved: Solved, system: str) -> dict[str, Any]:
    flow = f"{gas_text(float(solved.state.vapour_flow), system)} driven out"
    at = temperature(float(solved.state.boiler_temperature), system)
    return {"at": at, **_solution(solved, solved.state.weak_fraction, flow, system)}


def _at_pump(solved: Solved, system: str) -> dict[str, Any]:
    flow = f"{solution_text(float(solved.points.rich_flow), system)} come in below"
    told = _solution(solved, solved.state.rich_fraction, flow, system)
    return {"at": f"{float(solved.state.circulation_ratio):.1f} × the gas", **told}


def _at_rectifier(solved: Solved, system: str) -> dict[str, Any]:
    flow = (f"{gas_text(float(solved.state.vapour_flow), system)} go on", "the water runs back")
    at = f"{power_text(float(solved.state.rectifier_heat), system)} to the air"
    return {"at": at, **_pure(solved, flow, system)}


def _at_condenser(solved: Solved, system: str) -> dict[str, Any]:
    flow = (
        f"{gas_text(float(solved.state.condensate_flow), system)} turn liquid",
        f"{percent(solved.condensed)} of what comes",
    )
    at = temperature(float(solved.state.condensing_temperature), system)
    return {"at": at, **_pure(solved, flow, system)}


def _at_strong(solved: Solved, system: str) -> dict[str, Any]:
    flow = f"{solution_text(float(solved.points.rich_flow), system)} to the boiler"
    at = temperature(float(solved.state.absorber_temperature), system)
    return {"at": at, **_solution(solved, solved.state.rich_fraction, flow, system)}


def _at_weak(solved: Solved, system: str) -> dict[str, Any]:
    flow = f"{solution_text(float(solved.points.weak_flow), system)} to absorber"
    return {"at": "thirsty for ammonia", **_solution(solved, solved.state.weak_fraction, flow, system)}


def _at_light(solved: Solved, system: str) -> dict[str, Any]:
    told = _gas(solved, solved.state.weak_gas_pressure, _hydrogen(solved, system), system)
    return {"at": "light: it rises", **told}


def _at_heavy(solved: Solved, system: str) -> dict[str, Any]:
    told = _gas(solved, solved.state.rich_gas_pressure, _hydrogen(solved, system), system)
    return {"at": "heavy: it sinks", **told}


_CARDS: dict[str, Callable[[Solved, str], dict[str, Any]]] = {
    "boiler": _at_boiler,
    "pump": _at_pump,
    "rectifier": _at_rectifier,
    "condenser": _at_condenser,
    "freezer": lambda solved, system: _coil("freezer", solved, system),
    "food": lambda solved, system: _coil("food", solved, system),
    "light": _at_light,
    "heavy": _at_heavy,
    "strong": _at_strong,
    "weak": _at_weak,
}


def card(name: str, solved: Solved, system: str) -> dict[str, Any]:
    """Return what is read at a point: a large line, ammonia's share, and lines that say what it is of."""
    told = _CARDS[name](solved, system)
    if name != "condenser" and (solved.fails or not solved.is_known):
        told = {"at": "–", "share": None, "kind": told["kind"], "lines": ["No number here:", *_NO_NUMBER]}
    return {"title": POINTS[name], **told}


_NO_NUMBER = ("in a unit that fails", "the model has none")


# --- once the hand rests, and predictions -------------------------------------------------------------------


def caution(unit: SealedUnit) -> str:
    """Return the care that goes with what is set; nothing where nothing is touched."""
    works = ["levelling"] if unit.tilt > _TILT_RULE + 1e-6 else ["sealed_unit"] if unit.charge != 1.0 else []
    return f"⚠ {' '.join(cautions_of(works, 'mains'))}" if works else ""


@lru_cache(maxsize=256)
def _plausible(unit: SealedUnit) -> tuple[np.ndarray, np.ndarray]:
    """Return the food of plausible units [K], and whether they fail; each of shape (members,)."""
    state = states_of([unit], lambda one: plausible(one, MEMBERS))
    return state.food_temperature[:, 0], state.failed[:, 0] | ~state.converged[:, 0]


_MADE: set[str] = set()  # sizes whose plausible units this kernel has


def unit_details(unit: SealedUnit, system: str = "US") -> dict[str, Any]:
    """Return what eight in ten plausible units of the size do.

    Nothing where these would have to be made first, in seconds; they come with the costs then.
    """
    return _range(unit, system) if SIZE in _MADE else {}


def unit_costs(unit: SealedUnit, system: str = "US") -> dict[str, Any]:
    """Return what eight in ten plausible units of the size do, made if need be."""
    _MADE.add(SIZE)
    return _range(unit, system)


def _range(unit: SealedUnit, system: str) -> dict[str, Any]:
    if not solve(unit).is_known:
        return {"range_text": "plausible ones: the model can’t tell"}
    failed = int(_plausible(unit)[1].sum())
    if failed > MEMBERS // 10:
        return {"range_text": f"{failed} of {MEMBERS} plausible units fail"}
    ends = np.percentile(_plausible(unit)[0], _TENTHS)
    low, high = (temperature(float(end), system) for end in ends)
    spread = low if low == high else f"{low.split()[0]} to {high}"
    return {"range_text": f"food in eight of ten plausible units: {spread}"}


def judge(before: SealedUnit, now: SealedUnit, said: int, system: str = "US") -> str:
    """Say whether a prediction for the food was right: -1 colder, 0 the same, 1 warmer.

    It is right or wrong only where nine in ten plausible units agree.
    """
    words = {-1: "gets colder", 0: "stays the same", 1: "gets warmer"}
    verdict, turn = agreed(_plausible(now)[0] - _plausible(before)[0], _SAME, said, words)
    if turn is None:
        return verdict
    old, new = (food_text(solve(each), system) for each in (before, now))
    return f"{verdict}: {old}, then {new}."
