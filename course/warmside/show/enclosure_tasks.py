"""What to try beside the lab of module 02: each notices when it was done, and answers from the model."""

from dataclasses import replace
from functools import lru_cache

from warmside.show.because import flow_text, percent, too_warm
from warmside.show.departures import departures, how_sure, mended
from warmside.show.enclosure import (
    Enclosure,
    difference,
    minutes_an_hour,
    situation,
    solve,
    temperature,
)
from warmside.show.scene_lab import Task
from warmside.units import ZERO_CELSIUS, to_si, ureg

_MOSTLY_SHUT, _MUCH = 0.6, 0.9  # of a vent; of what a control is turned to, since it has steps


def _kelvin(fahrenheit: float) -> float:
    return to_si(ureg.Quantity(fahrenheit, "degF"), "temperature")


def _is_about(value: float, aim: float) -> bool:
    return abs(value - aim) < 0.4  # K; a step of a control in either system


def _departs(enclosure: Enclosure, *fields: str) -> bool:
    """Tell whether these depart from a correct enclosure, and nothing else."""
    return mended(enclosure).keys() == set(fields)


def _holds(enclosure: Enclosure, system: str) -> str:
    return temperature(solve(enclosure).holds, system)


def _flow(enclosure: Enclosure, system: str) -> str:
    return flow_text(float(solve(enclosure).now.air_flow), system)


def _rise(enclosure: Enclosure, system: str) -> str:
    return difference(float(solve(enclosure).now.condenser_air_temperature) - enclosure.ambient, system)


def _shut(enclosure: Enclosure, system: str) -> str:
    opened = replace(enclosure, lower_blocked=0.0)
    return (
        f"{percent(enclosure.lower_blocked)} shut is too much: {_flow(enclosure, system)} are left of "
        f"{_flow(opened, system)}. Until then the thermostat hid it. The limit came down all the way, from "
        f"{_holds(opened, system)} to {_holds(enclosure, system)}."
    )


def _no_cure(enclosure: Enclosure, system: str) -> str:
    without = replace(enclosure, fan="none")
    return (
        f"The food comes to {temperature(solve(enclosure).food, system)}, as long as the fan runs. The day "
        f"it stops: {temperature(solve(without).food, system)}. The vent is still shut. That is no cure."
    )


def _in_the_way(enclosure: Enclosure, system: str) -> str:
    without = replace(enclosure, fan="none")
    return (
        f"{_flow(without, system)} rise by themselves, and with the weak fan {_flow(enclosure, system)}. It "
        f"stands in their way and takes {difference(solve(without).holds - solve(enclosure).holds, system)} "
        "from the limit."
    )


def _deep(enclosure: Enclosure, system: str) -> str:
    said = "; ".join(
        f"{one.title}: {how_sure(one.plausible, system, one.is_a_rule)}" for one in departures(enclosure)
    )
    return f"On {enclosure.size}: {said}. Now try another cabinet."


def _weak_heat(enclosure: Enclosure, system: str) -> str:
    vent = replace(situation("Blocked lower vent"), ambient=enclosure.ambient)
    return (
        f"It holds up to {_holds(enclosure, system)}, with a vent three quarters shut up to "
        f"{_holds(vent, system)}. Air below the fins tells them apart: {_rise(enclosure, system)} above the "
        f"outside here, {_rise(vent, system)} there."
    )


def _beside(enclosure: Enclosure, system: str) -> str:
    right = replace(enclosure, side_gap=Enclosure.side_gap)
    return (
        f"It {_runs(enclosure)} instead of {minutes_an_hour(solve(right).duty)}, and the limit is "
        f"{_holds(enclosure, system)} instead of {_holds(right, system)}. Try half of that, too."
    )


def _runs(enclosure: Enclosure) -> str:
    return f"runs {minutes_an_hour(solve(enclosure).duty)}"


def _afternoon(enclosure: Enclosure, system: str) -> str:
    solved = solve(enclosure)
    low, high = (temperature(each, system) for each in (solved.food_low, solved.food_high))
    return f"From {low} at dawn to {high} in the afternoon: that is when the customer calls."


def _freezes(enclosure: Enclosure, system: str) -> str:
    food = temperature(solve(enclosure).food, system)
    return f"The food comes to {food}: on a mild day the milk freezes. Full demand is a test, no setting."


