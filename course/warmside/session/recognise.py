"""Whose a hand-in is, told by the names around it, and of which exercise it is, told by its cells."""

import hashlib
import json
import os
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import nbformat
from nbformat import NotebookNode

from warmside.autograde.preprocessors import repaired
from warmside.errors import InputError
from warmside.marking.cells import grade_id, is_answer, is_graded

_LEAST = 0.2
"""Share of an exercise's cells that a hand-in has to hold."""


def names_in(where: str, given: Path) -> tuple[str, ...]:
    """Return the names from what was given down to the notebook; what lies above tells nothing about it."""
    inside = where.removeprefix(str(given.parent)) if given.parent != Path() else where
    return tuple(part for part in inside.replace(os.sep, "/").split("/") if part)


def trainee_of(names: Sequence[str], trainees: Sequence[str]) -> tuple[str, str]:
    """Return the trainee whose id stands innermost in these names, and another's around it, or nothing.

    Raises
    ------
    InputError
        If no id stands there, or more than one in the same name.
    """
    found = [ids for name in reversed(names) if (ids := _ids_in(name, trainees))]
    if not found:
        raise InputError("no trainee's id stands in its name; put the id in front, such as t01_….")
    if len(found[0]) > 1:
        raise InputError(f"its name fits more than one trainee: {', '.join(sorted(found[0]))}; rename it.")
    (trainee,) = found[0]
    return trainee, ", ".join(sorted(set().union(*found) - {trainee}))


def _ids_in(name: str, trainees: Sequence[str]) -> set[str]:
    named = [trainee for trainee in trainees if _stands_in(trainee, name)]
    return {t for t in named if not any(t != other and _stands_in(t, other) for other in named)}


def _stands_in(trainee: str, name: str) -> bool:
    return id_pattern(trainee).search(name) is not None


def id_pattern(trainee: str) -> re.Pattern[str]:
    """Return what finds a trainee's id by itself in a name; a letter or digit of any script goes on an id."""
    return re.compile(rf"(?<![^\W_]){re.escape(trainee)}(?![^\W_])", re.IGNORECASE)


@dataclass(frozen=True)
class Release:
    """An exercise as handed out.

    Attributes
    ----------
    cells : list of NotebookNode
        Its cells.
    """

    cells: list[NotebookNode]

    @classmethod
    def read(cls, path: Path) -> "Release":
        """Read it."""
        return cls(nbformat.read(path, as_version=4).cells)

    @cached_property
    def unwritten(self) -> str:
        """The hash of a copy in which nothing is written."""
        return self.written(self.cells)[1]

    def share_in(self, cells: Sequence[NotebookNode]) -> float:
        """Return which share of its answer cells and graded cells is among these."""
        there = set().union(*(_marks_of(cell) for cell in cells))
        asked = [cell for cell in self.cells if is_answer(cell) or is_graded(cell)]
        return sum(bool(_marks_of(cell) & there) for cell in asked) / len(asked)

    def written(self, cells: list[NotebookNode]) -> tuple[int, str]:
        """Return how many answers are written in a copy of it, and a hash of all that is the writer's."""
        theirs = [cell for cell in repaired(cells, self.cells)[0] if is_answer(cell) or not grade_id(cell)]
        stub = {grade_id(cell): _words(cell) for cell in self.cells if is_answer(cell)}
        answers = sum(
            is_answer(cell) and bool(_words(cell)) and _words(cell) != stub[grade_id(cell)] for cell in theirs
        )
        text = json.dumps([source for cell in theirs if (source := cell.source.strip())])
        return answers, hashlib.sha256(text.encode()).hexdigest()[:16]


def _words(cell: NotebookNode) -> str:
    return "".join(cell.source.split())


def _marks_of(cell: NotebookNode) -> set[tuple[str, str]]:
    """Return what a cell may be known by: nbgrader's id, its own, or its source where that is locked."""
    marks = {("nbgrader", str(grade_id(cell))), ("cell", str(cell.get("id")))}
    if not is_answer(cell):
        marks.add(("source", cell.source.strip()))
    return marks - {("nbgrader", "None"), ("cell", "None"), ("source", "")}


def exercise_of(
    names: Sequence[str], cells: Sequence[NotebookNode], releases: Mapping[str, Release]
) -> tuple[str, str]:
    """Return the exercise that a hand-in's cells are of, and the one that its name tells if that's another.

    Raises
    ------
    InputError
        If its cells are of no exercise, or of the one that its name tells and of another as well.
    """
    shares = {name: release.share_in(cells) for name, release in releases.items()}
    most = max(shares, key=lambda name: shares[name])
    named = _named(names, releases)
    if shares[most] < _LEAST:
        raise InputError(
            f"hardly any of its cells is of {named or 'an exercise of this session'}; hand in the notebook "
            "of the pack."
        )
    if not named or shares[named] == shares[most]:
        return named or most, ""
    if shares[named] >= _LEAST:
        raise InputError(f"its name tells {named}, and its cells are of {most} as well; hand in one of them.")
    return most, named


def _named(names: Sequence[str], exercises: Collection[str]) -> str:
    """Return the exercise that the notebook's name tells, else a folder's; empty where none does."""
    for name in reversed(names):
        named = [exercise for exercise in exercises if exercise in name]
        if len(named) == 1:
            return named[0]
    return ""
