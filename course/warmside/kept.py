"""Keeping in the user's cache folder what takes long to make, and making it where it isn't there.

Its name changes with all that it is made from: the sources of the module that makes it and of those it
imports, the tables and files that these load, and numpy's version. Several versions stand side by side, so
that two checkouts don't take each other's away; one that nobody has used for `UNUSED_DAYS` goes. One process
makes a thing, others wait for it; the operating system frees the lock of one that dies.

Examples
--------
>>> import tempfile
>>> folder = Path(tempfile.mkdtemp())
>>> made = []
>>> def squares():
...     made.append(1)
...     return {"squares": np.arange(4) ** 2}
>>> for _ in range(2):
...     kept = load_or_make(folder / "squares-1.npz", squares, lambda stored: "squares" in stored)
>>> kept["squares"].tolist(), len(made)
([0, 1, 4, 9], 1)
"""

import ast
import gc
import hashlib
import os
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

import filelock
import numpy as np
import platformdirs

UNUSED_DAYS = 60
"""What wasn't read for so long is removed."""
PACKAGE = Path(__file__).parent

Arrays = Mapping[str, np.ndarray]


def cache_folder() -> Path:
    """Return the user's folder for what can be made again."""
    return platformdirs.user_cache_path("warmside", appauthor=False)


def load_or_make(
    file: Path,
    make: Callable[[], Arrays],
    fits: Callable[[Arrays], bool],
    waiting: Callable[[], None] = lambda: None,
) -> Arrays:
    """Return arrays from a file; make them first where it isn't there or is damaged.

    Parameters
    ----------
    file : pathlib.Path
        Where they are kept; its name begins with what they are, up to a dash, and ends with their `version`.
    make : callable
        Makes them.
    fits : callable
        Whether arrays are such as were wanted.
    waiting : callable, optional
        Called when another process makes them and this one waits.
    """
    if stored := _read(file, fits):
        return stored
    with _one_at_a_time(file, waiting):
        if stored := _read(file, fits):  # made while this one waited
            return stored
        made = make()
        with suppress(OSError):  # a full disk or a folder that can't be written: it is made anew next time
            _write(made, file)
            _remove_unused(file)
    return made


@contextmanager
def _one_at_a_time(file: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Wait until no other process makes this file; go on without waiting where nothing can be locked."""
    place = file.with_suffix(".lock")
    lock = filelock.FileLock(place)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        place.touch()  # says at once where nothing can be written
        try:
            lock.acquire(timeout=0)
        except filelock.Timeout:
            waiting()
            lock.acquire(poll_interval=0.2)
    except (OSError, NotImplementedError):  # a folder that can't be written, a file system without locks
        pass
    try:
        yield
    finally:
        lock.release()


def _read(file: Path, fits: Callable[[Arrays], bool]) -> Arrays | None:
    """Return the arrays of a file, and note that it was used; None where it isn't there or is damaged."""
    try:
        with np.load(file, allow_pickle=False) as stored:
            arrays = {name: stored[name] for name in stored.files}
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    if not fits(arrays):
        return None
    with suppress(OSError):
        os.utime(file)
    return arrays


def _write(arrays: Arrays, file: Path) -> None:
    """Write the whole file or nothing; what one that died began to write goes."""
    file.parent.mkdir(parents=True, exist_ok=True)
    for begun in file.parent.glob(f"{file.stem}.*.part"):
        begun.unlink(missing_ok=True)
    handle, scratch = tempfile.mkstemp(dir=file.parent, prefix=f"{file.stem}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as out:
            np.savez(out, **arrays)  # type: ignore[arg-type]
        os.replace(scratch, file)
    except BaseException:
        Path(scratch).unlink(missing_ok=True)
        raise


def _remove_unused(made: Path) -> None:
    oldest = time.time() - UNUSED_DAYS * 24 * 3600
    for file in made.parent.glob(f"{made.name.partition('-')[0]}-*"):
        with suppress(OSError):  # another process may be as far
            if file.stat().st_mtime < oldest:
                file.unlink()


# --- what it is made from ---------------------------------------------------------------------------------


def version(made_by: str, *what: object, package: Path = PACKAGE) -> str:
    """Return a name that changes with all that a thing is made from.

    Parameters
    ----------
    made_by : str
        The module that makes it.
    *what
        What stands in no file but matters, such as how many.
    package : pathlib.Path, optional
        The folder of the package's sources.
    """
    text = " ".join(map(str, (*what, np.__version__, _contents(made_by, package))))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@cache
def _contents(made_by: str, package: Path) -> str:
    made_from = hashlib.sha256()
    # Python 3.11 can't parse while it parses: the traceback of a lost task, finalised meanwhile, would
    gc.collect()
    for file in sources(made_by, package):
        content = file.read_bytes()
        made_from.update(f"{file.relative_to(package).as_posix()} {len(content)} ".encode() + content)
    return made_from.hexdigest()


def sources(made_by: str, package: Path = PACKAGE) -> list[Path]:
    """Return the files that a thing is made from: modules, as far as imports lead, and what these load."""
    found: set[Path] = set()
    ahead = [made_by]
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
    yield from (
        file for file in module.parent.iterdir() if file.name in texts and file.suffix not in ("", ".py")
    )
