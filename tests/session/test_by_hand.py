"""An answer in words: kept through marking, shown with its rubric to the instructor, marked by hand."""

import shutil

import pytest
from click.testing import CliRunner
from helpers import SECRET, mark, typed_for, write_notebook

from warmside.cli import main
from warmside.marking.cells import grade_id
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.marks import Outcome
from warmside.session import folder as folders
from warmside.session import nbgrader_runs
from warmside.session.check import check
from warmside.session.folder import Session
from warmside.session.hand_in import take_in
from warmside.session.instructor import choose
from warmside.session.mark import to_mark
from warmside.session.report import report_page, summarise
from warmside.session.roster import Trainee
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels

EXERCISE = "heat_sources_and_circuits"
CELL = "customer_note"
WORDS = "Your heater is open. <script>alert(1)</script> Leave **the gas** to us."
ANSWERED, BLANK, DELETED = "ann", "bo", "cy"


def note_of(notebook):
    return next(cell for cell in notebook.cells if grade_id(cell) == CELL)


@pytest.fixture(scope="module")
def marked_once(tmp_path_factory):
    """A session of three who solved all but the last: one wrote, one did not, one deleted the cell."""
    folder = tmp_path_factory.mktemp("by_hand")
    roster = [Trainee(name, name.title(), "", "") for name in (ANSWERED, BLANK, DELETED)]
    made = folders.start(folder / "class", roster, [EXERCISE], secret=SECRET)
    for trainee in roster:
        notebook = typed_for(made, trainee.id, EXERCISE)
        if trainee.id == ANSWERED:
            note_of(notebook).source = WORDS
        if trainee.id == DELETED:
            notebook.cells.remove(note_of(notebook))
        write_notebook(folder / "usb" / f"{trainee.id}_{EXERCISE}.ipynb", notebook)
    take_in(made, [folder / "usb"])
    assert mark(made, to_mark(made)) == {}
    return made


@pytest.fixture
def marked(marked_once, tmp_path):
    shutil.copytree(marked_once.folder, tmp_path / "class")
    return Session.open(tmp_path / "class")


def page_of(session, trainee: str, step: str = "feedback", suffix: str = "html") -> str:
    return (session.folder / step / trainee / EXERCISE / f"{EXERCISE}.{suffix}").read_text("utf-8")


def give(session, trainee: str, score: float, comment: str) -> None:
    """Do what the formgrader does when a person types marks and a comment."""
    with session.gradebook() as gradebook:
        where = CELL, EXERCISE, EXERCISE, trainee
        grade, remark = gradebook.find_grade(*where), gradebook.find_comment(*where)
        grade.manual_score, grade.needs_manual_grade = score, False
        remark.manual_comment = comment
        gradebook.db.commit()


def outcomes(session) -> dict[str, Outcome]:
    return {row.trainee.id: row.items[-1].outcome for row in standings(session)}


def test_words_wait_and_what_was_never_written_does_not(marked):
    assert outcomes(marked) == {
        ANSWERED: Outcome.WAITS,
        BLANK: Outcome.UNANSWERED,
        DELETED: Outcome.UNANSWERED,
    }
    rows = {row.trainee.id: row for row in standings(marked)}
    full = load_exercise(EXERCISE)
    assert all(row.score == sum(item.points for item in full.items) for row in rows.values())
    assert rows[ANSWERED].points == full.points
    assert "by hand" in rows[ANSWERED].state
    assert "by hand" not in rows[BLANK].state
    assert "missing" in page_of(marked, DELETED)


def test_the_rubric_is_for_the_formgrader_alone(marked):
    exercise = load_exercise(EXERCISE)
    (asked,) = exercise.by_hand
    sentences = asked.rubric(Job(exercise, exercise.job_card(SECRET, ANSWERED)))
    assert sentences[0].startswith("On this card ")
    notebook, page = page_of(marked, ANSWERED, "autograded", "ipynb"), page_of(marked, ANSWERED)
    released = (marked.folder / "release" / EXERCISE / f"{EXERCISE}.ipynb").read_text("utf-8")
    for sentence in sentences:
        beginning = sentence[:30]
        assert beginning in notebook
        assert beginning not in page
        assert beginning not in released


def test_words_are_shown_as_typed_without_script(marked):
    page = page_of(marked, ANSWERED)
    assert "Leave **the gas** to us." in page
    assert "<script>alert" not in page


