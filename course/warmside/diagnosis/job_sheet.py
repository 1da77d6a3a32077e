"""A real refrigerator's readings: what is within limits, what may be wrong, what to measure next.

It is a teaching model that answers, calibrated to common practice and not validated on measured units; the
sheet (`warmside.diagnosis.job_sheet_text`, `warmside.show.job_sheet_page`) says so.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from warmside.data import load
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.drawing import numbers_of
from warmside.diagnosis.evidence import Smoothing
from warmside.diagnosis.fault_effects import OPEN_CIRCUIT
from warmside.diagnosis.faults import FAULTS, NONE, Label, title_of
from warmside.diagnosis.inference import NextReading, Tie, explain, next_reading
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, as_text, column
from warmside.diagnosis.storing import usual_bank
from warmside.hazards import cautions_of, not_for_owner
from warmside.model.installation import HEAT_SOURCES
from warmside.model.limits import Check, check
from warmside.model.sizes import SIZES
from warmside.units import from_si, show

_SHEET = load("job_sheet")
SETTLED = _SHEET.number("settled")
"""Chance from which an explanation counts as settled."""
NOTHING_LEFT = _SHEET.number("nothing_left")
"""Bits below which no reading is worth its minutes."""
REAL = Smoothing(
    kernel=_SHEET.number("real_kernel"),
    ambient=_SHEET.number("real_ambient"),
    evidence=_SHEET.number("real_evidence"),
)
"""A real refrigerator differs from the model by more than the model's cases differ from each other: most of
all in how the air behind it mixes. By how much nobody has measured, so what is read counts for less than in
the model. Invented."""
_LIMITED = {
    "cup": "food_temperature",
    "freezer": "freezer_temperature",
    "side_gap": "side_gap",
    "rear_gap": "rear_gap",
    "baffle_gap": "baffle_gap",
    "side_level": "side_tilt",
    "front_level": "front_tilt",
}


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
    bank = usual_bank() if bank is None else bank
    contradictions = contradictions_in(readings)
    doubtful = {name for names, _ in contradictions for name in names}
    kept = readings.only(set(readings.values) - doubtful)
    explanation = explain(kept, bank, priors, smoothing=REAL)
    best = explanation.best
    other = explanation.ranked[1].probability
    sound = best.label == NONE and best.probability >= _SHEET.number("sound") * other
    named = () if sound else explanation.ranked[: int(_SHEET.number("most_shown"))]
    least = _SHEET.number("least_shown")
    suspects = tuple(
        _suspect(one.label, one.probability, readings.heat_source)
        for one in named
        if one.probability >= least
    )
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
        measure_next=() if decided else useful[: int(_SHEET.number("offered"))],
    )


def chance(probability: float) -> str:
    """Say a chance in whole percent, without pretending to be certain."""
    percent = round(100.0 * probability)
    return "over 99 %" if percent > 99 else "under 1 %" if percent < 1 else f"{percent} %"


def _verdict(readings: Readings, label: Label, probability: float, sound: bool, more: bool) -> str:
    if not readings.values:
        return "No reading was given, so there is nothing to go by but how often things are met."
    if label == NONE:
        if probability >= SETTLED:
            return (
                f"Nothing points at a fault ({chance(probability)}): the readings are those of a sound one."
            )
        if sound:
            return f"Nothing points at a fault so far ({chance(probability)}), but it isn't proven sound."
        return "Nothing is settled; that nothing is wrong is about as likely as something else."
    title = title_of(label)
    title = title[0].lower() + title[1:]
    if probability >= SETTLED:
        return f"It is settled, as far as this model goes: {title} ({chance(probability)})."
    last = "the next reading will tell more" if more else "no reading left would tell much more"
    if probability >= _SHEET.number("likely"):
        return f"Likely, but not settled: {title} ({chance(probability)}); {last}."
    return f"Not settled: the likeliest is {title}, at {chance(probability)} only; {last}."


def _suspect(label: Label, probability: float, heat_source: str) -> Suspect:
    faults = [FAULTS[name] for name in label]
    works = [work for fault in faults for work in fault.works]
    return Suspect(
        label,
        probability,
        title_of(label),
        remedies=tuple(fault.remedy for fault in faults),
        cautions=cautions_of(works, heat_source),
        not_for_owner=not_for_owner(works, heat_source),
    )


def _measured(readings: Readings, name: str, bank: Bank) -> Measured:
    reading, value = READINGS[name], readings.values[name]
    text = as_text(name, value)
    if not isinstance(value, str) and text not in READINGS[name].words:
        other = as_text(name, value, "SI")
        text = text if other == text else f"{text} ({other})"
    return Measured(name, reading.title, text, _limit(readings, name), usual_range(readings, name, bank))


def _limit(readings: Readings, name: str) -> Check | None:
    value = readings.values[name]
    if name not in _LIMITED:
        return None
    if name in ("cup", "freezer") and readings.ambient > rated_ambient(readings):
        return None  # nothing is promised above the rated ambient
    (one,) = check(readings.rating, tolerances=None, **{_LIMITED[name]: float(value)})
    return one


def rated_ambient(readings: Readings) -> float:
    """Return up to which ambient a refrigerator is to hold its food, by its plate [K]."""
    return load("ratings").in_column("rated_ambient", readings.rating)


def usual_range(readings: Readings, name: str, bank: Bank) -> tuple[str, str] | None:
    """From what to what a reading lies in installations in good order: the model's middle nine tenths."""
    ends = usual_ends(readings, name, bank)
    if ends is None:
        return None
    lowest, highest = ends
    return as_text(name, lowest), as_text(name, highest)


