"""Tables of numbers and of words, each with its unit if it has one and with where it comes from.

A table is a TOML file in this folder. Every field says what it means, its unit and its source: a published
document, or one of `MARKS` where there is none. A unit or source at the top of the file is that of every
field without its own; a field that lacks one of these is refused. A field with ``names`` holds a square
of numbers, a row and a column for each name. A field with ``texts`` holds words by name, and has no unit.
``python -m warmside.data`` writes them all to a page of the
course.
"""

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from warmside.errors import InputError
from warmside.units import KINDS, Q_, ureg

if TYPE_CHECKING:
    import pint

MARKS = ("common practice, no source", "calibrated here", "from memory", "invented")
PUBLISHED = "published"
_SHORTEST_SOURCE = 12  # characters; less can't name a document
_KEYS = {"meaning", "unit", "source", "kind", "value", "values", "names"}
_KEYS_OF_TEXTS = {"meaning", "source", "texts"}
_SHARED = ("unit", "source")  # may stand at the top for all fields

Value = Any  # float, numpy.ndarray, dict of str to float, or what is given where that is texts
Given = Any  # float, list of float, list of lists, dict of str to float, or of str to text or texts


@dataclass(frozen=True)
class Field:
    """A value, a row of values, or texts, with unit and source.

    Attributes
    ----------
    name, meaning : str
        What code and what people call it.
    given : float, list of float, list of lists or dict of str to float, or to str or tuple of str
        As it stands in the file: one number, several, the rows of a square, or one for each column; or texts
        and lists of texts by their names.
    unit : str
        The unit it is given in; empty for texts.
    kind : str
        The kind of quantity for showing it, one of `warmside.units.KINDS`, or empty.
    source : str
        The published document, or one of `MARKS`, perhaps followed by a semicolon and a remark.
    value : float, numpy.ndarray or dict of str to float
        The same in SI units; texts as they are given.
    names : tuple of str
        Of the rows and columns of a square; none where it is none.
    """

    name: str
    meaning: str
    given: Given
    unit: str
    kind: str
    source: str
    value: Value
    names: tuple[str, ...] = ()

    @property
    def basis(self) -> str:
        """`PUBLISHED` or one of `MARKS`."""
        mark = self.source.partition(";")[0].strip()
        return mark if mark in MARKS else PUBLISHED


@dataclass(frozen=True)
class Table:
    """The fields of one file.

    Attributes
    ----------
    name, title, about : str
        Name of the file without its ending, heading, and what the table is.
    columns : tuple of str
        The columns that every row of values has; none where the table has none.
    fields : mapping of str to Field
        By name, in the order of the file.
    """

    name: str
    title: str
    about: str
    columns: tuple[str, ...]
    fields: MappingProxyType[str, Field]

    def __getitem__(self, name: str) -> Any:
        """Return the value of a field in SI units."""
        return self.fields[name].value

    def number(self, name: str) -> float:
        """Return the value in SI units of a field that holds one number; TypeError if it holds several."""
        value = self.fields[name].value
        if not isinstance(value, float):
            raise TypeError(f"{self.name}, {name}: several numbers stand where one is wanted")
        return value

    def numbers(self, name: str) -> tuple[float, ...]:
        """Return the values in SI units of a field that holds several; TypeError if it holds one."""
        value = self.fields[name].value
        if not isinstance(value, np.ndarray):
            raise TypeError(f"{self.name}, {name}: no list of numbers stands where one is wanted")
        return tuple(value.tolist())

    def in_column(self, name: str, column: str) -> float:
        """Return a field's value in SI units in one column; TypeError if it has none."""
        value = self.fields[name].value
        if not isinstance(value, dict):
            raise TypeError(f"{self.name}, {name}: no columns stand where one is wanted")
        return value[column]

    def column(self, column: str) -> dict[str, float]:
        """Return every field's value in SI units in one column.

        Raises
        ------
        InputError
            If the table has no such column.
        """
        if column not in self.columns:
            raise InputError(
                f"“{column}” was read where one of {', '.join(self.columns)} belongs ({self.title.lower()})."
            )
        return {name: field.value[column] for name, field in self.fields.items()}


