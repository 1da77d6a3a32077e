"""The file that holds the readings of a real refrigerator: reading it, and one to fill in (TOML).

Any readings, in any units. What isn't right gets one sentence that names the file, the line or the field.
"""

import math
import textwrap
import tomllib
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.reading import Reading
from warmside.diagnosis.readings import READINGS, Readings, readable
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import RATINGS, cubic_feet, usual_rating
from warmside.units import from_si, read_quantity, show, to_si

HONEST = (
    "This is a teaching model, calibrated to common practice and not validated on measured units. It helps "
    "you to think; it proves nothing. Local codes, the appliance's own instructions and licensed practice "
    "come first."
)
STOP_SIGNS = (
    "Stop where you smell gas or ammonia, see yellow residue, soot or scorch marks, or find water in the "
    "wiring: shut off gas and power, let air in, no flames and no switches, keep out, and call a qualified "
    "person."
)
LARGEST_FILE = 64 * 1024
_TABLES = ("refrigerator", "readings")
_RATED = load("ratings").fields["rated_ambient"].value
"""Rated ambients by climate class [K]."""
_SAME_RATING = 1.2  # K; 32 °C, 38 °C and 43 °C are told as 90, 100 and 110 °F
_CONTEXT = ("size", "rating", "heat_source", "ambient", "note")


# ----------------------------------------------------------------------------------------------


