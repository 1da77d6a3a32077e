"""How far a job sheet can be believed where the world differs from the model's.

Run with: python tests/benchmarks/diagnosis_calibration.py [CASES]. It takes some minutes.

Refrigerators are drawn whose unknown numbers spread 1.6 times as far as the bank's; of some the cause is in
no catalogue (the explanation knows nothing of it, nor of what shows it), and of some one reading is grossly
wrong. What a sheet states is held against the truth. All of it is simulated: it says how the diagnosis stands
misfit, not how often it is right in the field.
"""

import sys
import time
from collections import Counter
from unittest.mock import patch

import numpy as np

from warmside.diagnosis import solving
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.faults import FAULTS, PAIR_PRIOR, condemns, labels
from warmside.diagnosis.job import Job
from warmside.diagnosis.job_sheet import job_sheet
from warmside.diagnosis.proofs import Standing
from warmside.diagnosis.readings import READINGS, Readings
from warmside.diagnosis.storing import load_bank
from warmside.model import ensemble
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES

SPREAD, OUTSIDE_SHARE, GROSS_SHARE, READ_SHARE = 1.6, 0.15, 0.15, 0.5
OUTSIDE = ("frost", "fins_fouled", "pocket_open", "half_heater")
HIDES = ("frost", "fins", "top_gap", "top_air", "resistance", "current")
"""What would show one of these is never read."""
_ALWAYS = ("cup", "freezer")
_DAY = 24 * 3600.0


class _Wider:
    """The ensemble's ranges, each so many times as wide about its middle."""

    def numbers(self, name: str) -> tuple[float, float]:
        low, high = _RANGES.numbers(name)
        if name.endswith("_at_rating") or name in ("spare", "condenser_conductance"):
            return low, high
        middle, half = 0.5 * (low + high), 0.5 * SPREAD * (high - low)
        return max(middle - half, 0.3 * low), middle + half


_RANGES = ensemble._RANGES


def wide_members(size: str, rating: str):
    """Return plausible refrigerators of a size, wider spread than the bank's."""
    if (size, rating) not in _MADE:
        with patch.object(ensemble, "_RANGES", _Wider()), patch.object(ensemble, "_SEED", 99):
            _MADE[size, rating] = ensemble._made(size, rating)
    return _MADE[size, rating]


_MADE: dict = {}


def draw(count: int, seed: int):
    """Draw cases, each with what was read of it, and the truth."""
    random = np.random.default_rng(seed)
    inside = [label for s in SIZES for h in HEAT_SOURCES for part in labels(s, h) for label in part]
    inside = sorted({label for label in inside if not set(label) & set(OUTSIDE)})
    outside = [(name,) for name in OUTSIDE]
    with patch.object(solving, "members", wide_members):
        parts = [
            draw_cases(seed + place, number, wanted=wanted, pair_share=PAIR_PRIOR)
            for place, (number, wanted) in enumerate(
                ((round((1 - OUTSIDE_SHARE) * count), inside), (round(OUTSIDE_SHARE * count), outside))
            )
            if number
        ]
    for cases in parts:
        for case in range(len(cases)):
            read = cases.measured(case, random)
            names = [
                n for n in read.values if n in _ALWAYS or (n not in HIDES and random.random() < READ_SHARE)
            ]
            values = {name: read.values[name] for name in names}
            if random.random() < GROSS_SHARE:
                wrong = names[int(random.integers(len(names)))]
                values[wrong] = _anything(wrong, cases, random)
            running = _DAY if random.random() < 0.5 else None
            what = Readings(read.size, read.heat_source, read.ambient, values, read.rating, running)
            yield what, cases.label(case)


def _anything(name: str, cases, random) -> float | str:
    """Return a reading of this kind that some other case gives."""
    reading = READINGS[name]
    if reading.choices:
        return reading.choices[int(random.integers(len(reading.choices)))]
    column = cases.readings[:, list(READINGS).index(name)]
    column = column[np.isfinite(column)]
    low, high = column.min(), min(column.max(), reading.highest)
    return float(random.uniform(low, high))


def main(count: int = 2000, seed: int = 5000) -> None:
    bank = load_bank()
    priors = dict.fromkeys(FAULTS, 1.0) | dict.fromkeys(OUTSIDE, 0.0)
    states, stated, right, condemned, wrongly = Counter(), [], [], 0, 0
    elsewhere, begin = [], time.process_time()
    for readings, truth in draw(count, seed):
        findings = job_sheet(Job(readings), bank, priors).findings
        states[str(findings.performance.state)] += 1
        told = findings.causes
        if told is None or not told.suspects:
            continue
        first = told.suspects[0]
        stated.append(first.probability)
        right.append(truth in first.labels)
        elsewhere.append((told.something_else, bool(set(truth) & set(OUTSIDE))))
        if (
            first.is_unit
            and first.probability >= 0.5
            and all(p.standing is Standing.GIVEN for p in told.proofs)
        ):
            condemned += 1
            wrongly += not condemns(truth)
    each = (time.process_time() - begin) / count
    stated, right = np.array(stated), np.array(right)
    print(f"{count} cases; {each * 1e3:.0f} ms each; performance: {dict(states)}")
    print(f"right first {right.mean():.3f} of {right.size} with causes")
    print(f"{'stated':>12}{'cases':>8}{'mean':>8}{'right':>8}")
    for low, high in ((0, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 0.97), (0.97, 1.01)):
        there = (stated >= low) & (stated < high)
        if there.any():
            means = f"{stated[there].mean():8.3f}{right[there].mean():8.3f}"
            print(f"{low:6.2f}-{min(high, 1):4.2f}{there.sum():8}{means}")
    out = np.array([one for one, is_out in elsewhere if is_out])
    inn = np.array([one for one, is_out in elsewhere if not is_out])
    print(f"something else, median: cause outside {np.median(out):.2f}, inside {np.median(inn):.2f}")
    print(f"condemned with all proofs in: {condemned}, of these wrongly {wrongly}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
