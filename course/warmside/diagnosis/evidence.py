"""How well the bank's cases give what was read: each case's likelihood, reading by reading.

A case gives a reading with the meter's error, widened since the bank's cases are few and the differences
between installations are not: by a kernel for what the unit makes of everything, and by all that good
installations differ for what only shows an entry that none of the case's faults touches.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import lgamma, log, pi

import numpy as np
from numpy.polynomial import Polynomial

from warmside.data import load
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.drawing import label_of
from warmside.diagnosis.faults import FAULTS, NONE, Label, prior
from warmside.diagnosis.reading import Reading
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, column, readable
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES

_TABLE, _FAILED = load("inference"), load("failed_widths")
_NORMAL = -0.5 * np.log(2.0 * np.pi)


@dataclass(frozen=True)
class Smoothing:
    """How far the bank's few cases stand for all.

    Attributes
    ----------
    kernel : float
        Width of the kernel over the spread among installations in good order; 0 for none.
    ambient : float
        Width in ambient temperature [K]; inf where cases at all ambients count alike.
    nuisance : bool
        Whether readings that no fault of a case touches are widened by the whole nuisance.
    evidence : float
        Part of the logarithm of the evidence that counts.
    tails : float
        Degrees of freedom of Student's distribution, in which errors are thought to lie; inf for a normal
        one.
    stray : float
        Part of all readings and looks that says nothing, whatever it says.
    failed : bool
        Whether what a failed unit shows is widened, by the table failed_widths: each fails in its own way.
    """

    kernel: float = _TABLE.number("kernel")
    ambient: float = _TABLE.number("ambient_width")
    nuisance: bool = True
    evidence: float = _TABLE.number("evidence")
    tails: float = np.inf
    stray: float = 0.0
    failed: bool = False


SMOOTHING = Smoothing()
"""Set on cases held back; see tests/benchmarks/diagnosis_accuracy.py."""
NO_SMOOTHING = Smoothing(kernel=0.0, ambient=np.inf, nuisance=False, evidence=1.0)


@dataclass(frozen=True, eq=False)
class Field:
    """The bank's cases of one size on one heat source, on the scales on which readings are compared.

    Attributes
    ----------
    labels : tuple of Label
        What can be wrong.
    label : numpy.ndarray of int
        Of each case, its number in `labels`; cases stand in this order.
    starts, counts : numpy.ndarray of int
        Where each label's cases begin, and how many there are.
    ambient : numpy.ndarray
        Of each case [K].
    centre : dict of str to numpy.ndarray
        What each case's reading is compared with, float32; numbers of choices, as int.
    width : dict of str to numpy.ndarray
        Width of the comparison for each case, float32; none for choices.
    range : dict of str to float
        From the lowest of all cases to the highest; none for choices.
    """

    labels: tuple[Label, ...]
    label: np.ndarray
    starts: np.ndarray
    counts: np.ndarray
    ambient: np.ndarray
    centre: dict[str, np.ndarray]
    width: dict[str, np.ndarray]
    range: dict[str, float]


@lru_cache(maxsize=32)
def field_of(bank: Bank, size: str, heat_source: str, smoothing: Smoothing) -> Field:
    """Return the bank's cases of a size on a heat source, made ready; InputError where it holds none."""
    these = np.flatnonzero(
        (bank.size == SIZES.index(size)) & (bank.heat_source == HEAT_SOURCES.index(heat_source))
    )
    if not these.size:
        raise InputError(f"The bank holds no case of size {size} on {heat_source}; make one that does.")
    these = these[np.lexsort((bank.labels[these, 1], bank.labels[these, 0]))]
    rows, label = np.unique(bank.labels[these], axis=0, return_inverse=True)
    labels = tuple(label_of(row) for row in rows)
    counts = np.bincount(label.ravel(), minlength=len(labels))
    ambient = bank.ambient[these].astype(float)
    good = np.flatnonzero(label == labels.index(NONE)) if NONE in labels else slice(None)
    failed = bank.failed[these]
    centre, width, span = {}, {}, {}
    for name in readable(heat_source):
        reading, values = READINGS[name], bank.readings[these, column(name)]
        if reading.choices:
            centre[name] = values.astype(int)
            continue
        compared = reading.compared(values.astype(float), ambient)
        spread = _spread(compared[good], ambient[good], bool(reading.shows))
        error = error_of(reading)
        widths = np.full(len(labels), np.hypot(error, smoothing.kernel * spread))
        if smoothing.nuisance and reading.shows:
            untouched = np.array([not touched(one, reading.shows) for one in labels])
            widths[untouched] = np.hypot(error, spread)
            compared = np.where(untouched[label], compared[good].mean(), compared)
        each = widths[label]
        if smoothing.failed and name in _FAILED.fields:
            each = np.where(failed, np.hypot(each, _FAILED.number(name)), each)
        centre[name], width[name] = compared.astype(np.float32), each.astype(np.float32)
        span[name] = float(np.ptp(compared) + 6.0 * error)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    return Field(labels, label.ravel(), starts, counts, ambient, centre, width, span)


