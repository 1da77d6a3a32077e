"""The file that holds the job of a real refrigerator: reading it, and one to fill in (TOML).

Any readings, in any units. Each thing that isn't right gets one sentence that names the file, the line or the
field, and all of them are told at once.
"""

import textwrap
import tomllib
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.job import Job, Plate, Who
from warmside.diagnosis.reading import Reading
from warmside.diagnosis.readings import READINGS, Readings
from warmside.errors import InputError
from warmside.hazards import FIRST, STOP_SIGNS, signs_on
from warmside.model.heat_source import ELECTRIC, nominal_voltage
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import RATINGS, cubic_feet, usual_rating
from warmside.units import from_si, read_quantity, show, to_si

HONEST = (
    "This is a teaching model, calibrated to common practice and not validated on measured units. It helps "
    "you to think; it proves nothing."
)
LARGEST_FILE = 64 * 1024
_TABLES: Mapping[str, Collection[str]] = {
    "refrigerator": ("who", "size", "rating", "heat_source", "ambient", "running", "note"),
    "stop_signs": STOP_SIGNS,
    "plate": ("volts", "watts", "ohms", "gas_input"),
    "readings": READINGS,
}
"""Tables of the file, and what may stand in each."""
_RATED = load("ratings").fields["rated_ambient"].value
"""Rated ambients by climate class [K]."""
_SAME_RATING = 1.2  # K; 32 °C, 38 °C and 43 °C are told as 90, 100 and 110 °F
_HOUR = 3600.0  # s
_AGREE = load("job_sheet").number("plate_agrees")
_LOGGED = ("cup", "freezer")
"""Readings of which a list of hourly ones may be given."""
_BURNERS = load("job_sheet").numbers("gas_inputs")
_YES, _NO = ("yes", "y", "true"), ("no", "n", "false")


class _Problems:
    """What is wrong with a file: gathered, so that all of it is told at once."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def of(self, make: Callable[..., Any], *given: Any) -> Any:
        """Return what is made of what was given, or None where that can't be, which is noted."""
        try:
            return make(*given)
        except InputError as problem:
            self.said.append(str(problem))
            return None

    def add(self, sentence: str) -> None:
        """Note a sentence."""
        self.said.append(sentence)

    def end(self) -> None:
        """Raise InputError if there were any."""
        if self.said:
            raise InputError("\n".join(dict.fromkeys(self.said)))


# --- reading ----------------------------------------------------------------------------------------------


