"""The last cells of an exercise, as a kernel shows them."""

import pytest
from helpers import NAME, SECRET, released_notebook, write_notebook
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside import BEING_MARKED, project
from warmside.marking import practice
from warmside.notebook.answers import Declared, declared
from warmside.notebook.hand_in_button import HandInButton
from warmside.notebook.last_cells import check_mine, finish, write_hand_in


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


@pytest.fixture(autouse=True)
def recorded(monkeypatch):
    """What this kernel recorded, empty at first."""
    monkeypatch.delenv("JPY_SESSION_NAME", raising=False)
    before = dict(declared)
    declared.clear()
    yield declared
    declared.clear()
    declared.update(before)


@pytest.fixture
def pack(tmp_path, exercise, monkeypatch):
    for name, text in exercise.job_card(SECRET, "ann").as_files().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    write_notebook(tmp_path / f"{NAME}.ipynb", released_notebook())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def at_practice(pack, exercise):
    for name, text in exercise.practice_card().as_files().items():
        (pack / name).write_text(text, encoding="utf-8")
    content = (project.root() / "exercises" / NAME / practice.FILE_NAME).read_bytes()
    (pack / practice.FILE_NAME).write_bytes(content)
    return pack


def shown(call) -> list[dict]:
    with capture_output() as captured:
        call()
    return [output.data for output in captured.outputs]


def test_the_table_says_state_in_words_for_every_question(pack, recorded, exercise):
    recorded["verdict"] = Declared("<b>a", "“<b>a” was read", at=0.0)
    table, button = shown(finish)
    page = table["text/html"]
    assert page.count('<th scope="row"') == len(exercise.asked)
    assert page.count(" missing</b>") == len(exercise.asked) - 1
    assert " not understood</b>" in page
    assert "“&lt;b&gt;a” was read" in page
    assert "0 of 12 questions answered" in table["text/plain"]
    assert "application/vnd.jupyter.widget-view+json" in button


def test_the_button_answers_every_press(pack):
    presses = []
    button = HandInButton(lambda: presses.append(1) or f"pressed {len(presses)}")
    for serial in (1, 2):
        button.asked = serial
        assert button.answer == {"serial": serial, "words": f"pressed {serial}"}


def test_the_function_writes_and_says_where(pack):
    (said,) = shown(write_hand_in)
    path = pack / f"ann_{NAME}.zip"
    assert path.is_file()
    assert said["text/plain"].startswith(f"Written: {path.name}, in the folder {pack.resolve()}.")
    assert "12 of 12 questions have no answer that can be marked." in said["text/plain"]


def test_what_stands_in_the_way_is_a_sentence(pack, recorded):
    recorded["verdict"] = Declared("a", "choice a", understood=True)
    (said,) = shown(write_hand_in)
    assert said["text/plain"].startswith("Not written. The saved notebook does not hold your last answer to")
    (pack / "job_card.json").unlink()
    for call in (finish, write_hand_in, check_mine):
        (said,) = shown(call)
        assert "keep the files of your pack together" in said["text/plain"]


def test_ones_own_card_is_for_the_instructor(pack, recorded):
    recorded["which_limit"] = Declared("c", "choice c", understood=True)
    (said,) = shown(check_mine)
    assert "your instructor marks it" in said["text/plain"]
    (pack / practice.FILE_NAME).write_bytes(
        (project.root() / "exercises" / NAME / practice.FILE_NAME).read_bytes()
    )
    (said,) = shown(check_mine)
    assert "your instructor marks it" in said["text/plain"]


def test_practice_is_told_at_once(at_practice, recorded, exercise):
    recorded["highest_ambient"] = Declared("212 degF", "212 °F", understood=True)
    recorded["cup_at_24_hours"] = Declared("39", "no unit")
    (page,) = shown(check_mine)
    text = page["text/html"]
    assert "That is too warm" in text
    assert "not understood" in text
    assert "Not answered yet:" in text
    left, score = text.index("Which limit is which: it is the same on every card"), text.index(" marks of ")
    assert left < score  # what isn't counted is said before what is
    recorded.clear()
    (said,) = shown(write_hand_in)
    assert "practice card, which nobody marks" in said["text/plain"]


def test_without_its_file_practice_says_so(at_practice):
    (at_practice / practice.FILE_NAME).unlink()
    (said,) = shown(check_mine)
    assert "practice.json is not beside the notebook" in said["text/plain"]


def test_while_a_hand_in_is_marked_nothing_is_shown_or_written(pack, monkeypatch):
    monkeypatch.setenv(BEING_MARKED, "yes")
    before = sorted(pack.iterdir())
    assert shown(finish) + shown(check_mine) == []
    assert sorted(pack.iterdir()) == before
