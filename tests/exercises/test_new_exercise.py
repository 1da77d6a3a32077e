"""An exercise that was never there before: written, released, handed out, handed in, marked, practised.

Nothing but its own two files and what lies beside them is written; no drawing, no chart, no entry anywhere.
"""

import zipfile
from pathlib import Path

import nbformat
import pytest
from click.testing import CliRunner
from helpers import (
    SECRET,
    answer_cell,
    feedback_of,
    mark,
    outcomes,
    released_notebook,
    solved_notebook,
    write_notebook,
)
from small_heater import NAME, write_project

from warmside import project
from warmside.autograde.framing import WHOSE
from warmside.cli import main
from warmside.marking import practice
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.marks import Outcome
from warmside.session import folder as folders
from warmside.session.exercise_check import check_exercise
from warmside.session.folder import Session
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark
from warmside.session.release import write_release
from warmside.session.report import write_report
from warmside.session.roster import Trainee
from warmside.session.standing import standings


@pytest.fixture(scope="module")
def at_home(tmp_path_factory):
    """A project that holds this exercise alone, released."""
    root = write_project(tmp_path_factory.mktemp("project"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WARMSIDE_ROOT", str(root))
        write_release(NAME)
        yield root


@pytest.fixture(scope="module")
def marked(at_home, tmp_path_factory) -> Session:
    """A session of two: one right, one who turned a fraction upside down and followed on from that."""
    folder = tmp_path_factory.mktemp("session")
    session = folders.start(
        folder / "class", [Trainee("ann", "Ann", "", ""), Trainee("bo", "Bo", "", "")], [NAME], secret=SECRET
    )
    hand_out(session)
    turned = solved_notebook(NAME)
    answer_cell(
        turned, "amps"
    ).source = 'amps = card["ohms"] / card["volts"] * card["volts"].u ** 2 / card["ohms"].u ** 2'
    answer_cell(turned, "enough").source = 'enough = "a"'
    sheets = {"ann": solved_notebook(NAME), "bo": turned}
    for who, sheet in sheets.items():
        received, refused = take_in(session, [write_notebook(folder / f"{who}_{NAME}.ipynb", sheet)])
        assert (len(received), refused) == (1, [])
    assert mark(session, to_mark(session)) == {}
    return session


def test_it_is_known_and_in_step(at_home):
    assert project.exercise_names() == [NAME]
    checked = CliRunner().invoke(main, ["exercise", "release", "--check"])  # of all that there are
    assert (checked.exit_code, checked.output) == (0, f"exercises/{NAME} is in step.\n")
    found = check_exercise(NAME, cards=5)
    assert found.problems == ()
    assert "SOLUTION" not in "".join(cell.source for cell in released_notebook(NAME).cells)


def test_a_session_has_all_exercises_unless_told_otherwise(at_home, tmp_path):
    roster = tmp_path / "roster.csv"
    roster.write_text("trainee,first name,last name,email\nt1,Ann,Bell,\n", encoding="utf-8")
    command = ["session", "start", str(tmp_path / "class"), "--roster", str(roster)]
    assert CliRunner().invoke(main, command).exit_code == 0
    assert [exercise.name for exercise in Session.open(tmp_path / "class").exercises()] == [NAME]


@pytest.mark.full
def test_no_private_file_gets_into_release_or_pack(at_home, marked):
    released = {path.name for path in (at_home / "exercises" / NAME).iterdir()}
    assert released == {f"{NAME}.ipynb", "job_card.json", "practice.json"}
    packs = sorted((marked.folder / "hand_outs").iterdir())
    assert [pack.name for pack in packs] == ["ann.zip", "bo.zip"]
    for pack in packs:
        names = {Path(name).name for name in zipfile.ZipFile(pack).namelist()}
        assert names == {f"{NAME}.ipynb", "job_card.json", "how_to.html"}
    assert [path.name for path in marked.folder.rglob("*.py")] == ["nbgrader_config.py"]


@pytest.mark.full
def test_real_marking_tells_right_mistake_and_what_follows(marked):
    assert outcomes(marked, "ann", NAME) == {"amps": Outcome.RIGHT, "enough": Outcome.RIGHT}
    exercise = load_exercise(NAME)
    right = Job(exercise, exercise.job_card(SECRET, "bo")).value("enough")
    followed = Outcome.RIGHT if right == "a" else Outcome.CARRIED
    assert outcomes(marked, "bo", NAME) == {"amps": Outcome.MISTAKE, "enough": followed}
    assert "turned upside down" in feedback_of(marked, "bo", "amps", NAME)
    scores = {row.trainee.id: row.score for row in standings(marked)}
    assert scores == {"ann": 3.0, "bo": 2.0}
    (page,) = (marked.folder / "feedback" / "bo" / NAME).glob("*.html")
    text = page.read_text("utf-8")
    assert "turned upside down" in text
    assert "On this card" not in text  # the rubric is the instructor's
    assert "turned upside down" in write_report(marked)[0].read_text("utf-8")


@pytest.mark.full
def test_a_card_without_a_drawing_is_a_table(marked):
    path = marked.folder / "autograded" / "ann" / NAME / f"{NAME}.ipynb"
    (shown,) = [one for one in nbformat.read(path, as_version=4).cells if "show_card(card)" in one.source]
    label, table = shown.outputs
    assert label.data["text/plain"] == WHOSE
    page = table.data["text/html"]
    assert "Ohms of the heater" in page
    assert "<img" not in page


def test_practice_is_marked_at_once(at_home):
    exercise = load_exercise(NAME)
    card = exercise.practice_card()
    known = practice.read_practice(at_home / "exercises" / NAME / practice.FILE_NAME)
    assert known.left == (("Note", practice.IN_WORDS),)
    job = Job(exercise, card)
    for name, value in exercise.item("amps").paths(job):
        (amps, enough) = practice.mark_practice({"amps": f"{value!r} A"}, card, known)
        assert (amps.mistake or "the right answer") == name
        assert enough.outcome is Outcome.UNANSWERED
