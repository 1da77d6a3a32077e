"""Faults that a reading shows by itself, whatever the unit makes of them."""

import numpy as np

from warmside.data import load
from warmside.diagnosis.evidence import Field, Smoothing, log_sums, of_reading, touched
from warmside.diagnosis.faults import FAULTS, NONE
from warmside.diagnosis.readings import READINGS, Readings

_ALIKE = 1.0  # of a logarithm; explanations nearer than that are one as good as the other
_AWAY, _UNUSUAL = load("job_sheet").number("seen_away"), load("job_sheet").number("unusual_look")


def seen_faults(readings: Readings, field: Field, smoothing: Smoothing) -> tuple[str, ...]:
    """Return the names of the faults that are seen: a reading far off the good ones, or a look that isn't
    usual.

    Of the faults that a reading may show, those count that explain best all that shows them.

    Parameters
    ----------
    readings : Readings
        What was read; a reading that shows what the unit makes of everything shows no fault.
    field, smoothing : Field, Smoothing
        Of the cases that it is held against, made with this smoothing.

    Returns
    -------
    tuple of str
        In the order of the catalogue.
    """
    good = field.labels.index(NONE)
    singles = {label[0]: number for number, label in enumerate(field.labels) if len(label) == 1}
    gains = _gains(readings, field, smoothing, good)
    explains = {
        fault: sum(gain[number] for name, gain in gains.items() if _shows(name, fault))
        for fault, number in singles.items()
    }
    seen: set[str] = set()
    for name, gain in gains.items():
        if _is_unusual(readings, name, field, good):
            shown = [f for f, number in singles.items() if gain[number] > 0.0 and _shows(name, f)]
            best = max((explains[fault] for fault in shown), default=0.0)
            seen |= {fault for fault in shown if explains[fault] > max(best - _ALIKE, 0.0)}
    return tuple(name for name in FAULTS if name in seen)


def _shows(name: str, fault: str) -> bool:
    return touched((fault,), READINGS[name].shows)


def _gains(readings: Readings, field: Field, smoothing: Smoothing, good: int) -> dict[str, np.ndarray]:
    """Return by reading how much better than good order each explanation gives it, as a logarithm."""
    gains = {}
    for name in readings.values:
        if READINGS[name].shows:
            alone = of_reading(name, readings, field, smoothing)
            told = log_sums(alone, field) - np.log(field.counts)
            gains[name] = told - told[good]
    return gains


def _is_unusual(readings: Readings, name: str, field: Field, good: int) -> bool:
    reading, value = READINGS[name], readings.values[name]
    of_good = slice(field.starts[good], field.starts[good] + field.counts[good])
    centre = field.centre[name][of_good]
    if reading.choices:
        return bool(np.mean(centre == reading.choices.index(str(value))) < _UNUSUAL)
    compared = reading.compared(np.array(value), np.array(readings.ambient))
    return bool(np.min(np.abs(compared - centre) / field.width[name][of_good]) > _AWAY)
