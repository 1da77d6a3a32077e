"""What the cells of an exercise's notebook tell: which is which, what it recorded, on what job card.

The marks by which nbgrader knows cells are in their metadata. A declared answer, and the number of the job
card, are in outputs under MIME types of our own: all that leaves a trainee's kernel and counts.
"""

from collections.abc import Iterable, Mapping
from typing import Any

MIME_TYPE = "application/vnd.warmside.answer+json"
CARD_MIME_TYPE = "application/vnd.warmside.job-card+json"
LONGEST_ANSWER = 500

ANSWER_SUFFIX = "_answer"
"""The answer cell of the item `x` has the nbgrader id ``x_answer``; its locked cell has ``x``."""

TEXT_STUB = "*Double-click here, click this line once more, write in its place, then run the cell.*"
"""What stands in a text cell until the trainee writes in it."""

Cell = Mapping[str, Any]


def grade_id(cell: Cell) -> str | None:
    """Return a cell's nbgrader id, or None."""
    return _mark(cell, "grade_id")


def is_graded(cell: Cell) -> bool:
    """Tell whether a cell of a release earns marks."""
    return bool(_mark(cell, "grade"))


def is_answer(cell: Cell) -> bool:
    """Tell whether a cell of a release is one that the trainee fills in."""
    return bool(_mark(cell, "solution"))


def is_by_hand(cell: Cell) -> bool:
    """Tell whether a cell is one that the trainee fills in and a person marks."""
    return is_answer(cell) and is_graded(cell)


def _mark(cell: Cell, name: str) -> Any:
    marks = cell.get("metadata", {}).get("nbgrader")
    return marks.get(name) if isinstance(marks, dict) else None


def recorded_answer(cell: Cell, name: str) -> str | None:
    """Return the text that an executed cell recorded for `name`, or None.

    The cell comes from a stranger's kernel: what is not exactly a text of our type under this name, within
    the length allowed, does not count.
    """
    for payload in _payloads(cell, MIME_TYPE):
        text = payload.get("text")
        if payload.get("name") == name and isinstance(text, str) and 0 < len(text) <= LONGEST_ANSWER:
            return text
    return None


def card_numbers(cells: Iterable[Cell]) -> set[str]:
    """Return the numbers of the job cards that a notebook's saved outputs were made with."""
    payloads = (payload for cell in cells for payload in _payloads(cell, CARD_MIME_TYPE))
    return {payload["number"] for payload in payloads if isinstance(payload.get("number"), str)}


def _payloads(cell: Cell, mime_type: str) -> Iterable[Mapping[str, Any]]:
    for output in cell.get("outputs", ()):
        payload = output.get("data", {}).get(mime_type)
        if isinstance(payload, Mapping):
            yield payload
