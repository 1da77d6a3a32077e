"""What the instructor decided, noted in the journal with its time; nothing is struck, the last one holds."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from warmside.errors import InputError
from warmside.private_file import write_private

FILE = Path("journal", "decisions.jsonl")
"""The file of the session that holds them."""


class What(StrEnum):
    """What was decided; an empty value takes a decision back."""

    COUNTS = "counts"
    """Which of a trainee's hand-ins counts, by its name."""
    DUE = "due"
    """When a trainee's hand-in is due, ISO 8601."""
    EXCUSED = "excused"
    """Whether a trainee need not hand in."""
    ASSIGNED = "assigned"
    """Whose a file is that fits nobody, by the file."""
    RELEASED = "released"
    """Whether feedback pages of an exercise show what is right."""


@dataclass(frozen=True)
class Decision:
    """One decision.

    Attributes
    ----------
    what : What
        What it is about.
    exercise, trainee : str
        Of which exercise and whom; empty where it is about all.
    value : str
        What was decided; empty where an earlier decision was taken back.
    at : str
        When, ISO 8601 in UTC.
    """

    what: What
    exercise: str
    trainee: str
    value: str
    at: str


def noted(session_folder: Path) -> list[Decision]:
    """Return all decisions in the order in which they were made.

    Raises
    ------
    InputError
        If the file that holds them is damaged.
    """
    path = session_folder / FILE
    try:
        fields = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
        return [Decision(**{**one, "what": What(one["what"])}) for one in fields]
    except FileNotFoundError:
        return []
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(f"{path} is damaged; put back a copy of it.") from None


def note(session_folder: Path, what: What, value: str, *, exercise: str, trainee: str = "") -> None:
    """Note a decision; nobody else may work on the session meanwhile."""
    made = Decision(what, exercise, trainee, value, datetime.now(UTC).isoformat())
    write(session_folder, [*noted(session_folder), made])


def write(session_folder: Path, decisions: Sequence[Decision]) -> None:
    """Write the file of decisions anew, whole or not at all."""
    path = session_folder / FILE
    path.parent.mkdir(exist_ok=True)
    write_private(path, "".join(json.dumps(asdict(decision)) + "\n" for decision in decisions))


def last(decisions: Sequence[Decision], what: What, exercise: str, trainee: str = "") -> Decision | None:
    """Return what was decided last; None where nothing was, or where it was taken back."""
    about = (what, exercise, trainee)
    made = [one for one in decisions if (one.what, one.exercise, one.trainee) == about]
    return made[-1] if made and made[-1].value else None


def due_for(due: datetime | None, made: Sequence[Decision], exercise: str, trainee: str) -> datetime | None:
    """Return when a trainee's hand-in is due, by the session's date or by one of their own."""
    own = last(made, What.DUE, exercise, trainee)
    return datetime.fromisoformat(own.value) if own else due
