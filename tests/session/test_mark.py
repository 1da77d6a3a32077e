"""Marking with real kernels: what a class hands in, and what becomes of it."""

import os
import shutil
import subprocess
import sys
from copy import deepcopy
from datetime import UTC, datetime

import nbformat
import pytest
from helpers import (
    NAME,
    answer_cell,
    feedback_of,
    locked_cell,
    mark,
    marked_notebook,
    marks_in_gradebook,
    outcomes,
    points_by_machine,
    released_notebook,
    solved_notebook,
    typed_for,
    was_run,
    write_notebook,
)

from warmside import project
from warmside.autograde import box
from warmside.autograde.framing import WHOSE
from warmside.autograde.plain_answers import AS_WRITTEN
from warmside.marking.cells import grade_id
from warmside.marking.marks import Outcome
from warmside.marking.noted import RunNoted
from warmside.session.forget import forget
from warmside.session.hand_in import take_in
from warmside.session.journal import Task
from warmside.session.mark import to_mark
from warmside.session.nbgrader_runs import PRIVATE_FILES
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def hand_in_and_mark(session, tmp_path, **notebooks) -> dict[Task, str]:
    names = {"ann": "ann", "bell": "ann-b", "zed": "zed.9"}
    paths = [
        write_notebook(tmp_path / f"{names[who]}_{NAME}.ipynb", notebook)
        for who, notebook in notebooks.items()
    ]
    _, refused = take_in(session, paths)
    assert refused == []
    return mark(session, to_mark(session))


def total(session, trainee: str) -> float:
    return sum(score for (who, _), score in marks_in_gradebook(session).items() if who == trainee)


def test_solved_blank_and_broken_side_by_side(marked, exercise, tmp_path):
    broken = solved_notebook()
    needed_later = 'water_heat = Q_(1, "Btu / (lb * delta_degF)")'
    answer_cell(broken, "heat_from_water").source = f"{needed_later}\nheat_from_water = weight * drop"
    answer_cell(broken, "hours_to_settle").source = "hours_to_settle = ("
    assert hand_in_and_mark(marked, tmp_path, bell=released_notebook(), zed=broken) == {}
    assert total(marked, "ann") == points_by_machine(exercise)
    assert total(marked, "ann-b") == 0
    lost = {name for name, became in outcomes(marked, "zed.9").items() if became != Outcome.RIGHT}
    assert lost == {"heat_from_water", "hours_to_settle"}
    assert "The cell stopped with NameError" in feedback_of(marked, "zed.9", "heat_from_water")
    assert "The cell stopped with SyntaxError" in feedback_of(marked, "zed.9", "hours_to_settle")
    assert standings(marked)[0].score == points_by_machine(exercise)


def test_copied_missing_and_edited_cells_cost_at_most_their_item(session, exercise, tmp_path):
    copied = solved_notebook()
    at = copied.cells.index(answer_cell(copied, "heat_from_water"))
    copied.cells.insert(at, deepcopy(copied.cells[at]))
    missing = typed_for(session, "ann-b")
    missing.cells.remove(answer_cell(missing, "highest_ambient"))
    missing.cells.remove(locked_cell(missing, "which_limit"))
    edited = typed_for(session, "zed.9")
    locked_cell(edited, "verdict").source = "999"
    edited.metadata.kernelspec.name = "some-other-kernel"
    assert hand_in_and_mark(session, tmp_path, ann=copied, bell=missing, zed=edited) == {}
    assert total(session, "ann") == points_by_machine(exercise)
    assert "stands more than once" in marked_notebook(session, "ann").cells[0].source
    lost = {name for name, became in outcomes(session, "ann-b").items() if became != Outcome.RIGHT}
    assert lost == {"highest_ambient"}
    assert (
        "The answer cell of highest_ambient is missing" in marked_notebook(session, "ann-b").cells[0].source
    )
    assert total(session, "zed.9") == points_by_machine(exercise)


def test_one_that_cannot_be_marked_stops_nobody_else(session, exercise, tmp_path):
    paths = [
        write_notebook(tmp_path / f"{who}_{NAME}.ipynb", typed_for(session, who)) for who in ("ann", "ann-b")
    ]
    take_in(session, paths)
    (original,) = (session.folder / "hand_ins" / "ann" / NAME).glob(f"*/{NAME}.ipynb")
    original.write_text("damaged on disk")
    failed = mark(session, to_mark(session))
    assert list(failed) == [Task("ann", NAME)]
    assert failed[Task("ann", NAME)]
    assert total(session, "ann-b") == points_by_machine(exercise)
    assert [row.state for row in standings(session)][:2] == ["not marked", "marked"]
    assert to_mark(session) == [Task("ann", NAME)]


