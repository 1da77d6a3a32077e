"""Marking a session: each new hand-in is run and marked, one that fails stops nobody else."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from warmside.session import nbgrader_runs
from warmside.session.folder import Session


@dataclass(frozen=True)
class Task:
    """A hand-in to mark."""

    trainee: str
    exercise: str


def to_mark(session: Session, *, again: bool = False) -> list[Task]:
    """Return the hand-ins that have come since they were last marked; all of them with `again`."""
    submitted = sorted((session.folder / "submitted").glob("*/*/timestamp.txt"))
    return [
        Task(trainee=path.parts[-3], exercise=path.parts[-2])
        for path in submitted
        if again or _text(path) != _text(session.folder / "autograded" / Path(*path.parts[-3:]))
    ]


def mark(
    session: Session, tasks: Iterable[Task], progress: Callable[[Task], None] = lambda task: None
) -> dict[Task, str]:
    """Run and mark hand-ins, and write their feedback pages.

    Parameters
    ----------
    session : Session
        Where they lie.
    tasks : iterable of Task
        What to mark.
    progress : callable, optional
        Called after each one.

    Returns
    -------
    dict of Task to str
        What went wrong, for each one that could not be marked.
    """
    failed: dict[Task, str] = {}
    for task in tasks:
        reason = nbgrader_runs.autograde(session.folder, task.exercise, task.trainee)
        if reason:
            failed[task] = reason
        else:
            nbgrader_runs.generate_feedback(session.folder, task.exercise, task.trainee)
        progress(task)
    return failed


def _text(path: Path) -> str | None:
    return path.read_text("utf-8") if path.is_file() else None
