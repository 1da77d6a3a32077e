"""Keeping the bank of simulated cases in the user's cache folder, and making it where it isn't there.

Its name changes with all that it is made from: the sources of the modules that drawing and solving import,
the tables and files that these load, and numpy's version. Banks of several versions stand side by side, so
that two checkouts don't take each other's away; one that nobody has used for `UNUSED_DAYS` goes. One process
makes a bank, others wait for it; the operating system frees the lock of one that dies.
"""

import ast
import hashlib
import os
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import fields
from functools import cache
from pathlib import Path

import filelock
import numpy as np
import platformdirs

from warmside.diagnosis.bank import COUNT, SEED, Bank, make
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import READINGS

UNUSED_DAYS = 60
"""A bank that wasn't read for so long is removed."""
WAITING = "Another program is simulating the cases; waiting until they are there."
_PACKAGE = Path(__file__).parents[1]
_MADE_BY = "warmside.diagnosis.bank"


def load_bank(
    count: int = COUNT,
    seed: int = SEED,
    *,
    folder: Path | None = None,
    cluster: str | None = None,
    progress: Callable[[int, int], None] | None = None,
    notice: Callable[[str], None] | None = None,
) -> Bank:
    """Return the bank from the cache folder; make it first where it isn't there, is old or is damaged.

    Parameters
    ----------
    count, seed, cluster, progress
        As in `make`.
    folder : pathlib.Path, optional
        Where it is kept; the user's cache folder by default.
    notice : callable, optional
        Called with a sentence when another process makes the bank and this one waits.

    Returns
    -------
    Bank
    """
    folder = folder or platformdirs.user_cache_path("warmside", appauthor=False)
    file = folder / f"bank-{count}-{version(count, seed)}.npz"
    if bank := _read(file, count):
        return bank
    with _one_at_a_time(file, notice):
        if bank := _read(file, count):  # made while this one waited
            return bank
        bank = make(count, seed, cluster=cluster, progress=progress)
        with suppress(OSError):  # a full disk or a folder that can't be written: it is made anew next time
            _write(bank, file)
            _remove_unused(folder)
    return bank


@cache
def usual_bank() -> Bank:
    """Return the bank that inference uses unless it is given another."""
    return load_bank()


# --- in the folder ----------------------------------------------------------------------------------------


@contextmanager
def _one_at_a_time(file: Path, notice: Callable[[str], None] | None) -> Iterator[None]:
    """Wait until no other process makes this bank; go on without waiting where nothing can be locked."""
    place = file.with_suffix(".lock")
    lock = filelock.FileLock(place)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        place.touch()  # says at once where nothing can be written
        try:
            lock.acquire(timeout=0)
        except filelock.Timeout:
            if notice:
                notice(WAITING)
            lock.acquire(poll_interval=0.2)
    except (OSError, NotImplementedError):  # a folder that can't be written, a file system without locks
        pass
    try:
        yield
    finally:
        lock.release()


def _read(file: Path, count: int) -> Bank | None:
    """Return the bank of a file, and note that it was used; None where it isn't there or is damaged."""
    try:
        with np.load(file, allow_pickle=False) as stored:
            bank = Bank(**{each.name: stored[each.name] for each in fields(Bank)})
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    if bank.readings.shape != (count, len(READINGS)) or bank.labels.shape != (count, 2):
        return None
    with suppress(OSError):
        os.utime(file)
    return bank


def _write(bank: Bank, file: Path) -> None:
    """Write the whole file or nothing; what one that died began to write goes."""
    file.parent.mkdir(parents=True, exist_ok=True)
    for begun in file.parent.glob(f"{file.stem}.*.part"):
        begun.unlink(missing_ok=True)
    handle, scratch = tempfile.mkstemp(dir=file.parent, prefix=f"{file.stem}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as out:
            np.savez(out, **{each.name: getattr(bank, each.name) for each in fields(Bank)})
        os.replace(scratch, file)
    except BaseException:
        Path(scratch).unlink(missing_ok=True)
        raise


def _remove_unused(folder: Path) -> None:
    oldest = time.time() - UNUSED_DAYS * 24 * 3600
    for file in folder.glob("bank-*"):
        with suppress(OSError):  # another process may be as far
            if file.stat().st_mtime < oldest:
                file.unlink()


# --- what it is made from ---------------------------------------------------------------------------------


def version(count: int = COUNT, seed: int = SEED, package: Path = _PACKAGE) -> str:
    """Return a name that changes with all that a bank is made from.

    Parameters
    ----------
    count, seed : int
        As in `make`.
    package : pathlib.Path, optional
        The folder of the package's sources.
    """
    # faults and readings may have been added while this runs; that stands in no file
    what = count, seed, np.__version__, *FAULTS, *READINGS, _contents(package)
    return hashlib.sha256(" ".join(map(str, what)).encode()).hexdigest()[:16]


@cache
def _contents(package: Path) -> str:
    made_from = hashlib.sha256()
    for file in sources(package):
        content = file.read_bytes()
        made_from.update(f"{file.relative_to(package).as_posix()} {len(content)} ".encode() + content)
    return made_from.hexdigest()


def sources(package: Path = _PACKAGE) -> list[Path]:
    """Return the files that a bank is made from: modules, as far as imports lead, and what these load."""
    found: set[Path] = set()
    ahead = [_MADE_BY]
    while ahead:
        module = _file_of(ahead.pop(), package)
        if module is None or module in found:
            continue
        nodes = list(ast.walk(ast.parse(module.read_bytes())))
        found |= {module, *_tables(nodes, package), *_files_beside(nodes, module)}
        ahead += _imported(nodes)
    return sorted(found)


def _file_of(imported: str, package: Path) -> Path | None:
    """Return the source of a module of the package, or of what stands in one; None for others' modules."""
    name, *rest = imported.split(".")
    if name != "warmside":
        return None
    place = package.joinpath(*rest)
    for module in (place, place.parent):
        for file in (module.with_suffix(".py"), module / "__init__.py"):
            if file.is_file():
                return file
    return None


def _imported(nodes: Sequence[ast.AST]) -> Iterator[str]:
    """Yield the full names of what a module imports, wherever it does so."""
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{each.name}" for each in node.names)


def _tables(nodes: Sequence[ast.AST], package: Path) -> Iterator[Path]:
    """Yield the tables that a module loads; all, where it doesn't write out which."""
    if "warmside.data.load" not in _imported(nodes):
        return
    for node in nodes:
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "load":
            (name,) = node.args
            table = ast.literal_eval(name) if isinstance(name, ast.Constant) else "*"
            yield from (package / "data").glob(f"{table}.toml")


def _files_beside(nodes: Sequence[ast.AST], module: Path) -> Iterator[Path]:
    """Yield the files in a module's own folder that it names and that are no modules."""
    texts = {node.value for node in nodes if isinstance(node, ast.Constant)}
    yield from (file for file in module.parent.iterdir() if file.name in texts and file.suffix != ".py")
