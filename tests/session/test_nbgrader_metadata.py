"""What nbgrader knows cells by survives our way with notebooks and the tools that write them.

The way from there through a browser to marks is in tests/browser.
"""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import nbformat
import pytest
from helpers import SECRET, locked_cell, released_notebook, solved_notebook, source_notebook, write_notebook
from nbgrader.nbgraderformat import ValidationError
from nbgrader_metadata import assert_same_to_nbgrader

from warmside import project
from warmside.session import folder as folders
from warmside.session.hand_out import hand_out
from warmside.session.roster import Trainee

pytestmark = pytest.mark.full  # many hand-ins on real kernels

EXERCISES = project.exercise_names()
NAME, ITEM = "heat_sources_and_circuits", "gas_heat"  # it has all kinds of cells
PYTHON = Path(sys.executable)
TOOLS = {
    "ruff format": [PYTHON.with_name("ruff"), "format", "--isolated"],
    "nbconvert, outputs cleared": [PYTHON, "-m", "nbconvert", "--clear-output", "--inplace"],
    "nbconvert, run": [PYTHON, "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace"],
    "nbval": [PYTHON, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--nbval-lax"],
}


@pytest.fixture(scope="module")
def packs(tmp_path_factory):
    """Where what one trainee is handed out lies open."""
    place = tmp_path_factory.mktemp("metadata")
    session = folders.start(place / "class", [Trainee("ann", "Ann", "", "")], EXERCISES, secret=SECRET)
    (pack,) = hand_out(session)
    zipfile.ZipFile(pack).extractall(place / "packs")
    return place / "packs"


@pytest.mark.parametrize("name", EXERCISES)
def test_what_is_released_and_handed_out(packs, name):
    handed_out = nbformat.read(packs / f"ann_{name}" / f"{name}.ipynb", as_version=4)
    for notebook in (released_notebook(name), handed_out):
        assert_same_to_nbgrader(notebook, source_notebook(name))


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
