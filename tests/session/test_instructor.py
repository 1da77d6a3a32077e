"""What the instructor says: which counts, whose a file is, who is excused or has longer; by the commands."""

import json
import os
from datetime import UTC, datetime

import nbformat
import pytest
from click.testing import CliRunner
from helpers import NAME, answer_cell, released_notebook, write_notebook

from warmside.cli import main
from warmside.errors import InputError
from warmside.session import decisions, instructor, received
from warmside.session.check import check
from warmside.session.decisions import What
from warmside.session.forget import forget
from warmside.session.hand_in import MOST_AT_ONCE, take_in
from warmside.session.received import received_hand_ins, settle
from warmside.session.report import write_report
from warmside.session.standing import standings

NOON = datetime(2027, 3, 13, 12, tzinfo=UTC)


def warmside(*arguments):
    return CliRunner().invoke(main, ["session", *map(str, arguments)])


def with_answers(count: int) -> nbformat.NotebookNode:
    notebook = released_notebook()
    for item in ("verdict", "which_limit", "cup_at_24_hours")[:count]:
        answer_cell(notebook, item).source = f'{item} = "a"'
    return notebook


def hand_in(session, folder, count, hour, name=f"ann_{NAME}.ipynb"):
    path = write_notebook(folder / str(hour) / name, with_answers(count))
    return take_in(session, [path], at=NOON.replace(hour=hour))


def counting(session, trainee="ann"):
    row = next(row for row in standings(session) if row.trainee.id == trainee)
    return row.counting and datetime.fromisoformat(row.counting.at).hour


def submitted(session):
    notebook = session.folder / "submitted" / "ann" / NAME / f"{NAME}.ipynb"
    cells = nbformat.read(notebook, as_version=4).cells
    return sum(cell.source.endswith('= "a"') for cell in cells)


def test_a_hand_in_is_chosen_and_left_to_the_rule_again(session, tmp_path):
    hand_in(session, tmp_path, 3, 9)
    hand_in(session, tmp_path, 1, 10)
    assert (counting(session), submitted(session)) == (9, 3)
    said = warmside("choose", session.folder, "ann", NAME)
    assert said.exit_code == 0
    first, second = said.output.splitlines()
    assert "3 answers" in first and first.endswith("  counts")
    assert second.endswith("it has 1 answer, the one before has 3")
    assert "it has 1 answer" in warmside("status", session.folder).output
    assert "it has 1 answer" in write_report(session)[0].read_text("utf-8")
    assert warmside("choose", session.folder, "ann", NAME, "2").exit_code == 0
    assert (counting(session), submitted(session)) == (10, 1)
    assert check(session) == []
    hand_in(session, tmp_path, 2, 23)
    made = decisions.noted(session.folder)
    assert [(one.what, one.trainee) for one in made] == [(What.COUNTS, "ann")]
    assert warmside("choose", session.folder, "ann", NAME, "usual").exit_code == 0
    assert (counting(session), submitted(session)) == (9, 3)
    assert len(decisions.noted(session.folder)) == 2  # nothing is struck out
    assert len(received_hand_ins(session)) == 3


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["choose", "t99", NAME], "There is no trainee “t99”"),
        (["choose", "ann", "brewing"], "There is no exercise “brewing”"),
        (["choose", "ann", NAME], "ann has handed in nothing"),
        (["excuse", "t99", NAME], "There is no trainee “t99”"),
        (["extend", "ann", "brewing", "2027-03-14"], "There is no exercise “brewing”"),
        (["extend", "ann", NAME, "tomorrow"], "“tomorrow” is no time"),
        (["release", "brewing"], "There is no exercise “brewing”"),
        (["feedback", "t99"], "There is no trainee “t99”"),
        (["feedback"], "Nobody has any marks yet"),
        (["assign", "nowhere.ipynb", "t99"], "There is no trainee “t99”"),
    ],
)
def test_a_users_mistake_is_one_sentence_and_changes_nothing(session, arguments, said):
    command, *rest = arguments
    result = warmside(command, session.folder, *rest)
    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output
    assert decisions.noted(session.folder) == []


@pytest.mark.parametrize("which", ["0", "3", "-1", "x", "²"])
def test_a_number_that_is_not_in_the_list(session, tmp_path, which):
    hand_in(session, tmp_path, 3, 9)
    hand_in(session, tmp_path, 1, 10)
    with pytest.raises(InputError, match="give a number from 1 to 2"):
        instructor.choose(session, "ann", NAME, which)
    assert decisions.noted(session.folder) == []


