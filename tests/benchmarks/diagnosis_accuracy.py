"""How often the diagnosis is right on simulated cases held back.

Run with: python tests/benchmarks/diagnosis_accuracy.py [CASES]. It takes some minutes.

The model judged by the model: a ceiling for what a technician can reach with these readings, no rate from
the field. Cases are drawn from other seeds than the bank's, read with the meters' errors, and explained with
all faults equally likely, as they were drawn.
"""

import sys
import time
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from warmside.diagnosis.bank import Bank
from warmside.diagnosis.drawing import Cases, draw_cases
from warmside.diagnosis.faults import FAULTS, PAIR_PRIOR, Label
from warmside.diagnosis.inference import explain, next_reading
from warmside.diagnosis.readings import READINGS, Readings
from warmside.diagnosis.storing import load_bank

EQUAL = dict.fromkeys(FAULTS, 1.0)
SINGLE_SEED, PAIR_SEED = 101, 102
_STEPS = {
    "cup, freezer, ambient": ("cup", "freezer"),
    "+ volts, amps, ohms; gas pressure": (
        *("supply_voltage", "voltage", "control_voltage", "current", "resistance"),
        "gas_pressure",
    ),
    "+ vent and condenser-inlet air": ("vent_air", "condenser_air"),
    "+ air over the top and at the side": ("top_air", "side_air"),
    "+ boiler": ("boiler",),
    "+ level": ("side_level", "front_level"),
    "+ gaps, baffle, depth": ("top_gap", "side_gap", "rear_gap", "baffle_gap"),
    "+ absorber, slip test, looks at fins and jacket": ("absorber", "seal", "fins", "jacket"),
    "+ set-point, duty, control and sensor": ("setting", "duty", "control", "sensor"),
    "+ other looks": (
        "lower_vent_look",
        "upper_vent_look",
        "wind",
        "fan",
        "load",
        "frost",
        "fuse",
        *("gas_supply", "flame", "spark", "lockout", "flue_baffle"),
    ),
    "+ lower panel off, quiet night": ("panel_off_air", "quiet_night_cup"),
    "+ the other heat source": ("cup_on_gas", "cup_on_mains"),
}
BINS = (0.0, 0.3, 0.5, 0.7, 0.9, 0.99, 1.0 + 1e-9)


@dataclass(frozen=True, eq=False)
class Judged:
    """What became of held-back cases.

    Attributes
    ----------
    right, in_three : numpy.ndarray of bool
        Whether the truth came first; whether it was among the first three.
    stated : numpy.ndarray
        Probability stated for the first.
    surprise : numpy.ndarray
    answers : list of Label
    """

    right: np.ndarray
    in_three: np.ndarray
    stated: np.ndarray
    surprise: np.ndarray
    answers: list[Label]


def held_back(seed: int, count: int, pair_share: float) -> tuple[Cases, list[Readings]]:
    """Draw cases that the bank doesn't hold, and read them."""
    cases = draw_cases(seed, count, pair_share=pair_share)
    random = np.random.default_rng(seed)
    return cases, [cases.measured(case, random) for case in range(count)]


def judge(bank: Bank, cases: Cases, read: list[Readings], names: set[str] | None = None) -> Judged:
    """Explain each case by its readings, or by those of these names."""
    rows = []
    for case, readings in enumerate(read):
        given = readings if names is None else readings.only(names)
        said = explain(given, bank, EQUAL, remaining=())
        first = [one.label for one in said.ranked[:3]]
        truth = cases.label(case)
        rows.append((first[0] == truth, truth in first, said.best.probability, said.surprise, first[0]))
    right, in_three, stated, surprise, answers = zip(*rows, strict=True)
    return Judged(*(np.array(column) for column in (right, in_three, stated, surprise)), list(answers))


def reading_sets() -> dict[str, set[str]]:
    """Return the sets of readings, each with those before it."""
    sets, so_far = {}, set()
    for name, more in _STEPS.items():
        so_far = so_far | set(more)
        sets[name] = so_far
    assert so_far == set(READINGS)
    return sets


def reliability(judged: Judged) -> list[tuple[float, float, int, float, float]]:
    """Return for each bin its ends, how many cases, what was stated on average, how often it was right."""
    rows = []
    for low, high in pairwise(BINS):
        there = (judged.stated >= low) & (judged.stated < high)
        if there.any():
            rows.append(
                (low, high, int(there.sum()), judged.stated[there].mean(), judged.right[there].mean())
            )
    return rows


def main(count: int = 4000) -> None:
    begin = time.perf_counter()
    bank = load_bank(progress=lambda done, all: print(f"\rbank {done}/{all}", end="", flush=True))
    took = time.perf_counter() - begin
    print(f"\rbank of {len(bank):,} cases, {bank.nbytes / 1e6:.0f} MB, there after {took:.1f} s")

    cases, read = held_back(SINGLE_SEED, count, pair_share=0.0)
    out = cases.out_of_limits()
    print(f"\nOne fault, {count} cases; {out.mean():.0%} out of limits\n")
    print(f"{'readings':44}{'right':>7}{'out':>7}{'top 3':>7}{'top 3 out':>11}{'ms':>7}")
    for name, names in reading_sets().items():
        begin = time.perf_counter()
        judged = judge(bank, cases, read, names)
        each = (time.perf_counter() - begin) / count * 1e3
        shares = (
            judged.right.mean(),
            judged.right[out].mean(),
            judged.in_three.mean(),
            judged.in_three[out].mean(),
        )
        print(f"{name:44}{shares[0]:7.3f}{shares[1]:7.3f}{shares[2]:7.3f}{shares[3]:11.3f}{each:7.1f}")

    print("\nConfusion with all readings: truth, how many, right; then the wrong answers\n")
    for fault in FAULTS:
        these = [case for case in range(count) if cases.label(case) == (fault,)]
        wrong = Counter(judged.answers[case] for case in these if not judged.right[case])
        shown = ", ".join(f"{'+'.join(label)} {number}" for label, number in wrong.most_common(5))
        print(f"{fault:24}{len(these):5}{np.mean(judged.right[these]):7.2f}  {shown}")
    print("\nSurprise at 50, 95, 99, 99.9 %:", np.percentile(judged.surprise, [50, 95, 99, 99.9]).round(2))

    cases, read = held_back(PAIR_SEED, 2 * count, pair_share=PAIR_PRIOR)
    random = np.random.default_rng(0)
    some = [one.only([name for name in one.values if random.random() < 0.5]) for one in read]
    for title, given in (("all readings", read), ("half of the readings", some)):
        judged = judge(bank, cases, given)
        print(f"\nReliability, {title}; {PAIR_PRIOR:.0%} of {2 * count} cases with two faults\n")
        print(f"right {judged.right.mean():.3f}, in three {judged.in_three.mean():.3f}")
        print(f"{'stated':>12}{'cases':>8}{'mean':>8}{'right':>8}")
        for low, high, number, stated, right in reliability(judged):
            print(f"{low:6.2f}-{min(high, 1):4.2f}{number:8}{stated:8.3f}{right:8.3f}")

    begin = time.perf_counter()
    for readings in read[:50]:
        explain(readings.only(["cup", "freezer", "voltage"]), bank)
    middle = time.perf_counter()
    for readings in read[:50]:
        next_reading(readings.only(["cup", "freezer", "voltage"]), bank)
    end = time.perf_counter()
    print(f"\nwith ties {(middle - begin) * 20:.0f} ms, next reading {(end - middle) * 20:.0f} ms")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
