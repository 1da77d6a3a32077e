"""Declared answers: what leaves a trainee's kernel, and nothing else.

An exercise has a locked cell under each answer that calls `record`. It puts the answer as text into the
cell's output, under a MIME type of our own, and says back what it understood. Whether the answer is right is
decided later, elsewhere, from that text.
"""

import html
import inspect
import numbers
import re
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from IPython.display import display

from warmside.colours import BLUE, RED
from warmside.errors import InputError
from warmside.units import describe, read_quantity

MIME_TYPE = "application/vnd.warmside.answer+json"
CARD_MIME_TYPE = "application/vnd.warmside.job-card+json"
LONGEST_ANSWER = 500


@dataclass(frozen=True)
class Declared:
    """What `record` last found in one answer.

    Attributes
    ----------
    text : str or None
        The answer as text; None when there is none yet.
    said : str
        What was understood, or why it wasn't.
    understood : bool
        Whether it was.
    at : float
        When, in seconds since the epoch.
    """

    text: str | None
    said: str = ""
    understood: bool = False
    at: float = field(default_factory=time.time)


declared: dict[str, Declared] = {}
"""What this kernel has recorded so far, by item; for the trainee's eyes, marks are made from the outputs."""


def record(name: str, kind: str, choices: Iterable[str] = ()) -> None:
    """Record the answer in the variable called `name` and say what was understood.

    Parameters
    ----------
    name : str
        The item, and the variable that holds its answer.
    kind : str
        A kind of quantity (`warmside.units.KINDS`), ``"choice"``, or ``"names"`` for a list of names.
    choices : iterable of str, optional
        The letters or names to choose from.
    """
    value = inspect.currentframe().f_back.f_globals.get(name)
    if kind == "names" and isinstance(value, list | tuple) and all(isinstance(one, str) for one in value):
        value = ", ".join(value)
    found = declared[name] = _look_at(answer_text(value), kind, tuple(choices))
    if found.text is None:
        said = f"Nothing recorded yet for {name}."
    else:
        said = (
            f"Recorded: {found.said}." if found.understood else f"Recorded, but not understood. {found.said}"
        )
    colour, symbol = (BLUE, "✎") if found.understood else (RED, "?")
    display(
        {
            MIME_TYPE: {"name": name, "text": found.text},
            "text/plain": said,
            "text/html": f"<p style='font-size:16px;border-left:6px solid {colour};padding:4px 10px'>"
            f"<b aria-hidden='true'>{symbol}</b> {html.escape(said)}</p>",
        },
        raw=True,
    )


def _look_at(text: str | None, kind: str, choices: tuple[str, ...]) -> Declared:
    if text is None:
        return Declared(None)
    try:
        return Declared(text, understand(text, kind, choices)[1], understood=True)
    except InputError as problem:
        return Declared(text, str(problem))


def answer_text(value: Any) -> str | None:
    """Return an answer as text; None when there is none yet.

    A text stays as it is, a pint quantity becomes number and unit, a bare number stays bare (and is told off
    later, with the unit that is missing).
    """
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, str):
        text = value.strip()
    elif hasattr(value, "magnitude") and hasattr(value, "units"):
        text = f"{_number_text(value.magnitude)} {value.units}".strip()
    else:
        text = _number_text(value)
    return text[:LONGEST_ANSWER]


def _number_text(value: Any) -> str:
    if hasattr(value, "item") and getattr(value, "size", 0) == 1:
        value = value.item()
    return repr(float(value)) if isinstance(value, numbers.Real) else repr(value)


def understand(text: str, kind: str, choices: tuple[str, ...] = ()) -> tuple[Any, str]:
    """Return the value that an answer's text states, and how to say it back.

    Parameters
    ----------
    text : str
        The recorded answer.
    kind : str
        A kind of quantity, ``"choice"`` or ``"names"``.
    choices : tuple of str
        The letters or names to choose from.

    Returns
    -------
    value : pint.Quantity, str or tuple of str
        The quantity, the letter, or the names, each once.
    said : str
        Such as ``"38.5 °F, a temperature"``.

    Raises
    ------
    InputError
        One sentence that says what was read and what would be right.
    """
    if kind == "names":
        return _names(text, choices)
    if kind != "choice":
        quantity = read_quantity(text, kind)
        return quantity, describe(quantity, kind)
    letter = text.strip().strip("().").lower()
    if letter not in choices:
        listed = ", ".join(choices[:-1]) + f" or {choices[-1]}"
        what = "letter" if all(len(one) == 1 for one in choices) else "code"
        raise InputError(f"“{text[:40]}” was read; type one {what}: {listed}.")
    return letter, f"choice {letter}"


def _names(text: str, choices: tuple[str, ...]) -> tuple[tuple[str, ...], str]:
    names = tuple(dict.fromkeys(re.findall(r"[^\s,;\"'()\[\]]+", text.lower())))
    for name in names:
        if name not in choices:
            raise InputError(
                f"“{name[:40]}” was read, which is none of the names; there are {', '.join(choices)}."
            )
    if not names:
        raise InputError("No name was read; write names with commas between them.")
    return names, ", ".join(names)


def recorded_answer(cell: Mapping[str, Any], name: str) -> str | None:
    """Return the text that an executed cell recorded for `name`, or None.

    The cell comes from a stranger's kernel: what is not exactly a text of our type under this name, within
    the length allowed, does not count.
    """
    for payload in _payloads(cell, MIME_TYPE):
        text = payload.get("text")
        if payload.get("name") == name and isinstance(text, str) and 0 < len(text) <= LONGEST_ANSWER:
            return text
    return None


def show_card(card: Any) -> None:
    """Show a job card, as a table and a drawing.

    Its number is left in the output, so that a hand-in tells which card it used.
    """
    from warmside.show.card_drawing import card_image  # `show` stands above marking: only where it is shown

    display(
        {
            CARD_MIME_TYPE: {"number": card.number},
            "text/plain": f"Job card {card.number}",
            "text/html": card._repr_html_() + card_image(card),
        },
        raw=True,
    )


def card_numbers(cells: Iterable[Mapping[str, Any]]) -> set[str]:
    """Return the numbers of the job cards that a notebook's saved outputs were made with."""
    payloads = (payload for cell in cells for payload in _payloads(cell, CARD_MIME_TYPE))
    return {payload["number"] for payload in payloads if isinstance(payload.get("number"), str)}


def _payloads(cell: Mapping[str, Any], mime_type: str) -> Iterable[Mapping[str, Any]]:
    for output in cell.get("outputs", ()):
        payload = output.get("data", {}).get(mime_type)
        if isinstance(payload, Mapping):
            yield payload