def test_a_choice_that_was_cut_short_is_carried_out(session, tmp_path, monkeypatch):
    hand_in(session, tmp_path, 3, 9)
    hand_in(session, tmp_path, 1, 10)

    def killed(*arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr(received, "write_private", killed)
    with pytest.raises(KeyboardInterrupt):
        instructor.choose(session, "ann", NAME, "2")
    monkeypatch.undo()
    assert "isn't the one that counts" in check(session)[0].what
    settle(session)
    assert (counting(session), submitted(session), check(session)) == (10, 1, [])


def test_a_chosen_hand_in_that_is_gone_is_told(session, tmp_path):
    hand_in(session, tmp_path, 3, 9)
    instructor.choose(session, "ann", NAME, "1")
    (place,) = (session.folder / "hand_ins" / "ann" / NAME).iterdir()
    place.rename(tmp_path / "gone")
    assert "which you chose, is missing" in check(session)[0].what


def test_a_file_that_fits_nobody_is_assigned(session, tmp_path):
    path = write_notebook(tmp_path / "scan0001.ipynb", with_answers(2))
    assert "no trainee's id stands in its name" in take_in(session, [path])[1][0].why
    said = warmside("assign", session.folder, path, "zed.9")
    assert (said.exit_code, "for zed.9" in said.output) == (0, True)
    assert counting(session, "zed.9") is not None
    (made,) = decisions.noted(session.folder)
    assert (made.what, made.trainee, made.value) == (What.ASSIGNED, "zed.9", str(path))


def test_who_is_excused_is_not_missing(session):
    assert warmside("excuse", session.folder, "ann", NAME).exit_code == 0
    assert [row.state for row in standings(session)] == ["excused", "not handed in", "not handed in"]
    assert "0 late, 1 excused." in write_report(session)[0].read_text("utf-8")
    assert warmside("excuse", session.folder, "ann", NAME, "--withdraw").exit_code == 0
    assert standings(session)[0].state == "not handed in"


def test_who_has_longer_is_not_late(session, tmp_path):
    with session.gradebook() as gradebook:
        gradebook.update_or_create_assignment(NAME, duedate=NOON.replace(tzinfo=None))
    hand_in(session, tmp_path, 1, 13)
    assert standings(session)[0].late
    instructor.extend(session, "ann", NAME, NOON.replace(hour=13))
    assert not standings(session)[0].late
    instructor.extend(session, "ann", NAME, NOON)  # the last one holds
    assert standings(session)[0].late


def test_handed_in_again_after_the_due_date_is_as_early_as_before(session, tmp_path):
    with session.gradebook() as gradebook:
        gradebook.update_or_create_assignment(NAME, duedate=NOON.replace(tzinfo=None))
    hand_in(session, tmp_path, 2, 9)
    saved = with_answers(2)
    saved.cells[-1].metadata["collapsed"] = False  # saved once more, without a change
    path = write_notebook(tmp_path / "again" / f"ann_{NAME}.ipynb", saved)
    assert take_in(session, [path], at=NOON.replace(hour=20))[1] == []
    assert (counting(session), standings(session)[0].late) == (9, False)
    assert "says the same" in " ".join(standings(session)[0].to_look_at)


def test_of_many_at_once_a_few_are_kept(session, tmp_path):
    for number in range(60):
        notebook = with_answers(1)
        notebook.cells.append(nbformat.v4.new_markdown_cell(f"Number {number}."))
        write_notebook(tmp_path / "many" / f"ann_{NAME}_{number:02}.ipynb", notebook)
    came, left = take_in(session, [tmp_path / "many"])
    assert len(came) == len(received_hand_ins(session)) == MOST_AT_ONCE
    assert len(left) == 60 - MOST_AT_ONCE
    assert "were taken in at once already; hand in the one that is meant" in left[0].why


def test_many_files_that_are_no_hand_ins_are_told_in_a_few_lines(session, tmp_path):
    for number in range(200):
        path = tmp_path / "stick" / f"photo{number}.jpg"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"")
    _, left = take_in(session, [tmp_path / "stick"])
    assert len(left) == 21
    assert left[-1].why == "180 more files in it are neither zips nor notebooks."


def test_decisions_are_private_and_go_with_who_is_forgotten(session):
    for trainee in ("ann", "zed.9"):
        instructor.excuse(session, trainee, NAME)
    path = session.folder / decisions.FILE
    if os.name == "posix":
        assert path.stat().st_mode & 0o077 == 0
    forget(session, "ann")
    assert [json.loads(line)["trainee"] for line in path.read_text().splitlines()] == ["zed.9"]


def test_a_damaged_file_of_decisions_is_told(session):
    instructor.excuse(session, "ann", NAME)
    (session.folder / decisions.FILE).write_text("{")
    with pytest.raises(InputError, match=r"decisions\.jsonl is damaged; put back a copy"):
        standings(session)
