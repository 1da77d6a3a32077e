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

from warmside import project
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

NAME = "small_heater"
KEYS = '''
"""What is right."""

from warmside.marking.exercise import Job


def amps(job: Job) -> float:
    return job["volts"] / job["ohms"]


def enough(job: Job) -> str:
    return "a" if job.value("amps") < 3.0 else "b"
'''
ITEMS = '''
"""A small exercise, invented. Never released."""

from warmside.marking.exercise import ByHand, Exercise, Item, Mistake
from warmside.marking.job_card import Entry
from warmside.marking.wrong_turns import instead_of

from . import keys

ITEMS = (
    Item(
        name="amps",
        title="Current of the heater",
        kind="current",
        points=2,
        key=keys.amps,
        tolerance="2 %",
        why="Three figures.",
        hint="Volts over ohms.",
        mistakes=(
            Mistake(
                "turned upside down", "Volts over ohms.", lambda job: job["ohms"] / job["volts"], credit=0.5
            ),
            Mistake("multiplied", "Divide.", lambda job: job["volts"] * job["ohms"]),
        ),
    ),
    Item(
        name="enough",
        title="Whether a fuse of 3 A carries it",
        kind="choice",
        points=1,
        choices=("a", "b"),
        key=keys.enough,
        hint="Compare.",
        mistakes=(
            Mistake("a fuse too small", "It blows.", instead_of(keys.enough, "a")),
            Mistake("a fuse refused that carries it", "It holds.", instead_of(keys.enough, "b")),
        ),
    ),
)
NOTE = ByHand("note", "Note", 2, lambda job: (f"On this card: {keys.amps(job):.2f} A.",))


def draw(draw):
    volts, ohms = draw.between(110, 125, 0.5), draw.between(30, 50, 0.5)
    return (
        Entry("volts", "Volts at the heater", f"{volts} V", "voltage"),
        Entry("ohms", "Ohms of the heater", f"{ohms} ohm", "resistance"),
    ), {}


EXERCISE = Exercise("small_heater", "A small heater", ITEMS, draw, by_hand=(NOTE,))
'''


def cell(kind: str, name: str, source: str, *, answer: bool = False, points: int | None = None):
    """A cell of a source notebook, as nbgrader knows it."""
    marks = {
        "cell_type": kind,
        "grade": points is not None,
        "grade_id": name,
        "locked": not answer,
        "schema_version": 3,
        "solution": answer,
        "task": False,
    }
    if points is not None:
        marks["points"] = points
    make = nbformat.v4.new_code_cell if kind == "code" else nbformat.v4.new_markdown_cell
    return make(source, metadata={"nbgrader": marks})


def asked(name: str, heading: str, example: str, solution: str, recorded: str, points: int) -> list:
    """The three cells of a question."""
    solved = f"### BEGIN SOLUTION\n{name} = {solution}\n### END SOLUTION"
    return [
        cell("markdown", f"{name}_task", f"### {heading}"),
        cell(
            "code", f"{name}_answer", f'{name} = "          "  # for example {example}\n{solved}', answer=True
        ),
        cell("code", name, f'record("{name}", {recorded})', points=points),
    ]


def source() -> nbformat.NotebookNode:
    text = "### BEGIN SOLUTION\nIt draws what it should.\n### END SOLUTION"
    start = (
        "from warmside.notebook import my_job_card, record, show_card\ncard = my_job_card()\nshow_card(card)"
    )
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return nbformat.v4.new_notebook(
        metadata=kernel,
        cells=[
            cell("markdown", "title", "# Exercise: a small heater\n\nAll numbers are invented."),
            cell("code", "setup", start),
            *asked("amps", "1. How many amps?", '"3 A"', 'card["volts"] / card["ohms"]', '"current"', 2),
            *asked("enough", "2. Enough?", '"a"', '"a" if amps.to("A").m < 3 else "b"', '"choice", "ab"', 1),
            cell("markdown", "note_task", "### 3. Write a note"),
            cell("markdown", "note", text, answer=True, points=2),
            cell("code", "end", "from warmside.notebook import check_mine, finish\ncheck_mine()"),
        ],
    )


@pytest.fixture(scope="module")
def at_home(tmp_path_factory):
    """A project that holds this exercise alone, released."""
    root = tmp_path_factory.mktemp("project")
    private = root / "solutions_private" / NAME
    write_notebook(private / f"{NAME}.ipynb", source())
    (private / "keys.py").write_text(KEYS, encoding="utf-8")
    (private / "items.py").write_text(ITEMS, encoding="utf-8")
    (root / "exercises").mkdir()
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


def test_a_card_without_a_drawing_is_a_table(marked):
    path = marked.folder / "autograded" / "ann" / NAME / f"{NAME}.ipynb"
    (shown,) = [one for one in nbformat.read(path, as_version=4).cells if "show_card(card)" in one.source]
    page = shown.outputs[0].data["text/html"]
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
