"""Which lessons a folder of notebooks has, what each asks, and which labs it calls."""

import ast
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import nbformat
from nbformat import NotebookNode

from warmside.errors import InputError
from warmside.show.self_check import checks

if TYPE_CHECKING:
    from warmside.show.lab import Lab

_LAB_MODULES = "warmside.show."
_MINUTES = re.compile(r"\*\*It takes\*\* about\s+(\d+)\s+minutes")
_EXERCISE = re.compile(r"do the exercise `(\w+)`")
_QUESTION = re.compile(r"^\*([^*]+)\*$", re.MULTILINE)
_SENTENCE = re.compile(r"[^.?!]+[.?!]+[\"”]?")


class LabCall(NamedTuple):
    """A lab that a lesson calls: the function's name, and the module that the lesson imports it from."""

    name: str
    module: str


@dataclass(frozen=True)
class Lesson:
    """A notebook that teaches.

    Attributes
    ----------
    path : Path
        Where it lies.
    title, question : str
        Its heading, and what it asks; the question is empty where it asks none.
    minutes : int
        How long it takes; 0 where it doesn't say.
    exercise : str
        The exercise that it leads to; empty where there is none.
    checks : int
        How many self-checks it has.
    labs : tuple of LabCall
        The labs that it calls, in order.
    """

    path: Path
    title: str
    question: str
    minutes: int
    exercise: str
    checks: int
    labs: tuple[LabCall, ...]

    @property
    def file(self) -> str:
        """Its file's name, such as ``"02_venting.ipynb"``."""
        return self.path.name

    @property
    def number(self) -> str:
        """Its two digits; empty for what is read further, beside the course."""
        digits = self.path.name[:2]
        return digits if digits.isdecimal() else ""


def lessons(course: Path) -> list[Lesson]:
    """Return the lessons of a folder, by number, then what is read further.

    Parameters
    ----------
    course : Path
        Where the notebooks lie.
    """
    found = [_lesson(path, path.stat().st_mtime_ns) for path in sorted(course.glob("*.ipynb"))]
    return sorted(found, key=lambda lesson: (not lesson.number, lesson.file))


@lru_cache(maxsize=100)
def _lesson(path: Path, changed: int) -> Lesson:
    del changed  # a notebook that was written again is read again
    notebook = nbformat.read(path, as_version=4)
    text = "\n\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    title = text.partition("\n")[0].removeprefix("# ").strip()
    digits = path.name[:2]
    return Lesson(
        path=path,
        title=title or path.stem,
        question=_question(text),
        minutes=int(found[1]) if (found := _MINUTES.search(text)) else 0,
        exercise=found[1] if (found := _EXERCISE.search(text)) else "",
        checks=_count_checks(digits) if digits.isdecimal() else 0,
        labs=tuple(call for cell in notebook.cells if (call := lab_called(cell))),
    )


def _question(text: str) -> str:
    """Return what the words in italics under the heading ask at last."""
    lead = _QUESTION.search(text.partition("\n## ")[0])
    asked = [one.strip() for one in _SENTENCE.findall(" ".join(lead[1].split()))] if lead else []
    return next((one for one in reversed(asked) if one.endswith("?")), "")


def _count_checks(module: str) -> int:
    try:
        return len(checks(module))
    except InputError:  # it has none
        return 0


def lab_called(cell: NotebookNode) -> LabCall | None:
    """Return the lab that a cell shows, or None.

    It is a cell that imports a function named ``..._lab`` from `warmside.show`, and ends by calling it.

    Examples
    --------
    >>> from nbformat.v4 import new_code_cell
    >>> source = "from warmside.show.odds import working_lab\\n\\nworking_lab()"
    >>> lab_called(new_code_cell(source))
    LabCall(name='working_lab', module='warmside.show.odds')
    """
    if cell.cell_type != "code" or "_lab()" not in cell.source:
        return None
    try:
        lines = ast.parse(cell.source).body
    except SyntaxError:  # such as a magic
        return None
    imported = {
        each.name: line.module
        for line in lines
        if isinstance(line, ast.ImportFrom) and (line.module or "").startswith(_LAB_MODULES)
        for each in line.names
    }
    last = ast.unparse(lines[-1])
    name = last.removesuffix("()")
    module = imported.get(name)
    return LabCall(name, module) if module and name.endswith("_lab") and last != name else None


def make_lab(call: LabCall) -> "Lab":
    """Return the lab that a lesson calls, as its notebook would."""
    return getattr(import_module(call.module), call.name)()
