"""Saving marks; those and the comments that a person gave are kept with the answer that they were given for.

nbgrader keeps a person's mark whatever becomes of the answer. Here it goes when the answer changes, and comes
back with the answer that was read. What was read lies in a table of ours in the gradebook, so that a copy of
the gradebook holds both, and all of it changes at once or not at all.
"""

import hashlib
from collections import defaultdict
from collections.abc import Mapping
from typing import Any, NamedTuple

from nbconvert.exporters.exporter import ResourcesDict
from nbformat import NotebookNode
from nbgrader.api import Assignment, BaseCell, Comment, Grade, Gradebook, Notebook
from nbgrader.preprocessors import NbGraderPreprocessor
from nbgrader.utils import determine_grade
from sqlalchemy import inspect, text
from sqlalchemy.orm import with_polymorphic

from warmside.marking.cells import ANSWER_SUFFIX, grade_id, is_answer, is_graded
from warmside.marking.marks import Outcome

NO_RESPONSE = "No response."
"""What nbgrader has a comment say of an answer that was never touched."""
_NAME = "warmside_read_answers"
_TABLE = f"""CREATE TABLE IF NOT EXISTS {_NAME} (
    trainee TEXT NOT NULL, exercise TEXT NOT NULL, cell TEXT NOT NULL, answer TEXT NOT NULL,
    stands INTEGER NOT NULL, score REAL, comment TEXT, PRIMARY KEY (trainee, exercise, cell, answer))"""
"""For each answer that stood in a cell: whether it stands there now, and what a person gave for it."""


class _Read(NamedTuple):
    """An answer that stood in a cell: whether it stands there now, and what a person gave for it."""

    stands: bool = False
    score: float | None = None
    comment: str | None = None


class SaveMarks(NbGraderPreprocessor):
    """Save the marks of a hand-in, and let each that a person gave stand for its answer alone.

    nbgrader's own step looks each cell up and writes it by itself; here all of them are written at once.
    """

    def preprocess(self, nb: NotebookNode, resources: ResourcesDict) -> tuple[NotebookNode, ResourcesDict]:
        """Save the marks of one hand-in; the notebook stays as it is."""
        of = resources["nbgrader"]
        with Gradebook(of["db_url"]) as gradebook:
            gradebook.db.execute(text(_TABLE))
            known = _known(gradebook, of["assignment"], of["student"])
            book = gradebook.find_submission_notebook(of["notebook"], of["assignment"], of["student"])
            names = cells_in(gradebook, of["assignment"])
            grades = {names[grade.cell_id].name: grade for grade in book.grades}
            comments = {names[comment.cell_id].name: comment for comment in book.comments}
            cells = {grade_id(cell): cell for cell in nb.cells}
            for name, grade in grades.items():
                grade.auto_score, _ = determine_grade(cells[name], self.log)
            for name, answer in answers_in(nb).items():
                known[name] = _keep(known[name], answer, grades.get(name), comments.get(name))
            rows = [
                {"trainee": of["student"], "exercise": of["assignment"], "cell": name, "answer": answer}
                | read._asdict()
                for name, answers in known.items()
                for answer, read in answers.items()
            ]
            values = ":trainee, :exercise, :cell, :answer, :stands, :score, :comment"
            gradebook.db.execute(text(f"INSERT OR REPLACE INTO {_NAME} VALUES ({values})"), rows)
            gradebook.db.commit()
        return nb, resources


def _keep(
    known: Mapping[str, _Read], now: str, grade: Grade | None, comment: Comment | None
) -> dict[str, _Read]:
    """Give an answer what was given for it before, and return all answers that are known of its cell.

    Parameters
    ----------
    known : mapping of str to _Read
        The answers that stood there.
    now : str
        The one that stands there now.
    grade : Grade or None
        The cell's marks; what a person gave is for the answer that stood there before.
    comment : Comment or None
        What a person said to it.
    """
    score, said = grade and grade.manual_score, (comment and comment.manual_comment) or None
    before = next((answer for answer, read in known.items() if read.stands), "")
    kept = {answer: read._replace(stands=False) for answer, read in known.items()}
    if before or score is not None or said:
        kept[before] = _Read(False, score, said)
    kept[now] = kept.get(now, _Read())._replace(stands=True)
    if grade:
        grade.manual_score = score = kept[now].score
        others = any(read.score is not None for answer, read in kept.items() if answer != now)
        grade.needs_manual_grade = score is None and (grade.auto_score is None or others)
    if comment:
        comment.auto_comment, comment.manual_comment = None, kept[now].comment
    return kept


