"""What marking notes in a notebook reads back as it was, also from an older or a strange one."""

import json

import nbformat
import pytest

from warmside.marking.marks import Outcome
from warmside.marking.noted import CellNoted, MarkNoted, RunNoted


@pytest.mark.parametrize(
    "noted",
    [
        RunNoted(),
        RunNoted(["Mended."], boxed=False, cut_short=["It was killed."]),
        MarkNoted(Outcome.MISTAKE, "turned upside down"),
        CellNoted(instructor_only=True),
    ],
)
def test_what_is_noted_survives_a_file(noted):
    notebook = nbformat.v4.new_notebook()
    noted.note(notebook)
    back = nbformat.from_dict(json.loads(json.dumps(notebook)))
    assert type(noted).of(back) == noted


def test_where_nothing_is_noted_all_is_as_usual():
    empty = nbformat.v4.new_notebook()
    assert RunNoted.of(empty) == RunNoted([], True, [])
    assert MarkNoted.of(empty) == MarkNoted(Outcome.UNANSWERED, "")
    assert CellNoted.of(empty) == CellNoted(False)
    assert MarkNoted.of(nbformat.v4.new_notebook(metadata={"warmside": {"outcome": "right", "x": 1}})) == (
        MarkNoted(Outcome.RIGHT)
    )


def test_one_that_ended_early_says_so_to_its_trainee_and_to_the_journal():
    noted = RunNoted(["Mended."])
    noted.end_early("It was killed.")
    assert noted.notes == ["Mended.", "It was killed. Answers after that could not be recorded."]
    assert noted.cut_short == ["It was killed."]
