"""A real refrigerator's readings: what is within limits, what may be wrong, what to measure next.

`read_readings` takes a TOML file of any readings in any units; `job_sheet` says what they mean. It is a
teaching model that answers, calibrated to common practice and not validated on measured units, and it says
so.
"""

import math
import textwrap
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis.bank import NAMES, Bank, numbers_of, usual_bank
from warmside.diagnosis.faults import FAULTS, OPEN_CIRCUIT, Label
from warmside.diagnosis.inference import NextReading, Smoothing, Tie, explain, next_reading
from warmside.diagnosis.readings import (
    ABSENT_BAFFLE,
    AMBIENT_ERROR,
    READINGS,
    Reading,
    Readings,
    from_text,
    readable,
)
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES
from warmside.model.limits import Check, Verdict, check
from warmside.units import KINDS, from_si, read_quantity, show, to_si

HONEST = (
    "This is a teaching model, calibrated to common practice and not validated on measured units. It "
    "helps you "
    "to think; it proves nothing. Local codes, the appliance's own instructions and licensed practice "
    "come first."
)
STOP_SIGNS = (
    "Stop where you smell gas or ammonia, see yellow residue, soot or scorch marks, or find water in the "
    "wiring: "
    "shut off gas and power, let air in, no flames and no switches, keep out, and call a qualified person."
)
SETTLED, LIKELY = 0.9, 0.5
"""Chances from which an explanation counts as settled (9 to 1), and as likely."""
SOUND = 2.0
"""No fault is named where it is that much likelier than any other that nothing is wrong."""
LEAST_SHOWN, MOST_SHOWN = 0.03, 6
NOTHING_LEFT = 0.02
"""Bits below which no reading is worth its minutes."""
LARGEST_FILE = 64 * 1024
REAL = Smoothing(kernel=1.0, ambient=1.5, evidence=0.7)
"""A real refrigerator differs from the model by more than the model's cases differ from each other: most of
all in how the air behind it mixes. By how much nobody has measured, so what is
read counts for less than in the model. Invented."""
_TABLES = ("refrigerator", "readings")
_CONTEXT = ("size", "heat_source", "ambient", "note")
_LIMITED = {
    "cup": "food_temperature",
    "freezer": "freezer_temperature",
    "side_gap": "side_gap",
    "rear_gap": "rear_gap",
    "baffle_gap": "baffle_gap",
    "side_level": "side_tilt",
    "front_level": "front_tilt",
}
_LIKE_AMBIENT = 2.0  # K; cases of the bank that count as of one ambient
_FEW = 30  # cases of a range below which none is given
_COLDER = 4.0  # standard deviations by which two readings must contradict each other
_WORDS = {("baffle_gap", ABSENT_BAFFLE): "none", ("resistance", OPEN_CIRCUIT): "open"}


@dataclass(frozen=True)
class Measured:
    """One reading as the sheet shows it.

    Attributes
    ----------
    name, title, text : str
        Of the reading, and its value in words and units.
    limit : Check or None
        Against common practice, where there is a limit.
    usual : tuple of str or None
        From what to what installations in good order show at that ambient (the middle nine tenths in the
        model), where that is a quantity.
    """

    name: str
    title: str
    text: str
    limit: Check | None
    usual: tuple[str, str] | None


@dataclass(frozen=True)
class Suspect:
    """An explanation that the sheet names.

    Attributes
    ----------
    label : Label
        Names of the faults.
    probability : float
        Its chance.
    title, remedies, cautions, not_for_owner : str, tuple of str
        In words, those of each fault.
    """

    label: Label
    probability: float
    title: str
    remedies: tuple[str, ...]
    cautions: tuple[str, ...]
    not_for_owner: tuple[str, ...]


@dataclass(frozen=True)
class JobSheet:
    """What the readings of a refrigerator mean.

    Attributes
    ----------
    readings : Readings
        As they were read.
    note : str
        The file's own note.
    measured : tuple of Measured
        Each reading, held against what there is to hold it against.
    contradictions : tuple of str
        Readings that can't both be right; the ranking goes without them.
    unexplained : bool
        Whether nothing in the catalogue fits what is left.
    verdict : str
        One sentence.
    suspects : tuple of Suspect
        The likeliest first; empty where nothing points at a fault.
    ties : tuple of Tie
        Explanations that the readings don't separate.
    measure_next : tuple of NextReading
        The best first; empty where nothing more would help.
    """

    readings: Readings
    note: str
    measured: tuple[Measured, ...]
    contradictions: tuple[str, ...]
    unexplained: bool
    verdict: str
    suspects: tuple[Suspect, ...]
    ties: tuple[Tie, ...]
    measure_next: tuple[NextReading, ...]


