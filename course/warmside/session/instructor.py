"""What the instructor says about hand-ins: which counts, who is excused or has longer, what is released."""

from datetime import datetime

from warmside.errors import InputError
from warmside.session import decisions
from warmside.session.decisions import What
from warmside.session.folder import Session
from warmside.session.received import HandIns, hand_ins_of, let_one_count, settle

BY_RULE = "usual"
"""What is typed to leave it to the rule again which hand-in counts."""


def choose(session: Session, trainee: str, exercise: str, which: str) -> HandIns:
    """Have one of a trainee's hand-ins count, whatever the rule says.

    Parameters
    ----------
    session : Session
        Where they lie.
    trainee, exercise : str
        Whose, and for what.
    which : str
        Its number, the first that came being 1, or `BY_RULE`.

    Raises
    ------
    InputError
        If there is no such trainee, exercise or hand-in.
    """
    with session.alone():
        settle(session)
        there = their_hand_ins(session, trainee, exercise)
        if which == BY_RULE:
            value = ""
        elif which.isascii() and which.isdigit() and 1 <= int(which) <= len(there.all):
            value = there.all[int(which) - 1].name
        else:
            raise InputError(
                f"“{which[:20]}” is none of {trainee}'s hand-ins for {exercise}; give a number from 1 to "
                f"{len(there.all)}, or “{BY_RULE}”."
            )
        decisions.note(session.folder, What.COUNTS, value, exercise=exercise, trainee=trainee)
        let_one_count(session, trainee, exercise)
        return hand_ins_of(session, trainee, exercise)


def their_hand_ins(session: Session, trainee: str, exercise: str) -> HandIns:
    """Return a trainee's hand-ins for an exercise; InputError if there is none, or no such trainee."""
    _demand(session, trainee, exercise)
    there = hand_ins_of(session, trainee, exercise)
    if not there.all:
        raise InputError(f"{trainee} has handed in nothing for {exercise}.")
    return there


def listed(there: HandIns) -> list[str]:
    """Return a trainee's hand-ins as lines for a terminal, the first that came first."""
    lines = []
    for number, one in enumerate(there.all, 1):
        answers = "" if one.answers is None else f"{one.answers:2} answers  "
        if one is there.counting:
            said = "counts, as you chose" if there.chosen else "counts"
        else:
            said = there.doubts.get(one.name, "another one counts")
        lines.append(f"{number:3}  {_local(one.at)}  {answers}{one.where}  {said}")
    return lines


def excuse(session: Session, trainee: str, exercise: str, *, excused: bool = True) -> None:
    """Note that a trainee need not hand in, or that they have to after all."""
    with session.alone():
        _demand(session, trainee, exercise)
        value = "yes" if excused else ""
        decisions.note(session.folder, What.EXCUSED, value, exercise=exercise, trainee=trainee)


def extend(session: Session, trainee: str, exercise: str, due: datetime) -> None:
    """Note another date at which a trainee's hand-in is due."""
    with session.alone():
        _demand(session, trainee, exercise)
        decisions.note(session.folder, What.DUE, due.isoformat(), exercise=exercise, trainee=trainee)


def release(session: Session, exercise: str = "", *, released: bool = True) -> list[str]:
    """Note that feedback pages may show what is right, of one exercise or of all; return of which.

    Pages show it once they are renewed.
    """
    with session.alone():
        names = [name for name in session.exercise_names(exercise) if exercise in ("", name)]
        for name in names:
            decisions.note(session.folder, What.RELEASED, "yes" if released else "", exercise=name)
        settle(session)  # what came after a release counts once that is withdrawn
        return names


def _demand(session: Session, trainee: str, exercise: str) -> None:
    session.trainee_ids(trainee)
    session.exercise_names(exercise)


def _local(at: str) -> str:
    return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M}"