def names() -> list[str]:
    """Return the names of the tables there are, in alphabetical order."""
    return sorted(
        file.name.removesuffix(".toml") for file in _folder().iterdir() if file.name.endswith(".toml")
    )


@cache
def load(name: str) -> Table:
    """Load a table of this package.

    Parameters
    ----------
    name : str
        One of `names`, such as ``"cabinets"``.

    Returns
    -------
    Table
        Its fields, values in SI units, with their sources.

    Raises
    ------
    InputError
        If there is no such table, or a field lacks its unit or its source.
    """
    if name not in names():
        raise InputError(f"There is no table “{name}”; there are {', '.join(names())}.")
    return read(_folder() / f"{name}.toml")


def read(path: Traversable) -> Table:
    """Read a table from a file.

    Raises
    ------
    InputError
        One sentence that names the file and the field, and what would be right.
    """
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{path.name} is no TOML file: {error}.") from None
    heading = {key: content.pop(key, None) for key in ("title", "about")}
    for key, text in heading.items():
        if not isinstance(text, str) or not text.strip():
            raise InputError(f'{path.name} begins without its {key}; write {key} = "..." at the top.')
    shared = {key: content.pop(key) for key in _SHARED if isinstance(content.get(key), str)}
    columns = content.pop("columns", [])
    if not isinstance(columns, list) or not all(isinstance(column, str) for column in columns):
        raise InputError(f"{path.name}, columns: write a list of names.")
    fields = {
        name: _field(name, entry, shared, columns, f"{path.name}, field {name}")
        for name, entry in content.items()
    }
    return Table(
        path.name.removesuffix(".toml"), **heading, columns=tuple(columns), fields=MappingProxyType(fields)
    )


def _folder() -> Traversable:
    return files("warmside.data")