# --- the file
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
    size = _one_of(file, "size", about.get("size"), SIZES)
    source = _one_of(file, "heat_source", about.get("heat_source"), HEAT_SOURCES)
    ambient = _ambient(file, about.get("ambient"))
    note = about.get("note", "")
    if not isinstance(note, str):
        raise InputError(f"{file}, note: {note!r} stands where a text in quotes belongs.")
    values = {name: _reading(file, name, text, source) for name, text in tables.get("readings", {}).items()}
    return Readings(size, source, ambient, values), note


def _short(given: Any) -> str:
    return " ".join(str(given)[:40].split())


def _one_of(file: str, name: str, value: Any, allowed: tuple[str, ...]) -> str:
    if value not in allowed:
        said = "nothing stands there" if value is None else f"“{_short(value)}” was read"
        raise InputError(f"{file}, {name}: {said}; write one of {', '.join(allowed)} in [refrigerator].")
    return value


def _ambient(file: str, given: Any) -> float:
    """Return the ambient [K]; a list of hourly ones counts as their mean."""
    texts = given if isinstance(given, list) and given else [given]
    hours = [_quantity(file, "ambient", text, "temperature", "96 °F") for text in texts]
    ambient = float(np.mean(hours))
    if not 255.0 <= ambient <= 335.0:
        raise InputError(
            f"{file}, ambient: {show(from_si(ambient, 'temperature'))} was read; write the air outside "
            "at the "
            "hours of the readings, from 0 °F to 140 °F."
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
            f'"{_example(reading)}".'
        )
    said = text.strip().lower()
    if reading.choices and said not in reading.choices:
        raise InputError(
            f"{file}, {name}: “{_short(text)}” was read; write one of {', '.join(reading.choices)}."
        )
    if not reading.choices and said not in _words_for(name):
        value = _quantity(file, name, text, reading.kind, _example(reading))
        if not reading.lowest <= value <= reading.highest:
            raise InputError(
                f"{file}, {name}: “{_short(text)}” was read; {_range(reading)} would make sense."
            )
    return from_text(name, text)


def _words_for(name: str) -> tuple[str, ...]:
    return tuple(word for (of, _), word in _WORDS.items() if of == name)


def _range(reading: Reading) -> str:
    lowest, highest = (
        "" if math.isinf(end) else show(from_si(end, reading.kind), kind=reading.kind)
        for end in (reading.lowest, reading.highest)
    )
    return f"from {lowest} to {highest}" if highest else f"{lowest} and more"


def _example(reading: Reading) -> str:
    if reading.choices:
        return reading.choices[0]
    return _EXAMPLES.get(reading.name, KINDS[reading.kind].example)


_EXAMPLES = {
    "freezer": "12 °F",
    "vent_air": "97 °F",
    "condenser_air": "112 °F",
    "panel_off_air": "112 °F",
    "top_air": "102 °F",
    "side_air": "97 °F",
    "duty": "95 %",
    "setting": "38 °F",
    "boiler": "355 °F",
    "absorber": "122 °F",
    "gas_pressure": "11 in w.c.",
    "side_level": "1 deg",
    "front_level": "1 deg",
    "top_gap": "0 in",
    "side_gap": "1/4 in",
    "rear_gap": "1 in",
    "baffle_gap": "3/8 in",
}


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
        f'size = "eight"           # nominal cubic feet: {", ".join(SIZES)}',
        f'heat_source = "{heat_source}"    # on which it ran: {", ".join(HEAT_SOURCES)}',
        'ambient = "96 °F"        # outside, in the shade, while you read; or a list of hourly ones',
        'note = ""                # for yourself: vehicle, place, day',
        "",
        "[readings]",
    ]
    for name in readable(heat_source):
        reading = READINGS[name]
        lines += ["", f"# {reading.title}; {reading.minutes:g} min"]
        lines += _commented(reading.caution)
        words = reading.choices or _words_for(name)
        said = f"    # or {', '.join(words)}" if words and not reading.choices else ""
        said = f"    # {', '.join(words)}" if reading.choices else said
        lines.append(f'# {name} = "{_example(reading)}"{said}')
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


# --- what it means
# -----------------------------------------------------------------------------------------


