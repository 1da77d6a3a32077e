"""Refusing what is no number, out of range or unknown: one sentence, before anything is computed."""

from collections.abc import Collection
from typing import Any

import numpy as np

from warmside.errors import InputError

MORE_THAN_NOTHING = float(np.nextafter(0.0, 1.0))
"""The least that is more than 0, as the lower end of a range."""


def check_number(
    values: Any, what: str, lowest: float, highest: float, right: str, unit: str = "", scale: float = 1.0
) -> np.ndarray:
    """Return numbers as an array, or refuse what is none or lies outside.

    Parameters
    ----------
    values : array_like
        What was given.
    what : str
        What it is, as the sentence begins.
    lowest, highest : float
        The range, ends included.
    right : str
        What would be right, as the sentence ends.
    unit, scale : optional
        Unit that the sentence shows the value in, and how many of it one of `values` makes.

    Raises
    ------
    InputError
        One sentence, on the first value that is wrong; text, None, True and an empty list are no numbers.

    Examples
    --------
    >>> check_number(120, "The voltage", 0.0, 1000.0, "from 0 to 1000 V", "V").item()
    120.0
    >>> check_number(-5, "The voltage", 0.0, 1000.0, "from 0 to 1000 V", "V")
    Traceback (most recent call last):
        ...
    warmside.errors.InputError: The voltage is -5 V; it must be from 0 to 1000 V.
    """
    try:
        array = np.asarray("" if hasattr(values, "units") else values)  # pint would drop the unit
    except ValueError:  # lists of different lengths
        array = np.asarray("")
    if array.dtype.kind not in "iuf" or array.size == 0:
        raise InputError(f"{what} is {_short(values)}; it must be {right}.")
    array = array.astype(float)
    bad = ~((array >= lowest) & (array <= highest))
    if np.any(bad):
        wrong = np.atleast_1d(array)[np.atleast_1d(bad)][0] * scale
        raise InputError(f"{what} is {wrong:g}{' ' * bool(unit)}{unit}; it must be {right}.")
    return array


def check_name(name: Any, allowed: Collection[str], what: str) -> None:
    """Raise an `InputError` where a name is none of those allowed.

    Examples
    --------
    >>> check_name("gas", ("mains", "gas"), "The heat source")
    >>> check_name("gass", ("mains", "gas"), "The heat source")
    Traceback (most recent call last):
        ...
    warmside.errors.InputError: The heat source is 'gass'; it must be one of mains, gas.
    """
    if not isinstance(name, str) or name not in allowed:
        raise InputError(f"{what} is {_short(name)}; it must be one of {', '.join(allowed)}.")


def _short(value):
    return shortened(repr(value))


def shortened(value: Any) -> str:
    """Return a value as text on one line, cut where it is long.

    Examples
    --------
    >>> shortened("x" * 100)[-3:]
    'xx…'
    """
    shown = " ".join(str(value).split())
    return shown if len(shown) <= 40 else f"{shown[:40]}…"
