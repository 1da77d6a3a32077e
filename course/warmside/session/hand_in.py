"""Taking hand-ins in: zips, notebooks and folders in any mix, matched to trainees by name.

A hand-in is the notebook of an exercise. Whose it is, is told by the names of its file and of the folders and
zips around it, never by what it says itself; where these disagree it is left alone.
"""

import codecs
import hashlib
import json
import os
import re
import shutil
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import nbformat

from warmside.errors import InputError
from warmside.marking.cells import card_numbers
from warmside.marking.exercise import Exercise
from warmside.marking.job_card import FILE_NAME, JobCard
from warmside.private_file import write_private
from warmside.session.folder import Session
from warmside.session.found_notebooks import Found, Refused, look_through
from warmside.session.notebook_bounds import demand_within_bounds

UNKNOWN = "somebody unknown"
LEFT_ALONE = "left_alone.jsonl"
"""File of the session that notes what was left alone, and why."""


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
        itself lies beside it, else `UNKNOWN`.
    blank : bool
        Whether nothing was written into it; one from the session's own packs, taken in by mistake, is.
    """

    trainee: str
    exercise: str
    where: str
    at: str
    sha256: str
    other_cards: tuple[str, ...] = ()
    blank: bool = False


def that_counts(hand_ins: Sequence[Received]) -> Received:
    """Return which of a trainee's hand-ins for an exercise counts: the latest that isn't blank."""
    return ([one for one in hand_ins if not one.blank] or list(hand_ins))[-1]


def take_in(
    session: Session, paths: Sequence[Path], *, at: datetime | None = None
) -> tuple[list[Received], list[Refused]]:
    """Take hand-ins into the session.

    Parameters
    ----------
    session : Session
        Where to.
    paths : sequence of Path
        Zips, notebooks, folders.
    at : datetime, optional
        When they came, with its time zone; now by default.

    Returns
    -------
    received : list of Received
        What was taken in. A second hand-in is kept beside the first; `that_counts` says which counts.
    refused : list of Refused
        What was left alone, the same file a second time among it.
    """
    with session.alone():
        settle(session)
        received, refused = _take_in(session, paths, (at or datetime.now(UTC)).astimezone(UTC))
        _note_left_alone(session, refused)
    return received, refused


def _take_in(
    session: Session, paths: Sequence[Path], moment: datetime
) -> tuple[list[Received], list[Refused]]:
    exercises = {exercise.name: exercise for exercise in session.exercises()}
    released = {name: _released(session, name) for name in exercises}
    trainees = [trainee.id for trainee in session.trainees()]
    received: list[Received] = []
    refused: list[Refused] = []
    for path in paths:
        before = len(received) + len(refused)
        for found in look_through(path):
            if isinstance(found, Refused):
                refused.append(found)
                continue
            try:
                names = _names(found.where, path)
                exercise = exercises[_exercise_of(names, exercises)]
                trainee = _trainee_of(names, trainees)
                cells = _notebook(found.notebook).cells
                _demand_new(session, trainee, exercise.name, found.notebook, moment)
            except InputError as problem:
                refused.append(Refused(found.where, str(problem)))
                continue
            numbers = card_numbers(cells) | _number_on(found.job_card)
            own = _card_of(session, exercise, trainee) if numbers else None
            others: tuple[str, ...] = ()
            if own and numbers - {own.number}:
                others = (_owner_of(session, exercise, found.job_card, trainees),)
            blank = _sources(cells) <= released[exercise.name]
            received.append(_keep(session, found, trainee, exercise.name, moment, others, blank))
        if len(received) + len(refused) == before:
            refused.append(Refused(str(path), "no notebook was found in it."))
    return received, refused


def received_hand_ins(session: Session) -> list[Received]:
    """Return all hand-ins of a session, in the order they came."""
    places = [place for shelf in shelves(session) for place in _places(shelf)]
    hand_ins = [note for place in places if (note := _from_note(place / "received.json"))]
    return sorted(hand_ins, key=lambda hand_in: (hand_in.at, hand_in.trainee, hand_in.exercise))


def left_alone(session: Session) -> list[tuple[str, Refused]]:
    """Return what was ever left alone, with when that was."""
    path = session.folder / LEFT_ALONE
    if not path.is_file():
        return []
    lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    return [(line["at"], Refused(line["where"], line["why"])) for line in lines]


def _note_left_alone(session: Session, refused: Sequence[Refused]) -> None:
    if not refused:
        return
    path = session.folder / LEFT_ALONE
    before = path.read_text("utf-8") if path.is_file() else ""
    at = datetime.now(UTC).isoformat()
    # a path may hold bytes that are no text
    lines = [
        json.dumps({"at": at, **{name: _printable(text) for name, text in asdict(item).items()}}) + "\n"
        for item in refused
    ]
    write_private(path, before + "".join(lines))


def _printable(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")


def _from_note(path: Path) -> Received | None:
    try:
        note = json.loads(path.read_text("utf-8"))
        return Received(**{**note, "other_cards": tuple(note["other_cards"])})
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _trainee_of(names: Sequence[str], trainees: Sequence[str]) -> str:
    """Return the one trainee whose id stands in these names of file, folders and zips."""
    found = set()
    for name in names:
        named = [trainee for trainee in trainees if _stands_in(trainee, name)]
        found |= {t for t in named if not any(t != other and _stands_in(t, other) for other in named)}
    if len(found) == 1:
        return found.pop()
    if found:
        raise InputError(f"its names fit more than one trainee: {', '.join(sorted(found))}; rename it.")
    raise InputError("no trainee's id stands in its name; put the id in front, such as t01_….")


def _stands_in(trainee: str, name: str) -> bool:
    return id_pattern(trainee).search(name) is not None


def id_pattern(trainee: str) -> re.Pattern[str]:
    """Return what finds a trainee's id by itself in a name; a letter or digit of any script goes on an id."""
    return re.compile(rf"(?<![^\W_]){re.escape(trainee)}(?![^\W_])", re.IGNORECASE)


