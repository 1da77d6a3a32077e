"""What to try beside the lab of module 04: each notices when it was done, and answers from the model."""

from dataclasses import replace
from functools import lru_cache

from warmside.hazards import WORK
from warmside.show.enclosure import temperature
from warmside.show.heater_meter import (
    AMPS,
    IN_ORDER,
    MYSTERIES,
    OHMS,
    VOLTS,
    MeterOnHeater,
    reading,
    volts_text,
)
from warmside.show.meter_because import LIVE, RETURN, side_of, supply_volts
from warmside.show.meter_scene import food_of, solve
from warmside.show.scene_lab import Task
from warmside.units import to_si, ureg

_OPEN, _JOINT, _BLOWN, _LOW = "element 1 open", "bad joint, return", "blown fuse", "low supply"


def _kelvin(fahrenheit: float) -> float:
    return to_si(ureg.Quantity(fahrenheit, "degF"), "temperature")


_HOT = _kelvin(100.0)
_NEAR = 0.6  # K; what a control's step may be off, in either system


def _is_live(it: MeterOnHeater, fault: str, meter: str) -> bool:
    return it.fault == fault and it.meter == meter and not it.isolated


def _between(it: MeterOnHeater, points: str) -> bool:
    return {it.red, it.black} == set(points)


def _across_heater(it: MeterOnHeater) -> bool:
    """Whether the probes are at the heater's own points, one on each side of the elements."""
    sides = [side_of(letter) for letter in (it.red, it.black)]
    return {*sides} == {LIVE, RETURN} and not {it.red, it.black} & {*"ABCDLM"} and not it.missing


def _good_way(it: MeterOnHeater, system: str) -> str:
    del system
    takes, gives = reading(it).text.lstrip("-"), volts_text(supply_volts(it))
    return f"{takes} of the supply’s {gives}: next to nothing, as it should be. The way back counts as much."


def _volts_alone(it: MeterOnHeater, system: str) -> str:
    del system
    shown, right = reading(it).text.lstrip("-"), reading(it.in_order).text.lstrip("-")
    return f"{shown}, and {right} in order: volts alone don’t find it. Turn the knob to amps."


def _by_amps(it: MeterOnHeater, system: str) -> str:
    del system
    return (
        f"{reading(it).text}, where {reading(it.in_order).text} belong. Too little current at the right "
        "volts: too many ohms."
    )


def _is_dead(it: MeterOnHeater, system: str) -> str:
    del system
    return f"{reading(it).text}. {WORK['ohms'].caution} Now the ohms."


def _by_ohms(it: MeterOnHeater, system: str) -> str:
    del system
    return (
        f"{reading(it).text}, where {reading(it.in_order).text} belong: volts, amps and ohms agree, and "
        "three that agree are a proof."
    )


def _the_joint(it: MeterOnHeater, system: str) -> str:
    del system
    lost = abs(reading(it).value)
    watts = lost * it.circuit.circuit.amps("live wire")
    return (
        f"{volts_text(lost)} lost in one joint of the return, and {watts:.0f} W of heat in it: leave it off "
        "until it is made new."
    )


def _the_gap(it: MeterOnHeater, system: str) -> str:
    del system
    return (
        f"{volts_text(abs(reading(it).value))} across it: all that the supply has. It opened for a reason, "
        "and that is found first."
    )


def _hot_day(it: MeterOnHeater, system: str) -> str:
    mild = replace(it, ambient=MeterOnHeater.ambient)
    solve([it, mild])
    was, comes = (temperature(food_of(each), system) for each in (mild, it))
    return (
        f"{was} at {temperature(mild.ambient, system)} outside, {comes} now: the thermostat hid it while "
        "there was time to run longer."
    )


def _mystery(it: MeterOnHeater, system: str) -> str:
    del system
    return f"It was “{it.true_fault}”. Which readings proved it? Take the next one."


def _at_hot(system: str) -> str:
    return temperature(_HOT, system)


@lru_cache(maxsize=1)
def meter_tasks() -> tuple[Task, ...]:
    """Return what to try with a meter."""
    return (
        Task(
            lambda system: (
                "All in order: clip the probes to A and F. How much does a good circuit lose on the way?"
            ),
            lambda it: _is_live(it, IN_ORDER, VOLTS) and _between(it, "AF"),
            _good_way,
        ),
        Task(
            lambda system: "Load “Element 1 open: volts”. Do the volts across it tell?",
            lambda it: _is_live(it, _OPEN, VOLTS) and _between(it, "FG"),
            _volts_alone,
        ),
        Task(
            lambda system: "Turn the knob to amps, element 1 still open. Does that tell?",
            lambda it: _is_live(it, _OPEN, AMPS),
            _by_amps,
        ),
        Task(
            lambda system: "Before ohms: isolate it, and prove it dead at the heater, on volts.",
            lambda it: it.isolated and it.meter == VOLTS and _across_heater(it),
            _is_dead,
        ),
        Task(
            lambda system: "Element 1 open, isolated and proven dead: now take its ohms.",
            lambda it: it.fault == _OPEN and it.isolated and it.meter == OHMS and _across_heater(it),
            _by_ohms,
        ),
        Task(
            lambda system: "Put in “bad joint, return”. Between which two points are the volts lost?",
            lambda it: _is_live(it, _JOINT, VOLTS) and _between(it, "KL"),
            _the_joint,
        ),
        Task(
            lambda system: "Put in “blown fuse”. Go from A with both probes: where do the volts stand?",
            lambda it: _is_live(it, _BLOWN, VOLTS) and _between(it, "CD"),
            _the_gap,
        ),
        Task(
            lambda system: (
                f"Put in “low supply”, and make it hot: {_at_hot(system)} or more. What does the food say?"
            ),
            lambda it: it.fault == _LOW and not it.isolated and it.ambient > _HOT - _NEAR,
            _hot_day,
        ),
        Task(
            lambda system: "Take a mystery. Say what it is before you let it be told. There are six.",
            lambda it: it.fault in MYSTERIES and it.shown,
            _mystery,
        ),
    )
