"""Whose a hand-in is and of which exercise, by names and cells."""

from copy import deepcopy

import nbformat
import pytest
from helpers import NAME, answer_cell, released_notebook, solved_notebook

from warmside import project
from warmside.errors import InputError
from warmside.session.recognise import Release, exercise_of, trainee_of

IDS = ("ann", "ann-b", "zed.9")
RELEASES = {name: Release(released_notebook(name).cells) for name in project.exercise_names()}


@pytest.mark.parametrize(
    ("names", "found"),
    [
        (("usb", "ann_x.ipynb"), ("ann", "")),
        (("ann-b_x.zip", "x.ipynb"), ("ann-b", "")),
        (("zed.9.zip", "ann_x", "x.ipynb"), ("ann", "zed.9")),
        (("ann and zed.9", "ann-b.ipynb"), ("ann-b", "ann, zed.9")),
    ],
)
def test_the_innermost_id_tells_whose_it_is(names, found):
    assert trainee_of(names, IDS) == found


@pytest.mark.parametrize(
    ("names", "said"), [(("x.ipynb",), "no trainee's id"), (("ann zed.9.ipynb",), "more than one")]
)
def test_a_name_that_tells_nobody(names, said):
    with pytest.raises(InputError, match=said):
        trainee_of(names, IDS)


@pytest.mark.parametrize("name", RELEASES)
def test_cells_tell_the_exercise_whatever_the_name_says(name):
    """As a notebook on venting that is named as the one on diagnosis."""
    cells = released_notebook(name).cells
    assert exercise_of(("ann.ipynb",), cells, RELEASES) == (name, "")
    assert exercise_of((f"ann_{name}.ipynb",), cells, RELEASES) == (name, "")
    other = next(other for other in RELEASES if other != name)
    assert exercise_of((f"ann_{other}.ipynb",), cells, RELEASES) == (name, other)


def test_an_exercise_is_known_without_its_ids():
    notebook = solved_notebook("venting")
    for cell in notebook.cells:
        cell.metadata = nbformat.from_dict({})
        cell.id = nbformat.v4.new_code_cell().id
    assert exercise_of(("ann_diagnosis.ipynb",), notebook.cells, RELEASES) == ("venting", "diagnosis")


def test_a_notebook_of_no_exercise_and_one_of_two_are_refused():
    strange = [nbformat.v4.new_code_cell("1 + 1"), nbformat.v4.new_markdown_cell("Hello.")]
    for cells in ([], strange):
        with pytest.raises(InputError, match="hardly any of its cells is of venting"):
            exercise_of(("ann_venting.ipynb",), cells, RELEASES)
    only = {NAME: RELEASES[NAME]}
    with pytest.raises(InputError, match="hand in the notebook of the pack"):
        exercise_of((f"ann_{NAME}.ipynb",), released_notebook("venting").cells, only)
    venting = released_notebook("venting").cells
    both = venting + released_notebook("diagnosis").cells[: len(venting) // 2]
    with pytest.raises(InputError, match="of venting as well"):
        exercise_of(("ann_diagnosis.ipynb",), both, RELEASES)


def test_answers_are_counted_and_outputs_are_not():
    release, notebook = RELEASES[NAME], released_notebook()
    assert release.written(notebook.cells) == (0, release.unwritten)
    notebook.cells.append(nbformat.v4.new_code_cell("  "))  # as running the last cell leaves one
    notebook.cells[0].source += " A locked cell."
    notebook.cells[1].outputs = [nbformat.v4.new_output("stream", text="run")]
    assert release.written(notebook.cells) == (0, release.unwritten)
    answer_cell(notebook, "verdict").source = 'verdict = "a"'
    answer_cell(notebook, "which_limit").source = ""
    answers, written = release.written(notebook.cells)
    assert (answers, written != release.unwritten) == (1, True)
    own = deepcopy(notebook.cells)
    own[-1].source = "x = 1"
    assert release.written(own)[0] == 1
    assert release.written(own)[1] != written
