"""The folder of a training session: what lies where in it, and how it is started and opened.

=====================  =====================================================================
nbgrader_config.py     makes the folder an nbgrader course; three lines that call `configure`
session.toml           title, format, whether the class is invented
secret                 what the job cards are drawn and numbered from; never printed, never handed out
cards/                 each trainee's job cards as handed out, with what is expected of answers: the keys
gradebook.db           nbgrader's gradebook: trainees, exercises, due date, marks
release/               the exercises as handed out
hand_outs/             one pack per trainee
hand_ins/              every hand-in as it arrived
left_alone.jsonl       what was no hand-in, and why
submitted/             the hand-in of each trainee that counts
journal/               what became of each hand-in that was run, and what the instructor decided
backups/               copies of the gradebook, from before each marking
autograded/ feedback/  what marking wrote
report/                what the class understood
=====================  =====================================================================
"""

import json
import os
import secrets
import shutil
import tempfile
import tomllib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from filelock import FileLock, Timeout
from nbgrader.api import Gradebook
from sqlalchemy.exc import DatabaseError, OperationalError

from warmside import project
from warmside.errors import InputError
from warmside.marking.exercise import Exercise, load_exercise
from warmside.marking.frozen_card import WHAT_TO_DO, FrozenCard, frozen_card
from warmside.marking.job_card import SECRET_FILE, read_secret
from warmside.private_file import write_private
from warmside.session import nbgrader_runs, trouble
from warmside.session.roster import Trainee

FORMAT, _READABLE = 2, (1, 2)  # 1 kept no cards; a Warmside that knows 1 alone would draw them again
_ANOTHERS_END = 1.0  # s that one which was just killed may take to end
_CONFIG = '''\
"""Makes this folder an nbgrader course. Written by `warmside session start`."""

from pathlib import Path

from warmside.session.nbgrader_runs import configure

configure(get_config(), Path(__file__).resolve().parent)
'''


@dataclass(frozen=True)
class Session:
    """A training session on disk.

    Attributes
    ----------
    folder : Path
        Where it lies.
    title : str
        What its pages are headed.
    invented : bool
        Whether its trainees are invented, as in the demonstration.
    """

    folder: Path
    title: str
    invented: bool

    @classmethod
    def open(cls, folder: Path) -> "Session":
        """Open the session in `folder`; InputError if there is none."""
        folder = folder.resolve()
        path = folder / "session.toml"
        try:
            settings = tomllib.loads(path.read_text("utf-8"))
            if settings["format"] not in _READABLE:
                raise InputError(f"{path} has format {settings['format']}; this Warmside reads {FORMAT}.")
            return cls(folder, settings["title"], settings["invented"])
        except (FileNotFoundError, NotADirectoryError):
            raise InputError(
                f"{folder} is not a training session; start one there with `warmside session start`."
            ) from None
        except (tomllib.TOMLDecodeError, KeyError, UnicodeDecodeError):
            raise InputError(f"{path} is damaged; it needs format, title and invented.") from None

    @property
    def secret(self) -> bytes:
        """The secret that the job cards are drawn from."""
        return read_secret(self.folder)

    @contextmanager
    def gradebook(self) -> Iterator[Gradebook]:
        """Open the gradebook for the time of a ``with`` statement."""
        path = self.folder / "gradebook.db"
        if not path.is_file():
            raise InputError(f"{path} is missing; put back a copy of it.")
        try:
            with Gradebook(nbgrader_runs.gradebook_url(path)) as gradebook:
                yield gradebook
        except DatabaseError as problem:
            if trouble.is_held(problem):
                raise trouble.held(path) from None
            if isinstance(problem, OperationalError):
                raise InputError(f"{path} can't be opened: {problem.orig}.") from None
            raise InputError(f"{path} is damaged; put back a copy of it.") from None

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Work on the session while no other command does; InputError if one does already."""
        lock = FileLock(self.folder / ".lock", timeout=_ANOTHERS_END)
        try:
            with lock:
                yield
        except Timeout:
            raise InputError(
                f"Another command is at work on {self.folder}; run this again when it has ended."
            ) from None

    def trainees(self) -> list[Trainee]:
        """Return the trainees in order of their ids."""
        with self.gradebook() as gradebook:
            return [
                Trainee(student.id, student.first_name or "", student.last_name or "", student.email or "")
                for student in sorted(gradebook.students, key=lambda student: student.id)
            ]

    def trainee_ids(self, one: str = "") -> list[str]:
        """Return the trainees' ids in order; InputError where `one` is given and none of them."""
        ids = [trainee.id for trainee in self.trainees()]
        if one and one not in ids:
            raise InputError(f"There is no trainee “{one}” in {self.folder}.")
        return ids

    def exercise_names(self, one: str = "") -> list[str]:
        """Return the names of this session's exercises in order; InputError where `one` is none of them."""
        with self.gradebook() as gradebook:
            names = sorted(assignment.name for assignment in gradebook.assignments)
        if one and one not in names:
            raise InputError(f"There is no exercise “{one}” in {self.folder}; there are: {', '.join(names)}.")
        return names

    def exercises(self) -> list[Exercise]:
        """Return the exercises of this session, in alphabetical order."""
        return [load_exercise(name) for name in self.exercise_names()]

    def frozen_card(self, exercise: Exercise, trainee: str) -> FrozenCard:
        """Return a trainee's job card as it was handed out; it is drawn where it is needed first."""
        return frozen_card(self.folder, exercise, trainee)

    def demand_as_released(self, exercise: Exercise) -> None:
        """Raise InputError where an exercise asks for other things now than when the session was started."""
        with self.gradebook() as gradebook:
            notebooks = gradebook.find_assignment(exercise.name).notebooks
            released = {cell.name: cell.max_score for book in notebooks for cell in book.grade_cells}
        if released != {asked.name: asked.points for asked in exercise.asked}:
            raise InputError(
                f"The exercise {exercise.name} of {self.folder} was released by another version of Warmside, "
                f"with other questions or points. {WHAT_TO_DO}"
            )

    def due(self) -> datetime | None:
        """Return when hand-ins are due (UTC), or None."""
        with self.gradebook() as gradebook:
            dates = [assignment.duedate for assignment in gradebook.assignments if assignment.duedate]
        return min(dates).replace(tzinfo=UTC) if dates else None