def job_sheet(
    readings: Readings,
    note: str = "",
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
) -> JobSheet:
    """Say what the readings of a refrigerator mean.

    Parameters
    ----------
    readings : Readings
        Any of them.
    note : str, optional
        Shown on the sheet.
    bank : Bank, optional
        Of simulated cases; the usual one by default, made on first use.
    priors : mapping of str to float, optional
        How often faults are met; invented ones by default.
    """
    bank = bank or usual_bank()
    contradictions = _contradictions(readings)
    doubtful = {name for names, _ in contradictions for name in names}
    kept = readings.only(set(readings.values) - doubtful)
    explanation = explain(kept, bank, priors, smoothing=REAL)
    best = explanation.best
    sound = best.label == ("none",) and best.probability >= SOUND * explanation.ranked[1].probability
    named = () if sound else explanation.ranked[:MOST_SHOWN]
    suspects = tuple(_suspect(one.label, one.probability) for one in named if one.probability >= LEAST_SHOWN)
    left = [name for name in kept.missing if name not in doubtful]
    offered = next_reading(kept, bank, priors, remaining=left, smoothing=REAL)
    useful = tuple(one for one in offered if one.gain >= NOTHING_LEFT)
    sure = min(explanation.of_fault(name) for name in best.label)  # alone, or with another
    decided = sure >= SETTLED
    return JobSheet(
        readings=readings,
        note=note,
        measured=tuple(_measured(readings, name, bank) for name in readings.values),
        contradictions=tuple(sentence for _, sentence in contradictions),
        unexplained=explanation.contradictory,
        verdict=_verdict(kept, best.label, sure, sound, bool(useful)),
        suspects=suspects,
        ties=() if sound else explanation.ties,
        measure_next=() if decided else useful[:3],
    )


def chance(probability: float) -> str:
    """Say a chance in whole percent, without pretending to be certain."""
    percent = round(100.0 * probability)
    return "over 99 %" if percent > 99 else "under 1 %" if percent < 1 else f"{percent} %"


def value_text(readings: Readings, name: str, system: str = "US") -> str:
    """Return a reading in words and units."""
    return _value_text(name, readings.values[name], system)


def _value_text(name: str, value: float | str, system: str = "US") -> str:
    reading = READINGS[name]
    if isinstance(value, str):
        return value
    if (name, value) in _WORDS:
        return _WORDS[name, value]
    digits = {"US": 2, "SI": 0}[system] if reading.kind == "length" else None
    return show(from_si(value, reading.kind), system, kind=reading.kind, digits=digits)


def _verdict(readings: Readings, label: Label, probability: float, sound: bool, more: bool) -> str:
    if not readings.values:
        return "No reading was given, so there is nothing to go by but how often things are met."
    if label == ("none",):
        if probability >= SETTLED:
            return (
                f"Nothing points at a fault ({chance(probability)}): the readings are those of a sound one."
            )
        if sound:
            return f"Nothing points at a fault so far ({chance(probability)}), but it isn't proven sound."
        return "Nothing is settled; that nothing is wrong is about as likely as something else."
    title = _title(label)
    title = title[0].lower() + title[1:]
    if probability >= SETTLED:
        return f"It is settled, as far as this model goes: {title} ({chance(probability)})."
    last = "the next reading will tell more" if more else "no reading left would tell much more"
    if probability >= LIKELY:
        return f"Likely, but not settled: {title} ({chance(probability)}); {last}."
    return f"Not settled: the likeliest is {title}, at {chance(probability)} only; {last}."


def _title(label: Label) -> str:
    first, *others = (FAULTS[name].title for name in label)
    return ", and ".join([first, *(other[0].lower() + other[1:] for other in others)])


def _suspect(label: Label, probability: float) -> Suspect:
    faults = [FAULTS[name] for name in label]
    return Suspect(
        label,
        probability,
        _title(label),
        remedies=tuple(fault.remedy for fault in faults),
        cautions=tuple(dict.fromkeys(fault.caution for fault in faults if fault.caution)),
        not_for_owner=tuple(dict.fromkeys(fault.not_for_owner for fault in faults if fault.not_for_owner)),
    )


def _measured(readings: Readings, name: str, bank: Bank) -> Measured:
    reading, value = READINGS[name], readings.values[name]
    text = value_text(readings, name)
    if not isinstance(value, str) and text not in _words_for(name):
        other = value_text(readings, name, "SI")
        text = text if other == text else f"{text} ({other})"
    return Measured(name, reading.title, text, _limit(readings, name), usual_range(readings, name, bank))


def _limit(readings: Readings, name: str) -> Check | None:
    value = readings.values[name]
    if name not in _LIMITED:
        return None
    if name in ("cup", "freezer") and readings.ambient > load("ratings")["rated_ambient"][readings.size]:
        return None  # nothing is promised above the rated ambient
    (one,) = check(readings.size, **{_LIMITED[name]: value})
    return one


