"""What must be proven before a cooling unit is called dead: everything else first.

A cooling unit is what a wrong call costs, and all that keeps its heat in or its heat source down looks the
same from inside the box. So it is named only after each of these proofs; those that are missing are what to
do next.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from warmside.data import load
from warmside.diagnosis.performance import DAY, OTHER_SOURCE, Place, place_of
from warmside.diagnosis.readings import Readings
from warmside.model.heat_source import nominal_voltage
from warmside.model.installation import Installation
from warmside.model.limits import Verdict, check
from warmside.model.sizes import RATINGS

_TABLE = load("unit_proofs")


class Standing(StrEnum):
    """Whether a proof is in."""

    GIVEN = "given"
    MISSING = "missing"
    SPEAKS_AGAINST = "speaks against it"


@dataclass(frozen=True)
class Proof:
    """One thing to prove before the cooling unit is in question.

    Attributes
    ----------
    title : str
        What is to be proven.
    standing : Standing
        Whether it is; or whether something else was found, which is put right first.
    missing : tuple of str
        Names of readings that it still takes.
    """

    title: str
    standing: Standing
    missing: tuple[str, ...]


Holds = Callable[[float | str], bool]
Needs = Mapping[str, Holds]
"""By name of a reading, whether what was read leaves only the unit in question."""


def proofs(readings: Readings) -> tuple[Proof, ...]:
    """Return what is to be proven before the cooling unit is in question, and how far it is.

    Parameters
    ----------
    readings : Readings
        Against usual figures; see `plate.as_usual`.
    """
    return (
        _proof(readings, "Cup and freezer are both out of limits.", _out_of_limits(readings)),
        _a_day(readings),
        _proof(readings, "It stands level.", _LEVEL),
        _proof(readings, f"On {readings.heat_source} it gets its heat.", _heat(readings)),
        _proof(readings, "Air can pass: vents, fins, baffle, fan.", _AIR),
        _proof(readings, "It isn't how it is used: load, seal, frost.", _USE),
        _proof(readings, "It does no better on another heat source.", _no_better(readings)),
    )


def _proof(readings: Readings, title: str, needs: Needs) -> Proof:
    missing = tuple(name for name in needs if name not in readings.values)
    read = (holds(readings.values[name]) for name, holds in needs.items() if name not in missing)
    if not all(read):
        return Proof(title, Standing.SPEAKS_AGAINST, missing)
    return Proof(title, Standing.MISSING if missing else Standing.GIVEN, missing)


def _a_day(readings: Readings) -> Proof:
    ran = readings.running is not None and readings.running >= DAY
    return Proof("It ran 24 hours before that.", Standing.GIVEN if ran else Standing.MISSING, ())


def _between(row: str, usual: float = 1.0) -> Holds:
    lowest, highest = _TABLE.numbers(row)
    return lambda value: lowest <= float(value) / usual <= highest


def _is_one_of(*choices: str) -> Holds:
    return lambda value: value in choices


def _within(limited: str) -> Holds:
    def holds(value: float | str) -> bool:
        (found,) = check(RATINGS[0], tolerances=None, **{limited: float(value)})
        return found.verdict is not Verdict.OUTSIDE

    return holds


def _out_of_limits(readings: Readings) -> Needs:
    def out(name: str) -> Holds:
        return lambda value: place_of(readings.rating, name, float(value)) is Place.OUT

    return {name: out(name) for name in ("cup", "freezer")}


def _heat(readings: Readings) -> Needs:
    if readings.heat_source == "gas":
        usual_pressure = load("practice").number("gas_pressure")
        return {"gas_pressure": _between("gas_pressure", usual_pressure), "flame": _is_one_of("steady blue")}
    volts = nominal_voltage(readings.heat_source)
    amperes = float(Installation.of(readings.like, heat_source=readings.heat_source).heat_input) / volts
    return {"voltage": _between("voltage", volts), "current": _between("current", amperes)}


def _no_better(readings: Readings) -> Needs:
    return {
        OTHER_SOURCE[readings.heat_source]: lambda value: (
            place_of(readings.rating, "cup", float(value)) is Place.OUT
        )
    }


_LEVEL = {"side_level": _within("side_tilt"), "front_level": _within("front_tilt")}
_AIR = {
    "lower_vent_look": _is_one_of("open"),
    "upper_vent_look": _is_one_of("open"),
    "fins": _is_one_of("clean", "dusty"),
    "baffle_gap": _within("baffle_gap"),
    "fan": _is_one_of("none fitted", "blows up"),
}
_USE = {"load": _is_one_of("usual"), "seal": _is_one_of("grips"), "frost": _is_one_of("none", "thin")}