def start(
    folder: Path,
    roster: Sequence[Trainee],
    exercises: Sequence[str],
    *,
    title: str = "Training session",
    due: datetime | None = None,
    secret: bytes | None = None,
    invented: bool = False,
) -> Session:
    """Make a session folder, whole or not at all.

    Parameters
    ----------
    folder : Path
        Where; it must not be there yet, or be empty, and lie outside the project.
    roster : sequence of Trainee
        Who takes part.
    exercises : sequence of str
        Names of exercises.
    title : str
        What the pages are headed.
    due : datetime, optional
        When hand-ins are due, with its time zone.
    secret : bytes, optional
        A known secret, for the demonstration alone; a fresh one otherwise.
    invented : bool
        Whether the trainees are invented.

    Raises
    ------
    InputError
        If the place or an exercise can't be used.
    """
    folder = folder.resolve()
    if folder.is_relative_to(project.root()):
        raise InputError(f"{folder} lies inside the project; marks are private, choose a place outside it.")
    for around in folder.parents:
        if (around / "session.toml").is_file():
            raise InputError(f"{folder} lies inside the session {around}; choose a place outside it.")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(f"{folder} is already there; choose a name that is not taken.")
    for name in exercises:
        load_exercise(name)
    folder.parent.mkdir(parents=True, exist_ok=True)
    draft = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        write_private(draft / SECRET_FILE, (secret or secrets.token_bytes(32)).hex() + "\n")
        (draft / "nbgrader_config.py").write_text(_CONFIG, encoding="utf-8")
        (draft / "session.toml").write_text(_settings(title, invented), encoding="utf-8")
        nbgrader_runs.make_gradebook(draft)
        with Gradebook(nbgrader_runs.gradebook_url(draft / "gradebook.db")) as gradebook:
            for trainee in roster:
                gradebook.add_student(
                    trainee.id,
                    first_name=trainee.first_name,
                    last_name=trainee.last_name,
                    email=trainee.email,
                )
            for name in exercises:
                duedate = due.astimezone(UTC).replace(tzinfo=None) if due else None
                gradebook.add_assignment(name, duedate=duedate)
        for name in exercises:
            nbgrader_runs.generate_release(draft, name)
        if folder.exists():
            folder.rmdir()
        os.replace(draft, folder)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    return Session.open(folder)


def _settings(title: str, invented: bool) -> str:
    printable = "".join(char if char.isprintable() else " " for char in title)
    quoted = json.dumps(printable, ensure_ascii=False)
    return f"format = {FORMAT}\ntitle = {quoted}\ninvented = {str(invented).lower()}\n"