def error_of(reading: Reading) -> float:
    """Return how far off a reading is on the scale on which it is compared, with the ambient's error."""
    return float(np.hypot(reading.error, AMBIENT_ERROR)) if reading.above_ambient else reading.error


def touched(label: Label, shown: Iterable[str]) -> bool:
    """Tell whether one of these faults changes one of these entries."""
    return any(not FAULTS[name].touches.isdisjoint(shown) for name in label)


def _spread(values, ambient, shown):
    """Standard deviation of what differs among installations in good order, at one ambient."""
    if shown or values.size < 8:
        return float(np.std(values))
    fit = Polynomial.fit(ambient, values, 2)
    left = np.abs(values - fit(ambient))
    return float(1.4826 * np.median(left))  # robust against the few beyond the cliff


def likelihood(readings: Readings, field: Field, smoothing: Smoothing) -> tuple[np.ndarray, np.ndarray]:
    """Return the logarithm of the likelihood of each case, and its misfit in squares of the errors."""
    log_likelihood = of_ambient(readings, field, smoothing)
    misfit = np.zeros(field.ambient.size)
    for name in readings.values:
        told, away = _of_reading(name, readings, field, smoothing)
        log_likelihood += told
        misfit += away
    return log_likelihood, misfit


def of_ambient(readings: Readings, field: Field, smoothing: Smoothing) -> np.ndarray:
    """Return the logarithm of the likelihood of each case by the ambient alone."""
    if not np.isfinite(smoothing.ambient):
        return np.zeros(field.ambient.size)
    width = np.hypot(smoothing.ambient, AMBIENT_ERROR)
    # far outside the bank's ambients its nearest ones count
    ambient = np.clip(readings.ambient, field.ambient.min(), field.ambient.max())
    return -0.5 * ((field.ambient - ambient) / width) ** 2


def of_reading(name: str, readings: Readings, field: Field, smoothing: Smoothing) -> np.ndarray:
    """Return what one of the readings adds to the logarithm of the likelihood of each case."""
    return _of_reading(name, readings, field, smoothing)[0]


def _of_reading(name, readings, field, smoothing):
    reading, value = READINGS[name], readings.values[name]
    if reading.choices:
        seen = reading.confusion[:, reading.choices.index(value)]
        chances = (1.0 - smoothing.stray) * seen + smoothing.stray / len(reading.choices)
        with np.errstate(divide="ignore"):
            told, away = (
                np.maximum(np.log(each), -30.0) for each in (chances, seen / reading.confusion.max(axis=1))
            )
        return told[field.centre[name]], (-2.0 * away)[field.centre[name]]
    compared = float(reading.compared(np.array(value), np.array(readings.ambient)))
    squares = ((field.centre[name] - compared) / field.width[name]) ** 2
    return _log_density(squares, field.width[name], field.range[name], smoothing), squares


def _log_density(squares: np.ndarray, width: np.ndarray, span: float, smoothing: Smoothing) -> np.ndarray:
    """Logarithm of the density of readings so many widths away, squared; strays lie anywhere in the span."""
    if np.isinf(smoothing.tails):
        shape = _NORMAL - 0.5 * squares - np.log(width)
    else:
        power = 0.5 * (smoothing.tails + 1.0)
        most = lgamma(power) - lgamma(0.5 * smoothing.tails) - 0.5 * log(pi * smoothing.tails)
        shape = most - power * np.log1p(squares / smoothing.tails) - np.log(width)
    if not smoothing.stray:
        return shape
    return np.log((1.0 - smoothing.stray) * np.exp(shape) + smoothing.stray / span)


