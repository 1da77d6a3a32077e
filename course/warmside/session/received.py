"""The hand-ins of a session, and which of a trainee's counts.

The latest counts, but for one that looks like a slip: nothing in it, fewer answers than before, another's
card or file. It is kept all the same, and counts once the instructor says so.
"""

import codecs
import hashlib
import json
import re
import shutil
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from warmside.private_file import write_private
from warmside.session import decisions
from warmside.session.decisions import Decision, What
from warmside.session.folder import Session

NOTE = "received.json"
_COPY = re.compile(r"\(\d+\)|copy|kopie", re.IGNORECASE)
"""What programs write into the name of a second file of the same name."""


@dataclass(frozen=True)
class Received:
    """A hand-in that was taken in.

    Attributes
    ----------
    trainee, exercise : str
        Whose, and for what.
    where : str
        The file it came from.
    at : str
        When it came, ISO 8601 in UTC.
    sha256 : str
        Hash of the notebook as it arrived.
    other_cards : tuple of str
        Whose job card it was made with, where that isn't the trainee's own: a trainee's id where the card
        itself lies beside it, else `hand_in.UNKNOWN`.
    blank : bool
        Whether nothing was written into it; one from the session's own packs, taken in by mistake, is.
    answers : int or None
        How many answers were written into it; None where it was taken in before these were counted.
    written : str
        Hash of all that the trainee may write; the same for two that differ in nothing but outputs.
    around : str
        Another trainee, in whose zip or folder it lay.
    named : str
        The exercise that its name tells, where its cells are another's.
    """

    trainee: str
    exercise: str
    where: str
    at: str
    sha256: str
    other_cards: tuple[str, ...] = ()
    blank: bool = False
    answers: int | None = None
    written: str = ""
    around: str = ""
    named: str = ""

    @property
    def name(self) -> str:
        """What its folder is called, by when it came."""
        return f"{datetime.fromisoformat(self.at):%Y%m%dT%H%M%S.%f}Z"


@dataclass(frozen=True)
class HandIns:
    """A trainee's hand-ins for an exercise.

    Attributes
    ----------
    all : tuple of Received
        The latest last.
    counting : Received or None
        The one that counts; None where none came, or none that counts unasked.
    chosen : bool
        Whether the instructor said which.
    doubts : mapping of str to str
        By name, those that don't count until the instructor says so, with why.
    """

    all: tuple[Received, ...] = ()
    counting: Received | None = None
    chosen: bool = False
    doubts: dict[str, str] = field(default_factory=dict)


def which_counts(
    hand_ins: Sequence[Received], choice: Decision | None = None, released: Decision | None = None
) -> HandIns:
    """Say which of a trainee's hand-ins, given in the order they came, counts.

    Parameters
    ----------
    hand_ins : sequence of Received
        All of them.
    choice : Decision, optional
        What the instructor chose; what came later doesn't count until they choose anew.
    released : Decision, optional
        That results are released; what came later was written with the key at hand.
    """
    counting: Received | None = None
    doubts = {}
    for one in hand_ins:
        late = "it came after results were released" if released and one.at > released.at else ""
        if doubt := late or _doubt(one, counting):
            doubts[one.name] = doubt
        else:
            counting = one
    chosen = next((one for one in hand_ins if choice and one.name == choice.value), None)
    if choice and chosen:
        later = [one for one in hand_ins if one.at > choice.at and one is not chosen]
        return HandIns(tuple(hand_ins), chosen, True, {one.name: "you chose another one" for one in later})
    return HandIns(tuple(hand_ins), counting, False, doubts)


def _doubt(one: Received, before: Received | None) -> str:
    """Return why a hand-in doesn't count in place of the one that did before; empty where it does."""
    if one.around:
        return f"it lay in a file or folder of {one.around}"
    if before is None or (before.blank and not one.blank):
        return ""
    if one.blank:
        return "nothing is written in it"
    if one.other_cards and not before.other_cards:
        return f"it was made with the job card of {', '.join(one.other_cards)}"
    if one.written and one.written == before.written:
        return "it says the same as the one that came before"
    if one.answers is None or before.answers is None:
        return ""
    if one.answers < before.answers:
        return f"it has {_answers(one.answers)}, the one before has {before.answers}"
    if one.answers == before.answers and _COPY.search(Path(one.where).name):
        return "its name says that it is a copy, and it has no more answers than the one before"
    return ""


def _answers(count: int) -> str:
    return f"{count} answer{'' if count == 1 else 's'}"


def received_hand_ins(session: Session) -> list[Received]:
    """Return all hand-ins of a session, in the order they came."""
    places = [place for shelf in shelves(session) for place in places_on(shelf)]
    hand_ins = [noted for place in places if (noted := from_note(place))]
    return sorted(hand_ins, key=lambda hand_in: (hand_in.at, hand_in.trainee, hand_in.exercise))


