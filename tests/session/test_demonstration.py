"""The invented class, marked for real."""

import re
import shutil
import subprocess
import sys

import pytest
from helpers import feedback_of, mark, marked_notebook, outcomes, points_by_machine, was_run

from warmside import project
from warmside.autograde import run_notebook
from warmside.autograde.plain_answers import AS_WRITTEN
from warmside.marking.marks import Outcome
from warmside.marking.noted import MarkNoted
from warmside.session import journal
from warmside.session.folder import Session
from warmside.session.journal import Task
from warmside.session.mark import to_mark
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def test_twelve_are_marked_as_they_deserve(demo, exercise):
    rows = {row.trainee.id: row for row in standings(demo)}
    waits = [trainee for trainee, row in rows.items() if row.state == "marked, by hand still to do"]
    assert waits == ["t01", "t02", "t03", "t04", "t10", "t11"]
    assert {row.state for trainee, row in rows.items() if trainee not in waits} == {"marked"}
    full = points_by_machine(exercise)
    assert [rows[t].score for t in ("t01", "t02", "t03", "t09")] == [full] * 4
    assert rows["t07"].score == 0
    assert rows["t08"].score == full - exercise.item("heat_from_water").points
    assert rows["t10"].late
    assert [t for t, row in rows.items() if row.late] == ["t10"]
    assert 0 < rows["t06"].score < full
    assert len(rows["t12"].hand_ins) == 2


def test_planted_mistakes_are_told_by_name(demo, exercise):
    planted = [item for item in standings(demo)[3].items if item.outcome is Outcome.MISTAKE]
    assert len(planted) >= 9
    page = (demo.folder / "feedback" / "t04" / exercise.name / f"{exercise.name}.html").read_text("utf-8")
    for item in planted:
        assert item.mistake in page


def test_wrong_kinds_of_unit_are_told_with_what_would_be_right(demo):
    became = outcomes(demo, "t05")
    not_understood = [name for name, outcome in became.items() if outcome == Outcome.NOT_UNDERSTOOD]
    assert not_understood == [
        "heat_from_water",
        "cup_time_constant",
        "cup_at_early_reading",
        "hours_to_settle",
        "cup_at_24_hours",
        "mean_air_last_6_hours",
        "verdict",
    ]
    assert "as in 5.5, and commas" in feedback_of(demo, "t05", "hours_to_settle")


def test_another_ones_card_is_told_to_trainee_and_instructor(demo):
    row = next(row for row in standings(demo) if row.trainee.id == "t11")
    assert row.hand_ins[-1].other_cards == ("t01",)
    assert row.score < row.points / 2
    assert "with another job card than yours" in marked_notebook(demo, "t11").cells[0].source


def test_carried_values_and_a_deleted_cell(demo):
    became = outcomes(demo, "t12")
    assert became["thermometer_error"] == Outcome.MISTAKE
    assert became["cup_at_24_hours"] == became["margin_below_limit"] == Outcome.CARRIED
    assert became["highest_ambient"] == Outcome.RIGHT
    assert "has been put back" in marked_notebook(demo, "t12").cells[0].source


READ = ("t01", "t02", "t04", "t06", "t07", "t10", "t11", "t12")
"""Those who typed nothing but plain values; the others calculated, or copied a cell."""
NOTED = re.compile(f"(<ul>\n)?<li>{AS_WRITTEN}</li>\n(?(1)</ul>\n)")


def became(session: Session, task: Task) -> dict[str, object]:
    """All that marking made of one hand-in, but for the sentence that says how it was read."""
    name = task.exercise
    cells = marked_notebook(session, task.trainee, name).cells
    page = (session.folder / "feedback" / task.trainee / name / f"{name}.html").read_text("utf-8")
    entry = journal.read(session, task)
    with session.gradebook() as gradebook:
        (book,) = gradebook.find_submission(name, task.trainee).notebooks
        grades = {
            one.name: (one.auto_score, one.manual_score, one.needs_manual_grade, one.score)
            for one in book.grades
        }
        comments = {one.name: (one.auto_comment, one.manual_comment) for one in book.comments}
    for cell in cells:
        cell.metadata.pop("execution", None)
        cell.source = NOTED.sub("", cell.source)
    return {
        "cells": cells,
        "texts": [MarkNoted.of(cell).answer for cell in cells],
        "page": NOTED.sub("", page),
        "entry": (entry.state, entry.hand_in, entry.why),
        "grades": grades,
        "comments": comments,
    }


def test_a_kernel_for_each_of_them_makes_the_same(demo, tmp_path, monkeypatch):
    tasks = to_mark(demo, again=True)
    assert [task.trainee for task in tasks if not was_run(marked_notebook(demo, task.trainee))] == [*READ]
    shutil.copytree(demo.folder, tmp_path / "by kernel")
    by_kernel = Session.open(tmp_path / "by kernel")
    monkeypatch.setattr(run_notebook, "read_as_written", lambda *_: "it is asked for")
    assert mark(by_kernel, tasks) == {}
    for task in tasks:
        assert was_run(marked_notebook(by_kernel, task.trainee))
        assert became(demo, task) == became(by_kernel, task), task


def test_hand_ins_are_what_their_script_makes():
    script = project.root() / "assets" / "demo_class" / "make_hand_ins.py"
    run = subprocess.run(
        [sys.executable, str(script), "--check"], capture_output=True, text=True, timeout=300, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
