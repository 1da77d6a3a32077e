"""What a notebook may hold before anything else looks at it: values, nesting, and the format's own rules.

The libraries that read notebooks take minutes to word what is wrong with a large one, and call themselves for
each level of nesting; so what is out of bounds or breaks the format is found here first, in a moment.
"""

from collections.abc import Mapping
from typing import Any

from nbformat.validator import ValidationError, get_validator

from warmside.errors import InputError

MOST_CELLS = 1_000
"""Cells that a hand-in can have; an exercise has some forty."""
MOST_VALUES = 200_000
"""Numbers, texts, lists and objects in all; an exercise with its pictures has some two thousand."""
DEEPEST = 60
"""Lists and objects in one another; a notebook needs ten."""
_FORMATS = 3, 4


def demand_within_bounds(notebook: object) -> None:
    """Raise InputError unless this is what a notebook's JSON may be.

    Parameters
    ----------
    notebook : object
        As `json.loads` returns it.

    Examples
    --------
    >>> demand_within_bounds({"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": []})
    >>> demand_within_bounds([])
    Traceback (most recent call last):
    warmside.errors.InputError: it is damaged: not a notebook that can be read; save it again in JupyterLab.
    """
    if not isinstance(notebook, dict):
        raise _damaged()
    if (cells := _cells(notebook)) > MOST_CELLS:
        raise InputError(f"it has {cells:,} cells, and no exercise takes {MOST_CELLS:,}.")
    level: list[Any] = [notebook]
    values = 0
    for _ in range(DEEPEST):
        level = [value for each in level for value in (each.values() if isinstance(each, dict) else each)]
        values += len(level)
        if values > MOST_VALUES:
            raise InputError(f"it holds more than {MOST_VALUES:,} values, which no exercise asks for.")
        level = [value for value in level if isinstance(value, dict | list)]
    if level:
        raise InputError(f"something in it is nested more than {DEEPEST} levels deep.")
    if not _is_valid(notebook):
        raise _damaged()


def _cells(notebook: Mapping[str, Any]) -> int:
    """Return how many cells there are; before format 4 they stood in sheets."""
    sheets = notebook.get("worksheets")
    parts = [notebook, *(sheets if isinstance(sheets, list) else [])]
    cells = [part.get("cells") for part in parts if isinstance(part, dict)]
    return sum(len(each) for each in cells if isinstance(each, list))


def _is_valid(notebook: Mapping[str, Any]) -> bool:
    version, minor = notebook.get("nbformat"), notebook.get("nbformat_minor")
    if version not in _FORMATS or not isinstance(minor, int):
        return False
    try:
        validator = get_validator(version, minor)
        if validator is None:
            return False
        validator.validate(notebook)
    except ValidationError:
        return False
    return True


def _damaged() -> InputError:
    return InputError("it is damaged: not a notebook that can be read; save it again in JupyterLab.")
