"""Marking a session: each new hand-in is run and marked, one that fails stops nobody else."""

import errno
import shutil
import tempfile
from collections.abc import Callable, Iterable
from functools import partial

import nbformat

from warmside.autograde import box
from warmside.errors import InputError
from warmside.marking.exercise import load_exercise
from warmside.marking.noted import RunNoted
from warmside.session import journal, nbgrader_runs, trouble
from warmside.session.backup import back_up
from warmside.session.folder import Session
from warmside.session.journal import Entry, State, Task
from warmside.session.own_process import CutShortError, in_own_process
from warmside.session.received import settle
from warmside.session.trouble import HeldError

_ROOM = 32 * 2**20
"""Less room than that on a disk may be what stopped a step [bytes]."""


def is_full(session: Session) -> bool:
    """Tell whether there is hardly room left where marking writes."""
    places = session.folder, tempfile.gettempdir()
    return any(shutil.disk_usage(place).free < _ROOM for place in places)


def to_mark(session: Session, *, again: bool = False) -> list[Task]:
    """Return the hand-ins that have come since they were last marked; all of them with `again`.

    Those on which marking broke off before come last, so that they hold up nobody if they do it again.
    """
    submitted = sorted((session.folder / "submitted").glob("*/*/timestamp.txt"))
    tasks = [Task(trainee=path.parts[-3], exercise=path.parts[-2]) for path in submitted]
    wanted = [task for task in tasks if again or not _is_done(session, task)]
    return sorted(wanted, key=lambda task: _was_cut_short(session, task))


def _is_done(session: Session, task: Task) -> bool:
    entry = journal.read(session, task)
    return entry is not None and entry.ended and entry.hand_in == journal.digest(session, task)


def _was_cut_short(session: Session, task: Task) -> bool:
    entry = journal.read(session, task)
    return entry is not None and not entry.ended and entry.hand_in == journal.digest(session, task)


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
        If another command works on the session, another program holds its gradebook, or no box can be made
        and none was waived.
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
        if not unboxed:
            box.control_group(box.Limits())  # asked here, once for all that are forked
        settle(session)
        back_up(session)
        nbgrader_runs.make_ready(session.folder)
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
    hand_in, before = journal.digest(session, task), journal.read(session, task)
    if reason := _why_not(session, task):
        if before is None or not before.ended:  # marks that there are stay
            journal.write(session, task, Entry(State.NOT, hand_in, (reason,)))
        return reason
    journal.write(session, task, Entry(State.BEGUN, hand_in))
    try:
        became = in_own_process(partial(_run, session, task, unboxed))
    except CutShortError as problem:
        became = str(problem)
        box.sweep()
    if isinstance(became, HeldError):
        if before:
            journal.write(session, task, before)
        else:
            journal.strike(session, task)
        raise became
    if isinstance(became, OSError) and trouble.is_full(became) and is_full(session):
        raise OSError(errno.ENOSPC, "No space left on device; make room and mark again", str(session.folder))
    if became:
        reason = became if isinstance(became, str) else nbgrader_runs.reason(became)
        journal.write(session, task, Entry(State.NOT, hand_in, (reason,)))
        return reason
    path = session.folder / "autograded" / task.trainee / task.exercise / f"{task.exercise}.ipynb"
    why = tuple(RunNoted.of(nbformat.read(path, as_version=4)).cut_short)
    state = State.PARTLY if why else State.MARKED
    journal.write(session, task, Entry(state, hand_in, why))
    return ""


def _run(session: Session, task: Task, unboxed: bool) -> str | Exception:
    """Run and mark a hand-in and write its feedback page; return what went wrong, or an empty text."""
    try:
        reason = nbgrader_runs.autograde(session.folder, task.exercise, task.trainee, unboxed=unboxed)
        return reason or nbgrader_runs.generate_feedback(session.folder, task.exercise, task.trainee)
    except (HeldError, OSError) as problem:
        return problem
    except Exception as problem:  # whatever a stranger's notebook does to what marks it
        return nbgrader_runs.reason(problem)
