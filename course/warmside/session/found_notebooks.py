"""Finding notebooks in files, folders and zips of strangers; nothing is unpacked, every read has a bound."""

import errno
import io
import os
import re
import stat
import zipfile
import zlib
from collections.abc import Collection, Iterator, Set
from dataclasses import dataclass
from pathlib import Path, PurePath, PurePosixPath
from typing import BinaryIO

from warmside.errors import InputError
from warmside.marking.job_card import FILE_NAME

LARGEST_NOTEBOOK = 20_000_000
LARGEST_UNPACKED = 200_000_000
_LARGEST_CARD = 1_000_000
_DIRECTLY = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
MOST_MEMBERS = 5_000
DEEPEST_ZIP = 2
# All that zipfile raises on a damaged or locked zip; RuntimeError is how it asks for a password.
_DAMAGE = (zipfile.BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, RuntimeError, ValueError)
_SKIPPED = {".ipynb_checkpoints", "__MACOSX", ".git"}
_KNOWN = {FILE_NAME, ".DS_Store", "Thumbs.db", "desktop.ini"}
_MOST_NAMED = 20
"""Files beside the notebooks that are named one by one."""
_NEITHER = "it is neither a zip, a notebook (.ipynb) nor a folder."


@dataclass(frozen=True)
class Found:
    """A notebook that lies somewhere in what was given.

    Attributes
    ----------
    where : str
        Its path, with the members of zips written on after the zip's own name.
    notebook : bytes
        Its content.
    job_card : bytes
        The content of the job card beside it, or nothing.
    """

    where: str
    notebook: bytes
    job_card: bytes = b""


@dataclass(frozen=True)
class Refused:
    """Something that was left alone, and why."""

    where: str
    why: str


def look_through(path: Path, known: Collection[str] = ()) -> Iterator[Found | Refused]:
    """Yield the notebooks in a file or folder; links, devices and the like are left alone.

    A zip comes before the notebook beside it, which it was made from and which may be newer: the later one
    counts.

    Parameters
    ----------
    path : Path
        A zip, a notebook or a folder.
    known : collection of str
        Names of files that lie beside notebooks and need not be named.
    """
    others = 0
    for found in _look_through(path, frozenset(known) | _KNOWN):
        if isinstance(found, Refused) and found.why == _NEITHER:
            others += 1
            if others > _MOST_NAMED:
                continue
        yield found
    if others > _MOST_NAMED:
        yield Refused(str(path), f"{others - _MOST_NAMED} more files in it are neither zips nor notebooks.")


def _look_through(path: Path, known: Set[str]) -> Iterator[Found | Refused]:
    try:
        mode = path.lstat().st_mode
    except OSError as problem:
        yield Refused(str(path), f"it can't be read: {problem.strerror}.")
        return
    if stat.S_ISDIR(mode):
        for child in sorted(path.iterdir(), key=lambda child: (child.suffix.lower() != ".zip", child)):
            if child.name in _SKIPPED:
                continue
            if child.is_dir() or not _needs_no_name(child, known):
                yield from _look_through(child, known)
    elif not stat.S_ISREG(mode):
        yield Refused(str(path), "it is a link or a device; hand in the file itself.")
    elif path.suffix.lower() == ".zip":
        try:
            with _opened(path) as file, zipfile.ZipFile(file) as archive:
                yield from _look_into(archive, str(path), _Budget(LARGEST_UNPACKED), known)
        except InputError as problem:
            yield Refused(str(path), str(problem))
        except _DAMAGE:
            yield Refused(str(path), "it is not a whole zip file; copy or download it again.")
    elif path.suffix.lower() != ".ipynb":
        yield Refused(str(path), _NEITHER)
    else:
        try:
            notebook = _content(path, LARGEST_NOTEBOOK)
        except InputError as problem:
            yield Refused(str(path), str(problem))
            return
        try:
            card = _content(path.with_name(FILE_NAME), _LARGEST_CARD)
        except InputError:
            card = b""
        yield Found(str(path), notebook, card)


