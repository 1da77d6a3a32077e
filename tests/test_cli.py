"""The command line as a user meets it: sentences and exit statuses."""

import itertools
import json
import os
import re
import shutil
import stat
from pathlib import Path

import nbformat
import pytest
from click.testing import CliRunner
from helpers import NAME, NEEDS_BANK, SECRET, typed_for, write_notebook
from nbclient import NotebookClient

from warmside import project
from warmside.autograde import box
from warmside.cli import main
from warmside.session import exercise_check
from warmside.session.folder import Session
from warmside.terminal import Moment


def warmside(*arguments: object):
    if arguments[:2] == ("session", "mark") and not box.available():
        arguments = (*arguments, "--unboxed")
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def roster(tmp_path) -> Path:
    path = tmp_path / "roster.csv"
    path.write_text("trainee,first name,last name,email\nt1,Ann,Bell,\nt2,Bo,,\n", encoding="utf-8")
    return path


@pytest.mark.full
def test_a_session_by_hand_from_roster_to_report(tmp_path, roster):
    folder = tmp_path / "yearly"
    made = warmside(
        *("session", "start", folder, "--roster", roster, "--due", "2027-03-13 17:00", "--exercise", NAME)
    )
    assert made.exit_code == 0, made.output
    assert "2 trainees" in made.output
    assert warmside("session", "hand-out", folder).exit_code == 0
    write_notebook(tmp_path / "usb" / f"t1_{NAME}.ipynb", typed_for(Session.open(folder), "t1"))
    came = warmside("session", "hand-in", folder, tmp_path / "usb", "--at", "2027-03-13 12:00")
    assert (came.exit_code, "1 taken in, 0 left alone" in came.output) == (0, True)
    marked = warmside("session", "mark", folder)
    assert marked.exit_code == 0, marked.output
    assert re.search(r"t1 +Ann Bell +20 of 24", marked.output)
    assert re.search(r"t2 +Bo +– .*not handed in", marked.output)
    assert "Nothing new to mark" in warmside("session", "mark", folder).output
    report = warmside("session", "report", folder)
    assert report.exit_code == 0
    assert (folder / "report" / "index.html").is_file()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["session", "report", "{tmp}/nowhere"], "is not a training session"),
        (["session", "mark", "{tmp}"], "is not a training session"),
        (["session", "start", "{tmp}/x", "--roster", "{tmp}/none.csv"], "can't be read as a roster"),
        (
            ["session", "start", "{tmp}/x", "--roster", "{roster}", "--exercise", "nonsense"],
            "no exercise “nonsense”",
        ),
        (["session", "start", "{tmp}/x", "--roster", "{roster}", "--due", "soon"], "“soon” is no time"),
        (["session", "hand-in", "{tmp}", "x", "--at", "2027-03-13"], "“2027-03-13” has no time of day"),
        (["session", "start", "{tmp}/x"], "--roster"),
        (["session", "start", "{root}/x", "--roster", "{roster}"], "lies inside the project"),
        (["exercise", "release", "nonsense"], "no exercise “nonsense”"),
        (["exercise", "check", "nonsense"], "no exercise “nonsense”"),
        (["open", "nonsense"], "is no folder"),
        (["demo", "{root}/x"], "lies inside the project"),
        (["nonsense"], "No such command"),
    ],
)
def test_a_users_mistake_is_a_sentence_and_status_2(tmp_path, roster, arguments, said):
    filled = [a.format(tmp=tmp_path, roster=roster, root=project.root()) for a in arguments]
    result = warmside(*filled)
    assert result.exit_code == 2, result.output
    assert said in result.output
    assert "Traceback" not in result.output
    assert not (tmp_path / "x").exists()


def test_what_is_left_alone_is_named_with_status_2(session, tmp_path):
    bad = tmp_path / "photo.jpg"
    bad.write_bytes(b"...")
    result = warmside("session", "hand-in", session.folder, bad)
    assert result.exit_code == 2
    assert "photo.jpg: it is neither a zip" in result.output


def test_what_the_disk_refuses_is_a_sentence_and_status_1(tmp_path, roster):
    (tmp_path / "file").write_text("")
    result = warmside("session", "start", tmp_path / "file" / "x", "--roster", roster)
    assert result.exit_code == 1
    assert re.search(r"warmside: .*file: (Not a directory|File exists)\.", result.output)


@pytest.mark.full
def test_release_check_tells_in_step():
    result = warmside("exercise", "release", NAME, "--check")
    assert result.exit_code == 0, result.output
    assert f"exercises/{NAME} is in step." in result.output


def test_exercise_check_prints_a_line_for_each_item_and_tells_problems(monkeypatch):
    monkeypatch.setattr(exercise_check, "DRAWS", 20)
    result = warmside("exercise", "check", NAME, "--cards", "2")
    assert result.exit_code == 0, result.output
    assert re.search(r"^verdict +2 +2 ", result.stdout, re.MULTILINE)
    monkeypatch.setattr(exercise_check, "MOST_DRAWS_A_CARD", 1.0)
    result = warmside("exercise", "check", NAME, "--cards", "1")
    assert result.exit_code == 1
    assert "A job card takes" in result.stderr
    assert warmside("exercise", "check", NAME, "--cards", "0").exit_code == 2