def test_what_nobody_has_read_is_not_said_to_have_no_marks(marked):
    full = load_exercise(EXERCISE).points
    waits, blank = page_of(marked, ANSWERED), page_of(marked, BLANK)
    assert "<b>Not yet read</b> by your instructor: up to 4 marks." in waits
    assert f"Marks: {full - 4:g} of {full:g}, and 4 not yet read" in waits
    assert "<b>0 of 4 marks</b>: nothing was written here." in blank
    assert f"Marks: {full - 4:g} of {full:g}</h1>" in blank
    for page in (waits, blank):
        assert "given by hand" not in page
        assert "No response" not in page
        assert "Your instructor:" not in page


def test_marks_by_hand_reach_the_trainee_without_running_anything(marked):
    give(marked, ANSWERED, 3.0, "Name <the> readings, too.")
    assert outcomes(marked)[ANSWERED] is Outcome.BY_HAND
    row = next(row for row in standings(marked) if row.trainee.id == ANSWERED)
    assert row.score == row.points - 1
    before = {name: page_of(marked, name) for name in (ANSWERED, BLANK)}
    said = CliRunner().invoke(main, ["session", "feedback", str(marked.folder), ANSWERED])
    assert (said.exit_code, "1 pages are in" in said.output) == (0, True)
    page = page_of(marked, ANSWERED)
    assert "3 of 4 marks" in page
    assert "Name &lt;the&gt; readings, too." in page
    assert f"Marks: {row.score:g} of {row.points:g}</h1>" in page
    assert page != before[ANSWERED]
    assert page_of(marked, BLANK) == before[BLANK]
    assert nbgrader_runs.api(marked.folder).generate_feedback(EXERCISE, ANSWERED)["success"]
    assert page_of(marked, ANSWERED) == page  # as the formgrader's own button writes it


def test_the_report_counts_what_waits_apart(marked):
    exercise = load_exercise(EXERCISE)
    before = summarise(exercise, standings(marked))[-1]
    assert (before.item.name, before.share) == (CELL, None)
    give(marked, ANSWERED, 4.0, "")
    after = summarise(exercise, standings(marked))[-1]
    assert after.share == pytest.approx(4 / 12)
    page = report_page(marked, standings(marked))
    assert "Note to the customer" in page
    assert Outcome.BY_HAND.value in page


def test_a_mark_by_hand_stays_with_the_answer_that_was_read(marked, tmp_path):
    give(marked, ANSWERED, 2.0, "Who may touch the gas?")
    path = write_notebook(tmp_path / f"{ANSWERED}_{EXERCISE}.ipynb", typed_for(marked, ANSWERED, EXERCISE))
    take_in(marked, [path])  # without a word in the last cell: it has fewer answers
    assert to_mark(marked) == []
    choose(marked, ANSWERED, EXERCISE, "2")
    assert mark(marked, to_mark(marked)) == {}
    row = next(row for row in standings(marked) if row.trainee.id == ANSWERED)
    assert (row.items[-1].outcome, row.score, row.waiting) == (Outcome.AGAIN, row.points - 4, 4)
    assert row.state == "marked, to be read again"
    assert row.to_look_at == ("To be read again: Note to the customer.",)
    page = page_of(marked, ANSWERED)
    assert "<b>To be read again</b> by your instructor, since the answer changed" in page
    assert "2 of 4 marks" not in page
    assert "Who may touch the gas?" not in page
    with marked.gradebook() as gradebook:
        assert gradebook.find_grade(CELL, EXERCISE, EXERCISE, ANSWERED).needs_manual_grade
    assert check(marked) == []

    choose(marked, ANSWERED, EXERCISE, "usual")
    assert mark(marked, to_mark(marked)) == {}
    row = next(row for row in standings(marked) if row.trainee.id == ANSWERED)
    assert (row.items[-1].outcome, row.score) == (Outcome.BY_HAND, row.points - 2)
    assert "Who may touch the gas?" in page_of(marked, ANSWERED)
    assert page_of(marked, ANSWERED, "autograded", "ipynb").count("For the instructor alone") == 1


def test_the_check_of_a_session_agrees_with_marks_by_hand(marked):
    give(marked, ANSWERED, 2.0, "")
    assert check(marked) == []