def read_job(path: Path) -> Job:
    """Read a job's file.

    Raises
    ------
    InputError
        A sentence for each thing that isn't right, on a line of its own: each names the file, the line or the
        field, and what would be right.
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
        tables = tomllib.loads(_decoded(content))
    except UnicodeDecodeError:
        raise InputError(f"{path} is no text in UTF-8 or UTF-16; save it as plain text.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(
            f'{path} is no TOML file: {error or "it nests too deep"}; write lines such as cup = "41 °F".'
        ) from None
    return _job(path.name, tables)


def _decoded(content: bytes) -> str:
    """Return the text, also as editors of other systems save it."""
    wide = content.startswith((BOM_UTF16_LE, BOM_UTF16_BE))
    return content.decode("utf-16" if wide else "utf-8-sig").replace("\r\n", "\n")


def _job(file: str, tables: dict[str, Any]) -> Job:
    if not tables:
        raise InputError(f"{file} is empty; write a table [refrigerator] and a table [readings].")
    problems = _Problems()
    parts = {name: _table(file, tables, name, problems) for name in _TABLES}
    for name in tables.keys() - _TABLES.keys():
        known = ", ".join(f"[{each}]" for each in _TABLES)
        problems.add(f"{file}, {_short(name)}: this is unknown; a file of readings has the tables {known}.")
    about = parts["refrigerator"]
    size = problems.of(_size, file, about.get("size"))
    rating = problems.of(_rating, file, about["rating"]) if about.get("rating") else None
    source = problems.of(_one_of, file, "heat_source", about.get("heat_source"), HEAT_SOURCES)
    ambient = problems.of(_ambient, file, about.get("ambient"))
    who = problems.of(_one_of, file, "who", about.get("who"), tuple(map(str, Who)))
    running = problems.of(_running, file, about["running"]) if about.get("running") else None
    note = problems.of(_note, file, about.get("note", ""))
    signs = {
        name: problems.of(_yes, file, name, answer)
        for name, answer in parts["stop_signs"].items()
        if answer != ""
    }
    read = {name: given for name, given in parts["readings"].items() if given != "" and source}
    values = {name: problems.of(_reading, file, name, given, source) for name, given in read.items()}
    logged = [len(given) * _HOUR for given in read.values() if isinstance(given, list)]
    plate = problems.of(_plate, file, parts["plate"], source) if source else None
    gas_input = problems.of(_gas_input, file, parts["plate"].get("gas_input", ""))
    problems.end()
    running = running if running is not None else max(logged, default=None)
    readings = Readings(size, source, ambient, values, rating or usual_rating(size), running)
    return Job(readings, Who(who), signs, plate, note, gas_input)


def _table(file: str, tables: dict[str, Any], name: str, problems: _Problems) -> dict[str, Any]:
    table = tables.get(name, {})
    if not isinstance(table, dict):
        problems.add(f"{file}, {name}: a value stands where the table [{name}] belongs.")
        return {}
    for key in table.keys() - set(_TABLES[name]):
        known = ", ".join(_TABLES[name])
        problems.add(f"{file}, {_short(key)}: this is unknown in [{name}]; there are {known}.")
    return {key: given for key, given in table.items() if key in _TABLES[name]}


def _short(given: Any) -> str:
    return " ".join(str(given)[:40].split())


def _read(given: Any) -> str:
    """Say what stands in a field that is none of what may."""
    return "nothing stands there" if given is None or given == "" else f"“{_short(given)}” was read"


def _one_of(file: str, name: str, value: Any, allowed: tuple[str, ...]) -> str:
    said = value.strip().lower() if isinstance(value, str) else value
    if said not in allowed:
        raise InputError(
            f"{file}, {name}: {_read(value)}; write one of {', '.join(allowed)} in [refrigerator]."
        )
    return said


def _note(file: str, given: Any) -> str:
    if not isinstance(given, str):
        raise InputError(f"{file}, note: {_short(given)} stands where a text in quotes belongs.")
    return given


def _yes(file: str, name: str, given: Any) -> bool:
    """Return whether a stop sign was found; who isn't sure has found it."""
    said = given if isinstance(given, bool) else str(given).strip().lower()
    if said is True or said in (*_YES, "not sure", "maybe", "?"):
        return True
    if said is False or said in _NO:
        return False
    raise InputError(
        f"{file}, {name}: {_read(given)}; write yes, no, or not sure: {STOP_SIGNS[name].question}"
    )