@lru_cache(maxsize=1)
def enclosure_tasks() -> tuple[Task, ...]:
    """Return what to try with an enclosure."""
    usual, warm, mild = Enclosure.ambient, _kelvin(100.0), _kelvin(80.0)
    low_mains = 105.0  # V

    def at(kelvin: float, system: str) -> str:
        return temperature(kelvin, system)

    return (
        Task(
            lambda system: (
                f"At {at(usual, system)} outside, shut the lower vent step by step until the food "
                "is too warm."
            ),
            lambda it: _departs(it, "lower_blocked") and _is_about(it.ambient, usual) and too_warm(it),
            _shut,
        ),
        Task(
            lambda system: "Leave the vent like that and give it a strong fan. Is that a cure?",
            lambda it: it.lower_blocked >= _MOSTLY_SHUT and it.fan == "strong",
            _no_cure,
        ),
        Task(
            lambda system: "Open the vent and put in a weak fan. What does the air do?",
            lambda it: _departs(it, "fan") and it.fan == "weak",
            _in_the_way,
        ),
        Task(
            lambda system: (
                f"Take the baffle out and pull the wall back to {_four_inches(system)} behind the "
                "fins. What can the model vouch for?"
            ),
            lambda it: _departs(it, "baffle", "rear_gap") and it.rear_gap > _MUCH * _FOUR_INCHES,
            _deep,
        ),
        Task(
            lambda system: (
                f"All as it should be, but {low_mains:.0f} V at the heater (All settings). Is "
                "that worse than a shut vent?"
            ),
            lambda it: _departs(it, "mains_voltage") and abs(it.mains_voltage - low_mains) <= 1.0,
            _weak_heat,
        ),
        Task(
            lambda system: f"Widen the gaps at the sides to {_inch(system)} each.",
            lambda it: _departs(it, "side_gap") and it.side_gap > _MUCH * _INCH,
            _beside,
        ),
        Task(
            lambda system: (
                f"Half the lower vent shut, {at(warm, system)} on the day's mean and a swing of "
                f"{difference(_SWING, system)} up and down. When does the customer call?"
            ),
            lambda it: (
                _departs(it, "lower_blocked")
                and abs(it.lower_blocked - 0.5) < 0.03
                and _is_about(it.ambient, warm)
                and it.swing > _MUCH * _SWING
            ),
            _afternoon,
        ),
        Task(
            lambda system: f"A correct one at {at(mild, system)} outside, its thermostat at full demand.",
            lambda it: (
                _departs(it)
                and it.full_demand
                and _is_about(it.ambient, mild)
                and solve(it).food < ZERO_CELSIUS
            ),
            _freezes,
        ),
    )


def _back_to_good(enclosure: Enclosure, system: str) -> str:
    shut = replace(situation("Blocked lower vent"), ambient=enclosure.ambient)
    return (
        f"{temperature(solve(shut).food, system)} before, {temperature(solve(enclosure).food, system)} now, "
        f"with {_flow(enclosure, system)} of air for {_flow(shut, system)}. No part was changed."
    )


def _hides(enclosure: Enclosure, system: str) -> str:
    return (
        f"{temperature(solve(enclosure).food, system)}: at {temperature(enclosure.ambient, system)} outside "
        "the same shut vent hides. It comes back with the heat."
    )


def first_tasks() -> tuple[Task, ...]:
    """Return what to try first of all."""
    return (
        Task(
            lambda system: (
                "The customer wants a new cooling unit. Find what keeps air out, and pull it away."
            ),
            lambda it: _departs(it) and it.ambient > _kelvin(95.0) and not too_warm(it),
            _back_to_good,
        ),
        Task(
            lambda system: (
                f"Put the cover back on, and make it {temperature(_kelvin(80.0), system)} outside."
            ),
            lambda it: it.lower_blocked >= _MOSTLY_SHUT and it.ambient < _kelvin(81.0),
            _hides,
        ),
    )


_INCH = to_si(ureg.Quantity(1, "inch"), "length")
_FOUR_INCHES, _SWING = 4.0 * _INCH, to_si(ureg.Quantity(15, "delta_degF"), "temperature_difference")


def _inch(system: str) -> str:
    return "1 in" if system == "US" else "25 mm"


def _four_inches(system: str) -> str:
    return "4 in" if system == "US" else "100 mm"
