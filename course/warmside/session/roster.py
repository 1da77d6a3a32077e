"""The roster: who takes part."""

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from warmside.errors import InputError

COLUMNS = ("trainee", "first name", "last name", "email")
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}")
_LARGEST_ROSTER = 1_000_000


@dataclass(frozen=True)
class Trainee:
    """One who takes part.

    Attributes
    ----------
    id : str
        Names folders and files: letters, digits, dot, dash and underscore, 32 at most.
    first_name, last_name, email : str
        As the roster gives them; may be empty.
    """

    id: str
    first_name: str
    last_name: str
    email: str

    @property
    def full_name(self) -> str:
        """First and last name, or the id where the roster gives none."""
        return f"{self.first_name} {self.last_name}".strip() or self.id


def read_roster(path: Path) -> list[Trainee]:
    """Read a roster: CSV with the columns trainee, first name, last name, email.

    Between fields stand commas, semicolons or tabs.

    Raises
    ------
    InputError
        One sentence that names file, line and field.
    """
    try:
        if path.stat().st_size > _LARGEST_ROSTER:
            raise InputError(f"{path} is larger than a roster can be (1 MB).")
        text = path.read_text("utf-8-sig")
    except OSError as problem:
        raise InputError(f"{path} can't be read as a roster: {problem.strerror}.") from None
    except UnicodeDecodeError:
        raise InputError(f"{path} is not UTF-8 text; save the roster as “CSV UTF-8”.") from None
    try:
        return parse_roster(text, str(path))
    except csv.Error as problem:
        raise InputError(f"{path} is not a CSV file: {problem}.") from None


def parse_roster(text: str, name: str) -> list[Trainee]:
    """Return the trainees of a roster's text; `name` is what errors call it."""
    first_line = text.partition("\n")[0]
    separator = max(",;\t", key=first_line.count)  # where a comma is a decimal sign, lists have semicolons
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    header = [field.strip().lower() for field in next(rows, [])]
    for column in COLUMNS:
        if header.count(column) != 1:
            raise InputError(
                f"{name}, line 1: the header needs one column “{column}” ({', '.join(COLUMNS)})."
            )
    trainees: list[Trainee] = []
    lines: dict[str, int] = {}
    for row in rows:
        if not any(field.strip() for field in row):
            continue
        line = rows.line_num
        if len(row) != len(header):
            raise InputError(
                f"{name}, line {line}: {len(row)} fields stand where the header has {len(header)}; "
                f"put a field that holds “{separator}” in double quotes."
            )
        fields = {column: row[header.index(column)].strip() for column in COLUMNS}
        trainee = Trainee(*(fields[column] for column in COLUMNS))
        _check(trainee, f"{name}, line {line}", lines)
        lines[trainee.id.lower()] = line
        trainees.append(trainee)
    if not trainees:
        raise InputError(f"{name} names no trainee; write one line for each below the header.")
    return trainees


def _check(trainee: Trainee, where: str, lines: dict[str, int]) -> None:
    if not _ID.fullmatch(trainee.id):
        raise InputError(
            f"{where}, field trainee: “{trainee.id[:40]}” is no id; use 1 to 32 letters, digits, dots, "
            "dashes or underscores, with a letter or digit first."
        )
    if trainee.id.lower() in lines:
        raise InputError(
            f"{where}, field trainee: “{trainee.id}” stands on line {lines[trainee.id.lower()]} already; "
            "give each trainee an id of their own."
        )
    for column, text in (("first name", trainee.first_name), ("last name", trainee.last_name)):
        if len(text) > 100 or any(ord(char) < 32 for char in text):
            raise InputError(f"{where}, field {column}: a name has at most 100 printable characters.")
    if trainee.email and not re.fullmatch(r"[^@\s]+@[^@\s]+", trainee.email):
        raise InputError(
            f"{where}, field email: “{trainee.email[:40]}” is no address; write name@domain or nothing."
        )
