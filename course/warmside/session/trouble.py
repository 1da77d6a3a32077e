"""What lies at the bottom of an error: a full disk, a gradebook that is held; told by codes, never by words.

The words of an error may be a stranger's: a path, a cell, what a notebook says of itself.
"""

import errno
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from warmside.errors import InputError

WAIT = 20
"""Time to wait for a gradebook that another program holds [s]."""
_FULL = errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)
_HELD = sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED


class HeldError(InputError):
    """Another program holds the gradebook, for longer than was waited."""


def held(gradebook: Path) -> HeldError:
    """Return what to say where another program holds a gradebook."""
    return HeldError(
        f"{gradebook} is held by another program; {WAIT} s were waited for it. Close the formgrader or "
        "whatever has it open, and run this again."
    )


def is_full(problem: BaseException) -> bool:
    """Tell whether there was no room on a disk.

    Examples
    --------
    >>> is_full(OSError(errno.ENOSPC, "")), is_full(ValueError("No space left on device"))
    (True, False)
    """
    return any(
        (isinstance(each, OSError) and each.errno in _FULL) or _code(each) == sqlite3.SQLITE_FULL
        for each in _below(problem)
    )


def is_held(problem: BaseException) -> bool:
    """Tell whether another program held a gradebook, for longer than was waited.

    Examples
    --------
    >>> is_held(sqlite3.OperationalError("database is locked"))  # which words alone don't tell
    False
    """
    return any(_code(each) in _HELD for each in _below(problem))


def _below(problem: BaseException) -> Iterator[BaseException]:
    """Yield an error and those that it came from."""
    waiting: list[object] = [problem]
    seen: set[int] = set()
    while waiting:
        each = waiting.pop()
        if isinstance(each, BaseException) and id(each) not in seen:
            seen.add(id(each))
            yield each
            waiting += [each.__cause__, each.__context__, getattr(each, "orig", None)]


def _code(problem: BaseException) -> int:
    """Return SQLite's code for what went wrong, without what it says more closely."""
    return (getattr(problem, "sqlite_errorcode", 0) & 0xFF) if isinstance(problem, sqlite3.Error) else 0
