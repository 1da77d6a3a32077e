"""The exercise itself: its source scores full marks, its release none, and neither release nor pack holds a key."""

import json
from queue import Empty

import pytest
from helpers import NAME, answer_cell, released_notebook, source_notebook
from jupyter_client import KernelManager

from warmside import project
from warmside.marking.answers import MIME_TYPE
from warmside.marking.exercise import Job
from warmside.marking.job_card import keyed
from warmside.marking.marks import mark
from warmside.marking.preprocessors import grade_id
from warmside.session.release import out_of_step
from warmside.units import Q_, to_si

CARDS = 200

RUN_CELLS = """
def run_cells(cells):
    namespace = {}
    for cell in cells:
        exec(cell, namespace)
"""


class Kernel:
    """A real kernel that runs a notebook's cells on one job card after the other."""

    def __init__(self) -> None:
        self.manager = KernelManager()
        self.manager.start_kernel()
        self.client = self.manager.client()
        self.client.start_channels()
        self.client.wait_for_ready(timeout=60)
        self.execute(RUN_CELLS)

    def execute(self, code: str) -> dict[str, str | None]:
        """Run code; return what it recorded, by name."""
        answers = {}

        def keep(message: dict) -> None:
            payload = message["content"].get("data", {}).get(MIME_TYPE)
            if payload:
                answers[payload["name"]] = payload["text"]

        reply = self.client.execute_interactive(code, output_hook=keep, timeout=60)
        assert reply["content"]["status"] == "ok", reply["content"]
        return answers

    def run(self, cells: list[str], folder: str) -> dict[str, str | None]:
        return self.execute(f"import os; os.chdir({folder!r}); run_cells({cells!r})")

    def stop(self) -> None:
        self.client.stop_channels()
        self.manager.shutdown_kernel(now=True)


@pytest.fixture(scope="module")
def kernel():
    kernel = Kernel()
    yield kernel
    kernel.stop()


def code_of(notebook) -> list[str]:
    """All code but the picture of the log, which records nothing and takes most of the time."""
    return [c.source for c in notebook.cells if c.cell_type == "code" and grade_id(c) != "log"]


@pytest.fixture(scope="module")
def jobs(exercise, tmp_path_factory):
    folder = tmp_path_factory.mktemp("cards")
    made = []
    for number in range(CARDS):
        card = exercise.job_card(b"exercise", f"t{number:03d}")
        place = folder / card.trainee
        place.mkdir()
        for name, text in card.as_files().items():
            (place / name).write_text(text, encoding="utf-8")
        made.append((card, str(place)))
    return made


def test_source_scores_full_marks_on_every_card(exercise, kernel, jobs):
    cells = code_of(source_notebook())
    for card, folder in jobs:
        marks = mark(kernel.run(cells, folder), card, exercise)
        assert sum(m.score for m in marks) == exercise.points, [m for m in marks if m.score < m.points]


def test_release_scores_zero_on_every_card(exercise, kernel, jobs):
    cells = code_of(released_notebook())
    for card, folder in jobs:
        answers = kernel.run(cells, folder)
        assert answers == dict.fromkeys(answers)
        assert sum(m.score for m in mark(answers, card, exercise)) == 0


def test_notebook_and_items_agree(exercise):
    graded = {grade_id(c): c for c in source_notebook().cells if c.metadata["nbgrader"]["grade"]}
    assert list(graded) == [item.name for item in exercise.items]
    for item in exercise.items:
        cell = graded[item.name]
        assert cell.metadata["nbgrader"]["points"] == item.points
        letters = f', "{"".join(item.choices)}"' if item.choices else ""
        assert cell.source == f'record("{item.name}", "{item.kind}"{letters})'
        assert answer_cell(source_notebook(), item.name).source.startswith(f'{item.name} = ""')


def test_there_are_items_and_reasons_enough(exercise):
    assert len(exercise.items) >= 8
    for item in exercise.items:
        assert len(item.mistakes) >= 2
        assert item.hint
        assert (item.tolerance and item.why) or item.choices


def test_exercises_is_what_the_source_generates():
    assert out_of_step(NAME) == []


def test_release_holds_no_solution(exercise):
    text = (project.root() / "exercises" / NAME / f"{NAME}.ipynb").read_text("utf-8")
    assert "SOLUTION" not in text
    for cell in source_notebook().cells:
        if (grade_id(cell) or "").endswith("_answer"):
            for line in cell.source.splitlines()[2:-1]:
                assert not line.strip() or line.strip() not in text
    assert {path.name for path in (project.root() / "exercises" / NAME).iterdir()} == {
        f"{NAME}.ipynb",
        "job_card.json",
        "temperature_log.csv",
    }


def test_practice_card_is_no_trainees_card(exercise, session):
    practice = json.loads((project.root() / "exercises" / NAME / "job_card.json").read_text("utf-8"))
    assert practice["trainee"] == "practice"
    assert keyed(session.secret, "x") != keyed(b"practice", "x")


def test_key_of_the_time_constant_by_hand(exercise):
    # By hand in US units: heat capacity of the water is 1 Btu per lb and °F (the definition of the Btu, to
    # 0.5 %), 16 oz to the pound; tau = C / UA.
    for number in range(30):
        card = exercise.job_card(b"by hand", str(number))
        ounces = float(card.entry("cup_water").text.removesuffix(" oz"))
        conductance = float(card.entry("cup_conductance").text.split()[0])
        key = exercise.item("cup_time_constant").key(Job(exercise, card))
        assert key / 3600 == pytest.approx(ounces / 16 / conductance, rel=0.01)


def test_key_of_the_cup_against_a_published_worked_value(exercise):
    # Lumped capacitance (Incropera, Fundamentals of Heat and Mass Transfer, ch. 5): 250 mL of water with
    # hA = 8 x 0.03 W/K cools from 20 °C in air of 4 °C to 11.0184 °C in 1 h.
    class Card:
        values = {
            "cup_water": to_si(Q_(0.24993, "kg"), "mass"),
            "cup_conductance": 0.24,
            "water_at_start": 293.15,
            "cabinet_air": 277.15,
            "reading_hour": 3600.0,
        }

        def si(self, name: str) -> float:
            return self.values[name]

    key = exercise.item("cup_at_early_reading").key(Job(exercise, Card()))
    assert key - 273.15 == pytest.approx(11.0184, abs=0.02)


def test_no_message_is_lost(kernel):
    with pytest.raises(Empty):
        kernel.client.get_iopub_msg(timeout=0.5)