def usual_range(readings: Readings, name: str, bank: Bank) -> tuple[str, str] | None:
    """From what to what a reading lies in installations in good order: the model's middle nine tenths."""
    ends = usual_ends(readings, name, bank)
    return None if ends is None else tuple(_value_text(name, end) for end in ends)


def usual_ends(readings: Readings, name: str, bank: Bank) -> tuple[float, float] | None:
    """The same in SI units; None for looks, and where the bank holds too few such cases."""
    reading = READINGS[name]
    if reading.choices:
        return None
    good = (
        (bank.labels == numbers_of(("none",))).all(axis=1)
        & (bank.size == SIZES.index(readings.size))
        & (bank.heat_source == HEAT_SOURCES.index(readings.heat_source))
        & (np.abs(bank.ambient - readings.ambient) <= _LIKE_AMBIENT)
    )
    values = bank.readings[good, NAMES.index(name)]
    if values.size < _FEW:
        return None
    lowest, highest = np.quantile(values, (0.05, 0.95))
    return float(lowest), float(highest)


# --- readings that contradict each other
# -------------------------------------------------------------------


def _contradictions(readings: Readings) -> list[tuple[tuple[str, ...], str]]:
    """Readings that can't be right together: their names, and one sentence."""
    values, found = readings.values, []

    def told(name):
        return f"{READINGS[name].title} ({name}) is at {value_text(readings, name)}"

    ambient = show(from_si(readings.ambient, "temperature"))
    for name in ("vent_air", "condenser_air", "panel_off_air", "top_air", "side_air", "absorber", "boiler"):
        doubt = _COLDER * math.hypot(READINGS[name].error, AMBIENT_ERROR)
        if name in values and values[name] < readings.ambient - doubt:
            found.append(
                (
                    (name,),
                    f"{told(name)}, colder than the ambient of {ambient}: nothing on the warm side is, "
                    "so one of "
                    "the two is wrong.",
                )
            )
    for colder, warmer, why in (
        ("absorber", "boiler", "the boiler is the hottest part"),
        ("vent_air", "condenser_air", "air warms on its way up"),
        ("freezer", "cup", "the freezer is the colder one while the unit works"),
    ):
        if colder not in values or warmer not in values:
            continue
        doubt = _COLDER * math.hypot(READINGS[colder].error, READINGS[warmer].error)
        stalled = colder == "freezer" and values[warmer] > readings.ambient - 10.0
        idle = colder == "absorber" and values[warmer] < readings.ambient + 30.0
        if values[colder] > values[warmer] + doubt and not (stalled or idle):
            found.append(
                ((colder, warmer), f"{told(colder)}, and {told(warmer)[0].lower()}{told(warmer)[1:]}: {why}.")
            )
    if {"voltage", "resistance", "current"} <= set(values) and values.get("fuse", "good") == "good":
        expected = values["voltage"] / values["resistance"]
        off = _COLDER * math.hypot(*(READINGS[name].error for name in ("voltage", "resistance", "current")))
        if not expected * math.exp(-off) <= max(values["current"], 1e-9) <= expected * math.exp(off) and (
            values["current"] > 0.05 or values["resistance"] < OPEN_CIRCUIT
        ):
            found.append(
                (
                    ("voltage", "resistance", "current"),
                    f"{value_text(readings, 'voltage')} at {value_text(readings, 'resistance')} make "
                    f"{expected:.3g} A, but {value_text(readings, 'current')} were read (voltage, "
                    "resistance, "
                    "current): one of the three is wrong, or a fuse or lead between them is open.",
                )
            )
    if values.get("fuse") == "open" and values.get("current", 0.0) > 0.1:
        found.append(
            (
                ("fuse", "current"),
                f"The fuse is open (fuse), and {value_text(readings, 'current')} flow (current): one of "
                "the two is "
                "wrong.",
            )
        )
    return found


# --- as text and as data
# -----------------------------------------------------------------------------------


