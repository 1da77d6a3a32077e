"""How many drawn cases are decidable, how long their cheapest readings take, and how long drawing takes.

Run with: python tests/benchmarks/case_files.py [CASES]. It takes a minute or two for 500.
"""

import sys
import time

import numpy as np

from warmside.diagnosis.inference import explain
from warmside.diagnosis.leading import LEAD
from warmside.diagnosis.storing import usual_bank
from warmside.marking.exercise import private_part

case_drawing, case_file, case_proof = (
    private_part("diagnosis", part) for part in ("case_drawing", "case_file", "case_proof")
)
draw_case, LEVELS, solved = case_drawing.draw_case, case_file.LEVELS, case_proof.solved


def decided(case, labels) -> bool:
    """Tell anew, from what `explain` says, whether the answer leads."""
    ranked = explain(case.readings).ranked
    together = sum(one.probability for one in ranked if one.label in labels)
    others = [one.probability for one in ranked if one.label not in labels]
    return together >= LEAD * max(others) and together >= sum(others)


def main(count: int) -> None:
    """Print it for each level."""
    usual_bank()
    print(
        f"{'level':>5}{'cases':>7}{'decided':>9}{'at first':>10}{'ties':>6}{'sound':>7}{'exact':>7}"
        f"{'minutes 10/50/90 %':>21}{'draw s 50/95 %':>17}{'cheapest s':>13}"
    )
    for level in LEVELS:
        rows = []
        for seed in range(level, count, len(LEVELS)):
            start = time.perf_counter()
            case, answer = draw_case(seed, level)
            drawn = time.perf_counter()
            cheapest = answer.cheapest
            searched = time.perf_counter()
            right = decided(case, answer.labels) and solved(case).labels == answer.labels
            rows.append(
                (
                    right,
                    answer.tried == 1,
                    len(answer.labels) > 1,
                    answer.label == ("none",),
                    cheapest.exact,
                    cheapest.minutes,
                    drawn - start,
                    searched - drawn,
                )
            )
        right, first, tie, sound, exact, takes, drawing, searching = np.array(rows, dtype=float).T
        spread = "/".join(f"{value:.0f}" for value in np.percentile(takes, [10, 50, 90]))
        times = "/".join(f"{value:.2f}" for value in np.percentile(drawing, [50, 95]))
        search = "/".join(f"{value:.2f}" for value in np.percentile(searching, [50, 95]))
        print(
            f"{level:5}{len(rows):7}{right.mean():9.3f}{first.mean():10.2f}{tie.mean():6.2f}{sound.mean():7.2f}"
            f"{exact.mean():7.2f}{spread:>21}{times:>17}{search:>13}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