def _exercise_of(names: Sequence[str], exercises: Collection[str]) -> str:
    """Return the exercise that the notebook's name tells, else a folder's, else the only one there is."""
    for name in reversed(names):
        named = [exercise for exercise in exercises if exercise in name]
        if len(named) == 1:
            return named[0]
    if len(exercises) == 1:
        return next(iter(exercises))
    raise InputError(f"its name tells no exercise of this session: {', '.join(sorted(exercises))}.")


def _names(where: str, given: Path) -> tuple[str, ...]:
    """Return the names from what was given down to the notebook; what lies above tells nothing about it."""
    inside = where.removeprefix(str(given.parent)) if given.parent != Path() else where
    return tuple(part for part in inside.replace(os.sep, "/").split("/") if part)


def _notebook(content: bytes) -> nbformat.NotebookNode:
    try:
        text = content.decode("utf-8-sig")
        demand_within_bounds(json.loads(text))
        notebook = nbformat.reads(text, as_version=4)
        nbformat.validate(notebook)
    except InputError:
        raise
    except UnicodeDecodeError:
        raise InputError("it is not UTF-8 text, as every notebook is; save it again in JupyterLab.") from None
    except Exception:  # nbformat lets through whatever its parsers raise on broken input
        raise InputError(
            "it is damaged: not a notebook that can be read; save it again in JupyterLab."
        ) from None
    return notebook


def _released(session: Session, exercise: str) -> set[str]:
    path = session.folder / "release" / exercise / f"{exercise}.ipynb"
    return _sources(nbformat.read(path, as_version=4).cells)


def _sources(cells: Sequence[nbformat.NotebookNode]) -> set[str]:
    """Return what stands in cells; of a copy in which nothing is written all of it stands in the release."""
    return {source for cell in cells if (source := cell.source.strip())}


def _demand_new(session: Session, trainee: str, exercise: str, notebook: bytes, moment: datetime) -> None:
    """Raise InputError if the trainee handed in the very same file before; it came when it first came."""
    sha256, shelf = hashlib.sha256(notebook).hexdigest(), session.folder / "hand_ins" / trainee / exercise
    for place in _places(shelf) if shelf.is_dir() else []:
        before = _from_note(place / "received.json")
        if before and before.sha256 == sha256 and (at := datetime.fromisoformat(before.at)) <= moment:
            raise InputError(
                f"{trainee} handed in the very same file before, at {at:%H:%M} on {at:%Y-%m-%d} (UTC); it is "
                "taken once."
            )


def _number_on(job_card: bytes) -> set[str]:
    number = _read_card(job_card).get("number")
    return {number} if isinstance(number, str) else set()


def _read_card(job_card: bytes) -> dict[str, Any]:
    try:
        card = json.loads(job_card)
    except (ValueError, RecursionError):
        return {}
    return card if isinstance(card, dict) else {}


