"""Taking hand-ins in: zips, notebooks and folders in any mix, matched to trainees by name.

A hand-in is the notebook of an exercise. Whose it is, is told by the names of its file and of the folders and
zips around it, or by the instructor, never by what it says itself.
"""

import hashlib
import json
import os
import shutil
import zipfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import nbformat

from warmside.errors import InputError
from warmside.marking.cells import card_numbers
from warmside.marking.exercise import Exercise
from warmside.marking.job_card import FILE_NAME, JobCard
from warmside.private_file import write_private
from warmside.session import decisions
from warmside.session.decisions import What
from warmside.session.folder import Session
from warmside.session.found_notebooks import Found, Refused, look_through
from warmside.session.notebook_bounds import demand_within_bounds
from warmside.session.received import NOTE, Received, from_note, let_one_count, places_on, settle, shelf_of
from warmside.session.recognise import Release, exercise_of, names_in, trainee_of

MOST_AT_ONCE = 5
"""Notebooks of one trainee for one exercise that are taken in at once."""
UNKNOWN = "somebody unknown"
LEFT_ALONE = "left_alone.jsonl"
"""File of the session that notes what was left alone, and why."""


def take_in(
    session: Session, paths: Sequence[Path], *, at: datetime | None = None, trainee: str = ""
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
    trainee : str
        Whose all of it is; told by names by default.

    Returns
    -------
    received : list of Received
        What was taken in. A second hand-in is kept beside the first; `received.which_counts` says which
        counts.
    refused : list of Refused
        What was left alone, the same file a second time among it.

    Raises
    ------
    InputError
        If there is no such trainee.
    """
    with session.alone():
        settle(session)
        intake = _Intake(session, (at or datetime.now(UTC)).astimezone(UTC), trainee)
        for path in paths:
            intake.take(path)
        _note_left_alone(session, intake.refused)
    return intake.received, intake.refused


class _Intake:
    """What is taken in at once."""

    def __init__(self, session: Session, moment: datetime, trainee: str) -> None:
        self._session, self._moment, self._trainee = session, moment, trainee
        self._exercises = {exercise.name: exercise for exercise in session.exercises()}
        self._releases = {
            name: Release.read(session.folder / "release" / name / f"{name}.ipynb")
            for name in self._exercises
        }
        self._trainees = session.trainee_ids(trainee)
        self._taken: Counter[tuple[str, str]] = Counter()
        self.received: list[Received] = []
        self.refused: list[Refused] = []

    def take(self, path: Path) -> None:
        """Take in what is in a file or folder."""
        before = len(self.received) + len(self.refused)
        for found in look_through(path, _in_packs(self._session)):
            if isinstance(found, Refused):
                self.refused.append(found)
                continue
            try:
                self.received.append(self._one(found, path))
            except InputError as problem:
                self.refused.append(Refused(found.where, str(problem)))
        if len(self.received) + len(self.refused) == before:
            self.refused.append(Refused(str(path), "no notebook was found in it."))

    def _one(self, found: Found, path: Path) -> Received:
        names = names_in(found.where, path)
        trainee, around = (self._trainee, "") if self._trainee else trainee_of(names, self._trainees)
        cells = _notebook(found.notebook).cells
        exercise, named = exercise_of(names, cells, self._releases)
        _demand_new(self._session, trainee, exercise, found.notebook, self._moment)
        if self._taken[trainee, exercise] == MOST_AT_ONCE:
            raise InputError(
                f"{MOST_AT_ONCE} of {trainee}'s for {exercise} were taken in at once already; hand in the "
                "one that is meant."
            )
        release = self._releases[exercise]
        answers, written = release.written(cells)
        shelf, moment = shelf_of(self._session, trainee, exercise), self._moment
        received = Received(
            trainee=trainee,
            exercise=exercise,
            where=found.where,
            at=moment.isoformat(),
            sha256=hashlib.sha256(found.notebook).hexdigest(),
            other_cards=self._other_cards(found, trainee, self._exercises[exercise], card_numbers(cells)),
            blank=written == release.unwritten,
            answers=answers,
            written=written,
            around=around,
            named=named,
        )
        while (shelf / received.name).exists():
            moment += timedelta(microseconds=1)
            received = replace(received, at=moment.isoformat())
        if self._trainee:
            decisions.note(
                self._session.folder, What.ASSIGNED, found.where, exercise=exercise, trainee=trainee
            )
        _keep(self._session, found.notebook, received)
        self._taken[trainee, exercise] += 1
        return received

    def _other_cards(
        self, found: Found, trainee: str, exercise: Exercise, shown: set[str]
    ) -> tuple[str, ...]:
        """Return whose card it was made with, where that isn't the trainee's own."""
        numbers = shown | _number_on(found.job_card)
        own = _card_of(self._session, exercise, trainee) if numbers else None
        if own is None or not numbers - {own.number}:
            return ()
        return (_owner_of(self._session, exercise, found.job_card, self._trainees),)


def _in_packs(session: Session) -> frozenset[str]:
    """Return the names of files that packs hold, so that nobody need be told of them."""
    names = {path.name for path in (session.folder / "release").glob("*/*")}
    for pack in sorted((session.folder / "hand_outs").glob("*.zip"))[:1]:
        try:
            with zipfile.ZipFile(pack) as archive:
                names |= {name.rpartition("/")[2] for name in archive.namelist()}
        except (OSError, ValueError, zipfile.BadZipFile):
            continue  # `check` tells
    return frozenset(names)


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


def _demand_new(session: Session, trainee: str, exercise: str, notebook: bytes, moment: datetime) -> None:
    """Raise InputError if the trainee handed in the very same file before; it came when it first came."""
    sha256 = hashlib.sha256(notebook).hexdigest()
    for place in places_on(shelf_of(session, trainee, exercise)):
        before = from_note(place)
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


def _keep(session: Session, notebook: bytes, received: Received) -> None:
    """Store a hand-in as it arrived, and have that one of the trainee's count which is to count."""
    shelf = shelf_of(session, received.trainee, received.exercise)
    place, draft = shelf / received.name, shelf / f".{received.name}"
    draft.mkdir(parents=True)
    try:
        write_private(draft / f"{received.exercise}.ipynb", notebook)
        write_private(draft / NOTE, json.dumps(asdict(received), indent=1, ensure_ascii=True) + "\n")
        os.replace(draft, place)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    let_one_count(session, received.trainee, received.exercise)
