"""What an installation may measure: clearances, level, and temperatures against their ratings.

Common practice of the trade, no source; the appliance's own instructions come before any of it. The numbers
are those of the tables limits and ratings.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from warmside.data import load
from warmside.errors import InputError
from warmside.model.installation import SIZES

_LIMITS, _RATINGS = load("limits"), load("ratings")


class Verdict(StrEnum):
    """What a measured value means against a limit."""

    WITHIN = "within"
    OUTSIDE = "outside"
    TOO_NEAR = "too near to tell"


@dataclass(frozen=True)
class Check:
    """One measured value against its limit, in SI units.

    Attributes
    ----------
    name, meaning : str
        What was measured, for code and for people.
    measured, tolerance : float
        The value, and how far off the measurement may be.
    lowest, highest : float
        Between which it should be; -inf or inf where there is no such end.
    verdict : Verdict
        Within; outside by more than the measurement may be off; or outside by less, too near to tell.
    source : str
        Who says so.
    """

    name: str
    meaning: str
    measured: float
    tolerance: float
    lowest: float
    highest: float
    verdict: Verdict
    source: str


_CLEARANCES = ("top_gap", "side_gap", "rear_gap", "baffle_gap")
_TILTS = ("side_tilt", "front_tilt")
_TEMPERATURES = {"food_temperature": "food_limit", "freezer_temperature": "freezer_limit"}

TOLERANCES = {
    **dict.fromkeys(_CLEARANCES, _LIMITS.number("tape_accuracy")),
    **dict.fromkeys(_TILTS, _LIMITS.number("level_accuracy")),
    **dict.fromkeys(_TEMPERATURES, _LIMITS.number("thermometer_accuracy")),
}
"""How far off a reading is taken to be [m, rad, K]."""


def check(size: str, *, tolerances: dict[str, float] | None = None, **measured: float) -> list[Check]:
    """Hold what was measured against the limits.

    Parameters
    ----------
    size : str
        "6 cu ft", "8 cu ft" or "18 cu ft".
    tolerances : dict of str to float, optional
        How far off a measurement may be, where it isn't as in `TOLERANCES`.
    **measured : float
        Any of ``top_gap``, ``side_gap``, ``rear_gap``, ``baffle_gap`` [m], ``side_tilt``, ``front_tilt``
        [rad, of either sign], ``food_temperature``, ``freezer_temperature`` [K, at an ambient no higher than
        the rated one].

    Returns
    -------
    list of Check
        One for each measured value, in the order they were given.

    Raises
    ------
    InputError
        If something else was measured, or a value is impossible.

    Examples
    --------
    A gap of 3/8 in at the side, where 1/4 in is the most.

    >>> [found] = check("8 cu ft", side_gap=3 / 8 * 0.0254)
    >>> found.verdict.value
    'outside'
    """
    if size not in SIZES:
        raise InputError(f"size is “{size}”; it must be one of {', '.join(SIZES)}.")
    known = TOLERANCES | (tolerances or {})
    for name in [*measured, *known]:
        if name not in TOLERANCES:
            raise InputError(f"There is no limit for “{name}”; there are {', '.join(TOLERANCES)}.")
    return [_check(size, name, value, known[name]) for name, value in measured.items()]


def _check(size: str, name: str, measured: float, tolerance: float) -> Check:
    if not (np.isfinite(measured) and np.isfinite(tolerance) and tolerance >= 0.0):
        raise InputError(f"{name} is {measured} ± {tolerance}; write numbers, the tolerance not below 0.")
    if name in _CLEARANCES and measured < 0.0:
        raise InputError(f"{name} is {measured:g} m; a gap is 0 or more.")
    lowest, highest = -np.inf, np.inf
    if name in _TEMPERATURES:
        field = _RATINGS.fields[_TEMPERATURES[name]]
        highest = _RATINGS.in_column(field.name, size)
    else:
        field = _LIMITS.fields[name]
        if name == "baffle_gap":
            lowest, highest = _LIMITS.numbers(name)
        else:
            highest = _LIMITS.number(name)
    size_of = abs(measured) if name in _TILTS else measured
    beyond = max(lowest - size_of, size_of - highest)
    digits = 1e-9  # of a conversion between units, which shall not decide
    if beyond <= digits:
        verdict = Verdict.WITHIN
    else:
        verdict = Verdict.TOO_NEAR if beyond <= tolerance + digits else Verdict.OUTSIDE
    return Check(name, field.meaning, measured, tolerance, lowest, highest, verdict, field.source)