def _card_of(session: Session, exercise: Exercise, trainee: str) -> JobCard | None:
    """Return a trainee's own card; None where it can't be told any more, which marking says."""
    try:
        return session.frozen_card(exercise, trainee).card
    except InputError:
        return None


def _owner_of(session: Session, exercise: Exercise, job_card: bytes, trainees: Sequence[str]) -> str:
    """Return whose job card this is; a name is soon written, so that the whole card has to be theirs."""
    said = _read_card(job_card)
    other = str(said.get("trainee"))
    if other not in trainees or not (theirs := _card_of(session, exercise, other)):
        return UNKNOWN
    return other if said == json.loads(theirs.as_files()[FILE_NAME]) else UNKNOWN


def _keep(
    session: Session,
    found: Found,
    trainee: str,
    exercise: str,
    moment: datetime,
    others: tuple[str, ...],
    blank: bool,
) -> Received:
    """Store a hand-in as it arrived, and have that one of the trainee's count which is to count."""
    shelf = session.folder / "hand_ins" / trainee / exercise
    while (place := shelf / f"{moment:%Y%m%dT%H%M%S.%f}Z").exists():
        moment += timedelta(microseconds=1)
    received = Received(
        trainee=trainee,
        exercise=exercise,
        where=found.where,
        at=moment.isoformat(),
        sha256=hashlib.sha256(found.notebook).hexdigest(),
        other_cards=others,
        blank=blank,
    )
    draft = shelf / f".{place.name}"
    draft.mkdir(parents=True)
    try:
        write_private(draft / f"{exercise}.ipynb", found.notebook)
        note = json.dumps(asdict(received), indent=1, ensure_ascii=True) + "\n"
        write_private(draft / "received.json", note)
        os.replace(draft, place)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    _let_one_count(session, trainee, exercise)
    return received


def settle(session: Session) -> None:
    """Finish what was interrupted: half-taken hand-ins go, and of each trainee's that counts which is to."""
    for shelf in shelves(session):
        for draft in [place for place in shelf.iterdir() if place.name.startswith(".")]:
            shutil.rmtree(draft, ignore_errors=True)
        with suppress(ValueError, KeyError, FileNotFoundError):  # damage on disk is for `check` to tell
            if not is_settled(session, shelf.parent.name, shelf.name):
                _let_one_count(session, shelf.parent.name, shelf.name)


def is_settled(session: Session, trainee: str, exercise: str) -> bool:
    """Tell whether what counts of a trainee's hand-ins is what is to count."""
    target = session.folder / "submitted" / trainee / exercise
    try:
        return all(
            (target / name).read_bytes() == content
            for name, content in _what_counts(session, trainee, exercise).items()
        )
    except (FileNotFoundError, ValueError, KeyError):
        return False


def shelves(session: Session) -> list[Path]:
    """Return the folders that hold one trainee's hand-ins for one exercise."""
    return sorted(path for path in (session.folder / "hand_ins").glob("*/*") if path.is_dir())


def _places(shelf: Path) -> list[Path]:
    """Return where its whole hand-ins lie, in the order they came."""
    return sorted(place for place in shelf.iterdir() if not place.name.startswith("."))


def _what_counts(session: Session, trainee: str, exercise: str) -> dict[str, bytes]:
    """Return the files of the hand-in that counts, by name; none where there is no hand-in."""
    places = _places(session.folder / "hand_ins" / trainee / exercise)
    if not places:
        return {}
    notes = [_from_note(place / "received.json") for place in places]
    written = [place for place, note in zip(places, notes, strict=True) if not (note and note.blank)]
    place = (written or places)[-1]
    at = datetime.fromisoformat(json.loads((place / "received.json").read_text("utf-8"))["at"])
    notebook = (place / f"{exercise}.ipynb").read_bytes().removeprefix(codecs.BOM_UTF8)
    stamp = f"{at:%Y-%m-%d %H:%M:%S.%f} UTC\n"
    return {f"{exercise}.ipynb": notebook, "timestamp.txt": stamp.encode()}


def _let_one_count(session: Session, trainee: str, exercise: str) -> None:
    target = session.folder / "submitted" / trainee / exercise
    target.mkdir(parents=True, exist_ok=True)
    for name, content in _what_counts(session, trainee, exercise).items():
        write_private(target / name, content)
