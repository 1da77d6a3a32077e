"""Renewing feedback pages without running anything: after marks by hand, and after a release."""

from collections.abc import Callable, Sequence

from warmside.errors import InputError
from warmside.session import journal, nbgrader_runs
from warmside.session.folder import Session
from warmside.session.journal import Task


def marked(session: Session, trainee: str = "", *, demand: bool = True) -> list[Task]:
    """Return the hand-ins that have marks, of one trainee or of all.

    Raises
    ------
    InputError
        If there is no such trainee, or, where that is demanded, no hand-in with marks.
    """
    session.trainee_ids(trainee)
    paths = sorted((session.folder / "autograded").glob(f"{trainee or '*'}/*/*.ipynb"))
    tasks = [Task(path.parts[-3], path.stem) for path in paths if path.stem == path.parts[-2]]
    ended = [task for task in tasks if (entry := journal.read(session, task)) is None or entry.ended]
    if demand and not ended:
        who = f"{trainee} has no" if trainee else "Nobody has any"
        raise InputError(f"{who} marks yet; `warmside session mark {session.folder}` gives them.")
    return ended


def renew(
    session: Session, tasks: Sequence[Task], progress: Callable[[Task], None] = lambda task: None
) -> dict[Task, str]:
    """Write the feedback pages of marked hand-ins anew; return what went wrong with those that failed."""
    failed = {}
    with session.alone():
        for task in tasks:
            if reason := nbgrader_runs.generate_feedback(session.folder, task.exercise, task.trainee):
                failed[task] = reason
            progress(task)
    return failed