def _field(name: str, entry: Any, shared: dict[str, str], columns: list[str], where: str) -> Field:
    if not isinstance(entry, dict):
        raise InputError(f"{where}: {entry!r} stands there without unit and source; write a table with both.")
    if "texts" in entry:
        return _field_of_texts(
            name, {key: shared[key] for key in ("source",) if key in shared} | entry, where
        )
    entry = shared | entry
    if unknown := sorted(entry.keys() - _KEYS):
        raise InputError(f"{where}: “{unknown[0]}” is unknown; a field has {', '.join(sorted(_KEYS))}.")
    for key in ("meaning", "unit", "source"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            raise InputError(f"{where}: no {key} is given; {_WANTED[key]}.")
    source = _source(entry["source"], where)
    kind = entry.get("kind", "")
    unit = _unit(entry["unit"], kind, where)
    names = _names(entry, where)
    given = _square(entry, names, where) if names else _given(entry, columns, where)
    value = _in_si(given, unit)
    return Field(name, entry["meaning"].strip(), given, entry["unit"], kind, source, value, names)


def _field_of_texts(name: str, entry: dict[str, Any], where: str) -> Field:
    if unknown := sorted(entry.keys() - _KEYS_OF_TEXTS):
        raise InputError(f"{where}: “{unknown[0]}” is unknown beside texts; there are meaning and source.")
    for key in ("meaning", "source"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            raise InputError(f"{where}: no {key} is given; {_WANTED[key]}.")
    given = entry["texts"]
    if not isinstance(given, dict) or not given:
        raise InputError(f"{where}: write texts = words by their names.")
    texts = {key: _text(text, f"{where}, {key}") for key, text in given.items()}
    source = _source(entry["source"], where)
    return Field(
        name, entry["meaning"].strip(), MappingProxyType(texts), "", "", source, MappingProxyType(texts)
    )


def _text(given: Any, where: str) -> str | tuple[str, ...]:
    """Return a text, or several; no text is empty."""
    texts = given if isinstance(given, list) else [given]
    if not all(isinstance(text, str) and text.strip() for text in texts):
        raise InputError(f"{where}: {given!r} stands where a text or a list of texts belongs.")
    return tuple(text.strip() for text in texts) if isinstance(given, list) else given.strip()


def _source(given: str, where: str) -> str:
    source = given.strip()
    document = source.partition(";")[0].strip()
    if document not in MARKS and len(document) < _SHORTEST_SOURCE:
        raise InputError(f"{where}: “{source}” is no source; {_WANTED['source']}.")
    return source


def _unit(text: str, kind: Any, where: str) -> "pint.Unit":
    try:
        unit = ureg.parse_units(text)
    except Exception:  # whatever pint raises on what it can't read
        raise InputError(f"{where}: “{text}” is no unit known here; write one such as W/K.") from None
    if kind == "":
        return unit
    if kind not in list(KINDS):
        raise InputError(f"{where}: “{kind}” is no kind of quantity; write one of {', '.join(KINDS)}.")
    if unit.dimensionality != ureg.Unit(KINDS[kind].si).dimensionality:
        raise InputError(f"{where}: “{text}” is no unit of {KINDS[kind].phrase}.")
    return unit


def _names(entry: dict[str, Any], where: str) -> tuple[str, ...]:
    names = entry.get("names", [])
    texts = isinstance(names, list) and all(isinstance(name, str) and name.strip() for name in names)
    if not texts or len(set(names)) < len(names) or ("names" in entry and not names):
        raise InputError(f"{where}: write names = a list of different names, of the rows and columns.")
    return tuple(names)


def _square(entry: dict[str, Any], names: tuple[str, ...], where: str) -> list[list[float]]:
    rows = entry.get("value")
    each = rows if isinstance(rows, list) else []
    if len(each) != len(names) or any(not isinstance(row, list) or len(row) != len(names) for row in each):
        raise InputError(f"{where}: write value = a row for each of the names, of as many numbers.")
    _check_numbers([number for row in each for number in row], where)
    return each


def _given(entry: dict[str, Any], columns: list[str], where: str) -> Given:
    if ("value" in entry) == ("values" in entry):
        raise InputError(
            f"{where}: write either value = a number or a list, or values = one for each column."
        )
    given = entry.get("value", entry.get("values"))
    if columns and (not isinstance(given, dict) or list(given) != columns):
        raise InputError(f"{where}: write values for {', '.join(columns)}, in this order.")
    if isinstance(given, dict) and not columns:
        raise InputError(f"{where}: write value = a number or a list; the table has no columns.")
    numbers = (
        list(given.values()) if isinstance(given, dict) else given if isinstance(given, list) else [given]
    )
    if not numbers:
        raise InputError(f"{where}: an empty list stands where numbers belong.")
    _check_numbers(numbers, where)
    return given


def _check_numbers(numbers: list[Any], where: str) -> None:
    for number in numbers:
        if isinstance(number, bool) or not isinstance(number, int | float) or not math.isfinite(number):
            raise InputError(f"{where}: {number!r} stands where a number belongs.")


def _in_si(given: Given, unit: "pint.Unit") -> Value:
    if isinstance(given, dict):
        return {
            column: float(Q_(float(number), unit).to_base_units().magnitude)
            for column, number in given.items()
        }
    if isinstance(given, list):
        values = np.array([_in_si(number, unit) for number in given])
        values.flags.writeable = False
        return values
    return float(Q_(float(given), unit).to_base_units().magnitude)


_WANTED = {
    "meaning": "say in a few words what it is",
    "unit": 'write one such as "W/K", or "1" for a plain number',
    "source": "name the document and its year, or write one of " + ", ".join(f'"{mark}"' for mark in MARKS),
}
