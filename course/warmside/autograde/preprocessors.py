"""How marking plugs into nbgrader: preprocessors that its own configuration names.

`RepairHandIn` comes first when a hand-in is sanitised; `PlaceJobCard` and `MarkAnswers` stand around
nbgrader's own steps when it is marked. So ``nbgrader autograde``, the formgrader's button and our own
command give the same marks.
"""

import ast
import importlib
import re
from collections.abc import Iterable, Mapping
from copy import deepcopy
from pathlib import Path

import nbformat
from nbformat import NotebookNode
from nbgrader.preprocessors import NbGraderPreprocessor
from nbgrader.utils import compute_checksum
from traitlets import Unicode

from warmside.autograde.cleaning import clean_outputs, verbatim
from warmside.autograde.framing import card_cell, frame_outputs
from warmside.errors import InputError
from warmside.marking import feedback
from warmside.marking.cells import (
    ANSWER_SUFFIX,
    card_numbers,
    grade_id,
    is_answer,
    is_by_hand,
    recorded_answer,
)
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.frozen_card import WHAT_TO_DO, FrozenCard, frozen_card
from warmside.marking.marks import mark
from warmside.marking.noted import MarkNoted, RunNoted


class SessionPreprocessor(NbGraderPreprocessor):
    """A preprocessor that knows the session it works for."""

    session_folder = Unicode(help="The folder of the training session.").tag(config=True)

    def frozen_card(self, resources: dict) -> FrozenCard:
        """Return the job card of the trainee whose hand-in this is, as it was handed out."""
        of = resources["nbgrader"]
        return frozen_card(Path(self.session_folder), load_exercise(of["assignment"]), of["student"])


class RepairHandIn(SessionPreprocessor):
    """Put the locked cells of a hand-in back to what was handed out, and keep the trainee's own cells.

    What it had to mend is noted in the notebook, for the feedback to tell.
    """

    def preprocess(self, nb: NotebookNode, resources: dict) -> tuple[NotebookNode, dict]:
        """Repair one hand-in."""
        of = resources["nbgrader"]
        path = Path(self.session_folder) / "release" / of["assignment"] / f"{of['notebook']}.ipynb"
        release = nbformat.read(path, as_version=4)
        if missing := not_here(release.cells):
            raise InputError(
                f"{path.name} of this session was handed out by another version of Warmside: this one has "
                f"no {missing}, which its locked cells call. {WHAT_TO_DO}"
            )
        own_card = self.frozen_card(resources).card.number
        notes = []
        if card_numbers(nb.cells) - {own_card}:
            notes.append(
                f"This notebook was last run with another job card than yours ({own_card}). It was run again "
                "and marked with your own card."
            )
        nb.cells, mended = repaired(nb.cells, release.cells)
        nb.metadata = deepcopy(release.metadata)
        RunNoted(notes + mended).note(nb)
        return nb, resources


def not_here(cells: Iterable[NotebookNode]) -> str:
    """Return the first thing of Warmside that locked cells import and this version hasn't; empty for none.

    Without it they would record nothing, and answers would earn nothing.
    """
    for cell in cells:
        if cell.cell_type != "code" or is_answer(cell):
            continue
        for node in ast.walk(ast.parse(cell.source)):
            if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "warmside":
                for name in node.names:
                    if not _is_here(str(node.module), name.name):
                        return f"{node.module}.{name.name}"
    return ""


def _is_here(module: str, name: str) -> bool:
    try:
        return hasattr(importlib.import_module(module), name)
    except ImportError:
        return False


def repaired(cells: list[NotebookNode], released: list[NotebookNode]) -> tuple[list[NotebookNode], list[str]]:
    """Return a hand-in's cells with those of the release restored, and what was mended.

    Parameters
    ----------
    cells : list of NotebookNode
        The trainee's cells.
    released : list of NotebookNode
        The cells as handed out.

    Returns
    -------
    cells : list of NotebookNode
        Each released cell at most once, locked ones as handed out, missing locked ones back in their place;
        a copy of an answer cell stays as an ordinary cell, to be run where it stands.
    mended : list of str
        Sentences for the trainee.
    """
    known = {name: cell for cell in released if (name := grade_id(cell))}
    by_cell_id = {str(cell.get("id")): name for name, cell in known.items()}
    by_source = {cell.source.strip(): name for name, cell in known.items() if not is_answer(cell)}
    placed: dict[str, int] = {}
    result: list[NotebookNode] = []
    notes: list[str] = []
    names = [_name_of(cell, known, by_cell_id, by_source) for cell in cells]
    for at, (cell, name) in enumerate(zip(cells, names, strict=True)):
        if name is None or name in placed:
            if name is not None and is_answer(known[name]):
                notes.append(
                    f"The answer cell of {_item_of(name)} stands more than once; all were run, in the order "
                    "they stand in."
                )
            if name is None or is_answer(known[name]):
                result.append(_ordinary(cell))
            continue
        if name + ANSWER_SUFFIX in names[at:]:
            continue  # it would record before the answer stands
        fresh = deepcopy(known[name])
        if is_answer(fresh):
            fresh.source = cell.source
        placed[name] = len(result)
        result.append(fresh)
    for name, cell in reversed(known.items()):
        if name in placed:
            continue
        if is_answer(cell):
            notes.append(f"The answer cell of {_item_of(name)} is missing.")
            if not is_by_hand(cell):
                continue
        earlier = list(known)[: list(known).index(name)]
        at = max((placed[other] + 1 for other in earlier if other in placed), default=0)
        result.insert(at, deepcopy(cell))
        placed = {other: index + (index >= at) for other, index in placed.items()}
        if not is_answer(cell):
            notes.append(f"The locked cell {name} was not in its place and has been put back.")
    return _with_unique_ids(result), list(dict.fromkeys(notes))


