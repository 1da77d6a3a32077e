"""Fuses: what one may carry, at which voltage it may stand, and what is dead when it has blown.

A fuse that opens draws an arc. On alternating current of 120 V, and on direct current far above its
rating, the arc in a small automotive fuse may not go out: the fuse burns instead of opening. So the
voltage printed on it counts as much as the current.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import MORE_THAN_NOTHING, check_name, check_number
from warmside.model.circuit import check_area, gauge_area

_FUSES, _WIRE = load("fuses"), load("wire")
BLADE, CARTRIDGE = "blade", "cartridge"
KINDS = (BLADE, CARTRIDGE)
_MOST_AMPS, _MOST_VOLTS = 500.0, 1000.0
_ROUNDING = 1e-3  # of what is printed on a fuse or worked out from volts and ohms
_GAUGE_ROUNDING = 0.01  # of an area that is given for a gauge, such as 2.08 mm² for 14

DEAD_WHEN_BLOWN = {
    "mains heater fuse": "The mains heater. Gas and battery go on, and the lights of the control stay on.",
    "battery heater fuse": "The battery heater. Mains and gas go on.",
    "control fuse": "The whole control: no lights, no mains, no gas, no battery heat.",
    "panel fuse": "The whole control, and whatever else the panel's circuit feeds: look what else is dead.",
}
"""What stops when a fuse has blown; common practice, no source."""


class Objection(StrEnum):
    """What can be wrong with a fuse in its place."""

    VOLTAGE = "its voltage rating is below the circuit's"
    TOO_SMALL = "its rating is too small for a load that stays on for hours"
    TOO_LARGE = "its rating is larger than what the holder asks for"
    WIRE = "its rating is larger than what the wire can bear"


@dataclass(frozen=True)
class Fuse:
    """A fuse as it is marked.

    Attributes
    ----------
    current_rating : float
        [A].
    voltage_rating : float
        [V].
    """

    current_rating: float
    voltage_rating: float

    def __post_init__(self):
        for name, most, unit in (("current_rating", _MOST_AMPS, "A"), ("voltage_rating", _MOST_VOLTS, "V")):
            right = f"more than 0 and at most {most:g} {unit}"
            check_number(getattr(self, name), f"{name} of the fuse", MORE_THAN_NOTHING, most, right, unit)


def needed_rating(load_current: ArrayLike) -> np.ndarray:
    """Least rating [A] of a fuse for a current [A] that flows for three hours and longer.

    Examples
    --------
    A load of 10 A for hours.

    >>> float(needed_rating(10.0))
    12.5
    """
    return _amps(load_current, "The load") / _FUSES.number("continuous_share")


def next_rating(load_current: float, kind: str) -> float:
    """Return the smallest rating that a kind of fuse comes in and that may carry a load for hours.

    Parameters
    ----------
    load_current : float
        [A].
    kind : str
        "blade" or "cartridge".

    Returns
    -------
    float
        Rating [A].

    Raises
    ------
    InputError
        If there is no such kind, or none so large.

    Examples
    --------
    >>> next_rating(10.0, "blade")
    15.0
    """
    check_name(kind, KINDS, "The kind of fuse")
    ratings = np.array(_FUSES.numbers(f"{kind}_ratings"))
    enough = ratings[ratings >= float(needed_rating(load_current)) * (1.0 - 1e-9)]
    if not enough.size:
        raise InputError(
            f"The load is {load_current:g} A; {kind} fuses go up to {ratings.max():g} A, which may carry "
            f"{ratings.max() * _FUSES['continuous_share']:g} A."
        )
    return float(enough[0])


def fuse_check(
    fuse: Fuse,
    circuit_voltage: float,
    load_current: float,
    holder_rating: float | None = None,
    wire_area: float | None = None,
) -> tuple[Objection, ...]:
    """Say what is wrong with a fuse in its place.

    Parameters
    ----------
    fuse : Fuse
        As it is marked.
    circuit_voltage : float
        Nominal [V].
    load_current : float
        What it carries, for hours [A].
    holder_rating : float, optional
        What stands on the holder or in the appliance's instructions [A].
    wire_area : float, optional
        Of the wire behind it [m²].

    Returns
    -------
    tuple of Objection
        Empty where nothing is wrong; the gravest first.

    Examples
    --------
    A blade fuse of a car in the mains heater's holder.

    >>> fuse_check(Fuse(5.0, 32.0), 120.0, 2.7)[0].value
    "its voltage rating is below the circuit's"
    """
    right = f"from 0 to {_MOST_VOLTS:g} V"
    check_number(circuit_voltage, "The circuit's voltage", 0.0, _MOST_VOLTS, right, "V")
    if holder_rating is not None:
        _amps(holder_rating, "The holder's rating")
    largest = np.inf if wire_area is None else wire_fuse(wire_area)
    most = np.inf if holder_rating is None else holder_rating * (1.0 + _ROUNDING)
    wrong = {
        Objection.VOLTAGE: fuse.voltage_rating < circuit_voltage,
        Objection.WIRE: fuse.current_rating > largest,
        Objection.TOO_LARGE: fuse.current_rating > most,
        Objection.TOO_SMALL: fuse.current_rating < float(needed_rating(load_current)) * (1.0 - _ROUNDING),
    }
    return tuple(objection for objection, applies in wrong.items() if applies)


def wire_fuse(area: float) -> float:
    """Largest fuse [A] for a wire of an area [m²]: that of the next thinner gauge; from memory.

    Wire thinner than the table's thinnest gets so much less as its area is less.

    Examples
    --------
    Gauge 14.

    >>> wire_fuse(float(gauge_area(14)))
    15.0
    """
    area = float(check_area(area))
    areas, fuses = gauge_area(_WIRE.numbers("gauges")), np.array(_WIRE.numbers("gauge_fuse"))
    fitting = fuses[areas <= area * (1.0 + _GAUGE_ROUNDING)]
    return float(fitting.max()) if fitting.size else float(fuses.min() * area / areas.min())


def opening_time(current: ArrayLike, rating: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    """Band of times in which a blade fuse opens, from memory, for pictures and words only.

    Parameters
    ----------
    current, rating : array_like
        Of the fault, and of the fuse, which is more than 0 [A].

    Returns
    -------
    shortest, longest : numpy.ndarray
        [s]; inf below 1.1 times the rating. Between the points of the table on a double-logarithmic line.

    Examples
    --------
    A blade fuse at twice its rating, in seconds.

    >>> shortest, longest = opening_time(30.0, 15.0)
    >>> round(float(shortest), 2), round(float(longest), 2)
    (0.15, 5.0)
    """
    current = check_number(current, "The current", 0.0, 1e6, "from 0 to a million A", "A")
    rating = check_number(
        rating, "The fuse's rating", MORE_THAN_NOTHING, _MOST_AMPS, f"more than 0, to {_MOST_AMPS:g} A", "A"
    )
    multiple = current / rating
    points = np.log(_FUSES.numbers("opening_multiples"))
    with np.errstate(divide="ignore"):
        at = np.log(multiple)

    def between(times: tuple[float, ...]) -> np.ndarray:
        return np.where(at < points[0] - 1e-9, np.inf, np.exp(np.interp(at, points, np.log(times))))

    return between(_FUSES.numbers("opening_shortest")), between(_FUSES.numbers("opening_longest"))


def opens_first(near_rating: float, far_rating: float, current: float) -> bool:
    """Tell whether the fuse near the fault [A] is sure to open before the one nearer the source.

    Parameters
    ----------
    near_rating, far_rating : float
        Ratings of the two blade fuses in series [A].
    current : float
        Of the fault [A].

    Examples
    --------
    Sixty amps through fuses of 5 and 30 A.

    >>> opens_first(5.0, 30.0, 60.0)
    True
    """
    return bool(opening_time(current, near_rating)[1] < opening_time(current, far_rating)[0])


def _amps(current, what):
    return check_number(current, what, 0.0, _MOST_AMPS, f"from 0 to {_MOST_AMPS:g} A", "A")