def test_only_what_is_new_is_marked(marked, exercise, tmp_path):
    assert to_mark(marked) == []
    assert to_mark(marked, again=True) == [Task("ann", NAME), Task("zed.9", NAME)]
    nothing_right = released_notebook()
    for item in exercise.items:
        answer_cell(nothing_right, item.name).source = f'{item.name} = "none"'
    take_in(marked, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", nothing_right)])
    assert to_mark(marked) == [Task("ann", NAME)]
    assert standings(marked)[0].state == "marked, newer hand-in waits"
    mark(marked, to_mark(marked))
    assert [row.score for row in standings(marked)] == [0, None, 20]
    assert [row.state for row in standings(marked)] == ["marked", "not handed in", "marked"]


def test_marks_given_by_hand_stay_when_marked_again(marked):
    with marked.gradebook() as gradebook:
        gradebook.find_grade("verdict", NAME, NAME, "ann").manual_score = 2.5
        gradebook.db.commit()
    mark(marked, [Task("ann", NAME)])
    assert standings(marked)[0].score == 20 - 3 + 2.5


def nbgrader(session, *arguments: str) -> str:
    command = [sys.executable, "-m", "nbgrader", *arguments]
    run = subprocess.run(
        command, cwd=session.folder, capture_output=True, text=True, timeout=300, env=os.environ, check=False
    )
    assert run.returncode == 0, run.stderr
    return run.stderr


def test_plain_nbgrader_gives_the_same_marks(marked, tmp_path):
    half = released_notebook()
    for name in ("thermometer_error", "heat_from_water", "which_limit"):
        answer_cell(half, name).source = answer_cell(solved_notebook(), name).source
    hand_in_and_mark(marked, tmp_path, bell=half)
    forget(marked, "zed.9")
    ours = marks_in_gradebook(marked)
    shutil.rmtree(marked.folder / "autograded")
    shutil.rmtree(marked.folder / "feedback")
    with marked.gradebook() as gradebook:
        for trainee in ("ann", "ann-b"):
            gradebook.remove_submission(NAME, trainee)
    nbgrader(marked, "autograde", NAME, f"--RunNotebook.unboxed={not box.available()}")
    nbgrader(marked, "generate_feedback", NAME)
    assert marks_in_gradebook(marked) == ours
    assert marked_notebook(marked, "ann").metadata["warmside"]["boxed"] == box.available()
    page = (marked.folder / "feedback" / "ann-b" / NAME / f"{NAME}.html").read_text("utf-8")
    assert "Marks: 4 of 24" in page
    assert page.count("data:image/svg+xml;base64,") == 1  # the job card's drawing
    nbgrader(marked, "export", "--to", str(tmp_path / "grades.csv"))
    assert f"{NAME}" in (tmp_path / "grades.csv").read_text()


def test_no_key_lies_where_a_trainees_kernel_runs(session, tmp_path):
    spying = released_notebook()
    answer_cell(
        spying, "verdict"
    ).source = "import os\nfound = sorted(os.listdir())\nverdict = ' '.join(found)\nprint(found)"
    hand_in_and_mark(session, tmp_path, ann=spying)
    label, stream = answer_cell(marked_notebook(session, "ann"), "verdict").outputs
    assert label.data["text/plain"] == WHOSE
    printed = stream.text
    assert printed == f"['job_card.json', '{NAME}.ipynb', 'temperature_log.csv', 'timestamp.txt']\n"
    folder = session.folder / "autograded" / "ann" / NAME
    assert {path.name for path in folder.iterdir()} == set(printed[2:-3].split("', '"))
    private = project.root() / "solutions_private" / NAME
    left = [path for path in private.iterdir() if not any(map(path.match, PRIVATE_FILES))]
    assert {path.name for path in left} - {"__pycache__"} == {f"{NAME}.ipynb"}


def test_late_is_shown_and_costs_nothing(tmp_path, exercise):
    from warmside.session import folder as folders
    from warmside.session.roster import Trainee

    due = datetime(2027, 3, 13, 17, tzinfo=UTC)
    made = folders.start(tmp_path / "x", [Trainee("t1", "", "", "")], [NAME], due=due)
    path = write_notebook(tmp_path / f"t1_{NAME}.ipynb", typed_for(made, "t1"))
    take_in(made, [path], at=datetime(2027, 3, 13, 17, 0, 1, tzinfo=UTC))
    mark(made, to_mark(made))
    row = standings(made)[0]
    assert (row.late, row.score) == (True, points_by_machine(exercise))
    with made.gradebook() as gradebook:
        assert gradebook.find_submission(NAME, "t1").total_seconds_late == pytest.approx(1)


def test_feedback_page_is_plain_and_complete(solved_by_two):
    page = (solved_by_two.folder / "feedback" / "ann" / NAME / f"{NAME}.html").read_text("utf-8")
    assert page.count("That is right.") >= 11
    assert "Marks: 20 of 24" in page
    assert "Traceback (most recent call last)" not in page
    assert nbformat.read(solved_by_two.folder / "autograded" / "ann" / NAME / f"{NAME}.ipynb", as_version=4)


@pytest.mark.parametrize("trainee", ["ann", "zed.9"])
def test_the_last_cells_show_nothing_while_a_hand_in_is_marked(solved_by_two, trainee):
    cells = {grade_id(cell): cell for cell in marked_notebook(solved_by_two, trainee).cells}
    for name in ("check_mine", "finish"):
        assert cells[name].execution_count is not None
        assert cells[name].outputs == []


def test_one_who_calculates_is_run_in_a_box_and_one_who_types_is_read(solved_by_two):
    calculated, typed = (marked_notebook(solved_by_two, who) for who in ("ann", "zed.9"))
    assert (was_run(calculated), was_run(typed)) == (True, False)
    assert RunNoted.of(calculated) == RunNoted(boxed=box.available())
    assert RunNoted.of(typed) == RunNoted([AS_WRITTEN])
    assert outcomes(solved_by_two, "ann") == outcomes(solved_by_two, "zed.9")


def test_what_another_version_handed_out_is_refused_in_a_sentence(session, tmp_path):
    """Its locked cells would call what isn't there and record nothing, and all would earn nothing."""
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    release = session.folder / "release" / NAME / f"{NAME}.ipynb"
    release.write_text(
        release.read_text("utf-8").replace("from warmside.notebook", "from warmside.marking", 1)
    )
    (reason,) = mark(session, to_mark(session)).values()
    assert "handed out by another version of Warmside" in reason
    assert "warmside.marking.my_job_card" in reason
    assert "Traceback" not in reason
    assert standings(session)[0].score is None
    assert to_mark(session) == [Task("ann", NAME)]