def log_of_something_else(
    readings: Readings, field: Field, log_prior: np.ndarray, smoothing: Smoothing
) -> float:
    """Return the logarithm of how likely these readings are where the cause is in no catalogue.

    Each reading for itself: as all that the catalogue holds would give it, and what the unit makes of a cause
    half as likely anything at all.
    """
    before = of_ambient(readings, field, smoothing)
    believed = (log_prior - np.log(field.counts))[field.label] + before
    told = float(np.logaddexp.reduce(believed))
    believed -= told
    for name in readings.values:
        of_cases = of_reading(name, readings, field, smoothing)
        known = float(np.logaddexp.reduce(believed + of_cases))
        # a cause that nobody knows needn't be what a reading shows by itself
        shown = bool(READINGS[name].shows)
        told += known if shown else float(np.log(0.5 * np.exp(known) + 0.5 / field.range[name]))
    return told


def log_sums(logs: np.ndarray, field: Field) -> np.ndarray:
    """Return the logarithm of the sum over each label's cases."""
    most = np.maximum.reduceat(logs, field.starts)
    return most + np.log(np.add.reduceat(np.exp(logs - most[field.label]), field.starts))


@dataclass(frozen=True, eq=False)
class Evidence:
    """What each reading of one refrigerator says by itself, so that any part of them is weighed quickly.

    Attributes
    ----------
    labels : tuple of Label
        What can be wrong.
    log_prior : numpy.ndarray
        Logarithm of how likely each label is before anything was read.
    starts, counts : numpy.ndarray of int
        Where each label's cases of the bank begin, and how many there are.
    before : numpy.ndarray
        Logarithm of the likelihood of each case by the ambient alone.
    by_reading : dict of str to numpy.ndarray
        What each reading adds to that.
    misfit : numpy.ndarray
        Of each case by all readings, in squares of the errors.
    smoothing : Smoothing
        How far the bank's cases stand for all.
    """

    labels: tuple[Label, ...]
    log_prior: np.ndarray
    starts: np.ndarray
    counts: np.ndarray
    before: np.ndarray
    by_reading: dict[str, np.ndarray]
    misfit: np.ndarray
    smoothing: Smoothing

    def log_likelihood(self, names: Iterable[str]) -> np.ndarray:
        """Return the logarithm of the likelihood of each case by these readings alone."""
        logs = self.before.copy()
        for name in names:
            logs += self.by_reading[name]
        return logs

    def probabilities(self, names: Iterable[str]) -> np.ndarray:
        """Return how likely each label is by these readings alone; as `explain` has it."""
        logs = self.log_likelihood(names)
        most = np.maximum.reduceat(logs, self.starts)
        shifted = np.exp(logs - np.repeat(most, self.counts))
        sums = most + np.log(np.add.reduceat(shifted, self.starts)) - np.log(self.counts)
        weighed = self.log_prior + self.smoothing.evidence * sums
        return np.exp(weighed - np.logaddexp.reduce(weighed))

    def given(self, names: Iterable[str]) -> "Evidence":
        """Return what the other readings say where these are read already."""
        read = tuple(names)
        before = self.log_likelihood(read)
        left = {name: said for name, said in self.by_reading.items() if name not in read}
        return replace(self, before=before, by_reading=left)


def evidence(
    readings: Readings,
    bank: Bank | None = None,
    priors: Mapping[str, float] | None = None,
    *,
    smoothing: Smoothing = SMOOTHING,
) -> Evidence:
    """Return what each of the readings says by itself; parameters and errors as in `explain`."""
    field = field_of(usual_bank() if bank is None else bank, readings.like, readings.heat_source, smoothing)
    log_prior = log_priors(readings, field, priors)
    before = of_ambient(readings, field, smoothing)
    by_reading, misfit = {}, np.zeros_like(before)
    for name in readings.values:
        by_reading[name], away = _of_reading(name, readings, field, smoothing)
        misfit += away
    where = field.labels, log_prior, field.starts, field.counts
    return Evidence(*where, before, by_reading, misfit, smoothing)


def log_priors(readings: Readings, field: Field, priors: Mapping[str, float] | None) -> np.ndarray:
    """Return the logarithm of how likely each label is before anything was read."""
    believed = prior(readings.like, readings.heat_source, priors)
    with np.errstate(divide="ignore"):
        return np.log([believed.get(label, 0.0) for label in field.labels])