@pytest.mark.full
def test_the_secret_is_never_printed(session, tmp_path):
    path = write_notebook(tmp_path / f"ann_{NAME}.ipynb", typed_for(session, "ann"))
    said = ""
    for arguments in (["hand-out"], ["hand-in", path], ["mark"], ["report"]):
        said += warmside("session", arguments[0], session.folder, *arguments[1:]).output
    assert "taken in" in said
    assert SECRET.hex() not in said


@pytest.mark.full
def test_the_demonstration_prints_twelve_marks_and_no_warnings(demo):
    said, complaints = ((demo.folder.parent / name).read_text("utf-8") for name in ("stdout", "stderr"))
    assert said.count(" of 24") == 12
    assert "13 hand-ins taken in, 0 left alone" in said
    assert str(demo.folder / "report" / "index.html") in said
    assert "Warning" not in complaints
    assert "ERROR" not in complaints


@pytest.mark.full
def test_check_and_forget(session, tmp_path):
    folder, other = session.folder, shutil.copytree(session.folder, tmp_path / "other")
    said = warmside("session", "check", folder)
    assert (said.exit_code, said.output) == (0, "Gradebook, hand-ins and marks agree.\n")
    (folder / "gradebook.db").write_bytes(b"damaged")
    said = warmside("session", "check", folder)
    assert said.exit_code == 1
    assert "there is no whole copy" in said.output
    assert warmside("session", "forget", other, "t9", "--yes").exit_code == 2
    said = warmside("session", "forget", other, "zed.9", "--yes")
    assert said.exit_code == 0
    assert "zed.9 is removed. What remains:" in said.output
    assert CliRunner().invoke(main, ["session", "forget", str(other), "ann"], input="n\n").exit_code == 1
    assert warmside("session", "hand-out", other).exit_code == 0
    assert sorted(path.name for path in (other / "hand_outs").iterdir()) == ["ann-b.zip", "ann.zip"]


@NEEDS_BANK
def test_a_case_is_written_with_its_sealed_answer(tmp_path):
    made = warmside("case", "new", "--seed", "11", "--level", "2", "--out", tmp_path / "cases")
    assert made.exit_code == 0, made.output
    for_trainees, debrief, sealed = sorted((tmp_path / "cases").iterdir())
    assert debrief.name == for_trainees.name + "_debrief.json"
    assert f"to give them after the commit: {debrief}" in made.output
    assert sealed.name == for_trainees.name + "_sealed.md"
    page = for_trainees / f"{for_trainees.name}.ipynb"
    assert sorted(for_trainees.iterdir()) == [page, for_trainees / "case_file.json"]
    if os.name == "posix":
        assert stat.S_IMODE(sealed.stat().st_mode) == 0o600
    assert f"for trainees: {for_trainees}" in made.output
    assert f"sealed:       {sealed}" in made.output
    whole = json.loads(sealed.read_text("utf-8").split("```json\n")[1].split("```")[0])
    assert (whole["seed"], whole["level"]) == (11, 2)
    assert whole["case"] == json.loads((for_trainees / "case_file.json").read_text("utf-8"))["case"]
    assert "11" not in for_trainees.name
    assert f"warmside open {for_trainees}" in made.output
    notebook = nbformat.read(page, as_version=4)
    NotebookClient(notebook, resources={"metadata": {"path": str(for_trainees)}}).execute()
    cells = {cell.id: cell for cell in notebook.cells}
    said = {name: cells[name].outputs[0].data["text/plain"] for name in ("look", "read")}
    assert said["look"] == "Nothing that you see, hear or smell stops the job."
    assert "1 min so far" in said["read"]


@NEEDS_BANK
def test_a_case_is_not_written_over_another(tmp_path):
    assert warmside("case", "new", "--seed", "5", "--out", tmp_path).exit_code == 0
    written = sorted(tmp_path.iterdir())
    assert len(written) == 3  # for trainees, for after the commit, sealed
    for there, other in itertools.permutations(written, 2):
        (third,) = set(written) - {there, other}
        third.rename(tmp_path / "third")
        other.rename(tmp_path / "away")
        before = sorted(path.name for path in tmp_path.iterdir())
        again = warmside("case", "new", "--seed", "5", "--out", tmp_path)
        assert again.exit_code == 2
        assert f"{there} is already there" in again.output
        assert sorted(path.name for path in tmp_path.iterdir()) == before
        (tmp_path / "away").rename(other)
        (tmp_path / "third").rename(third)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--seed", "-1"], "The seed is -1; it must be a whole number from 0"),
        (["--seed", str(2**64)], "it must be a whole number from 0"),
        (["--seed", "five"], "'five' is not a valid integer"),
        (["--level", "0"], "The level is 0; it must be one of 1"),
        (["--level", "4"], "The level is 4; it must be one of 1"),
    ],
)
def test_no_case_of_a_bad_seed_or_level(tmp_path, arguments, said):
    result = warmside("case", "new", *arguments, "--out", tmp_path / "x")
    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output
    assert not (tmp_path / "x").exists()


@NEEDS_BANK
def test_two_cases_without_a_seed_differ(tmp_path):
    for _ in range(2):
        assert warmside("case", "new", "--out", tmp_path).exit_code == 0
    assert len(list(tmp_path.glob("case_*_sealed.md"))) == 2


@pytest.mark.parametrize("given", ["2027-03-13", "20270313", "2027-W10-6"])
def test_a_date_alone_means_the_end_of_that_day(given):
    moment = Moment(to_the_end=True).convert(given, None, None).astimezone()
    assert f"{moment:%Y-%m-%d %H:%M}" == "2027-03-13 23:59"