def usual_ends(readings: Readings, name: str, bank: Bank) -> tuple[float, float] | None:
    """The same in SI units; None for looks, and where the bank holds too few such cases."""
    reading = READINGS[name]
    if reading.choices:
        return None
    good = (
        (bank.labels == numbers_of(NONE)).all(axis=1)
        & (bank.size == SIZES.index(readings.like))
        & (bank.heat_source == HEAT_SOURCES.index(readings.heat_source))
        & (np.abs(bank.ambient - readings.ambient) <= _SHEET.number("like_ambient"))
    )
    values = bank.readings[good, column(name)]
    if values.size < _SHEET.number("few"):
        return None
    lowest, highest = np.quantile(values, _SHEET.numbers("usual"))
    return float(lowest), float(highest)


# --- readings that contradict each other ------------------------------------------------------------------


_WARM_SIDE = ("vent_air", "condenser_air", "panel_off_air", "top_air", "side_air", "absorber", "boiler")
_COLDER_AND_WARMER = (
    ("absorber", "boiler", "the boiler is the hottest part"),
    ("vent_air", "condenser_air", "air warms on its way up"),
    ("freezer", "cup", "the freezer is the colder one while the unit works"),
)

Contradiction = tuple[tuple[str, ...], str]
"""Names of readings that can't be right together, and one sentence."""


def contradictions_in(readings: Readings) -> list[Contradiction]:
    """Return the readings that can't be right together."""
    return [
        *_below_ambient(readings),
        *_upside_down(readings),
        *_against_ohm(readings),
        *_through_open_fuse(readings),
    ]


def _below_ambient(readings: Readings) -> Iterator[Contradiction]:
    ambient = show(from_si(readings.ambient, "temperature"))
    for name, value in _numbers(readings, _WARM_SIDE).items():
        if value < readings.ambient - _doubt(READINGS[name].error, AMBIENT_ERROR):
            yield (
                (name,),
                f"{_told(readings, name)}, colder than the ambient of {ambient}: nothing on the warm side "
                "is, so one of the two is wrong.",
            )


def _upside_down(readings: Readings) -> Iterator[Contradiction]:
    for colder, warmer, why in _COLDER_AND_WARMER:
        values = _numbers(readings, (colder, warmer))
        if len(values) < 2 or _tells_nothing(colder, values[warmer], readings.ambient):
            continue
        if values[colder] > values[warmer] + _doubt(READINGS[colder].error, READINGS[warmer].error):
            one, other = _told(readings, colder), _told(readings, warmer)
            yield (colder, warmer), f"{one}, and {other[0].lower()}{other[1:]}: {why}."


def _tells_nothing(colder: str, warmer: float, ambient: float) -> bool:
    """Whether a unit that has stalled, or a boiler that is idle, turns round what else holds."""
    stalled = colder == "freezer" and warmer > ambient - _SHEET.number("stalled_cup")
    idle = colder == "absorber" and warmer < ambient + _SHEET.number("idle_boiler")
    return stalled or idle


def _against_ohm(readings: Readings) -> Iterator[Contradiction]:
    names = ("voltage", "resistance", "current")
    values = _numbers(readings, names)
    if len(values) < 3 or readings.values.get("fuse", "good") != "good":
        return
    expected = values["voltage"] / values["resistance"]
    off = _doubt(*(READINGS[name].error for name in names))
    agree = expected * math.exp(-off) <= max(values["current"], 1e-9) <= expected * math.exp(off)
    nothing = values["current"] <= _SHEET.number("some_current") and values["resistance"] >= OPEN_CIRCUIT
    if not agree and not nothing:
        voltage, resistance, current = (as_text(name, values[name]) for name in names)
        yield (
            names,
            f"{voltage} at {resistance} make {expected:.3g} A, but {current} were read (voltage, resistance, "
            "current): one of the three is wrong, or a fuse or lead between them is open.",
        )


def _through_open_fuse(readings: Readings) -> Iterator[Contradiction]:
    current = _numbers(readings, ("current",)).get("current", 0.0)
    if readings.values.get("fuse") == "open" and current > _SHEET.number("flowing_current"):
        yield (
            ("fuse", "current"),
            f"The fuse is open (fuse), and {as_text('current', current)} flow (current): one of the two is "
            "wrong.",
        )


def _numbers(readings: Readings, names: Iterable[str]) -> dict[str, float]:
    """Those of these readings that were taken."""
    return {name: float(readings.values[name]) for name in names if name in readings.values}


def _doubt(*errors: float) -> float:
    """How far readings with these errors must lie apart to contradict each other."""
    return _SHEET.number("contradicts") * math.hypot(*errors)


def _told(readings: Readings, name: str) -> str:
    return f"{READINGS[name].title} ({name}) is at {as_text(name, readings.values[name])}"
