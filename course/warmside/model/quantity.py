"""What a field of an installation is: said once, where it is declared, and used for all that follows.

Examples
--------
>>> @described
... @dataclass
... class Shelf:
...     'A shelf.'
...     width: float = number("Width", "m", 0.5, "a length", 0.0, 5.0)
...     place: str = one_of("Where it is", ("top", "middle"), "top")
...     lamp: object = part("A lamp")
>>> list(quantities(Shelf))
['width', 'place', 'lamp']
>>> quantities(Shelf)["width"].check("width", 6.0)
Traceback (most recent call last):
    ...
warmside.errors.InputError: width of the installation is 6; it must be a length from 0 to 5 m.
>>> print(Shelf.__doc__.splitlines()[5].strip())
Width [m]; a length from 0 to 5 m.
>>> first_bad(np.array([1.0, 6.0, 7.0]), np.array([False, True, True]))
6.0
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from warmside.errors import InputError


class Choice:
    """One of several names, or an array of them, to look values up by.

    Parameters
    ----------
    names : str or array_like of str
        What is chosen.
    allowed : tuple of str
        The names there are.
    what : str
        What is chosen among, for the sentence that refuses another name.

    Raises
    ------
    InputError
        If a name is none of these.
    """

    def __init__(self, names: ArrayLike, allowed: tuple[str, ...], what: str):
        names = np.asarray(names)
        self._allowed = allowed
        self._index = np.full(names.shape, -1)
        for index, name in enumerate(allowed):
            self._index[names == name] = index
        if (self._index < 0).any():
            raise InputError(
                f"{what} of the installation is “{names[self._index < 0].flat[0]}”; it must be one of "
                f"{', '.join(allowed)}."
            )

    def of(self, values: Mapping[str, Any]) -> Any:
        """Return for each name its value; arrays of values are looked up at the name's own place."""
        listed = [values[name] for name in self._allowed]
        if self._index.ndim == 0:
            return listed[int(self._index)]
        return np.choose(self._index, listed)


Chosen = Mapping[str, Any]
"""What the fields before have: a `Choice` for each name, what a reader made of it, or the value."""


@dataclass(frozen=True)
class Quantity:
    """What a field of `Installation` is. Everything that is said or checked of it is made from this.

    Attributes
    ----------
    meaning : str
        In words.
    unit : str
        "1" for a plain number; empty for what is no number.
    usual : number, str, None or callable
        In a correct installation; or a function of what the fields before have, which returns it.
    allowed : tuple of str
        The names there are, for a field that is a name.
    lowest, highest : float
        Of a number, in its unit.
    must_be : str
        What it must be, in words, for the sentence that refuses it.
    reader : callable, optional
        Makes of a name, or of an array of them, what fields that follow look their values up by.
    """

    meaning: str
    unit: str
    usual: Any
    allowed: tuple[str, ...] = ()
    lowest: float = -np.inf
    highest: float = np.inf
    must_be: str = ""
    reader: Callable[[Any], Any] | None = None

    def usual_for(self, chosen: Chosen) -> Any:
        """Return what is usual for what the fields before have."""
        return self.usual(chosen) if callable(self.usual) else self.usual

    def read(self, name: str, value: Any) -> Any:
        """Return what fields that follow are to know of a value: a `Choice`, what the reader makes, or it."""
        if self.reader:
            return self.reader(value)
        return Choice(value, self.allowed, name) if self.allowed else value

    def check(self, name: str, value: Any) -> None:
        """Refuse a value that can't be.

        Raises
        ------
        InputError
            One sentence with the value and what it must be.
        """
        if self.reader or not self.must_be:
            return
        try:
            numbers = np.asarray(value, dtype=float)
        except (TypeError, ValueError):
            raise InputError(f"{name} of the installation is {value!r}; it must be {self.must_be}.") from None
        bad = ~((numbers >= self.lowest) & (numbers <= self.highest))
        if np.any(bad):
            raise InputError(
                f"{name} of the installation is {first_bad(numbers, bad):.6g}; it must be {self.must_be}."
            )

    @property
    def described(self) -> str:
        """Meaning with unit and what it must be, for the docstring."""
        unit = f" [{self.unit}]" if self.unit not in ("", "1") else ""
        must_be = f"one of {', '.join(self.allowed)}" if self.allowed else self.must_be
        return f"{self.meaning}{unit}{'; ' if must_be else ''}{must_be}."


def number(
    meaning: str,
    unit: str,
    usual: float | Callable[[Chosen], Any],
    what: str = "a number",
    lowest: float = -np.inf,
    highest: float = np.inf,
    must_be: str = "",
) -> Any:
    """Declare a field that is a number or an array of numbers.

    Parameters
    ----------
    meaning, unit, usual, lowest, highest
        As in `Quantity`.
    what : str, optional
        What it is by kind: "a length".
    must_be : str, optional
        As in `Quantity`; "a length from 0 to 5 m", where it isn't given.
    """
    of_unit = "" if unit == "1" else f" {unit}"
    must_be = must_be or f"{what} from {lowest:g} to {highest:g}{of_unit}"
    return _declared(Quantity(meaning, unit, usual, (), lowest, highest, must_be))


def one_of(meaning: str, allowed: tuple[str, ...], usual: Any) -> Any:
    """Declare a field that is one of several names, or an array of them."""
    return _declared(Quantity(meaning, "", usual, allowed))


def named(meaning: str, must_be: str, reader: Callable[[Any], Any]) -> Any:
    """Declare a field that is a name, or an array of them, which its reader reads or refuses.

    Examples
    --------
    >>> @dataclass
    ... class Pipe:
    ...     width: str = named("Nominal width", "a width in mm", lambda text: float(text.removesuffix(" mm")))
    >>> quantities(Pipe)["width"].read("width", "12 mm")
    12.0
    """
    return _declared(Quantity(meaning, "", None, must_be=must_be, reader=reader))


def part(meaning: str, usual: Any = None) -> Any:
    """Declare a field that is a part of its own, or None where there is none."""
    return _declared(Quantity(meaning, "", usual))


def _declared(quantity: Quantity) -> Any:
    return field(kw_only=True, metadata={"quantity": quantity})


def quantities(cls: type) -> dict[str, Quantity]:
    """Return what each field of a class is, by name, in the order they are declared."""
    return {each.name: each.metadata["quantity"] for each in fields(cls) if each.metadata}


_Class = TypeVar("_Class", bound=type)


def described(cls: _Class) -> _Class:
    """Write the fields of a class into its docstring."""
    listed = "\n".join(f"{name}\n    {what.described}" for name, what in quantities(cls).items())
    cls.__doc__ = f"{inspect.cleandoc(cls.__doc__ or '')}\n\nAttributes\n----------\n{listed}\n"
    return cls


def first_bad(values: np.ndarray, bad: np.ndarray) -> float:
    """Return the first of the values that are bad, for the sentence that refuses it."""
    return float(np.broadcast_to(values, np.shape(bad))[bad].flat[0])
