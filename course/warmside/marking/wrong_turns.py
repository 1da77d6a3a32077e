"""Wrong turns that mistakes of several exercises share, and the conversions that they take."""

from collections.abc import Callable
from typing import overload

import numpy as np

from warmside.marking.exercise import Job
from warmside.marking.kinds import Answer
from warmside.properties.water import FREEZING_POINT


@overload
def fahrenheit(kelvin: float) -> float: ...
@overload
def fahrenheit(kelvin: np.ndarray) -> np.ndarray: ...
def fahrenheit(kelvin: float | np.ndarray) -> float | np.ndarray:
    """Return a temperature in °F."""
    return (kelvin - FREEZING_POINT) * 1.8 + 32.0


@overload
def kelvin(fahrenheit_value: float) -> float: ...
@overload
def kelvin(fahrenheit_value: np.ndarray) -> np.ndarray: ...
def kelvin(fahrenheit_value: float | np.ndarray) -> float | np.ndarray:
    """Return a temperature in K."""
    return (fahrenheit_value - 32.0) / 1.8 + FREEZING_POINT


def read_as_celsius(key: float) -> float:
    """Return what comes of a number of °F written with °C behind it, from the right temperature [K]."""
    return fahrenheit(key) + FREEZING_POINT


def less_32(difference: float) -> float:
    """Return what comes of a difference [K] whose °F are turned to °C as if they were a temperature."""
    return (difference * 1.8 - 32.0) / 1.8


def instead_of(key: Callable[[Job], Answer], given: str, *truths: str) -> Callable[[Job], Answer]:
    """Return the path to a wrong letter.

    Parameters
    ----------
    key : callable
        The item's key.
    given : str
        The wrong letter.
    *truths : str
        On jobs on which the key is one of these; on all where it isn't `given`, without them.

    Returns
    -------
    callable
        From a job to `given`, or None where that is no such mistake.
    """

    def path(job: Job) -> Answer:
        right = key(job)
        return given if right != given and (not truths or right in truths) else None

    return path
