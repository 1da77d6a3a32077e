"""Sizes of refrigerators, and the ratings that stand on their plates.

Three sizes are calibrated: 6 cubic feet for the climate class N, 8 and 18 for class T. What other sizes have
follows from these: a quantity goes with the power of the volume that leads from 8 to 18 cubic feet, in all
classes; class ST lies between N and T, where it holds its rating.

Examples
--------
>>> calibrated("heat_input", "8 cu ft", "T"), round(calibrated("heat_input", "12 cu ft", "T"))
(325.0, 374)
>>> usual_rating("6 cu ft"), usual_rating("12 cu ft")
('N', 'T')
"""

import re
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load
from warmside.errors import InputError
from warmside.model.checks import shortened
from warmside.model.quantity import Choice

_CABINETS, _RATINGS, _PARAMETERS = load("cabinets"), load("ratings"), load("parameters")
SIZES = _CABINETS.columns
"""The calibrated sizes."""
RATINGS = _RATINGS.columns
"""Climate classes, from the coolest to the hottest."""
_NAME = re.compile(r"\s*(\d{1,2}(?:\.\d+)?)\s*(?:cu\.?\s*ft\.?)\s*")
_LEAST, _MOST = _PARAMETERS.fields["size_range"].given  # ft³
_SMALLEST_USUAL_T = _PARAMETERS.fields["smallest_usual_t"].given
_CLASSES = (RATINGS[0], RATINGS[-1], RATINGS[-1])  # of the calibrated sizes
_TOWARDS_T = dict(zip(RATINGS, (0.0, _PARAMETERS.number("st_share"), 1.0), strict=True))


def cubic_feet(size: Any, what: str = "The size") -> float:
    """Return the nominal volume that the name of a size says [ft³].

    Raises
    ------
    InputError
        One sentence, if it is no such name, or a volume beyond 4 to 20 cubic feet.

    Examples
    --------
    >>> cubic_feet("10 cu ft")
    10.0
    """
    found = _NAME.fullmatch(size) if isinstance(size, str) else None
    volume = float(found[1]) if found else np.nan
    if not _LEAST <= volume <= _MOST:
        raise InputError(
            f"{what} is “{shortened(size)}”; it must be a volume from {_LEAST} to {_MOST} cu ft, such as "
            "“8 cu ft”."
        )
    return volume


def usual_rating(size: str) -> str:
    """Return the climate class that is usual for a size: N for small ones, T for others."""
    return RATINGS[0] if cubic_feet(size) < _SMALLEST_USUAL_T else RATINGS[-1]


@cache
def nearest(size: str, rating: str) -> str:
    """Return the calibrated size that is most like a size of a rating.

    Examples
    --------
    >>> nearest("12 cu ft", "T"), nearest("12 cu ft", "N")
    ('8 cu ft', '6 cu ft')
    """
    of_class = SIZES[:1] if rating == RATINGS[0] else SIZES[1:]
    apart = {each: abs(np.log(cubic_feet(size) / cubic_feet(each))) for each in of_class}
    return min(apart, key=lambda each: apart[each])


@cache
def calibrated(quantity: str, size: str, rating: str) -> float:
    """Return a quantity of the table of cabinets for any size and rating, in SI units."""
    row = [_CABINETS.in_column(quantity, each) for each in SIZES]
    volumes = [cubic_feet(each) for each in SIZES]
    volume = cubic_feet(size)
    for known, value, kind in zip(volumes, row, _CLASSES, strict=True):
        if volume == known and rating == kind:
            return value
    power = np.log(row[2] / row[1]) / np.log(volumes[2] / volumes[1])
    as_n, as_t = (row[each] * (volume / volumes[each]) ** power for each in (0, 1))
    towards = _TOWARDS_T[rating]
    return float(as_n ** (1.0 - towards) * as_t**towards)


def elements(size: str) -> int:
    """Return how many elements the mains heater of a size has.

    Examples
    --------
    >>> elements("6 cu ft"), elements("8 cu ft")
    (1, 2)
    """
    return round(calibrated("mains_elements", size, usual_rating(size)))


class Sizes:
    """One size, or an array of them, to look values up by.

    Parameters
    ----------
    names : str or array_like of str
        Such as "8 cu ft".
    what : str, optional
        For the sentence that refuses one.

    Raises
    ------
    InputError
        If one of them is no size.
    """

    def __init__(self, names: ArrayLike, what: str = "size of the installation"):
        names = np.asarray(names)
        self._index = np.full(names.shape, -1)
        self._names = list(SIZES)
        for index, name in enumerate(SIZES):  # quicker than to sort them
            self._index[names == name] = index
        for name in np.unique(names[self._index < 0]) if (self._index < 0).any() else ():
            cubic_feet(name.item() if isinstance(name, np.generic) else name, what)
            self._index[names == name] = len(self._names)
            self._names.append(str(name))

    @property
    def usual_rating(self) -> Any:
        """The climate class that is usual for each."""
        return self._each([usual_rating(name) for name in self._names])

    def of(self, quantity: str, rating: Choice) -> Any:
        """Return a quantity of the table of cabinets for each, of a rating, in SI units."""
        return rating.of(
            {kind: self._each([calibrated(quantity, name, kind) for name in self._names]) for kind in RATINGS}
        )

    def _each(self, values: list[Any]) -> Any:
        if self._index.ndim == 0:
            return values[int(self._index)]
        return np.asarray(values)[self._index]
