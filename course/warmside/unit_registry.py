"""The one registry of units, made of pint when it is first asked for and as fast as it can be."""

import hashlib
import importlib
import os
import sys
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from warmside import BEING_MARKED

if TYPE_CHECKING:
    import pint


@cache
def registry() -> "pint.UnitRegistry":
    """Return the one registry of units."""
    made: pint.UnitRegistry = _pint().UnitRegistry(
        autoconvert_offset_to_baseunit=False, cache_folder=definitions_folder()
    )
    made.define("inch_water_column = 249.08891 pascal")
    made.define("millimeter_water_column = 9.80665 pascal")
    _pint().set_application_registry(made)
    return made


def definitions_folder() -> Path | None:
    """Return the folder that keeps the definitions of this pint, once parsed; None where none can be kept.

    Parsing them takes a third of a second, reading them a tenth of that. The folder comes into its place
    whole, as others may be reading it. No kernel of a hand-in makes one, since its home goes with it.
    """
    from warmside.kept import cache_folder  # here, as numpy comes with it

    pint = _pint()
    made_from = repr((pint.__file__, pint.__version__, os.stat(str(pint.__file__)).st_mtime_ns, sys.version))
    folder = cache_folder() / f"pint-{hashlib.sha256(made_from.encode()).hexdigest()[:16]}"
    if not folder.is_dir() and BEING_MARKED not in os.environ:
        with suppress(OSError):  # another process was first, or nothing can be written there
            folder.parent.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryDirectory(dir=folder.parent, ignore_cleanup_errors=True) as draft:
                pint.UnitRegistry(cache_folder=draft)
                Path(draft).chmod(0o755)  # the kernel of a hand-in may be of another user
                os.rename(draft, folder)
    return folder if folder.is_dir() else None


@cache
def _pint() -> ModuleType:
    """Import pint, which takes long, without dask: where that is installed, it would take twice as long.

    Pint looks for it to know its arrays, and no quantity here holds any.
    """
    absent = "dask" not in sys.modules
    if absent:
        sys.modules["dask"] = None  # type: ignore[assignment]  # what can't be imported
    try:
        return importlib.import_module("pint")
    finally:
        if absent:
            del sys.modules["dask"]
