"""A real refrigerator's job: what stops it, what it does, what may be wrong, what to read next.

In this order, and no further than it goes: a stop sign ends the job, and a refrigerator that holds has no
causes to look for. It is a teaching model that answers, calibrated to common practice and not validated on
measured units; the sheet (`warmside.diagnosis.job_sheet_text`, `warmside.show.job_sheet_page`) says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from warmside.data import load
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.causes import REAL, Causes, Suspect, causes
from warmside.diagnosis.contradictions import contradictions_in
from warmside.diagnosis.drawing import numbers_of
from warmside.diagnosis.evidence import field_of
from warmside.diagnosis.faults import NONE, title_of
from warmside.diagnosis.job import Job
from warmside.diagnosis.performance import Performance, Place, performance, place_of, rated_ambient
from warmside.diagnosis.readings import READINGS, Readings, as_text, column
from warmside.diagnosis.seen import seen_faults
from warmside.diagnosis.storing import usual_bank
from warmside.hazards import StopSign
from warmside.model.installation import HEAT_SOURCES
from warmside.model.limits import Check, Verdict, check
from warmside.model.sizes import SIZES

_SHEET = load("job_sheet")
_LIMITED = {
    "cup": "food_temperature",
    "freezer": "freezer_temperature",
    "side_gap": "side_gap",
    "rear_gap": "rear_gap",
    "baffle_gap": "baffle_gap",
    "side_level": "side_tilt",
    "front_level": "front_tilt",
}
_VERDICTS = {Place.GOOD: Verdict.WITHIN, Place.OUT: Verdict.OUTSIDE, Place.TOO_NEAR: Verdict.TOO_NEAR}


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
class Findings:
    """What is said of a refrigerator that nothing stops.

    Attributes
    ----------
    measured : tuple of Measured
        Each reading, held against what there is to hold it against.
    performance : Performance
        What the refrigerator does.
    contradictions : tuple of str
        Readings that can't both be right; all else goes without them.
    causes : Causes or None
        What may be wrong; None where no cause is looked for.
    put_right : tuple of Suspect
        Faults that are seen, and are not the first suspect's.
    """

    measured: tuple[Measured, ...]
    performance: Performance
    contradictions: tuple[str, ...]
    causes: Causes | None
    put_right: tuple[Suspect, ...]


@dataclass(frozen=True)
class JobSheet:
    """What is said of a refrigerator.

    Attributes
    ----------
    job : Job
        As it was given.
    stops : tuple of StopSign
        What ends the job, the most urgent first.
    findings : Findings or None
        All else; None where something stops the job.
    """

    job: Job
    stops: tuple[StopSign, ...]
    findings: Findings | None

    @property
    def readings(self) -> Readings:
        """The readings as they were given."""
        return self.job.readings


def job_sheet(job: Job, bank: Bank | None = None, priors: Mapping[str, float] | None = None) -> JobSheet:
    """Say what is known of a refrigerator, and what it means.

    Parameters
    ----------
    job : Job
        Any readings, and what stops it.
    bank : Bank, optional
        Of simulated cases; the usual one by default, made on first use.
    priors : mapping of str to float, optional
        How often faults are met; invented ones by default.
    """
    if job.stops:
        return JobSheet(job, job.stops, None)
    bank = usual_bank() if bank is None else bank
    contradictions = contradictions_in(job.readings)
    doubtful = frozenset(name for names, _ in contradictions for name in names)
    kept = job.against_usual.only(set(job.readings.values) - doubtful)
    does = performance(kept)
    seen = seen_faults(kept, field_of(bank, kept.like, kept.heat_source, REAL), REAL)
    told = causes(kept, does, seen, job.who, bank, priors, doubtful=doubtful) if does.has_causes else None
    named = {name for one in told.suspects[:1] for name in one.faults} if told else set()
    findings = Findings(
        measured=tuple(_measured(job, name, bank) for name in job.readings.values),
        performance=does,
        contradictions=tuple(sentence for _, sentence in contradictions),
        causes=told,
        put_right=tuple(Suspect(((name,),), title_of((name,)), 1.0) for name in seen if name not in named),
    )
    return JobSheet(job, (), findings)


def _measured(job: Job, name: str, bank: Bank) -> Measured:
    reading, value = READINGS[name], job.readings.values[name]
    text = as_text(name, value)
    if not isinstance(value, str) and text not in reading.words:
        other = as_text(name, value, "SI")
        text = text if other == text else f"{text} ({other})"
    ends = usual_ends(job, name, bank)
    usual = None if ends is None else (as_text(name, ends[0]), as_text(name, ends[1]))
    return Measured(name, reading.title, text, _limit(job.readings, name), usual)


def _limit(readings: Readings, name: str) -> Check | None:
    value = readings.values[name]
    if name not in _LIMITED:
        return None
    if name in ("cup", "freezer") and readings.ambient > rated_ambient(readings):
        return None  # nothing is promised above the rated ambient
    (one,) = check(readings.rating, tolerances=None, **{_LIMITED[name]: float(value)})
    if name in ("cup", "freezer"):  # as performance has it, so that one sheet says one thing
        return replace(one, verdict=_VERDICTS[place_of(readings.rating, name, float(value))])
    return one


def usual_ends(job: Job, name: str, bank: Bank) -> tuple[float, float] | None:
    """Return from what to what a reading lies in installations in good order [SI]: the model's middle nine
    tenths.

    None for looks, and where the bank holds too few such cases.
    """
    readings = job.readings
    if READINGS[name].choices:
        return None
    good = (
        (bank.labels == numbers_of(NONE)).all(axis=1)
        & (bank.size == SIZES.index(readings.like))
        & (bank.heat_source == HEAT_SOURCES.index(readings.heat_source))
        & (np.abs(bank.ambient - readings.ambient) <= _SHEET.number("like_ambient"))
    )
    values = bank.readings[good, column(name)] / job.factors.get(name, 1.0)
    if values.size < _SHEET.number("few"):
        return None
    lowest, highest = np.quantile(values, _SHEET.numbers("usual"))
    return float(lowest), float(highest)