def all_hand_ins(session: Session) -> dict[tuple[str, str], HandIns]:
    """Return the hand-ins of a session by trainee and exercise, and which count."""
    made = decisions.noted(session.folder)
    by_shelf: dict[tuple[str, str], list[Received]] = defaultdict(list)
    for hand_in in received_hand_ins(session):
        by_shelf[hand_in.trainee, hand_in.exercise].append(hand_in)
    return {
        (trainee, exercise): _by_decisions(hand_ins, made, trainee, exercise)
        for (trainee, exercise), hand_ins in by_shelf.items()
    }


def hand_ins_of(session: Session, trainee: str, exercise: str) -> HandIns:
    """Return a trainee's hand-ins for an exercise, and which counts."""
    places = places_on(shelf_of(session, trainee, exercise))
    hand_ins = [noted for place in places if (noted := from_note(place))]
    return _by_decisions(hand_ins, decisions.noted(session.folder), trainee, exercise)


def _by_decisions(
    hand_ins: Sequence[Received], made: Sequence[Decision], trainee: str, exercise: str
) -> HandIns:
    choice = decisions.last(made, What.COUNTS, exercise, trainee)
    return which_counts(hand_ins, choice, decisions.last(made, What.RELEASED, exercise))


# --- on disk ----------------------------------------------------------------------------------------------


def shelf_of(session: Session, trainee: str, exercise: str) -> Path:
    """Return the folder that holds a trainee's hand-ins for an exercise."""
    return session.folder / "hand_ins" / trainee / exercise


def shelves(session: Session) -> list[Path]:
    """Return the folders that hold one trainee's hand-ins for one exercise."""
    return sorted(path for path in (session.folder / "hand_ins").glob("*/*") if path.is_dir())


def places_on(shelf: Path) -> list[Path]:
    """Return where its whole hand-ins lie, in the order they came."""
    if not shelf.is_dir():
        return []
    return sorted(place for place in shelf.iterdir() if not place.name.startswith("."))


def from_note(place: Path) -> Received | None:
    """Return what is noted of a hand-in; None where that can't be read."""
    try:
        note = json.loads((place / NOTE).read_text("utf-8"))
        return Received(**{**note, "other_cards": tuple(note["other_cards"])})
    except (OSError, ValueError, KeyError, TypeError):
        return None


def settle(session: Session) -> None:
    """Finish what was interrupted: half-taken hand-ins go, and of each trainee's that counts which is to."""
    for shelf in shelves(session):
        for draft in [place for place in shelf.iterdir() if place.name.startswith(".")]:
            shutil.rmtree(draft, ignore_errors=True)
        if not is_settled(session, shelf.parent.name, shelf.name):
            let_one_count(session, shelf.parent.name, shelf.name)


def is_settled(session: Session, trainee: str, exercise: str) -> bool:
    """Tell whether what counts of a trainee's hand-ins is what is to count."""
    target, wanted = _submitted(session, trainee, exercise), _files_that_count(session, trainee, exercise)
    try:
        return (
            wanted is not None
            and bool(wanted) == target.is_dir()
            and all((target / name).read_bytes() == content for name, content in wanted.items())
        )
    except FileNotFoundError:
        return False


def let_one_count(session: Session, trainee: str, exercise: str) -> None:
    """Lay the hand-in that counts where marking finds it; where none does, none lies there.

    Where it can't be told which, all stays as it is.
    """
    target, wanted = _submitted(session, trainee, exercise), _files_that_count(session, trainee, exercise)
    if wanted is None:
        return
    if not wanted:
        shutil.rmtree(target, ignore_errors=True)
        return
    target.mkdir(parents=True, exist_ok=True)
    for name, content in wanted.items():
        write_private(target / name, content)


def _submitted(session: Session, trainee: str, exercise: str) -> Path:
    return session.folder / "submitted" / trainee / exercise


def _files_that_count(session: Session, trainee: str, exercise: str) -> dict[str, bytes] | None:
    """Return the files of the hand-in that counts, none where none does; None where it can't be told."""
    shelf = shelf_of(session, trainee, exercise)
    counting = hand_ins_of(session, trainee, exercise).counting
    if not all(from_note(place) for place in places_on(shelf)):
        return None
    if counting is None:
        return {}
    try:
        notebook = (shelf / counting.name / f"{exercise}.ipynb").read_bytes().removeprefix(codecs.BOM_UTF8)
    except FileNotFoundError:
        return None
    stamp = f"{datetime.fromisoformat(counting.at):%Y-%m-%d %H:%M:%S.%f} UTC\n"
    return {f"{exercise}.ipynb": notebook, "timestamp.txt": stamp.encode()}


def is_original(place: Path, exercise: str) -> bool:
    """Tell whether a hand-in is as it arrived."""
    noted = from_note(place)
    try:
        notebook = (place / f"{exercise}.ipynb").read_bytes()
    except OSError:
        return False
    return noted is not None and hashlib.sha256(notebook).hexdigest() == noted.sha256
