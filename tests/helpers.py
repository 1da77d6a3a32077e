"""Notebooks, marks and outcomes, as several tests look at them."""

import json
import os
from collections.abc import Iterable
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import nbformat
import pytest

from warmside import project
from warmside.autograde import box
from warmside.marking.cells import ANSWER_SUFFIX, grade_id
from warmside.marking.exercise import Exercise, Job, load_exercise, private_part
from warmside.marking.job_card import JobCard
from warmside.marking.marks import Outcome
from warmside.marking.noted import MarkNoted
from warmside.session.folder import Session
from warmside.session.journal import Task
from warmside.session.mark import mark as mark_tasks

NAME = "substance_temperature_test"
SECRET = bytes(range(32))
NEEDS_BANK = pytest.mark.full
"""Marks what looks into the bank of simulated cases, which on a fresh machine takes minutes to make."""


def part_of(name: str, part: str) -> ModuleType:
    """A private module of an exercise, for its functions."""
    return private_part(name, part)


class Drawn(NamedTuple):
    """A job card, and how many draws it took until truth and mistakes lay apart on it."""

    card: JobCard
    draws: int


def points_by_machine(exercise: Exercise) -> float:
    """Full marks of all that no person marks."""
    return sum(item.points for item in exercise.items)


def released_notebook(name: str = NAME) -> nbformat.NotebookNode:
    return nbformat.read(project.root() / "exercises" / name / f"{name}.ipynb", as_version=4)


def source_notebook(name: str = NAME) -> nbformat.NotebookNode:
    return nbformat.read(project.root() / "solutions_private" / name / f"{name}.ipynb", as_version=4)


def answer_cell(notebook: nbformat.NotebookNode, item: str) -> nbformat.NotebookNode:
    return next(cell for cell in notebook.cells if grade_id(cell) == item + ANSWER_SUFFIX)


def locked_cell(notebook: nbformat.NotebookNode, item: str) -> nbformat.NotebookNode:
    return next(cell for cell in notebook.cells if grade_id(cell) == item)


def solved_notebook(name: str = NAME) -> nbformat.NotebookNode:
    """The released notebook with the source's solutions typed into its answer cells."""
    notebook, source = released_notebook(name), source_notebook(name)
    for cell in notebook.cells:
        if (grade_id(cell) or "").endswith(ANSWER_SUFFIX):
            cell.source = answer_cell(source, grade_id(cell).removesuffix(ANSWER_SUFFIX)).source
    return notebook


def typed_notebook(exercise: Exercise, card: JobCard) -> nbformat.NotebookNode:
    """The released notebook with all that is right on a card typed into it; nothing needs to be run."""
    notebook, job = released_notebook(exercise.name), Job(exercise, card)
    for item in exercise.items:
        answer = item.asks.typed(item.key(job))
        answer_cell(notebook, item.name).source = f"{item.name} = {answer!r}"
    return notebook


def typed_for(session: Session, trainee: str, name: str = NAME) -> nbformat.NotebookNode:
    """The released notebook with all that is right for a trainee of a session typed into it."""
    exercise = load_exercise(name)
    return typed_notebook(exercise, session.frozen_card(exercise, trainee).card)


def write_notebook(path: Path, notebook: nbformat.NotebookNode) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    nbformat.write(notebook, path)
    return path


def mark(session: Session, tasks: Iterable[Task]) -> dict[Task, str]:
    """Mark in boxes where there are any, else without."""
    return mark_tasks(session, tasks, unboxed=not box.available())


def marks_in_gradebook(session: Session) -> dict[tuple[str, str], float | None]:
    """Automatic marks by trainee and item."""
    with session.gradebook() as gradebook:
        return {
            (submission.student.id, grade.name): grade.auto_score
            for submission in gradebook.assignment_submissions(NAME)
            for notebook in submission.notebooks
            for grade in notebook.grades
        }


def was_run(notebook: nbformat.NotebookNode) -> bool:
    """Tell whether a kernel ran it: it notes when it began and ended each cell."""
    return any("execution" in cell.metadata for cell in notebook.cells)


def marked_notebook(session: Session, trainee: str, name: str = NAME) -> nbformat.NotebookNode:
    return nbformat.read(session.folder / "autograded" / trainee / name / f"{name}.ipynb", as_version=4)


def missing_program(program: str) -> None:
    """Leave a test out for want of a program, or fail where nothing may be left out."""
    reason = f"needs the program of Debian's package {program}"
    if os.environ.get("WARMSIDE_REQUIRE_ALL"):
        pytest.fail(reason)
    pytest.skip(reason)


def outcomes(session: Session, trainee: str, name: str = NAME) -> dict[str, Outcome]:
    """What became of each item, as the marked notebook notes it."""
    cells = marked_notebook(session, trainee, name).cells
    items = [item.name for item in load_exercise(name).items]
    return {grade_id(cell): MarkNoted.of(cell).outcome for cell in cells if grade_id(cell) in items}


def feedback_of(session: Session, trainee: str, item: str, name: str = NAME) -> str:
    cell = locked_cell(marked_notebook(session, trainee, name), item)
    return json.dumps([output.data for output in cell.outputs], ensure_ascii=False)


def cards_for(exercise: Exercise, usual: int, from_bank: int) -> int:
    """How many cards to draw: fewer of an exercise whose cards come from the bank, which takes longer."""
    return from_bank if exercise.needs_bank else usual
