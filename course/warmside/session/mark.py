"""Marking a session: each new hand-in is run and marked, one that fails stops nobody else."""

import errno
import shutil
import tempfile
from collections.abc import Callable, Iterable

import nbformat
from sqlalchemy.exc import SQLAlchemyError

from warmside.autograde import box
from warmside.errors import InputError
from warmside.marking.exercise import load_exercise
from warmside.marking.noted import RunNoted
from warmside.session import journal, nbgrader_runs
from warmside.session.backup import back_up
from warmside.session.folder import Session
from warmside.session.journal import Entry, State, Task
from warmside.session.received import settle

_ROOM = 32 * 2**20
"""Less room than that on a disk may be what stopped a step [bytes]."""


def is_full(session: Session) -> bool:
    """Tell whether there is hardly room left where marking writes."""
    places = session.folder, tempfile.gettempdir()
    return any(shutil.disk_usage(place).free < _ROOM for place in places)


def to_mark(session: Session, *, again: bool = False) -> list[Task]:
    """Return the hand-ins that have come since they were last marked; all of them with `again`."""
    submitted = sorted((session.folder / "submitted").glob("*/*/timestamp.txt"))
    tasks = [Task(trainee=path.parts[-3], exercise=path.parts[-2]) for path in submitted]
    return [task for task in tasks if again or not _is_done(session, task)]


def _is_done(session: Session, task: Task) -> bool:
    entry = journal.read(session, task)
    return entry is not None and entry.ended and entry.hand_in == journal.digest(session, task)


def mark(
    session: Session,
    tasks: Iterable[Task],
    progress: Callable[[Task], None] = lambda task: None,
    *,
    unboxed: bool = False,
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
    unboxed : bool
        Whether to run them without a box, with limits alone.

    Returns
    -------
    dict of Task to str
        What went wrong, for each one that could not be marked.

    Raises
    ------
    InputError
        If another command works on the session, or if no box can be made and none was waived.
    OSError
        If the disk is full; what was marked until then is whole.
    """
    if not unboxed and (reason := box.why_not()):
        raise InputError(
            f"Hand-ins are run in boxes, and {reason}. Install Debian's bubblewrap on Linux, or say "
            "--unboxed, with hand-ins of people you know alone."
        )
    failed: dict[Task, str] = {}
    with session.alone():
        box.sweep()
        box.compile_package()
        settle(session)
        back_up(session)
        for task in tasks:
            if reason := _mark_one(session, task, unboxed):
                failed[task] = reason
            progress(task)
    return failed


def _why_not(session: Session, task: Task) -> str:
    """Return why this version can't mark a hand-in as it is to be marked; empty where it can."""
    exercise = load_exercise(task.exercise)
    try:
        session.frozen_card(exercise, task.trainee).demand(exercise)
    except InputError as problem:
        return str(problem)
    return ""


def _mark_one(session: Session, task: Task, unboxed: bool) -> str:
    hand_in = journal.digest(session, task)
    if reason := _why_not(session, task):
        before = journal.read(session, task)
        if before is None or not before.ended:  # marks that there are stay
            journal.write(session, task, Entry(State.NOT, hand_in, (reason,)))
        return reason
    journal.write(session, task, Entry(State.BEGUN, hand_in))
    try:
        reason = nbgrader_runs.autograde(session.folder, task.exercise, task.trainee, unboxed=unboxed)
        reason = reason or nbgrader_runs.generate_feedback(session.folder, task.exercise, task.trainee)
    except (SQLAlchemyError, OSError) as problem:
        reason = str(problem)
    # what a step says may hold a stranger's words
    if any(sign in reason for sign in ("No space left on device", "disk is full")) and is_full(session):
        raise OSError(errno.ENOSPC, "No space left on device; make room and mark again", str(session.folder))
    if reason:
        journal.write(session, task, Entry(State.NOT, hand_in, (reason,)))
        return reason
    path = session.folder / "autograded" / task.trainee / task.exercise / f"{task.exercise}.ipynb"
    why = tuple(RunNoted.of(nbformat.read(path, as_version=4)).cut_short)
    state = State.PARTLY if why else State.MARKED
    journal.write(session, task, Entry(state, hand_in, why))
    return ""
