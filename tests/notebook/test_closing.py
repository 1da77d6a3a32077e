"""What is recorded, what is missing, what the saved notebook lacks, and the file to hand in."""

import json
import os
import time
import zipfile

import nbformat
import pytest
from helpers import NAME, SECRET, answer_cell, locked_cell, released_notebook, write_notebook

from warmside.errors import InputError
from warmside.marking.cells import MIME_TYPE, TEXT_STUB
from warmside.notebook.answers import Declared
from warmside.notebook.closing import closing, write_hand_in
from warmside.session.hand_in import take_in


def with_output(notebook, name: str, text: str | None):
    """The notebook as saved after the cell of an item recorded a text."""
    data = {MIME_TYPE: {"name": name, "text": text}, "text/plain": "Recorded"}
    locked_cell(notebook, name).outputs = [nbformat.v4.new_output("display_data", data)]
    return notebook


@pytest.fixture
def folder(tmp_path, exercise, monkeypatch):
    """A trainee's unpacked pack."""
    monkeypatch.delenv("JPY_SESSION_NAME", raising=False)
    folder = tmp_path / "pack"
    write_notebook(folder / f"{NAME}.ipynb", released_notebook())
    for name, text in exercise.job_card(SECRET, "ann").as_files().items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def said(text: str) -> Declared:
    return Declared(text, f"{text}, understood", understood=True, at=0.0)


def test_an_untouched_exercise_lists_all_questions_as_missing(folder, exercise):
    now = closing(folder, {})
    assert [line.name for line in now.lines] == [asked.name for asked in exercise.asked]
    assert now.lines[0].question == "1. How wrong is your thermometer? (1 mark)"
    assert now.missing == len(exercise.asked)
    assert now.unsaved == ""


def test_what_this_kernel_recorded_is_shown_and_told_where_it_is_not_saved(folder):
    answers = {
        "thermometer_error": said("0.6 degF"),
        "verdict": Declared("venting", "type one letter", understood=False, at=0.0),
        "which_limit": Declared(None, at=0.0),
    }
    now = closing(folder, answers)
    states = {line.name: (line.state, line.said) for line in now.lines}
    assert states["thermometer_error"] == ("recorded", "0.6 degF, understood")
    assert states["verdict"] == ("not understood", "type one letter")
    assert states["which_limit"][0] == "missing"
    assert now.missing == len(now.lines) - 1
    assert now.unsaved == "The saved notebook does not hold your last answer to questions 1 and 11."
    with pytest.raises(InputError, match=r"questions 1 and 11.*Save the notebook"):
        write_hand_in(folder, answers)
    assert not list(folder.glob("*.zip"))


def test_an_answer_that_was_changed_since_is_told(folder):
    write_notebook(folder / f"{NAME}.ipynb", with_output(released_notebook(), "verdict", "a"))
    assert closing(folder, {"verdict": said("a")}).unsaved == ""
    assert "question 11." in closing(folder, {"verdict": said("b")}).unsaved
    assert "question 11." in closing(folder, {"verdict": Declared(None, at=0.0)}).unsaved


def test_what_an_earlier_kernel_recorded_counts_as_saved(folder):
    write_notebook(folder / f"{NAME}.ipynb", with_output(released_notebook(), "verdict", "a"))
    line = next(line for line in closing(folder, {}).lines if line.name == "verdict")
    assert (line.state, line.said) == ("recorded", "a")
    assert write_hand_in(folder, {}).is_file()


def test_a_notebook_older_than_the_last_answer_is_not_handed_in(folder):
    path = write_notebook(folder / f"{NAME}.ipynb", with_output(released_notebook(), "verdict", "a"))
    answers = {"verdict": Declared("a", "choice a", understood=True, at=time.time())}
    os.utime(path, (time.time() - 60,) * 2)
    with pytest.raises(InputError, match="not saved since you last ran an answer"):
        write_hand_in(folder, answers)
    os.utime(path)
    assert write_hand_in(folder, answers).is_file()


def test_the_file_holds_notebook_and_card_and_is_taken_in(folder, session):
    notebook = with_output(released_notebook(), "verdict", "a")
    answer_cell(notebook, "verdict").source = 'verdict = "a"'
    content = write_notebook(folder / f"{NAME}.ipynb", notebook).read_bytes()
    path = write_hand_in(folder, {"verdict": said("a")})
    assert path.name == f"ann_{NAME}.zip"
    with zipfile.ZipFile(path) as archive:
        assert set(archive.namelist()) == {f"ann_{NAME}/{NAME}.ipynb", f"ann_{NAME}/job_card.json"}
        assert archive.read(f"ann_{NAME}/{NAME}.ipynb") == content
    (received,), refused = take_in(session, [path])
    assert (received.trainee, received.exercise, received.other_cards) == ("ann", NAME, ())
    assert refused == []


@pytest.mark.parametrize("zipped", [False, True])
def test_the_notebook_counts_over_an_older_file_beside_it(folder, session, tmp_path_factory, zipped):
    write_hand_in(folder, {})
    newer = released_notebook()
    answer_cell(newer, "verdict").source = 'verdict = "b"'
    content = write_notebook(folder / f"{NAME}.ipynb", newer).read_bytes()
    given = tmp_path_factory.mktemp("stick") / f"ann_{NAME}"
    if zipped:
        with zipfile.ZipFile(given := given.with_suffix(".zip"), "w") as archive:
            for path in folder.iterdir():
                archive.write(path, path.name)
    else:
        folder.rename(given)
    received, refused = take_in(session, [given])
    assert (len(received), refused) == (2, [])
    assert (session.folder / "submitted" / "ann" / NAME / f"{NAME}.ipynb").read_bytes() == content


def test_a_text_that_a_person_marks_counts_once_written_and_saved(folder, session):
    notebook = released_notebook("heat_sources_and_circuits")
    cell = locked_cell(notebook, "customer_note")
    assert cell.source == TEXT_STUB
    write_notebook(folder / f"{NAME}.ipynb", notebook)
    assert closing(folder, {}).lines[-1].state == "missing"
    cell.source = "I measured your heater."
    write_notebook(folder / f"{NAME}.ipynb", notebook)
    assert closing(folder, {}).lines[-1].state == "written"


def test_a_renamed_notebook_is_found_by_jupyters_name(folder, monkeypatch):
    (folder / f"{NAME}.ipynb").rename(folder / "mine.ipynb")
    with pytest.raises(InputError, match=f"{NAME}.ipynb is not beside its job card"):
        closing(folder, {})
    monkeypatch.setenv("JPY_SESSION_NAME", "somewhere/mine.ipynb")
    assert closing(folder, {}).notebook.name == "mine.ipynb"
    with zipfile.ZipFile(write_hand_in(folder, {})) as archive:
        assert f"ann_{NAME}/{NAME}.ipynb" in archive.namelist()


@pytest.mark.parametrize("content", ["", "{}", "[]", '{"cells": 1}', '{"cells": [1]}', json.dumps(None)])
def test_a_damaged_notebook_is_a_sentence(folder, content):
    (folder / f"{NAME}.ipynb").write_text(content)
    with pytest.raises(InputError, match="is not a notebook that can be read"):
        closing(folder, {})


def test_a_folder_without_its_card_is_a_sentence(folder):
    (folder / "job_card.json").unlink()
    with pytest.raises(InputError, match="keep the files of your pack together"):
        write_hand_in(folder, {})


def test_what_the_disk_refuses_is_a_sentence(folder):
    (folder / f"ann_{NAME}.part").mkdir()
    with pytest.raises(InputError, match=r"can't be written .*hand in the whole folder"):
        write_hand_in(folder, {})
