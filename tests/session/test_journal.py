"""The journal of marking: what it knows of a hand-in, and when it knows nothing."""

import pytest

from warmside.session import journal
from warmside.session.journal import Entry, State, Task

TASK = Task("ann", "venting")


@pytest.mark.parametrize(
    ("state", "ended"),
    [(State.BEGUN, False), (State.MARKED, True), (State.PARTLY, True), (State.NOT, False)],
)
def test_an_entry_is_read_as_it_was_written(session, state, ended):
    entry = Entry(state, "12ab", ("a cell stopped: “ö”",))
    journal.write(session, TASK, entry)
    assert journal.read(session, TASK) == entry
    assert entry.ended == ended
    assert journal.read(session, Task("ann", "diagnosis")) is None
    journal.strike(session, TASK)
    assert journal.read(session, TASK) is None
    journal.strike(session, TASK)


@pytest.mark.parametrize(
    "text",
    ["", "[]", "null", '{"state": "begun"}', '{"state": "lost", "hand_in": "", "why": []}', '{"state": "beg'],
)
def test_an_entry_that_cannot_be_read_is_none(session, text):
    journal.write(session, TASK, Entry(State.MARKED, "12ab"))
    (session.folder / journal.FOLDER / "ann" / "venting.json").write_text(text, encoding="utf-8")
    assert journal.read(session, TASK) is None


def test_the_hash_changes_with_the_hand_in_and_with_when_it_came(session):
    place = session.folder / "submitted" / "ann" / "venting"
    assert journal.digest(session, TASK) == ""
    place.mkdir(parents=True)
    seen = set()
    for book, time in (("ab", "c"), ("a", "bc"), ("ab", "d"), ("x", "c")):
        (place / "venting.ipynb").write_text(book, encoding="utf-8")
        assert (journal.digest(session, TASK) == "") == (not seen)  # without its time it isn't there
        (place / "timestamp.txt").write_text(time, encoding="utf-8")
        seen.add(journal.digest(session, TASK))
    assert len(seen) == 4
