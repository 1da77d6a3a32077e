"""The journal of marking: for each hand-in, what marking has begun, and what became of it.

An entry is written before a hand-in is run and again when its marks and its feedback are there. So marking
that was killed at any moment goes on where it was: what has begun and not ended is marked again from the
beginning.
"""

import hashlib
import json
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path

from warmside.private_file import write_private
from warmside.session.folder import Session

FOLDER = "journal"


@dataclass(frozen=True)
class Task:
    """A hand-in to mark."""

    trainee: str
    exercise: str


class State(StrEnum):
    """What became of a hand-in."""

    BEGUN = "begun"
    MARKED = "marked"
    PARTLY = "partly marked"
    NOT = "not marked"


@dataclass(frozen=True)
class Entry:
    """What the journal knows of a hand-in.

    Attributes
    ----------
    state : State
        What became of it.
    hand_in : str
        Hash of the hand-in that this is about.
    why : tuple of str
        Why it is partly marked or not.
    """

    state: State
    hand_in: str
    why: tuple[str, ...] = ()

    @property
    def ended(self) -> bool:
        """Whether there are marks."""
        return self.state in (State.MARKED, State.PARTLY)


def digest(session: Session, task: Task) -> str:
    """Return the hash of the hand-in that counts and of when it came; empty where there is none."""
    place = session.folder / "submitted" / task.trainee / task.exercise
    try:
        parts = [(place / name).read_bytes() for name in (f"{task.exercise}.ipynb", "timestamp.txt")]
    except FileNotFoundError:
        return ""
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def read(session: Session, task: Task) -> Entry | None:
    """Return the entry of a hand-in, None where there is none that can be read."""
    try:
        fields = json.loads(_path(session, task).read_text("utf-8"))
        return Entry(State(fields["state"]), fields["hand_in"], tuple(fields["why"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def write(session: Session, task: Task, entry: Entry) -> None:
    """Write the entry of a hand-in, whole or not at all."""
    path = _path(session, task)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_private(path, json.dumps(asdict(entry), indent=1, ensure_ascii=False) + "\n")


def strike(session: Session, task: Task) -> None:
    """Strike the entry of a hand-in, so that it is marked again."""
    _path(session, task).unlink(missing_ok=True)


def _path(session: Session, task: Task) -> Path:
    return session.folder / FOLDER / task.trainee / f"{task.exercise}.json"