def _size(file: str, given: Any) -> str:
    try:
        cubic_feet(given)
    except InputError:
        raise InputError(
            f"{file}, size: {_read(given)}; write the volume in [refrigerator], from 4 to 20 cu ft: "
            'size = "8 cu ft".'
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


def _running(file: str, given: Any) -> float:
    running = _quantity(file, "running", given, "time", "24 h")
    if not 0.0 <= running <= 1e4 * _HOUR:
        raise InputError(f"{file}, running: “{_short(given)}” was read; write how long it ran, as in 24 h.")
    return running


def _plate(file: str, given: dict[str, Any], source: str) -> Plate | None:
    """Return what the plate says of the heater in use; None where it says too little, or there is no "
    "heater."""
    kinds = {"volts": ("voltage", "120 V"), "watts": ("power", "325 W"), "ohms": ("resistance", "44 ohm")}
    told = {name: text for name, text in given.items() if name in kinds and text != ""}
    said = {name: _quantity(file, name, text, *kinds[name]) for name, text in told.items()}
    for name, value in said.items():
        if not value > 0.0:
            raise InputError(f"{file}, {name}: “{_short(given[name])}” was read; write what the plate says.")
    if source not in ELECTRIC or not {"watts", "ohms"} & said.keys():
        return None
    volts = said.get("volts", nominal_voltage(source))
    plates = [Plate(volts, said["watts"])] if "watts" in said else []
    plates += [Plate(volts, volts**2 / said["ohms"])] if "ohms" in said else []
    if abs(plates[0].power / plates[-1].power - 1.0) > _AGREE:
        raise InputError(
            f"{file}, plate: {said['watts']:g} W at {volts:g} V make {plates[0].resistance:.3g} ohm, but "
            f"{said['ohms']:g} ohm stand there; leave away what the plate doesn't say."
        )
    return plates[0]


def _gas_input(file: str, given: Any) -> float | None:
    """Return the heat that the plate gives the burner [W]; None where nothing stands there."""
    if given == "":
        return None
    heat = _quantity(file, "gas_input", given, "power", "1700 Btu/h")
    lowest, highest = _BURNERS
    if not lowest <= heat <= highest:
        raise InputError(
            f"{file}, gas_input: “{_short(given)}” was read; write what the plate says, as in 1700 Btu/h."
        )
    return heat


def _quantity(file: str, name: str, text: Any, kind: str, example: str) -> float:
    if not isinstance(text, str) or not text.strip():
        said = _read(None) if text in (None, "") else f"{_short(text)} was read, without quotes or unit"
        raise InputError(f'{file}, {name}: {said}; write {name} = "{example}".')
    try:
        return to_si(read_quantity(text, kind), kind)
    except InputError as problem:
        raise InputError(f"{file}, {name}: {problem}") from None


def _reading(file: str, name: str, given: Any, source: str) -> float | str:
    reading = READINGS[name]
    if source not in reading.heat_sources:
        raise InputError(
            f"{file}, {name}: this is read on {' or '.join(reading.heat_sources)}, but heat_source is "
            f"{source}."
        )
    if isinstance(given, list) and given and name in _LOGGED:
        return float(np.mean([_one_reading(file, reading, each) for each in given]))
    return _one_reading(file, reading, given)


def _one_reading(file: str, reading: Reading, text: Any) -> float | str:
    name = reading.name
    if not isinstance(text, str):
        right = f'{name} = "{reading.written}"'
        raise InputError(f"{file}, {name}: {_short(text)} was read, without quotes or unit; write {right}.")
    try:
        return reading.from_text(text)
    except InputError as problem:
        raise InputError(f"{file}, {name}: {problem}") from None


# --- a file to fill in ------------------------------------------------------------------------------------


def template(heat_source: str = "") -> str:
    """Return a file to fill in: what stops a job first, then every reading with its minutes and its caution.

    Without a heat source it asks for that, too, and offers the readings of all.
    """
    sources = (heat_source,) if heat_source else HEAT_SOURCES
    classes = ", ".join(RATINGS)
    asked_of_it = (
        ("who", "", f"who asks: {' or '.join(Who)}"),
        ("size", "", "its volume, from 4 to 20 cu ft, such as 8 cu ft"),
        ("rating", "", f"on its plate: 90, 100, 110 °F, or {classes}; empty for the usual one"),
        ("heat_source", heat_source, f"on which it ran: {', '.join(HEAT_SOURCES)}"),
        ("ambient", "", "outside, in the shade, while you read, such as 96 °F; or a list of hourly ones"),
        ("running", "", "how long it had run when cup and freezer were read, such as 24 h"),
        ("note", "", "for yourself: vehicle, place, day"),
    )
    lines = [
        "# One refrigerator's job, for “warmside job-sheet”. Write between the quotes what you have and "
        "leave",
        "# the rest empty. Any unit will do, but write it: 41 °F, 5 °C, 1/4 in, 6 mm, 118 V.",
        *_commented(HONEST),
        *_commented(FIRST),
        "",
        "[refrigerator]",
        *(f"{f'{name} = {chr(34)}{value}{chr(34)}':22} # {what}" for name, value, what in asked_of_it),
        "",
        "[stop_signs]",
        "# Look and smell before you read anything. Answer each: yes, no, or not sure. One yes ends the job,",
        "# and the sheet then says what to do, and nothing else.",
    ]
    asked = dict.fromkeys(sign for source in sources for sign in signs_on(source))
    for sign in asked:
        lines += ["", *_commented(sign.question), f'{sign.name} = ""']
    lines += ["", "[plate]", "# As the plate has it; empty for what is usual at this size."]
    if set(sources) & set(ELECTRIC):
        lines += [f'{name} = ""    # of the heater in use' for name in ("volts", "watts", "ohms")]
    if "gas" in sources:
        lines += ['gas_input = ""    # of the burner, such as 1700 Btu/h']
    lines += ["", "[readings]"]
    for reading in READINGS.values():
        on = [source for source in sources if source in reading.heat_sources]
        if on:
            lines += _asked(reading, on, bool(heat_source))
    return "\n".join(lines) + "\n"


def _asked(reading: Reading, sources: list[str], is_told: bool) -> list[str]:
    some = "" if is_told or set(sources) == set(HEAT_SOURCES) else f" (on {' or '.join(sources)})"
    cautions = dict.fromkeys(text for source in sources for text in reading.cautions(source))
    words = ", ".join(reading.choices) or " or ".join([reading.written, *reading.words])
    lines = ["", f"# {reading.title}{some}; {reading.minutes:g} min", *_commented(" ".join(cautions))]
    return [*lines, f'{reading.name} = ""    # {words}']


def write_template(path: Path, heat_source: str = "") -> None:
    """Write the file to fill in.

    Raises
    ------
    InputError
        If there is a file already, or no such heat source.
    """
    if heat_source and heat_source not in HEAT_SOURCES:
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
