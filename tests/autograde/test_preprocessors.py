"""Repairing a hand-in before it is run."""

from copy import deepcopy

import nbformat
import pytest
from helpers import answer_cell, locked_cell, released_notebook

from warmside.autograde.preprocessors import repaired
from warmside.marking.cells import grade_id

ITEM = "heat_from_water"


@pytest.fixture
def release():
    return released_notebook().cells


@pytest.fixture
def hand_in():
    notebook = released_notebook()
    answer_cell(notebook, ITEM).source = 'heat_from_water = "12 Btu"'
    return notebook


def ids(cells) -> list[str]:
    return [grade_id(cell) for cell in cells if grade_id(cell)]


def test_an_untouched_hand_in_stays_as_it_is(release, hand_in):
    cells, notes = repaired(hand_in.cells, release)
    assert notes == []
    assert cells == hand_in.cells


def test_a_copied_answer_cell_becomes_an_ordinary_one(release, hand_in):
    at = hand_in.cells.index(answer_cell(hand_in, ITEM))
    hand_in.cells.insert(at + 1, deepcopy(hand_in.cells[at]))
    hand_in.cells[at + 1].source = 'heat_from_water = "13 Btu"'
    cells, notes = repaired(hand_in.cells, release)
    assert ids(cells) == ids(release)
    assert [cell.source for cell in cells[at : at + 2]] == [
        'heat_from_water = "12 Btu"',
        'heat_from_water = "13 Btu"',
    ]
    assert notes == [
        "The answer cell of heat_from_water stands more than once; all were run, in the order they stand in."
    ]


def test_a_copied_locked_cell_is_dropped(release, hand_in):
    hand_in.cells.append(deepcopy(locked_cell(hand_in, ITEM)))
    cells, _ = repaired(hand_in.cells, release)
    assert cells == repaired(released_with_answer().cells, release)[0]


def released_with_answer():
    notebook = released_notebook()
    answer_cell(notebook, ITEM).source = 'heat_from_water = "12 Btu"'
    return notebook


@pytest.mark.parametrize("item", ["thermometer_error", ITEM, "verdict"])
def test_a_missing_locked_cell_comes_back_in_its_place(release, hand_in, item):
    hand_in.cells.remove(locked_cell(hand_in, item))
    cells, notes = repaired(hand_in.cells, release)
    assert ids(cells) == ids(release)
    assert notes == [f"The locked cell {item} was not in its place and has been put back."]


def test_all_locked_cells_missing_come_back_in_order(release, hand_in):
    hand_in.cells = [cell for cell in hand_in.cells if (grade_id(cell) or "").endswith("_answer")]
    cells, _ = repaired(hand_in.cells, release)
    assert ids(cells) == ids(release)


def test_a_missing_answer_cell_is_told(release, hand_in):
    hand_in.cells.remove(answer_cell(hand_in, ITEM))
    cells, notes = repaired(hand_in.cells, release)
    assert ITEM + "_answer" not in ids(cells)
    assert notes == ["The answer cell of heat_from_water is missing."]


def test_a_missing_cell_that_a_person_marks_is_put_back_blank():
    name, asked = "heat_sources_and_circuits", "customer_note"
    release, hand_in = released_notebook(name).cells, released_notebook(name)
    hand_in.cells.remove(locked_cell(hand_in, asked))
    cells, notes = repaired(hand_in.cells, release)
    assert cells == release
    assert notes == [f"The answer cell of {asked} is missing."]


def test_an_edited_locked_cell_is_put_back(release, hand_in):
    locked_cell(hand_in, ITEM).source = "print('full marks')"
    locked_cell(hand_in, ITEM).metadata.nbgrader.points = 100
    cells, _ = repaired(hand_in.cells, release)
    assert cells == repaired(released_with_answer().cells, release)[0]


def test_stripped_metadata_is_found_again(release, hand_in):
    for cell in hand_in.cells:
        cell.metadata = nbformat.NotebookNode()
    cells, notes = repaired(hand_in.cells, release)
    assert notes == []
    assert cells == repaired(released_with_answer().cells, release)[0]


def test_an_answer_cell_turned_to_text_is_code_again(release, hand_in):
    at = hand_in.cells.index(answer_cell(hand_in, ITEM))
    hand_in.cells[at] = nbformat.v4.new_raw_cell(
        hand_in.cells[at].source, metadata=hand_in.cells[at].metadata
    )
    cells, _ = repaired(hand_in.cells, release)
    assert cells[at].cell_type == "code"
    assert cells[at].source == 'heat_from_water = "12 Btu"'


def test_the_trainees_own_cells_stay_without_strange_metadata(release, hand_in):
    own = nbformat.v4.new_code_cell(
        "x = 1", metadata={"nbgrader": {"grade": True, "grade_id": "forged", "points": 99}}
    )
    hand_in.cells.insert(3, own)
    cells, notes = repaired(hand_in.cells, release)
    assert notes == []
    assert cells[3].source == "x = 1"
    assert cells[3].metadata == {}


def test_ids_are_unique_and_valid_afterwards(release, hand_in):
    for cell in hand_in.cells:
        cell["id"] = "same"
    hand_in.cells.insert(0, nbformat.v4.new_code_cell("x = 1", id="same"))
    cells, _ = repaired(hand_in.cells, release)
    assert len({cell["id"] for cell in cells}) == len(cells)