def _digest(source: str) -> str:
    """Return what tells an answer from another; how it is set out doesn't."""
    words = "".join(source.split()).encode("utf-8", "surrogatepass")
    return hashlib.sha256(words).hexdigest()[:16]


def _known(gradebook: Gradebook, exercise: str, trainee: str) -> dict[str, dict[str, _Read]]:
    """Return by cell the answers that stood there; none where a gradebook has no table of them yet."""
    known: dict[str, dict[str, _Read]] = defaultdict(dict)
    if inspect(gradebook.engine).has_table(_NAME):
        asked = f"SELECT * FROM {_NAME} WHERE trainee = :trainee AND exercise = :exercise"
        rows = gradebook.db.execute(text(asked), {"trainee": trainee, "exercise": exercise})
        for _, _, cell, answer, stands, score, comment in rows:
            known[cell][answer] = _Read(bool(stands), score, comment)
    return known


def states(gradebook: Gradebook, exercise: str, trainee: str) -> dict[str, tuple[float, Outcome | None]]:
    """Return by cell its marks, and what became of it by hand.

    Returns
    -------
    dict of str to (float, Outcome or None)
        The outcome is None where nobody has marked it or has to; of an answer in words it is never None.

    Raises
    ------
    MissingEntry
        If nothing is in the gradebook.
    """
    submission = gradebook.find_submission(exercise, trainee)
    read_before = {
        cell
        for cell, answers in _known(gradebook, exercise, trainee).items()
        if any(not read.stands and read.score is not None for read in answers.values())
    }
    cells = cells_in(gradebook, exercise)
    grades = [(cells[grade.cell_id], grade) for book in submission.notebooks for grade in book.grades]
    return {
        cell.name: (float(grade.score or 0.0), _became(cell, grade, read_before)) for cell, grade in grades
    }


def _became(cell: BaseCell, grade: Grade, read_before: set[str]) -> Outcome | None:
    if grade.needs_manual_grade:
        return Outcome.AGAIN if cell.name in read_before else Outcome.WAITS
    if grade.manual_score is not None:
        return Outcome.BY_HAND
    return Outcome.UNANSWERED if cell.cell_type == "markdown" else None


def cells_in(gradebook: Gradebook, exercise: str) -> dict[str, BaseCell]:
    """Return an exercise's cells by the gradebook's own id, at once; else each mark looks for its own."""
    every: Any = with_polymorphic(BaseCell, "*")
    cells = gradebook.db.query(every).join(every.notebook).join(Notebook.assignment)
    return {cell.id: cell for cell in cells.filter(Assignment.name == exercise)}


def answers_that_stand(gradebook: Gradebook, exercise: str, trainee: str) -> dict[str, str]:
    """Return what tells the answer that stands in each cell, as the gradebook has it."""
    known = _known(gradebook, exercise, trainee)
    return {cell: answer for cell in known for answer, read in known[cell].items() if read.stands}


def answers_in(nb: NotebookNode) -> dict[str, str]:
    """Return what tells the answer that stands in each cell, as a marked notebook has it."""
    sources = {name: cell.source for cell in nb.cells if (name := grade_id(cell))}
    return {
        name: _digest(sources[name] if is_answer(cell) else sources.get(name + ANSWER_SUFFIX, ""))
        for cell in nb.cells
        if (name := grade_id(cell)) and (is_answer(cell) or is_graded(cell))
    }


def remove(gradebook: Gradebook, trainee: str) -> None:
    """Remove all that is kept of a trainee's answers."""
    if inspect(gradebook.engine).has_table(_NAME):
        gradebook.db.execute(text(f"DELETE FROM {_NAME} WHERE trainee = :trainee"), {"trainee": trainee})
        gradebook.db.commit()
