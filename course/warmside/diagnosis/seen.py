"""Faults that a reading shows by itself, whatever the unit makes of them."""

import numpy as np

from warmside.data import load
from warmside.diagnosis.evidence import Field, Smoothing, likelihood, log_sums, touched
from warmside.diagnosis.faults import FAULTS, NONE
from warmside.diagnosis.readings import READINGS, Readings

_AWAY, _UNUSUAL = load("job_sheet").number("seen_away"), load("job_sheet").number("unusual_look")


def seen_faults(readings: Readings, field: Field, smoothing: Smoothing) -> tuple[str, ...]:
    """Return the names of the faults that are seen: far off the good ones, or a look that isn't usual.

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
    seen: set[str] = set()
    before, _ = likelihood(readings.only(()), field, smoothing)
    good = field.labels.index(NONE)
    for name in readings.values:
        shows = READINGS[name].shows
        if not shows or not _is_unusual(readings, name, field, good):
            continue
        alone = likelihood(readings.only((name,)), field, smoothing)[0] - before
        told = log_sums(alone, field) - np.log(field.counts)
        seen |= {
            label[0]
            for number, label in enumerate(field.labels)
            if len(label) == 1 and touched(label, shows) and told[number] > told[good]
        }
    return tuple(name for name in FAULTS if name in seen)


def _is_unusual(readings: Readings, name: str, field: Field, good: int) -> bool:
    reading, value = READINGS[name], readings.values[name]
    of_good = slice(field.starts[good], field.starts[good] + field.counts[good])
    centre = field.centre[name][of_good]
    if reading.choices:
        return bool(np.mean(centre == reading.choices.index(str(value))) < _UNUSUAL)
    compared = reading.compared(np.array(value), np.array(readings.ambient))
    return bool(np.min(np.abs(compared - centre) / field.width[name][of_good]) > _AWAY)