def _needs_no_name(path: PurePath, known: Set[str]) -> bool:
    """Tell whether a file beside notebooks is one of a pack, a log or a system's own."""
    if path.suffix.lower() in (".zip", ".ipynb"):
        return False
    return path.name in known or path.name.startswith("._") or path.suffix.lower() == ".csv"


def _opened(path: Path) -> BinaryIO:
    """Open a regular file that has no other name; what it was a moment ago doesn't count, nor do links."""
    try:
        opened = os.open(path, os.O_RDONLY | _DIRECTLY)
    except OSError as problem:
        if problem.errno in (errno.ELOOP, errno.EMLINK, errno.ENXIO):
            raise InputError("it is a link or a device; hand in the file itself.") from None
        raise InputError(f"it can't be read: {problem.strerror}.") from None
    file = os.fdopen(opened, "rb")
    status = os.fstat(opened)
    if not stat.S_ISREG(status.st_mode) or status.st_nlink > 1:
        file.close()
        raise InputError("it is a link or a device; hand in the file itself.")
    return file


def _content(path: Path, most: int) -> bytes:
    with _opened(path) as file:
        content = file.read(most + 1)
    if len(content) > most:
        raise InputError(f"it is larger than {most // 1_000_000} MB.")
    return content


@dataclass
class _Budget:
    """How much may still be unpacked from one zip and the zips in it."""

    left: int

    def read(self, archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> bytes:
        """Read a member, never more than allowed, whatever size it claims."""
        with archive.open(member) as file:
            content = file.read(min(most, self.left) + 1)
        self.left -= len(content)
        if len(content) > most or self.left < 0:
            raise InputError("it unpacks to far more than a hand-in can hold.")
        return content


def _look_into(
    archive: zipfile.ZipFile, where: str, budget: _Budget, known: Set[str], depth: int = 1
) -> Iterator[Found | Refused]:
    """Yield the notebooks in a zip; the whole zip is refused when a member isn't what a hand-in holds."""
    try:
        members = [member for member in archive.infolist() if not member.is_dir()]
        if len(members) > MOST_MEMBERS:
            raise InputError(f"it holds more than {MOST_MEMBERS} files.")
        for member in members:
            _check_member(member)
        wanted = [m for m in members if not _SKIPPED & set(PurePosixPath(m.filename).parts)]
        by_name = {member.filename: member for member in wanted}
        found: list[Found] = []
        inner: list[tuple[str, bytes]] = []
        others: list[Refused] = []
        for member in wanted:
            path = PurePosixPath(member.filename)
            if path.suffix.lower() == ".ipynb":
                card = by_name.get(str(path.with_name(FILE_NAME)))
                found.append(
                    Found(
                        f"{where}/{path}",
                        budget.read(archive, member, LARGEST_NOTEBOOK),
                        budget.read(archive, card, _LARGEST_CARD) if card else b"",
                    )
                )
            elif path.suffix.lower() == ".zip" and depth < DEEPEST_ZIP:
                inner.append((f"{where}/{path}", budget.read(archive, member, LARGEST_UNPACKED)))
            elif path.suffix.lower() == ".zip":
                others.append(Refused(f"{where}/{path}", "it is a zip in a zip in a zip; unpack it."))
            elif not _needs_no_name(path, known):
                others.append(Refused(f"{where}/{path}", _NEITHER))
    except InputError as problem:
        yield Refused(where, str(problem))
        return
    except _DAMAGE:
        yield Refused(where, "it is damaged or locked with a password; copy or download it again.")
        return
    for name, content in inner:
        try:
            with zipfile.ZipFile(io.BytesIO(content)) as archive_inside:
                yield from _look_into(archive_inside, name, budget, known, depth + 1)
        except _DAMAGE:
            yield Refused(name, "it is not a whole zip file; copy or download it again.")
    yield from found
    yield from others


def _check_member(member: zipfile.ZipInfo) -> None:
    name = member.orig_filename.replace("\\", "/")
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or re.match(r"[A-Za-z]:", name) or "\0" in name:
        raise InputError(f"a file in it is named “{name[:60]}”, which points outside the zip.")
    if stat.S_ISLNK(member.external_attr >> 16):
        raise InputError(f"“{name[:60]}” in it is a link; hand in the file itself.")