def read_readings(path: Path) -> tuple[Readings, str]:
    """Read a file of readings, and its note.

    Raises
    ------
    InputError
        One sentence that names the file, the line or the field, and what would be right.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except (FileNotFoundError, IsADirectoryError):
        raise InputError(
            f"{path} is no file; make one with “warmside job-sheet {path} --template”."
        ) from None
    if len(content) > LARGEST_FILE:
        raise InputError(
            f"{path} is larger than {LARGEST_FILE // 1024} kB; a file of readings is a page of text."
        )
    try:
        tables = tomllib.loads(content.decode("utf-8"))
    except UnicodeDecodeError:
        raise InputError(f"{path} is no text in UTF-8; save it as plain text.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(
            f'{path} is no TOML file: {error or "it nests too deep"}; write lines such as cup = "41 °F".'
        ) from None
    return _readings(path.name, tables)


def _readings(file: str, tables: dict[str, Any]) -> tuple[Readings, str]:
    if not tables:
        raise InputError(f"{file} is empty; write a table [refrigerator] and a table [readings].")
    for name, table in tables.items():
        if name not in _TABLES:
            raise InputError(
                f"{file}, {name}: this is unknown; a file of readings has the tables [refrigerator] and "
                "[readings]."
            )
        if not isinstance(table, dict):
            raise InputError(f"{file}, {name}: a value stands where the table [{name}] belongs.")
    about = tables.get("refrigerator", {})
    for name in about:
        if name not in _CONTEXT:
            raise InputError(
                f"{file}, {name}: this is unknown in [refrigerator]; there are {', '.join(_CONTEXT)}."
            )
    size = _size(file, about.get("size"))
    rating = _rating(file, about["rating"]) if "rating" in about else usual_rating(size)
    source = _one_of(file, "heat_source", about.get("heat_source"), HEAT_SOURCES)
    ambient = _ambient(file, about.get("ambient"))
    note = about.get("note", "")
    if not isinstance(note, str):
        raise InputError(f"{file}, note: {note!r} stands where a text in quotes belongs.")
    values = {name: _reading(file, name, text, source) for name, text in tables.get("readings", {}).items()}
    return Readings(size, source, ambient, values, rating), note


def _short(given: Any) -> str:
    return " ".join(str(given)[:40].split())


def _one_of(file: str, name: str, value: Any, allowed: tuple[str, ...]) -> str:
    if value not in allowed:
        said = "nothing stands there" if value is None else f"“{_short(value)}” was read"
        raise InputError(f"{file}, {name}: {said}; write one of {', '.join(allowed)} in [refrigerator].")
    return value


def _size(file: str, given: Any) -> str:
    try:
        cubic_feet(given)
    except InputError:
        said = "nothing stands there" if given is None else f"“{_short(given)}” was read"
        raise InputError(
            f'{file}, size: {said}; write the volume in [refrigerator], from 4 to 20 cu ft: size = "8 cu ft".'
        ) from None
    return given


def _rating(file: str, given: Any) -> str:
    """Return the climate class that a plate says by its letter or by its temperature."""
    if isinstance(given, str) and given.strip().upper() in RATINGS:
        return given.strip().upper()
    wanted = ", ".join(
        f"{each} ({show(from_si(ambient, 'temperature'), digits=0)})" for each, ambient in _RATED.items()
    )
    with suppress(InputError):
        ambient = _quantity(file, "rating", given, "temperature", "110 °F")
        for each, rated in _RATED.items():
            if abs(ambient - rated) <= _SAME_RATING:
                return each
    raise InputError(
        f"{file}, rating: “{_short(given)}” was read; write what the plate says: one of {wanted}, by letter "
        "or temperature."
    )


def _ambient(file: str, given: Any) -> float:
    """Return the ambient [K]; a list of hourly ones counts as their mean."""
    texts = given if isinstance(given, list) and given else [given]
    hours = [_quantity(file, "ambient", text, "temperature", "96 °F") for text in texts]
    ambient = float(np.mean(hours))
    if not 255.0 <= ambient <= 335.0:
        raise InputError(
            f"{file}, ambient: {show(from_si(ambient, 'temperature'))} was read; write the air outside "
            "at the hours of the readings, from 0 °F to 140 °F."
        )
    return ambient


def _quantity(file: str, name: str, text: Any, kind: str, example: str) -> float:
    if not isinstance(text, str):
        said = "nothing stands there" if text is None else f"{_short(text)} was read, without quotes or unit"
        raise InputError(f'{file}, {name}: {said}; write {name} = "{example}".')
    try:
        return to_si(read_quantity(text, kind), kind)
    except InputError as problem:
        raise InputError(f"{file}, {name}: {problem}") from None


def _reading(file: str, name: str, text: Any, source: str) -> float | str:
    if name not in READINGS:
        raise InputError(f"{file}, {name}: this reading is unknown; there are {', '.join(READINGS)}.")
    reading = READINGS[name]
    if source not in reading.heat_sources:
        raise InputError(
            f"{file}, {name}: this is read on {' or '.join(reading.heat_sources)}, but heat_source is "
            f"{source}."
        )
    if not isinstance(text, str):
        raise InputError(
            f"{file}, {name}: {_short(text)} was read, without quotes or unit; write {name} = "
            f'"{reading.written}".'
        )
    said = text.strip().lower()
    if reading.choices and said not in reading.choices:
        raise InputError(
            f"{file}, {name}: “{_short(text)}” was read; write one of {', '.join(reading.choices)}."
        )
    if not reading.choices and said not in reading.words:
        value = _quantity(file, name, text, reading.kind, reading.written)
        if not reading.lowest <= value <= reading.highest:
            raise InputError(
                f"{file}, {name}: “{_short(text)}” was read; {_range(reading)} would make sense."
            )
    return reading.from_text(text)


def _range(reading: Reading) -> str:
    lowest, highest = (
        "" if math.isinf(end) else show(from_si(end, reading.kind), kind=reading.kind)
        for end in (reading.lowest, reading.highest)
    )
    return f"from {lowest} to {highest}" if highest else f"{lowest} and more"


def template(heat_source: str = "mains") -> str:
    """Return a file to fill in, every reading commented out, with its minutes and its caution."""
    lines = [
        "# Readings of one refrigerator, for “warmside job-sheet”. Fill in what you have and take the # "
        "away;",
        "# leave the rest. Any unit will do, but write it: 41 °F, 5 °C, 1/4 in, 6 mm, 118 V.",
        *_commented(STOP_SIGNS),
        *_commented(HONEST),
        "",
        "[refrigerator]",
        'size = "8 cu ft"         # its volume, from 4 to 20 cu ft',
        f'# rating = "110 °F"     # on its plate: 90, 100, 110 °F, or {", ".join(RATINGS)}; or the usual one',
        f'heat_source = "{heat_source}"    # on which it ran: {", ".join(HEAT_SOURCES)}',
        'ambient = "96 °F"        # outside, in the shade, while you read; or a list of hourly ones',
        'note = ""                # for yourself: vehicle, place, day',
        "",
        "[readings]",
    ]
    for name in readable(heat_source):
        reading = READINGS[name]
        lines += ["", f"# {reading.title}; {reading.minutes:g} min"]
        lines += _commented(" ".join(reading.cautions(heat_source)))
        words = reading.choices or reading.words
        said = f"    # or {', '.join(words)}" if words and not reading.choices else ""
        said = f"    # {', '.join(words)}" if reading.choices else said
        lines.append(f'# {name} = "{reading.written}"{said}')
    return "\n".join(lines) + "\n"


def write_template(path: Path, heat_source: str = "mains") -> None:
    """Write the file to fill in.

    Raises
    ------
    InputError
        If there is a file already, or no such heat source.
    """
    if heat_source not in HEAT_SOURCES:
        raise InputError(f"heat source: “{heat_source}” was read; write one of {', '.join(HEAT_SOURCES)}.")
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(template(heat_source))
    except FileExistsError:
        raise InputError(f"{path} is there already; give another name, or move it away first.") from None
    except FileNotFoundError:
        raise InputError(f"{path.parent} is no folder; make it first, or give another.") from None


def _commented(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(text, 100)]
