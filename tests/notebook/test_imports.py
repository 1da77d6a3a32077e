"""What a trainee's kernel imports: nothing that only marking needs."""

import json
import os
import subprocess
import sys

import pytest
from helpers import released_notebook

from warmside import BEING_MARKED, project
from warmside.marking.cells import ANSWER_SUFFIX, grade_id, is_answer
from warmside.session.exercise_check import code_of

NEVER = {"nbgrader", "bleach", "sqlalchemy"}
HEAVY = {"anywidget", "dask", "ipywidgets", "jinja2", "matplotlib", "numpy", "pandas", "PIL", "pint", "scipy"}
"""What takes a kernel long to import, and a hand-in whose answers are plain texts is marked without."""
TELL = "import json, sys; print(json.dumps(sorted({module.split('.')[0] for module in sys.modules})))"


def run_beside_its_card(code, name, folder, **environment):
    """Run code that ends with `TELL` beside the practice card; return what it imported."""
    for path in (project.root() / "exercises" / name).iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    run = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return set(json.loads(run.stdout.splitlines()[-1]))


@pytest.mark.parametrize("name", project.exercise_names())
def test_a_kernel_imports_nothing_of_nbgrader(name, tmp_path):
    # All imports of the notebook, the card shown, and its last cells, on the practice card.
    code = code_of(released_notebook(name))
    lines = [line for cell in code for line in cell.splitlines() if line.startswith(("from ", "import "))]
    end = ["card = my_job_card()", "show_card(card)", "check_mine()", "finish()", "write_hand_in()"]
    end += ["record('card', 'choice', 'ab')"]
    end.append(TELL)
    lines.append("from warmside.notebook import write_hand_in")
    imported = run_beside_its_card("\n".join(lines + end), name, tmp_path)
    assert "warmside" in imported
    assert not imported & NEVER
    assert list(tmp_path.glob("practice_*.zip"))


def marked(name, answers, folder):
    """Run all cells of a release as a kernel that is marked does, with these answers in its answer cells."""
    notebook = released_notebook(name)
    for cell in notebook.cells:
        if cell.cell_type == "code" and is_answer(cell):
            item = grade_id(cell).removesuffix(ANSWER_SUFFIX)
            cell.source = f"{cell.source}\n{item} = {answers}"
    code = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "code")
    return run_beside_its_card(f"{code}\n{TELL}", name, folder, **{BEING_MARKED: "yes"})


WITH_CATALOGUE = "diagnosis"
"""It lists the faults in its cells, out of the catalogue of the diagnosis."""


@pytest.mark.parametrize("name", sorted({*project.exercise_names()} - {WITH_CATALOGUE}))
def test_plain_answers_are_marked_with_nothing_heavy(name, tmp_path):
    imported = marked(name, "'12 W'", tmp_path)
    assert "warmside" in imported
    assert not imported & HEAVY


def test_a_quantity_is_marked_with_what_it_needs(tmp_path):
    imported = marked("substance_temperature_test", "Q_(12, 'W')", tmp_path)
    assert imported & HEAVY >= {"pint"}
    assert not imported & {"ipywidgets", "matplotlib", "PIL"}


def test_nothing_is_drawn_for_a_hand_in_with_a_catalogue(tmp_path):
    assert not marked(WITH_CATALOGUE, "'a'", tmp_path) & {"ipywidgets", "matplotlib", "PIL"}
