"""What nbgrader's own feedback step adds to a page here; so the formgrader's button writes the same one."""

from pathlib import Path

from nbconvert.exporters.exporter import ResourcesDict
from nbformat import NotebookNode
from nbgrader.api import Gradebook
from traitlets import List

from warmside.autograde import hand_marks
from warmside.autograde.preprocessors import SessionPreprocessor
from warmside.errors import InputError
from warmside.marking import feedback
from warmside.marking.cells import grade_id, is_by_hand
from warmside.marking.exercise import Exercise, Job, load_exercise
from warmside.marking.kinds import Answer
from warmside.marking.marks import WAITING, Outcome
from warmside.marking.noted import MarkNoted
from warmside.session import decisions
from warmside.session.decisions import What


class FeedbackStep(SessionPreprocessor):
    """A step of ours on the way to a page."""

    display_data_priority: List = List(help="Set by nbconvert for all steps of a page.").tag(config=True)


class TellMarks(FeedbackStep):
    """Tell what each answer earned; of each that a person marks whether it was read, and what they changed.

    nbgrader's own step looks each cell up by itself; here all of them are read at once.
    """

    def preprocess(self, nb: NotebookNode, resources: ResourcesDict) -> tuple[NotebookNode, ResourcesDict]:
        """Put it where the page's template finds it; `waiting` are the points of what was not read."""
        of = resources["nbgrader"]
        with Gradebook(of["db_url"]) as gradebook:
            became = hand_marks.states(gradebook, of["assignment"], of["student"])
            book = gradebook.find_submission_notebook(of["notebook"], of["assignment"], of["student"])
            of["score"] = book.score - (book.late_submission_penalty or 0.0)
            of["max_score"] = book.max_score
            cells = hand_marks.cells_in(gradebook, of["assignment"])
            comments = {cells[one.cell_id].name: one.comment for one in book.comments}
        of["waiting"] = 0.0
        for cell in nb.cells:
            name, noted = str(grade_id(cell)), cell.metadata.get("nbgrader", {})
            if name in comments:
                noted["comment"] = comments[name] if comments[name] != hand_marks.NO_RESPONSE else None
            if name not in became:
                continue
            noted["score"], outcome = became[name]
            if outcome is None:
                continue
            if is_by_hand(cell):
                noted["state"] = outcome.name
                of["waiting"] += noted["points"] if outcome in WAITING else 0.0
            elif outcome is Outcome.BY_HAND:
                cell.outputs.append(feedback.by_hand(noted["score"], noted["points"]))
        return nb, resources


class ShowWhatIsRight(FeedbackStep):
    """Once the instructor released it, show under each answer what is right and the way to it.

    The marked notebook stays without.
    """

    def preprocess(self, nb: NotebookNode, resources: ResourcesDict) -> tuple[NotebookNode, ResourcesDict]:
        """Add it to a page."""
        made, name = decisions.noted(Path(self.session_folder)), resources["nbgrader"]["assignment"]
        if decisions.last(made, What.RELEASED, name) is None:
            return nb, resources
        exercise = load_exercise(name)
        job = Job(exercise, self.frozen_card(resources).card)
        cells = {grade_id(cell): cell for cell in nb.cells if grade_id(cell)}
        given = _given(exercise, cells)
        for asked in exercise.asked:
            if asked.name in cells:
                at = nb.cells.index(cells[asked.name]) + 1
                nb.cells.insert(at, feedback.right_cell(asked, job, given))
        return nb, resources


def _given(exercise: Exercise, cells: dict[str | None, NotebookNode]) -> dict[str, Answer]:
    """Return what was answered, as far as it was understood."""
    given = {}
    for item in exercise.items:
        text = MarkNoted.of(cells[item.name]).answer if item.name in cells else ""
        if text:
            try:
                given[item.name] = item.asks.understand(text)[0]
            except InputError:
                continue
    return given
