"""How long marking takes, pages included, against stock nbgrader: with answers typed, and with computed ones.

Run with: python tests/benchmarks/marking.py [HAND_INS]. It takes some minutes for 12. The ratios of one run
count, those of processor time the more where other programs are at work.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
import nbformat
import numpy as np
from helpers import NAME, SECRET, solved_notebook, typed_notebook, write_notebook

from warmside import BEING_MARKED, project
from warmside.marking.exercise import load_exercise
from warmside.marking.job_card import JobCard
from warmside.session import folder as folders
from warmside.session.hand_in import take_in
from warmside.session.mark import mark, to_mark
from warmside.session.roster import Trainee


def timed(work: Callable[[], object]) -> np.ndarray:
    """Return how long work takes on the clock, and of processors with all that it starts [s]."""
    begin, before = time.perf_counter(), os.times()
    work()
    return np.array([time.perf_counter() - begin, sum(os.times()[:4]) - sum(before[:4])])


def ours(folder: Path, sheets: dict[str, nbformat.NotebookNode]) -> np.ndarray:
    """Mark a class, in boxes where one is needed; return what that took [s]."""
    session = folders.start(folder, [Trainee(who, "", "", "") for who in sheets], [NAME], secret=SECRET)
    with tempfile.TemporaryDirectory() as usb:
        take_in(
            session,
            [write_notebook(Path(usb, f"{who}_{NAME}.ipynb"), sheet) for who, sheet in sheets.items()],
        )
    return timed(lambda: mark(session, to_mark(session)))


def stock(folder: Path, sheets: dict[str, nbformat.NotebookNode], cards: dict[str, JobCard]) -> np.ndarray:
    """Have nbgrader as it comes run the same and write its pages; return what that took [s]."""
    for who, sheet in sheets.items():
        path = write_notebook(folder / "submitted" / who / NAME / f"{NAME}.ipynb", sheet)
        for name, text in cards[who].as_files().items():
            path.with_name(name).write_text(text, encoding="utf-8")
    source = f"--CourseDirectory.source_directory={project.root() / 'solutions_private'}"

    def nbgrader(step: str) -> None:
        command = [sys.executable, "-m", "nbgrader", step, NAME, f"--CourseDirectory.root={folder}", source]
        environment = os.environ | {BEING_MARKED: "yes"}  # no drawing there either
        subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=True)

    nbgrader("generate_assignment")
    return timed(lambda: [nbgrader(step) for step in ("autograde", "generate_feedback")])


def main(count: int) -> None:
    """Print it."""
    exercise = load_exercise(NAME)
    names = [f"t{number:03d}" for number in range(count)]
    cards = {who: exercise.job_card(SECRET, who) for who in names}
    typed = {who: typed_notebook(exercise, card) for who, card in cards.items()}
    computed = {who: solved_notebook() for who in names}
    with tempfile.TemporaryDirectory() as place:
        took = {
            "typed": (ours(Path(place, "typed"), typed), stock(Path(place, "typed, stock"), typed, cards)),
            "computed": (
                ours(Path(place, "computed"), computed),
                stock(Path(place, "computed, stock"), computed, cards),
            ),
        }
    print(f"{count} hand-ins, s each of clock and processor{'':5}ours{'':12}stock{'':11}ratio")
    for what, (mine, theirs) in took.items():
        rows = *mine / count, *theirs / count, *theirs / mine
        print(f"{what:40}" + ("{:8.2f}" * 4).format(*rows[:4]) + "{:8.1f}{:8.1f}".format(*rows[4:]))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 12)
