"""Copies of the gradebook, one from before each time that something works on it."""

import errno
import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from warmside.session import trouble
from warmside.session.folder import Session

FOLDER = "backups"
KEPT = 20


def back_up(session: Session) -> Path:
    """Copy the gradebook, whole or not at all, and drop the oldest copies beyond `KEPT`."""
    folder = session.folder / FOLDER
    folder.mkdir(mode=0o700, exist_ok=True)
    drop_unfinished(session)
    path = folder / f"gradebook-{datetime.now(UTC):%Y%m%dT%H%M%S.%fZ}.db"
    draft = path.with_suffix(".part")
    try:
        with (
            closing(_opened(session.folder / "gradebook.db")) as gradebook,
            closing(sqlite3.connect(draft)) as copy,
        ):
            gradebook.execute("BEGIN")  # and a look, as copying would wait without end for one that holds it
            gradebook.execute("SELECT count(*) FROM sqlite_master").fetchone()
            gradebook.backup(copy)
        os.chmod(draft, 0o600)
        os.replace(draft, path)
    except sqlite3.OperationalError as problem:
        if trouble.is_held(problem):
            raise trouble.held(session.folder / "gradebook.db") from None
        if trouble.is_full(problem):
            raise OSError(errno.ENOSPC, "No space left on device", str(folder)) from None
        raise
    finally:
        draft.unlink(missing_ok=True)
    for old in copies(session)[:-KEPT]:
        old.unlink()
    return path


def drop_unfinished(session: Session) -> None:
    """Remove what is left of copying that was killed."""
    for left in (session.folder / FOLDER).glob("gradebook-*.part*"):
        left.unlink()


def copies(session: Session) -> list[Path]:
    """Return the copies there are, the newest last."""
    return sorted((session.folder / FOLDER).glob("gradebook-*.db"))


def is_whole(path: Path) -> bool:
    """Tell whether a gradebook can be read from end to end; HeldError where another program holds it."""
    try:
        with closing(_opened(path)) as gradebook:
            whole = gradebook.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            gradebook.execute("SELECT count(*) FROM student").fetchone()
            return whole
    except sqlite3.Error as problem:
        if trouble.is_held(problem):
            raise trouble.held(path) from None
        return False


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=trouble.WAIT)
