"""The smallest exercise there can be: its two files, and a project that holds it alone."""

from pathlib import Path

import nbformat
from helpers import write_notebook

NAME = "small_heater"
KEYS = '''
"""What is right."""

from warmside.marking.exercise import Job


def amps(job: Job) -> float:
    return job["volts"] / job["ohms"]


def enough(job: Job) -> str:
    return "a" if job.value("amps") < 3.0 else "b"
'''
ITEMS = '''
"""A small exercise, invented. Never released."""

from warmside.marking.exercise import ByHand, Exercise, Item, Mistake
from warmside.marking.job_card import Entry
from warmside.marking.wrong_turns import instead_of

from . import keys

ITEMS = (
    Item(
        name="amps",
        title="Current of the heater",
        kind="current",
        points=2,
        key=keys.amps,
        tolerance="2 %",
        why="Three figures.",
        could_be=("0.2 A", "20 A"),
        hint="Volts over ohms.",
        mistakes=(
            Mistake(
                "turned upside down", "Volts over ohms.", lambda job: job["ohms"] / job["volts"], credit=0.5
            ),
            Mistake("multiplied", "Divide.", lambda job: job["volts"] * job["ohms"]),
        ),
    ),
    Item(
        name="enough",
        title="Whether a fuse of 3 A carries it",
        kind="choice",
        points=1,
        choices=("a", "b"),
        key=keys.enough,
        hint="Compare.",
        decides=lambda job, answer: f"It really {'holds' if keys.enough(job) == 'a' else 'blows'}.",
        mistakes=(
            Mistake("a fuse too small", "It blows.", instead_of(keys.enough, "a")),
            Mistake("a fuse refused that carries it", "It holds.", instead_of(keys.enough, "b")),
        ),
    ),
)
NOTE = ByHand("note", "Note", 2, lambda job: (f"On this card: {keys.amps(job):.2f} A.",))


def draw(draw):
    volts, ohms = draw.between(110, 125, 0.5), draw.between(30, 50, 0.5)
    return (
        Entry("volts", "Volts at the heater", f"{volts} V", "voltage"),
        Entry("ohms", "Ohms of the heater", f"{ohms} ohm", "resistance"),
    ), {}


EXERCISE = Exercise("small_heater", "A small heater", ITEMS, draw, by_hand=(NOTE,))
'''


def cell(kind: str, name: str, source: str, *, answer: bool = False, points: int | None = None):
    """A cell of a source notebook, as nbgrader knows it."""
    marks = {
        "cell_type": kind,
        "grade": points is not None,
        "grade_id": name,
        "locked": not answer,
        "schema_version": 3,
        "solution": answer,
        "task": False,
    }
    if points is not None:
        marks["points"] = points
    make = nbformat.v4.new_code_cell if kind == "code" else nbformat.v4.new_markdown_cell
    return make(source, metadata={"nbgrader": marks})


def asked(name: str, heading: str, example: str, solution: str, recorded: str, points: int) -> list:
    """The three cells of a question."""
    solved = f"### BEGIN SOLUTION\n{name} = {solution}\n### END SOLUTION"
    return [
        cell("markdown", f"{name}_task", f"### {heading}"),
        cell(
            "code", f"{name}_answer", f'{name} = "          "  # for example {example}\n{solved}', answer=True
        ),
        cell("code", name, f'record("{name}", {recorded})', points=points),
    ]


def source() -> nbformat.NotebookNode:
    text = "### BEGIN SOLUTION\nIt draws what it should.\n### END SOLUTION"
    start = (
        "from warmside.notebook import my_job_card, record, show_card\ncard = my_job_card()\nshow_card(card)"
    )
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return nbformat.v4.new_notebook(
        metadata=kernel,
        cells=[
            cell("markdown", "title", "# Exercise: a small heater\n\nAll numbers are invented."),
            cell("code", "setup", start),
            *asked("amps", "1. How many amps?", '"3 A"', 'card["volts"] / card["ohms"]', '"current"', 2),
            *asked("enough", "2. Enough?", '"a"', '"a" if amps.to("A").m < 3 else "b"', '"choice", "ab"', 1),
            cell("markdown", "note_task", "### 3. Write a note"),
            cell("markdown", "note", text, answer=True, points=2),
            cell("code", "end", "from warmside.notebook import check_mine, finish\ncheck_mine()"),
        ],
    )


def write_project(root: Path, items: str = ITEMS, keys: str = KEYS) -> Path:
    """Write a project that holds this exercise alone, not yet released."""
    private = root / "solutions_private" / NAME
    write_notebook(private / f"{NAME}.ipynb", source())
    (private / "keys.py").write_text(keys, encoding="utf-8")
    (private / "items.py").write_text(items, encoding="utf-8")
    (root / "exercises").mkdir()
    return root
