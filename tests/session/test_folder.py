"""Starting and opening a session folder."""

import sqlite3
import stat
import threading
from contextlib import closing
from datetime import UTC, datetime

import pytest
from helpers import NAME

from warmside import project
from warmside.errors import InputError
from warmside.session import folder as folders
from warmside.session import nbgrader_runs, trouble
from warmside.session.backup import back_up, is_whole
from warmside.session.check import check
from warmside.session.folder import Session
from warmside.session.roster import Trainee

ROSTER = [Trainee("t1", "Ann", "Bell", "")]


def test_the_folder_is_private_and_whole(session):
    assert stat.S_IMODE(session.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((session.folder / "secret").stat().st_mode) == 0o600
    assert [trainee.id for trainee in session.trainees()] == ["ann", "ann-b", "zed.9"]
    assert session.trainees()[0].last_name == "O'Neil, jr"
    assert [exercise.name for exercise in session.exercises()] == [NAME]
    assert (session.folder / "release" / NAME / f"{NAME}.ipynb").is_file()
    assert [path.name for path in session.folder.parent.iterdir()] == ["class"]


@pytest.mark.full
def test_due_date_and_secret(tmp_path):
    due = datetime(2027, 3, 13, 17, 0, tzinfo=UTC)
    one, two = (
        folders.start(tmp_path / "a", ROSTER, [NAME], due=due),
        folders.start(tmp_path / "b", ROSTER, []),
    )
    assert one.due() == due
    assert one.secret != two.secret
    assert len(one.secret) == 32


def test_a_taken_place_or_one_in_the_project_is_refused(session):
    with pytest.raises(InputError, match="is already there"):
        folders.start(session.folder, ROSTER, [NAME])
    with pytest.raises(InputError, match="lies inside the project"):
        folders.start(project.root() / "marks", ROSTER, [NAME])
    assert not (project.root() / "marks").exists()


def test_a_place_inside_another_session_is_refused(session):
    for place in (session.folder / "again", session.folder / "report" / "again"):
        with pytest.raises(InputError, match=f"lies inside the session {session.folder}; choose a place"):
            folders.start(place, ROSTER, [NAME])


@pytest.mark.parametrize("name", ["100 % #1", "what?", "a%20b", "Jörg’s class"])
def test_any_name_of_a_folder_will_do(name, tmp_path):
    made = folders.start(tmp_path / name, ROSTER, [])
    back_up(made)
    assert [trainee.id for trainee in made.trainees()] == ["t1"]
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert is_whole(made.folder / "gradebook.db")
    assert nbgrader_runs.api(made.folder).gradebook.students[0].id == "t1"


def test_a_gradebook_that_another_program_holds_is_not_called_damaged(session, monkeypatch):
    monkeypatch.setattr(trouble, "WAIT", 0.1)
    back_up(session)
    with closing(sqlite3.connect(session.folder / "gradebook.db")) as other:
        other.execute("BEGIN EXCLUSIVE")
        for work in (session.trainees, lambda: back_up(session), lambda: check(session, restore=True)):
            with pytest.raises(InputError, match=r"is held by another program; .* run this again\."):
                work()
        other.rollback()
    assert len(session.trainees()) == 3
    assert check(session) == []


def test_a_gradebook_that_is_held_for_a_moment_is_waited_for(session):
    with closing(sqlite3.connect(session.folder / "gradebook.db", check_same_thread=False)) as other:
        other.execute("BEGIN EXCLUSIVE")
        release = threading.Timer(0.5, other.rollback)
        release.start()
        assert len(session.trainees()) == 3
        release.join()


def test_an_unknown_exercise_leaves_nothing_behind(tmp_path):
    with pytest.raises(InputError, match=f"no exercise “nonsense”; the exercises are: .*{NAME}"):
        folders.start(tmp_path / "x", ROSTER, [NAME, "nonsense"])
    assert list(tmp_path.iterdir()) == []


def test_a_start_that_fails_midway_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(*_):
        raise RuntimeError("as if the disk were full")

    monkeypatch.setattr(folders.nbgrader_runs, "generate_release", fail)
    with pytest.raises(RuntimeError):
        folders.start(tmp_path / "x", ROSTER, [NAME])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "is not a training session"),
        ("nonsense", "is damaged"),
        ('format = 9\ntitle = "x"', "has format 9"),
    ],
)
def test_opening_what_is_no_session(tmp_path, text, said):
    if text is not None:
        (tmp_path / "session.toml").write_text(text)
    with pytest.raises(InputError, match=said):
        Session.open(tmp_path)


def test_a_missing_or_damaged_gradebook_is_told(session):
    (session.folder / "gradebook.db").write_bytes(b"not a database" * 100)
    with pytest.raises(InputError, match=r"gradebook\.db is damaged"):
        session.trainees()
    (session.folder / "gradebook.db").unlink()
    with pytest.raises(InputError, match=r"gradebook\.db is missing"):
        session.trainees()


@pytest.mark.full
@pytest.mark.parametrize("title", ['A "quoted" \\ title', "two\nlines", "tab\there", "Ünïcode 🙂"])
def test_titles_survive(tmp_path, title):
    made = folders.start(tmp_path / "x", ROSTER, [], title=title)
    assert made.title == "".join(char if char.isprintable() else " " for char in title)
