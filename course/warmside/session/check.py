"""Checking that gradebook, hand-ins and marks of a session agree, and putting right what can be."""

import os
import shutil
import stat
from dataclasses import dataclass

import nbformat
from nbgrader.api import MissingEntry

from warmside.autograde import hand_marks
from warmside.errors import InputError
from warmside.marking.cells import grade_id, is_by_hand, is_graded
from warmside.marking.frozen_card import is_in, pack_files, path_of
from warmside.session import decisions, journal
from warmside.session.backup import copies, is_whole
from warmside.session.decisions import What
from warmside.session.folder import Session
from warmside.session.journal import Task
from warmside.session.received import is_original, is_settled, places_on, settle, shelf_of, shelves


@dataclass(frozen=True)
class Problem:
    """Something that doesn't agree.

    Attributes
    ----------
    what : str
        A sentence.
    mended : str
        What was done about it; empty where nothing was.
    """

    what: str
    mended: str = ""


def check(session: Session, *, restore: bool = False) -> list[Problem]:
    """Check a session.

    Parameters
    ----------
    session : Session
        Which.
    restore : bool
        Whether to put right what can be: gradebook from its newest whole copy, hand-ins that count from their
        originals, marks that don't agree struck off so that the next marking makes them anew.

    Returns
    -------
    list of Problem
        Empty where everything agrees.
    """
    with session.alone():
        problems = [*_access(session, restore), *_gradebook(session, restore)]
        if any("gradebook" in problem.what and not problem.mended for problem in problems):
            return problems
        problems += [*_cards(session), *_choices(session)]
        return [*problems, *_hand_ins(session, restore), *_marks(session, restore)]


def _access(session, restore):
    mode = stat.S_IMODE(session.folder.stat().st_mode)
    if os.name == "posix" and mode & 0o077:
        if restore:
            session.folder.chmod(0o700)
        yield Problem(
            f"{session.folder} can be read by others (mode {mode:o}).",
            "It is private again." if restore else "",
        )


def _gradebook(session, restore):
    path = session.folder / "gradebook.db"
    if is_whole(path):
        return
    good = [copy for copy in copies(session) if is_whole(copy)]
    if not good:
        yield Problem("The gradebook is missing or damaged, and there is no whole copy of it.")
        return
    if restore:
        if path.exists():
            os.replace(path, path.with_name("gradebook.db.damaged"))
        draft = path.with_suffix(".part")
        shutil.copyfile(good[-1], draft)
        draft.chmod(0o600)
        os.replace(draft, path)
    yield Problem(
        "The gradebook is missing or damaged.",
        f"It was put back from {good[-1].name}; the damaged one was set aside." if restore else "",
    )


def _cards(session):
    for exercise in session.exercises():
        for trainee in session.trainees():
            try:
                pack = pack_files(session.folder, exercise.name, trainee.id)
                if not pack and not path_of(session.folder, exercise.name, trainee.id).exists():
                    continue  # it never was handed out
                frozen = session.frozen_card(exercise, trainee.id)
                frozen.demand(exercise)
            except InputError as problem:
                yield Problem(str(problem))
                continue
            if pack and not is_in(frozen.card, pack):
                yield Problem(
                    f"The pack of {trainee.id} holds another job card for {exercise.name} than is kept for "
                    "marking; `warmside session hand-out` writes it again."
                )


def _choices(session):
    made = decisions.noted(session.folder)
    for trainee, exercise in dict.fromkeys((one.trainee, one.exercise) for one in made):
        choice = decisions.last(made, What.COUNTS, exercise, trainee)
        if choice and not (shelf_of(session, trainee, exercise) / choice.value).is_dir():
            yield Problem(
                f"The hand-in {choice.value} of {trainee} for {exercise}, which you chose, is missing; put "
                "back a copy of it, or choose anew."
            )


def _hand_ins(session, restore):
    for shelf in shelves(session):
        task = Task(shelf.parent.name, shelf.name)
        for place in places_on(shelf):
            if not is_original(place, task.exercise):
                yield Problem(
                    f"{place.relative_to(session.folder)} isn't what was handed in: its hash differs."
                )
        if not is_settled(session, task.trainee, task.exercise):
            yield Problem(
                f"What lies to be marked of {task.trainee}'s hand-ins for {task.exercise} isn't the one that "
                "counts.",
                "It is again." if restore else "",
            )
    if restore:
        settle(session)


def _marks(session, restore):
    for path in sorted((session.folder / journal.FOLDER).glob("*/*.json")):
        task = Task(path.parent.name, path.stem)
        entry = journal.read(session, task)
        if entry is not None and entry.ended and _agrees(session, task):
            continue
        if entry is not None and not entry.ended and entry.state is not journal.State.BEGUN:
            continue
        if restore:
            journal.strike(session, task)
        began = entry is not None and entry.state is journal.State.BEGUN
        what = "was begun and not ended" if began else "doesn't agree with the gradebook"
        yield Problem(
            f"The marking of {task.trainee}'s {task.exercise} {what}.",
            "`warmside session mark` will do it again." if restore else "",
        )


def _agrees(session: Session, task: Task) -> bool:
    """Tell whether gradebook and marked notebook have the same marks, for the same answers."""
    path = session.folder / "autograded" / task.trainee / task.exercise / f"{task.exercise}.ipynb"
    try:
        notebook = nbformat.read(path, as_version=4)
        in_notebook = {
            name: float(cell.outputs[-1].data["text/plain"])
            for cell in notebook.cells
            if (name := grade_id(cell)) and is_graded(cell) and not is_by_hand(cell)
        }
    except (OSError, ValueError, KeyError, IndexError, AttributeError):
        return False
    with session.gradebook() as gradebook:
        try:
            submission = gradebook.find_submission(task.exercise, task.trainee)
        except MissingEntry:
            return False
        answers = hand_marks.answers_that_stand(gradebook, task.exercise, task.trainee)
        grades = {grade.name: grade.auto_score for book in submission.notebooks for grade in book.grades}
    same_answers = not answers or answers == hand_marks.answers_in(notebook)  # none were kept once
    return same_answers and in_notebook == {name: grades[name] for name in grades if name in in_notebook}
