"""The way to what is right, with the numbers of a card: what a trainee reads once results are released.

An exercise's `WAYS` stand in ``solutions_private/NAME/ways.py``: by item, a function of the job and of what
the trainee answered that returns sentences. Marking knows nothing of them.
"""

import importlib
import math
from collections.abc import Callable, Mapping
from typing import Any

from warmside.marking.exercise import Asked, Exercise, Item, Job, load_exercise
from warmside.marking.kinds import Answer, Quantity
from warmside.marking.verdict import Table
from warmside.units import from_si, show

Given = Mapping[str, Answer]
"""What a trainee answered, by item."""
Way = Callable[[Job, Given], tuple[str | Table, ...]]
"""Returns sentences, and tables where these tell more."""


def ways_of(exercise: Exercise) -> Mapping[str, Way]:
    """Return the ways of an exercise by item; none where its author wrote none down."""
    load_exercise(exercise.name)
    module = f"warmside_private_{exercise.name}.ways"
    try:
        return importlib.import_module(module).WAYS
    except ModuleNotFoundError as problem:
        if problem.name != module:
            raise
        return {}


def right_answer(asked: Asked, job: Job) -> str:
    """Say what is right on a card; empty where more than one answer is."""
    if not isinstance(asked, Item):
        return ""
    key: Any = asked.key(job.by_the_card())
    return told(key, asked.kind) if isinstance(asked.asks, Quantity) else str(key)


def told(value: float, kind: str, digits: int | None = None) -> str:
    """Return an SI value as a text in US units, with SI behind it.

    >>> told(300.0, "temperature")
    '80.3 °F (26.9 °C)'
    """
    quantity = from_si(value, kind)
    here, there = (show(quantity, system, kind=kind, digits=digits) for system in ("US", "SI"))
    return here if here == there else f"{here} ({there})"


def us(job: Job, line: str) -> float:
    """Return the number of a line of the card in the US unit of its kind."""
    return float(from_si(job[line], job.card.entry(line).kind).magnitude)


def on_card(job: Job, line: str) -> str:
    """Return a line of the card as it stands there."""
    return job.card.entry(line).text


def figures(value: float, count: int = 3) -> str:
    """Return a number with so many figures, or with all before the point where these are more.

    >>> figures(1234.5), figures(0.012345), figures(38.0)
    ('1,234', '0.0123', '38')
    """
    if value == 0.0:
        return "0"
    digits = max(count - 1 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:,.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
