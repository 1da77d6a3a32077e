"""The journal: what is read back, what counts as marked, how a newer hand-in is told from an older one."""

import pytest

from warmside.session import journal
from warmside.session.folder import Session
from warmside.session.journal import Entry, State, Task
from warmside.session.mark import to_mark

TASK = Task("ann", "small")


@pytest.fixture
def session(tmp_path) -> Session:
    place = tmp_path / "submitted" / TASK.trainee / TASK.exercise
    place.mkdir(parents=True)
    (place / "small.ipynb").write_text("{}")
    (place / "timestamp.txt").write_text("2026-03-14 12:00:00 UTC")
    return Session(tmp_path, "A class", True)


def test_an_entry_reads_back_as_it_was_and_can_be_struck(session):
    assert journal.read(session, TASK) is None
    entry = Entry(State.PARTLY, "abc", ("It was killed.",))
    journal.write(session, TASK, entry)
    assert journal.read(session, TASK) == entry
    journal.strike(session, TASK)
    assert journal.read(session, TASK) is None


@pytest.mark.parametrize(
    "content", ["", "[]", "3", '{"state": "odd", "hand_in": "", "why": []}', '{"state": "marked"}']
)
def test_what_can_not_be_read_is_no_entry(session, content):
    journal.write(session, TASK, Entry(State.MARKED, "abc"))
    (session.folder / journal.FOLDER / "ann" / "small.json").write_text(content)
    assert journal.read(session, TASK) is None


@pytest.mark.parametrize(
    ("state", "done"),
    [(State.BEGUN, False), (State.NOT, False), (State.PARTLY, True), (State.MARKED, True)],
)
def test_what_has_marks_is_not_marked_again_unless_asked(session, state, done):
    assert to_mark(session) == [TASK]
    journal.write(session, TASK, Entry(state, journal.digest(session, TASK)))
    assert to_mark(session) == ([] if done else [TASK])
    assert to_mark(session, again=True) == [TASK]


@pytest.mark.parametrize("name", ["small.ipynb", "timestamp.txt"])
def test_a_newer_hand_in_is_marked_again(session, name):
    before = journal.digest(session, TASK)
    journal.write(session, TASK, Entry(State.MARKED, before))
    path = session.folder / "submitted" / "ann" / "small" / name
    path.write_text(path.read_text() + " ")
    assert journal.digest(session, TASK) != before
    assert to_mark(session) == [TASK]
    path.unlink()
    assert journal.digest(session, TASK) == ""


def test_what_stands_in_the_notebook_is_not_taken_for_its_time(session):
    place = session.folder / "submitted" / "ann" / "small"
    seen = set()
    for notebook, time in (("ab", "c"), ("a", "bc")):
        (place / "small.ipynb").write_text(notebook)
        (place / "timestamp.txt").write_text(time)
        seen.add(journal.digest(session, TASK))
    assert len(seen) == 2
