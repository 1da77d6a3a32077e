"""Declared answers: what leaves a trainee's kernel, and nothing else.

An exercise has a locked cell under each answer that calls `record`. It puts the answer as text into the
cell's output, under a MIME type of our own, and says back what it understood. Whether the answer is right is
decided later, elsewhere, from that text. While a hand-in is marked nothing is said back, as nobody would read
it, and nothing is imported to understand it.
"""

import os
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass, field

from IPython.display import display

from warmside import BEING_MARKED, blocks
from warmside.colours import BAD, BLUE
from warmside.errors import InputError
from warmside.marking.cells import MIME_TYPE
from warmside.marking.kinds import AnswerKind, kind_of


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
    value = sys._getframe(1).f_globals.get(name)  # of the cell that calls
    asked = kind_of(kind, choices)
    text = asked.text_of(value)
    answer = {MIME_TYPE: {"name": name, "text": text}}
    if os.environ.get(BEING_MARKED):
        display(answer, raw=True)
        return
    found = declared[name] = _look_at(text, asked)
    if found.text is None:
        said = f"Nothing recorded yet for {name}."
    else:
        said = (
            f"Recorded: {found.said}." if found.understood else f"Recorded, but not understood. {found.said}"
        )
    colour, symbol = (BLUE, "✎") if found.understood else (BAD, "?")
    display(
        answer
        | {
            "text/plain": said,
            "text/html": blocks.said(said, colour, symbol),
        },
        raw=True,
    )


def _look_at(text: str | None, asked: AnswerKind) -> Declared:
    if text is None:
        return Declared(None)
    try:
        return Declared(text, asked.understand(text)[1], understood=True)
    except InputError as problem:
        return Declared(text, str(problem))
