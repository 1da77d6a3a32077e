"""What nbgrader knows cells by survives our way with notebooks and the tools that write them.

The way through a browser is in tests/browser/test_exercises.py.
"""

import io
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import nbformat
import pytest
from helpers import (
    SECRET,
    locked_cell,
    mark,
    released_notebook,
    solved_notebook,
    source_notebook,
    write_notebook,
)
from nbgrader.nbgraderformat import ValidationError
from nbgrader_metadata import assert_same_to_nbgrader

from warmside import project
from warmside.session import folder as folders
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark
from warmside.session.roster import Trainee

pytestmark = pytest.mark.full  # many hand-ins on real kernels

NAME, ITEM = "heat_sources_and_circuits", "gas_heat"  # it has all kinds of cells
EXERCISES = project.exercise_names()
PYTHON = Path(sys.executable)
TOOLS = {
    "ruff format": [PYTHON.with_name("ruff"), "format", "--isolated"],
    "nbconvert, outputs cleared": [PYTHON, "-m", "nbconvert", "--clear-output", "--inplace"],
    "nbconvert, run": [PYTHON, "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace"],
    "nbval": [PYTHON, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--nbval-lax"],
}


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A session in which one trainee handed everything in, and it was marked."""
    place = tmp_path_factory.mktemp("metadata")
    session = folders.start(place / "class", [Trainee("ann", "Ann", "", "")], EXERCISES, secret=SECRET)
    written = [write_notebook(place / f"ann_{name}.ipynb", solved_notebook(name)) for name in EXERCISES]
    take_in(session, written)
    assert mark(session, to_mark(session)) == {}
    return session


@pytest.mark.parametrize("name", EXERCISES)
def test_from_source_to_marks(marked, name):
    source, file = source_notebook(name), f"{name}.ipynb"
    (pack,) = hand_out(marked)
    with zipfile.ZipFile(pack) as archive:
        handed_out = nbformat.read(io.BytesIO(archive.read(f"ann_{name}/{file}")), as_version=4)
    stages = {stage: marked.folder / stage / "ann" / name / file for stage in ("submitted", "autograded")}
    read = {stage: nbformat.read(path, as_version=4) for stage, path in stages.items()}
    for notebook in (released_notebook(name), handed_out, *read.values()):
        assert_same_to_nbgrader(notebook, source)


@pytest.mark.parametrize("tool", TOOLS)
def test_tools_that_write_notebooks(tool, tmp_path):
    folder = shutil.copytree(project.root() / "exercises" / NAME, tmp_path / NAME)
    path = write_notebook(folder / f"{NAME}.ipynb", solved_notebook(NAME))
    run = subprocess.run([*TOOLS[tool], path], cwd=folder, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    assert_same_to_nbgrader(nbformat.read(path, as_version=4), source_notebook(NAME))


def lost(notebook):
    del locked_cell(notebook, ITEM).metadata["nbgrader"]["points"]


def changed(notebook):
    locked_cell(notebook, ITEM).metadata["nbgrader"]["points"] = 100


def doubled(notebook):
    notebook.cells.append(notebook.cells[0])


def of_another_kind(notebook):
    notebook.cells[0].cell_type = "code"


@pytest.mark.parametrize("damage", [lost, changed, doubled, of_another_kind])
def test_damage_is_noticed(damage):
    notebook = source_notebook(NAME)
    damage(notebook)
    with pytest.raises((AssertionError, ValidationError)):
        assert_same_to_nbgrader(notebook, source_notebook(NAME))
