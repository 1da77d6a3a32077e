"""Job cards: the numbers and readings that one trainee works with.

The notebook of an exercise is the same for all; its numbers are on the card. A card is drawn from a secret,
the trainee and the exercise alone, so that nobody without the secret can draw it; its number covers what
stands on it, so that another card has another number. Once handed out it is kept (`frozen_card`).
"""

import base64
import csv
import hashlib
import hmac
import io
import json
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from warmside.blocks import table
from warmside.errors import InputError
from warmside.units import read_quantity, si_of

if TYPE_CHECKING:
    import numpy as np

FILE_NAME = "job_card.json"
SECRET_FILE = "secret"
PRACTICE = "practice"


@dataclass(frozen=True)
class Entry:
    """One line of a job card.

    Attributes
    ----------
    name : str
        What the exercise's code calls it.
    label : str
        What the trainee reads.
    text : str
        The value as a meter, tape or plate gives it, such as ``"68 °F"``.
    kind : str
        A kind of quantity (`warmside.units.KINDS`), or ``"text"``.
    """

    name: str
    label: str
    text: str
    kind: str = "text"


@dataclass(frozen=True)
class JobCard:
    """The numbers of one trainee for one exercise.

    Attributes
    ----------
    exercise, trainee : str
        Whose card it is, and for what.
    number : str
        Eight letters and digits that tell this card from any other (`numbered`).
    entries : tuple of Entry
        The lines of the card.
    files : mapping of str to str
        Further files that belong to it, by name, such as a temperature log.
    """

    exercise: str
    trainee: str
    number: str
    entries: tuple[Entry, ...]
    files: Mapping[str, str] = field(default_factory=dict)

    def entry(self, name: str) -> Entry:
        """Return the line called `name`; InputError if the card has none."""
        if name not in self._by_name:
            raise InputError(f"The job card has no line “{name}”; it has {', '.join(self._by_name)}.")
        return self._by_name[name]

    def __getitem__(self, name: str) -> Any:
        """Return the line's value: a pint quantity, or its text when it is no quantity."""
        entry = self.entry(name)
        return entry.text if entry.kind == "text" else read_quantity(entry.text, entry.kind)

    def si(self, name: str) -> float:
        """Return the line's value in the SI unit of its kind."""
        entry = self.entry(name)
        return si_of(entry.text, entry.kind)

    def table(self, file_name: str) -> list[dict[str, str]]:
        """Return the rows of a CSV file of this card, each by column name."""
        if file_name not in self._tables:
            self._tables[file_name] = list(csv.DictReader(io.StringIO(self.files[file_name])))
        return self._tables[file_name]

    def column(self, file_name: str, name: str) -> "np.ndarray":
        """Return a column of a CSV file of this card as numbers; nan where the file has none."""
        import numpy as np  # here, since a hand-in that reads no log is marked without

        return np.array([float(row[name] or "nan") for row in self.table(file_name)])

    @cached_property
    def _tables(self) -> dict[str, list[dict[str, str]]]:
        return {}

    @cached_property
    def _by_name(self) -> dict[str, Entry]:
        return {entry.name: entry for entry in self.entries}

    def as_files(self) -> dict[str, str]:
        """Return all files of the card by name: the card itself as JSON, and what belongs to it."""
        card = {
            "note": "All numbers on this card are invented.",
            "exercise": self.exercise,
            "trainee": self.trainee,
            "number": self.number,
            "entries": [vars(entry) for entry in self.entries],
            "files": sorted(self.files),
        }
        return {FILE_NAME: json.dumps(card, indent=1, ensure_ascii=False) + "\n", **self.files}

    def _repr_html_(self) -> str:
        caption = f"Job card {self.number} for {self.trainee} (all numbers invented)"
        return str(table(caption, (), [(entry.label, entry.text) for entry in self.entries]))


def read_job_card(folder: Path) -> JobCard:
    """Read the job card that lies in a folder, with the files that belong to it.

    Raises
    ------
    InputError
        If there is none, or it can't be read.
    """
    path = folder / FILE_NAME
    try:
        card = json.loads(path.read_text(encoding="utf-8"))
        return JobCard(
            exercise=card["exercise"],
            trainee=card["trainee"],
            number=card["number"],
            entries=tuple(Entry(**entry) for entry in card["entries"]),
            files={name: (path.parent / Path(name).name).read_text("utf-8") for name in card["files"]},
        )
    except FileNotFoundError as missing:
        raise InputError(
            f"{missing.filename} is not there; keep the files of your pack together in one folder."
        ) from None
    except (ValueError, KeyError, TypeError):
        raise InputError(
            f"{path} is not a job card any more; unpack your pack again and use the {FILE_NAME} in it."
        ) from None


def as_csv(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return rows by column name as the CSV that `JobCard.table` reads."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


class Draw:
    """Repeatable draws from a key.

    Only ``random.Random.random`` is used: Python promises the same sequence for it on every machine and in
    every later version, which it promises for no other method.
    """

    def __init__(self, key: bytes) -> None:
        self._random = random.Random(int.from_bytes(key, "big"))

    def pick(self, options: Sequence[Any]) -> Any:
        """Return one of `options`, each as likely as the others."""
        return options[int(self._random.random() * len(options))]

    def between(self, low: float, high: float, step: float) -> float:
        """Return one of ``low, low + step, ..., high``, each as likely as the others."""
        steps = round((high - low) / step)
        return round(low + step * int(self._random.random() * (steps + 1)), 6)


def keyed(secret: bytes, *parts: str) -> bytes:
    """Return HMAC-SHA256 of `parts` under `secret`."""
    return hmac.new(secret, "\0".join(parts).encode(), hashlib.sha256).digest()


def read_secret(session_folder: Path) -> bytes:
    """Return the secret of a training session, from which its cards are drawn.

    Raises
    ------
    InputError
        If the file is missing or damaged.
    """
    path = session_folder / SECRET_FILE
    try:
        return bytes.fromhex(path.read_text("ascii").strip())
    except FileNotFoundError:
        raise InputError(
            f"{path} is missing; without it the session's job cards can be neither drawn nor verified."
        ) from None
    except ValueError:
        raise InputError(f"{path} is damaged; put back the copy that the session was started with.") from None


def numbered(card: JobCard, secret: bytes) -> JobCard:
    """Return the card with the number that covers all that stands on it and in its files.

    It is such as ``"K7QD-2M4X"``, tells nothing of the content, and can't be made without the secret.
    """
    content = [vars(entry) for entry in card.entries], dict(card.files)
    text = json.dumps(content, sort_keys=True, ensure_ascii=True)
    letters = base64.b32encode(keyed(secret, "card number", card.trainee, card.exercise, text)).decode()
    return replace(card, number=f"{letters[:4]}-{letters[4:8]}")
