"""Where the parts of the project lie that are not in the package: exercises, their sources, the course."""

import os
from pathlib import Path

from warmside.errors import InputError


def root() -> Path:
    """Return the project's folder.

    It is the clone that this package was installed from, or the folder that the environment variable
    ``WARMSIDE_ROOT`` names. A trainee's installation has none, and needs none.

    Raises
    ------
    InputError
        If neither holds the exercises' sources.
    """
    given = os.environ.get("WARMSIDE_ROOT")
    folder = Path(given) if given else Path(__file__).resolve().parents[2]
    if not (folder / "solutions_private").is_dir():
        raise InputError(
            f"{folder} holds no folder solutions_private; run this from a clone of Warmside, "
            "or set WARMSIDE_ROOT to one."
        )
    return folder


def exercise_names() -> list[str]:
    """Return the names of the exercises that have a source, in alphabetical order."""
    sources = (root() / "solutions_private").glob("*/items.py")
    return sorted(path.parent.name for path in sources)
