"""Keeping exercises/ in step with solutions_private/."""

import shutil
from pathlib import Path

from warmside import project
from warmside.session.nbgrader_runs import release_files


def released(exercise: str) -> Path:
    """Return the folder of an exercise as it is given to trainees."""
    return project.root() / "exercises" / exercise


def write_release(exercise: str) -> None:
    """Generate an exercise's folder afresh."""
    files = release_files(exercise)
    folder = released(exercise)
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, content in files.items():
        (folder / name).write_bytes(content)


def out_of_step(exercise: str) -> list[str]:
    """Return the names of files that differ from what the source generates."""
    expected = release_files(exercise)
    folder = released(exercise)
    present = {path.name: path.read_bytes() for path in folder.iterdir()} if folder.is_dir() else {}
    return sorted(
        name for name in expected.keys() | present.keys() if expected.get(name) != present.get(name)
    )
