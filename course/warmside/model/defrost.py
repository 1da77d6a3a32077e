"""Defrosts that come by themselves: when they come, and when to power up so that none comes at a bad time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from warmside.errors import InputError

_DAY = 86400.0
_MINUTE = 60.0


@dataclass(frozen=True)
class TimedDefrost:
    """A defrost that the control starts by the clock since power-up.

    No times are usual: read them off the papers of the appliance at hand.

    Attributes
    ----------
    first : float
        From power-up to the first defrost [s].
    interval : float
        From the beginning of one to the beginning of the next [s].
    duration : float
        How long one takes [s].
    heater : float
        Heat that it puts into the food compartment [W]; 0 where the unit only stops.
    """

    first: float
    interval: float
    duration: float
    heater: float = 0.0

    def __post_init__(self):
        for name in ("first", "interval", "duration", "heater"):
            value = getattr(self, name)
            if not (np.isfinite(value) and value >= 0.0):
                raise InputError(f"{name} of the timed defrost is {value}; it must be a number from 0 on.")
        if not self.duration < self.interval:
            raise InputError(
                f"duration of the timed defrost is {self.duration / 3600:.3g} h; it must be shorter than the "
                f"interval of {self.interval / 3600:.3g} h."
            )

    def starts(self, until: float) -> np.ndarray:
        """Return when defrosts begin [s since power-up], up to a time."""
        return np.arange(self.first, until, self.interval)

    def active(self, since_power_up: ArrayLike) -> np.ndarray:
        """Return whether a defrost is on at these times since power-up [s]."""
        after = np.asarray(since_power_up, dtype=float) - self.first
        return (after >= 0.0) & (np.mod(after, self.interval) < self.duration)


@dataclass(frozen=True)
class DefrostPlan:
    """When to power up.

    Attributes
    ----------
    windows : tuple of (float, float)
        From and to which time of day powering up keeps all defrosts out of the busy hours [s]; the end may
        lie after midnight, beyond 86,400 s.
    defrosts : int
        How many defrosts were looked at.
    """

    windows: tuple[tuple[float, float], ...]
    defrosts: int

    @property
    def possible(self) -> bool:
        """Whether there is such a time."""
        return bool(self.windows)


def defrost_plan(
    defrost: TimedDefrost, busy_from: float, busy_to: float, *, days: float = 14.0
) -> DefrostPlan:
    """Find when to power up so that no timed defrost falls into the busy hours of any day.

    Parameters
    ----------
    defrost : TimedDefrost
        When they come after power-up.
    busy_from, busy_to : float
        Times of day between which no defrost may run [s]; they may go over midnight.
    days : float
        For how many days after power-up.

    Returns
    -------
    DefrostPlan
        To the minute. No window where it can't be done: because a defrost lasts longer than the quiet hours,
        or because defrosts that aren't a whole number of days apart wander through the day.

    Raises
    ------
    InputError
        If a time of day is none.

    Examples
    --------
    Invented times, first after 30 hours and then each day for an hour, that stay clear of the time from 6 to
    22 o'clock: when to power up, in hours.

    >>> plan = defrost_plan(TimedDefrost(30 * 3600, 24 * 3600, 3600), 6 * 3600, 22 * 3600)
    >>> [(begin / 3600, round(end / 3600, 2)) for begin, end in plan.windows]
    [(16.0, 23.02)]
    """
    for name, value in (("busy_from", busy_from), ("busy_to", busy_to)):
        if not 0.0 <= value <= _DAY:
            raise InputError(f"{name} is {value} s; a time of day is from 0 to 86400 s.")
    if not days > 0.0:
        raise InputError(f"days is {days}; it must be more than 0.")
    busy = np.mod(busy_to - busy_from, _DAY) or (_DAY if busy_to != busy_from else 0.0)
    starts = defrost.starts(days * _DAY)
    power_up = np.arange(0.0, _DAY, _MINUTE)
    begins = np.mod(power_up[:, np.newaxis] + starts - busy_from, _DAY)  # after the busy hours' beginning
    clear = (begins >= busy) & (begins + defrost.duration <= _DAY)
    if busy == 0.0:
        clear = np.ones_like(clear)
    return DefrostPlan(_windows(clear.all(axis=1), power_up), starts.size)


def _windows(good: np.ndarray, times: np.ndarray) -> tuple[tuple[float, float], ...]:
    """Return the stretches of good times on a day that goes round."""
    if good.all():
        return ((0.0, _DAY),)
    edges = np.flatnonzero(good != np.roll(good, 1))
    begins, ends = edges[good[edges]], edges[~good[edges]]
    return tuple(
        (float(times[begin]), float(times[begin] + np.mod(ends - begin, good.size).min() * _MINUTE))
        for begin in begins
    )
