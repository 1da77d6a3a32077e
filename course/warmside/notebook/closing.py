"""Closing an exercise: what is recorded, what is missing, and the one file to hand in.

It knows nothing of keys. What is asked stands in the notebook beside it; what was recorded, in this kernel
(`warmside.notebook.answers.declared`) and in the notebook as saved. A hand-in is the saved notebook, so
the two have to agree before it is written.
"""

import io
import json
import os
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from warmside.errors import InputError
from warmside.marking.cells import TEXT_STUB, Cell, grade_id, is_answer, is_graded, recorded_answer
from warmside.marking.job_card import FILE_NAME, JobCard, read_job_card
from warmside.notebook.answers import Declared, declared

RECORDED, MISSING, NOT_UNDERSTOOD, WRITTEN = "recorded", "missing", "not understood", "written"

_COARSEST_CLOCK = 2.0  # of the file times on a USB stick [s]
SAVE_FIRST = "Save the notebook (Ctrl+S, on a Mac Cmd+S), then try again."


@dataclass(frozen=True)
class Line:
    """What became of one question so far.

    Attributes
    ----------
    name : str
        The item.
    question : str
        The heading of the question.
    state : str
        One of `RECORDED`, `MISSING`, `NOT_UNDERSTOOD`, `WRITTEN`.
    said : str
        What was understood, or why it wasn't.
    saved : bool
        Whether the saved notebook holds what this kernel recorded.
    """

    name: str
    question: str
    state: str
    said: str
    saved: bool


@dataclass(frozen=True)
class Closing:
    """An exercise about to be handed in.

    Attributes
    ----------
    card : JobCard
        The job card beside the notebook.
    notebook : Path
        The notebook.
    lines : tuple of Line
        All that is asked, in its order.
    unsaved : str
        A sentence that says what the saved notebook lacks; empty where nothing.
    """

    card: JobCard
    notebook: Path
    lines: tuple[Line, ...]
    unsaved: str

    @property
    def missing(self) -> int:
        """How many questions have no answer that can be marked."""
        return sum(line.state in (MISSING, NOT_UNDERSTOOD) for line in self.lines)


def closing(folder: Path, answers: Mapping[str, Declared] = declared) -> Closing:
    """Return how an exercise stands.

    Parameters
    ----------
    folder : Path
        Where the notebook and its job card lie.
    answers : mapping of str to Declared, optional
        What was recorded; by default by this kernel.

    Raises
    ------
    InputError
        If there is no notebook or no job card, or they can't be read.
    """
    card = read_job_card(folder)
    path = _notebook_of(folder, card)
    try:
        cells = json.loads(path.read_text("utf-8"))["cells"]
        lines = tuple(_lines(cells, answers))
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(f"{path.name} is not a notebook that can be read; save it again.") from None
    return Closing(card, path, lines, _unsaved(lines, path, answers))


def write_hand_in(folder: Path, answers: Mapping[str, Declared] = declared) -> Path:
    """Write the file to hand in beside the notebook, and return where it lies.

    It is a zip with the notebook as saved and the job card, in a folder that carries the trainee's id.

    Raises
    ------
    InputError
        If the notebook isn't saved with what was recorded last, or something can't be read or written.
    """
    now = closing(folder, answers)
    if now.unsaved:
        raise InputError(f"{now.unsaved} {SAVE_FIRST}")
    name = f"{now.card.trainee}_{now.card.exercise}"
    path = folder / f"{name}.zip"
    draft = path.with_suffix(".part")
    try:
        files = {
            f"{name}/{now.card.exercise}.ipynb": now.notebook.read_bytes(),
            f"{name}/{FILE_NAME}": (folder / FILE_NAME).read_bytes(),
        }
        draft.write_bytes(_zipped(files))
        draft.replace(path)
    except OSError as problem:
        raise InputError(
            f"{path.resolve()} can't be written ({problem.strerror}); hand in the whole folder instead."
        ) from None
    return path


def _zipped(files: Mapping[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def _notebook_of(folder: Path, card: JobCard) -> Path:
    """Return the notebook beside the card, by the name that Jupyter gives it or else the exercise's own."""
    for name in (os.environ.get("JPY_SESSION_NAME", ""), f"{card.exercise}.ipynb"):
        path = folder / Path(name).name
        if path.suffix == ".ipynb" and path.is_file():
            return path
    raise InputError(
        f"{card.exercise}.ipynb is not beside its job card; give the notebook that name and keep them "
        "together."
    )


def _lines(cells: Sequence[Cell], answers: Mapping[str, Declared]) -> list[Line]:
    of = {name: cell for cell in cells if (name := grade_id(cell))}
    lines = []
    for name, cell in of.items():
        if not is_graded(cell):
            continue
        question = _heading(of.get(f"{name}_task")) or name
        if is_answer(cell):
            written = _source(cell).strip() not in ("", TEXT_STUB)
            said = "as last saved" if written else "nothing as last saved; the button saves it first"
            lines.append(Line(name, question, WRITTEN if written else MISSING, said, saved=True))
            continue
        on_disk = recorded_answer(cell, name)
        known = answers.get(name) or Declared(on_disk, on_disk or "", understood=True, at=0.0)
        state = MISSING if known.text is None else RECORDED if known.understood else NOT_UNDERSTOOD
        lines.append(Line(name, question, state, known.said, saved=known.text == on_disk))
    return lines


def _unsaved(lines: Sequence[Line], path: Path, answers: Mapping[str, Declared]) -> str:
    differing = [line.question.split(".")[0] for line in lines if not line.saved]
    if differing:
        named = ", ".join(differing[:-1]) + " and " + differing[-1] if len(differing) > 1 else differing[0]
        which = "questions" if len(differing) > 1 else "question"
        return f"The saved notebook does not hold your last answer to {which} {named}."
    last = max((one.at for one in answers.values()), default=0.0)
    if path.stat().st_mtime + _COARSEST_CLOCK < last:
        return "The notebook was not saved since you last ran an answer."
    return ""


def _heading(cell: Cell | None) -> str:
    lines = _source(cell).splitlines() if cell else []
    return next((line.strip("# ") for line in lines if line.startswith("#")), "")


def _source(cell: Cell) -> str:
    return "".join(cell.get("source", ""))