def as_text(sheet: JobSheet) -> str:
    """Return a sheet for the terminal."""
    readings = sheet.readings
    lines = [
        "Job sheet",
        f"Refrigerator of {readings.size} cubic feet on {readings.heat_source}, ambient "
        f"{show(from_si(readings.ambient, 'temperature'))}. {sheet.note}".rstrip(),
        "",
        f"CAUTION. {STOP_SIGNS}",
    ]
    if sheet.contradictions or sheet.unexplained:
        lines += ["", "These readings contradict each other; what is said below goes without them:"]
        lines += [f"  - {sentence}" for sentence in sheet.contradictions]
        if sheet.unexplained:
            lines.append(f"  - {UNEXPLAINED}")
    if sheet.measured:
        lines += ["", "What you measured"]
        for one in sheet.measured:
            against = f"  [{remark(one)}]" if remark(one) else ""
            lines.append(f"  {one.title}: {one.text}{against}")
    lines += ["", sheet.verdict]
    if sheet.suspects:
        lines += ["", "What it may be"]
        for suspect in sheet.suspects:
            lines.append(f"  {chance(suspect.probability):>9}  {suspect.title}")
        first = sheet.suspects[0]
        lines += ["", f"What would put the first right: {' '.join(first.remedies)}".rstrip()]
        lines += [f"  Caution: {caution}" for caution in first.cautions]
    lines += [f"  {sentence}" for sentence in map(tie_text, sheet.ties)]
    if sheet.measure_next:
        lines += ["", "What to measure next, the most telling for its minutes first"]
        for one in sheet.measure_next:
            lines.append(f"  {one.title} ({one.name}), {one.minutes:g} min. {one.caution}".rstrip())
    lines += ["", "Not for the owner to touch"]
    lines += [f"  - {sentence}" for sentence in not_for_owner(sheet)]
    return "\n".join([*lines, "", HONEST])


_AGAINST_LIMIT = {
    Verdict.WITHIN: "within the limit",
    Verdict.OUTSIDE: "OUTSIDE the limit",
    Verdict.TOO_NEAR: "too near the limit to tell",
}
UNEXPLAINED = "Nothing in the catalogue fits what was read; check the readings, or look for what isn't in it."


def remark(one: Measured) -> str:
    """Say what a reading is held against."""
    said = []
    if one.limit is not None:
        said.append(
            {Verdict.WITHIN: "within the limit", Verdict.OUTSIDE: "OUTSIDE the limit"}.get(
                one.limit.verdict, "too near the limit to tell"
            )
        )
    if one.usual is not None:
        lowest, highest = one.usual
        said.append(f"good ones: {lowest}" if lowest == highest else f"good ones: {lowest} to {highest}")
    return "; ".join(said)


def tie_text(tie: Tie) -> str:
    """Say what isn't told apart, and what would do it."""
    titles = " / ".join(_title(label) for label in tie.labels[:4])
    by = ", ".join(READINGS[name].title.lower() for name in tie.separated_by[:3])
    how = f"What would do it: {by}." if by else "No reading left would do it."
    return f"Not told apart: {titles}. {how}"


def not_for_owner(sheet: JobSheet) -> tuple[str, ...]:
    """What an owner must leave to others, for what this refrigerator may have, and always."""
    of_suspects = (sentence for suspect in sheet.suspects for sentence in suspect.not_for_owner)
    always = [*_NOT_FOR_OWNER[sheet.readings.heat_source], "The sealed unit."]
    return tuple(dict.fromkeys([*of_suspects, *always]))


_NOT_FOR_OWNER = {
    "mains": ("Measurements and repairs on mains circuits.",),
    "battery": (),
    "gas": ("Regulator, leak test and any gas fitting.", "Burner, orifice and flue."),
}


def as_data(sheet: JobSheet) -> dict[str, Any]:
    """Return a sheet as plain data, for JSON; numbers in SI units."""
    readings = sheet.readings
    return {
        "honest": HONEST,
        "refrigerator": {
            "size": readings.size,
            "heat_source": readings.heat_source,
            "ambient_K": readings.ambient,
            "note": sheet.note,
        },
        "measured": [
            {
                "name": one.name,
                "title": one.title,
                "text": one.text,
                "value": readings.values[one.name],
                "limit": None if one.limit is None else str(one.limit.verdict),
                "usual": one.usual,
            }
            for one in sheet.measured
        ],
        "contradictions": list(sheet.contradictions),
        "unexplained": sheet.unexplained,
        "verdict": sheet.verdict,
        "explanations": [
            {
                "faults": list(one.label),
                "title": one.title,
                "probability": one.probability,
                "remedies": list(one.remedies),
                "cautions": list(one.cautions),
            }
            for one in sheet.suspects
        ],
        "not_told_apart": [
            {"faults": [list(label) for label in tie.labels], "separated_by": list(tie.separated_by)}
            for tie in sheet.ties
        ],
        "measure_next": [
            {
                "name": one.name,
                "title": one.title,
                "minutes": one.minutes,
                "bits": one.gain,
                "caution": one.caution,
            }
            for one in sheet.measure_next
        ],
        "not_for_owner": list(not_for_owner(sheet)),
        "stop_signs": STOP_SIGNS,
    }
