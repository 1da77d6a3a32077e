"""Where a trainee stands, in words, and when a hand-in is late."""

import csv
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from helpers import NAME, released_notebook, write_notebook

from warmside.marking.exercise import Exercise
from warmside.marking.marks import Outcome
from warmside.session import standing
from warmside.session.hand_in import take_in
from warmside.session.journal import Entry, State
from warmside.session.received import Received, which_counts
from warmside.session.report import marks_csv, marks_lines
from warmside.session.roster import Trainee
from warmside.session.standing import ItemStanding, Standing

CAME = (Received("ann", "small", "ann.zip", "2026-03-14T12:00:00+00:00", "abc"),)
DONE = ItemStanding("volts", "Volts", 1.0, 2.0, Outcome.RIGHT, "")
WAITS = ItemStanding("note", "Note", 0.0, 2.0, Outcome.WAITS, "")
AGAIN = ItemStanding("why", "Why", 0.0, 1.5, Outcome.AGAIN, "")


def stands(hand_ins=CAME, score=1.0, items=(DONE,), newer=False, entry=None, excused=False) -> Standing:
    trainee, exercise = Trainee("ann", "Ann", "", ""), Exercise("small", "Small", (), lambda draw: ((), {}))
    which = which_counts(hand_ins)
    return Standing(trainee, exercise, which, False, score, 4.0, items, True, newer, entry, excused)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"hand_ins": ()}, "not handed in"),
        ({"score": None}, "not marked"),
        ({"score": 0.0}, "marked"),
        ({"entry": Entry(State.PARTLY, "abc", ("Killed.",))}, "partly marked"),
        ({"items": (DONE, WAITS)}, "marked, by hand still to do"),
        ({"items": (DONE, AGAIN)}, "marked, to be read again"),
        ({"excused": True}, "marked, excused"),
        ({"hand_ins": (), "excused": True}, "excused"),
        ({"hand_ins": (replace(CAME[0], around="bo"),), "score": None}, "none counts until you choose"),
        ({"newer": True}, "marked, newer hand-in waits"),
        ({"items": (WAITS,), "newer": True}, "marked, by hand still to do, newer hand-in waits"),
    ],
)
def test_a_state_in_words(changes, said):
    assert stands(**changes).state == said


def test_what_waits_to_be_read_is_told_with_its_points():
    row = stands(items=(DONE, WAITS, AGAIN))
    assert row.waiting == 3.5
    assert row.to_look_at == ("To be read again: Why.",)
    assert next(iter(marks_lines([row]))).endswith("(3.5 wait)")
    assert [line["score"] for line in csv.DictReader(marks_csv([row]).splitlines())] == ["1", "", ""]


def test_why_is_what_the_journal_has():
    assert stands().why == ()
    assert stands(entry=Entry(State.NOT, "abc", ("Killed.",))).why == ("Killed.",)


@pytest.mark.parametrize(("seconds", "late"), [(-1, False), (0, False), (1, True)])
def test_late_is_after_the_due_time(session, tmp_path, monkeypatch, seconds, late):
    due = datetime.fromisoformat("2027-03-13T17:00:00+00:00")
    path = write_notebook(tmp_path / f"ann_{NAME}.ipynb", released_notebook())
    received, _ = take_in(session, [path], at=due + timedelta(seconds=seconds))
    assert len(received) == 1
    monkeypatch.setattr(type(session), "due", lambda self: due)
    (row,) = [row for row in standing.standings(session) if row.trainee.id == "ann"]
    assert row.late is late