def _name_of(
    cell: NotebookNode,
    known: Mapping[str, NotebookNode],
    by_cell_id: Mapping[str, str],
    by_source: Mapping[str, str],
) -> str | None:
    """Return which cell of the release this is, by what it says of itself, its id, or its source."""
    name = grade_id(cell)
    if name in known:
        return name
    return by_cell_id.get(str(cell.get("id"))) or by_source.get(cell.source.strip())


def _item_of(name: str) -> str:
    return name.removesuffix(ANSWER_SUFFIX)


def _ordinary(cell: NotebookNode) -> NotebookNode:
    if cell.cell_type not in ("code", "markdown"):
        return nbformat.v4.new_markdown_cell(cell.source)
    make = nbformat.v4.new_code_cell if cell.cell_type == "code" else nbformat.v4.new_markdown_cell
    return make(cell.source, id=cell.get("id", ""))


def _with_unique_ids(cells: list[NotebookNode]) -> list[NotebookNode]:
    seen: set[str] = set()
    for index, cell in enumerate(cells):
        wanted = str(cell.get("id", ""))
        if not re.fullmatch(r"[a-zA-Z0-9-_]{1,64}", wanted) or wanted in seen:
            cell["id"] = f"cell-{index}"
        seen.add(cell["id"])
    return cells


class PlaceJobCard(SessionPreprocessor):
    """Lay the trainee's own job card, as handed out, beside the notebook before it runs.

    Nothing runs where this version would mark answers on that card otherwise than the one that handed it out.
    """

    def preprocess(self, nb: NotebookNode, resources: dict) -> tuple[NotebookNode, dict]:
        """Write the card's files and keep the card for `MarkAnswers`."""
        frozen = self.frozen_card(resources)
        frozen.demand(load_exercise(resources["nbgrader"]["assignment"]))
        card, folder = frozen.card, Path(resources["metadata"]["path"])
        for name, text in card.as_files().items():
            (folder / name).write_text(text, encoding="utf-8")
        resources["job_card"] = card
        return nb, resources


class CleanHandIn(SessionPreprocessor):
    """Make what a stranger's kernel put out and what they wrote fit to show; declared answers are kept aside.

    Text cells of theirs are shown as typed; one that was never touched stays as it is, by which nbgrader
    knows that there is nothing to mark by hand.
    """

    def preprocess(self, nb: NotebookNode, resources: dict) -> tuple[NotebookNode, dict]:
        """Clean one executed notebook."""
        resources["answers"] = {
            name: recorded_answer(cell, name) for cell in nb.cells if (name := grade_id(cell)) is not None
        }
        for cell in nb.cells:
            clean_outputs(cell)
            frame_outputs(cell)
            if cell.cell_type == "markdown" and is_theirs(cell):
                cell.source = verbatim(cell.source)
                cell.pop("attachments", None)
        return nb, resources


def is_theirs(cell: NotebookNode) -> bool:
    """Tell whether what stands in a cell was written by the trainee."""
    if grade_id(cell) is None:
        return True
    return is_answer(cell) and cell.metadata.nbgrader.get("checksum") != compute_checksum(cell)


class MarkAnswers(SessionPreprocessor):
    """Mark the recorded answers and write marks and feedback into the graded cells."""

    def preprocess(self, nb: NotebookNode, resources: dict) -> tuple[NotebookNode, dict]:
        """Mark one executed notebook."""
        exercise = load_exercise(resources["nbgrader"]["assignment"])
        card, notes = resources["job_card"], RunNoted.of(nb).notes
        by_id = {grade_id(cell): cell for cell in nb.cells if grade_id(cell)}
        marks = mark(resources["answers"], card, exercise)
        for result in marks:
            cell = by_id[result.item]
            error = first_error(by_id.get(result.item + ANSWER_SUFFIX)) or first_error(cell)
            cell.outputs = feedback.outputs(result, error)
            answer = resources["answers"].get(result.item) or ""
            MarkNoted(result.outcome, result.mistake, answer).note(cell)
        for asked in exercise.by_hand:
            rubric = feedback.rubric_cell(asked, Job(exercise, card))
            nb.cells.insert(nb.cells.index(by_id[asked.name]), rubric)
        nb.cells[:0] = [feedback.summary_cell(exercise, card, marks, notes), card_cell(card)]
        return nb, resources


def first_error(cell: NotebookNode | None) -> str:
    """Return the name of the error that stopped a cell, or an empty text."""
    outputs = cell.get("outputs", []) if cell else []
    names = [str(output.get("ename", ""))[:60] for output in outputs if output.output_type == "error"]
    return names[0] if names else ""
