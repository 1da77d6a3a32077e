"""Marks that a person gave: which stand for the answer that stands there now."""

from types import SimpleNamespace

import nbformat
import pytest
from helpers import NAME

from warmside.autograde import hand_marks
from warmside.autograde.hand_marks import SaveMarks, answers_in, states
from warmside.marking.marks import Outcome
from warmside.session.nbgrader_runs import gradebook_url

CELL, MACHINE = "job_note", "verdict"


@pytest.fixture
def keep(session):
    """Save ann's marks as marking does, with these words in her last cell; none where she never wrote."""
    path = session.folder / "release" / NAME / f"{NAME}.ipynb"
    url = gradebook_url(session.folder / "gradebook.db")
    with session.gradebook() as gradebook:
        gradebook.add_submission(NAME, "ann")

    def marked(words: str, verdict: str = "a") -> dict[str, tuple[float, Outcome | None]]:
        notebook = nbformat.read(path, as_version=4)
        for cell in notebook.cells:
            if cell.metadata.nbgrader.grade_id == CELL and words:
                cell.source = words
            if cell.metadata.nbgrader.grade_id == f"{MACHINE}_answer":
                cell.source = verdict
        of = {"student": "ann", "assignment": NAME, "notebook": NAME, "db_url": url}
        SaveMarks().preprocess(notebook, {"nbgrader": of})
        with session.gradebook() as gradebook:
            return states(gradebook, NAME, "ann")

    def give(cell: str, score: float | None, comment: str | None = None) -> None:
        with session.gradebook() as gradebook:
            grade = gradebook.find_grade(cell, NAME, NAME, "ann")
            grade.manual_score = score
            grade.needs_manual_grade = score is None and grade.auto_score is None
            if cell == CELL:
                gradebook.find_comment(CELL, NAME, NAME, "ann").manual_comment = comment
            gradebook.db.commit()

    def said() -> str | None:
        with session.gradebook() as gradebook:
            return gradebook.find_comment(CELL, NAME, NAME, "ann").comment

    return SimpleNamespace(marked=marked, give=give, said=said, session=session)


def test_a_mark_goes_with_its_answer_and_comes_back_with_it(keep):
    assert keep.marked("It holds.")[CELL] == (0.0, Outcome.WAITS)
    keep.give(CELL, 3.0, "Good.")
    assert keep.marked("It holds.")[CELL] == (3.0, Outcome.BY_HAND)
    assert keep.marked("  It\n holds.")[CELL] == (3.0, Outcome.BY_HAND)  # set out otherwise
    assert keep.said() == "Good."
    assert keep.marked("It is dead.")[CELL] == (0.0, Outcome.AGAIN)
    assert keep.said() is None
    assert keep.marked("")[CELL] == (0.0, Outcome.AGAIN)
    keep.give(CELL, 0.0, "Empty.")
    assert keep.marked("")[CELL] == (0.0, Outcome.BY_HAND)
    assert keep.marked("It holds.")[CELL] == (3.0, Outcome.BY_HAND)
    assert keep.said() == "Good."
    keep.give(CELL, None)  # taken back
    assert keep.marked("It holds.")[CELL] == (0.0, Outcome.AGAIN)


def test_what_was_never_written_nor_read_waits_for_nobody(keep):
    assert keep.marked("")[CELL] == (0.0, Outcome.UNANSWERED)
    assert keep.said() is None


def test_a_machines_mark_that_a_person_changed_goes_with_the_answer_too(keep):
    assert keep.marked("x")[MACHINE] == (3.0, None)
    keep.give(MACHINE, 1.5)
    assert keep.marked("y")[MACHINE] == (1.5, Outcome.BY_HAND)
    assert keep.marked("y", verdict="b")[MACHINE] == (3.0, Outcome.AGAIN)
    assert keep.marked("y")[MACHINE] == (1.5, Outcome.BY_HAND)


def test_a_mark_from_before_answers_were_kept_is_to_be_read_again(keep):
    keep.give(CELL, 2.0, "Good.")
    assert keep.marked("It holds.")[CELL] == (0.0, Outcome.AGAIN)


def test_what_is_kept_goes_with_who_is_forgotten(keep):
    keep.marked("It holds.")
    with keep.session.gradebook() as gradebook:
        stand = hand_marks.answers_that_stand(gradebook, NAME, "ann")
        assert stand[CELL] == answers_in_words("It holds.")
        hand_marks.remove(gradebook, "ann")
        assert hand_marks.answers_that_stand(gradebook, NAME, "ann") == {}


def answers_in_words(words: str) -> str:
    cell = nbformat.v4.new_markdown_cell(words)
    cell.metadata["nbgrader"] = {"grade_id": CELL, "solution": True, "grade": True}
    return answers_in(nbformat.v4.new_notebook(cells=[cell]))[CELL]
