"""Where each trainee stands: hand-in, marks, what became of each item."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

import nbformat
from nbformat import NotebookNode
from nbgrader.api import Grade, MissingEntry

from warmside.marking.cells import grade_id
from warmside.marking.exercise import Exercise
from warmside.marking.marks import Outcome
from warmside.marking.noted import MarkNoted, RunNoted
from warmside.session import journal
from warmside.session.folder import Session
from warmside.session.hand_in import Received, received_hand_ins, that_counts
from warmside.session.journal import Entry, State, Task
from warmside.session.roster import Trainee


@dataclass(frozen=True)
class ItemStanding:
    """Marks of one item, as the gradebook has them, and what became of it."""

    name: str
    title: str
    score: float
    points: float
    outcome: Outcome
    mistake: str


@dataclass(frozen=True)
class Standing:
    """Where a trainee stands with an exercise.

    Attributes
    ----------
    trainee : Trainee
        Who.
    exercise : Exercise
        With what.
    hand_ins : tuple of Received
        All that came, the latest last.
    late : bool
        Whether the one that counts came after the due date. Shown, not punished.
    score : float or None
        Marks, None until marked.
    points : float
        Full marks.
    items : tuple of ItemStanding
        By item; empty until marked.
    boxed : bool
        Whether it was run in a box, as far as it was run.
    newer : bool
        Whether a hand-in has come since it was marked.
    entry : Entry or None
        What the journal of marking knows of it; None where it was marked by plain nbgrader, or not yet.
    """

    trainee: Trainee
    exercise: Exercise
    hand_ins: tuple[Received, ...]
    late: bool
    score: float | None
    points: float
    items: tuple[ItemStanding, ...]
    boxed: bool
    newer: bool
    entry: Entry | None

    @property
    def counting(self) -> Received | None:
        """The hand-in that counts; None where there is none."""
        return that_counts(self.hand_ins) if self.hand_ins else None

    @property
    def state(self) -> str:
        """In one or two words: not handed in, not marked, marked."""
        if not self.hand_ins:
            return "not handed in"
        if self.score is None:
            return State.NOT.value
        marked = self.entry.state.value if self.entry else State.MARKED.value
        if any(item.outcome is Outcome.WAITS for item in self.items):
            marked += ", by hand still to do"
        return f"{marked}, newer hand-in waits" if self.newer else marked

    @property
    def why(self) -> tuple[str, ...]:
        """Why it is partly marked or not, in sentences."""
        return self.entry.why if self.entry else ()


def standings(session: Session) -> list[Standing]:
    """Return where each trainee stands with each exercise, ordered by exercise, then trainee.

    Raises
    ------
    InputError
        If an exercise asks for other things now than it did when it was released.
    """
    due = session.due()
    by_task: dict[tuple[str, str], list[Received]] = defaultdict(list)
    for hand_in in received_hand_ins(session):
        by_task[hand_in.trainee, hand_in.exercise].append(hand_in)
    rows = []
    for exercise in session.exercises():
        session.demand_as_released(exercise)
        for trainee in session.trainees():
            hand_ins = tuple(by_task[trainee.id, exercise.name])
            came = datetime.fromisoformat(that_counts(hand_ins).at) if hand_ins else None
            task = Task(trainee.id, exercise.name)
            entry = journal.read(session, task)
            notebook = _marked(session, task) if entry is None or entry.ended else None
            items = _items(session, task, exercise, notebook) if notebook else ()
            rows.append(
                Standing(
                    trainee=trainee,
                    exercise=exercise,
                    hand_ins=hand_ins,
                    late=bool(due and came and came > due),
                    score=sum(item.score for item in items) if items else None,
                    points=exercise.points,
                    items=items,
                    boxed=notebook is None or RunNoted.of(notebook).boxed,
                    newer=bool(items) and not _is_of_the_latest(session, task, entry),
                    entry=entry,
                )
            )
    return rows


def _is_of_the_latest(session: Session, task: Task, entry: Entry | None) -> bool:
    if entry is not None:
        return entry.hand_in == journal.digest(session, task)
    stamps = [
        session.folder / step / task.trainee / task.exercise / "timestamp.txt"
        for step in ("submitted", "autograded")
    ]
    return all(stamp.is_file() for stamp in stamps) and stamps[0].read_text() == stamps[1].read_text()


def _marked(session: Session, task: Task) -> NotebookNode | None:
    path = session.folder / "autograded" / task.trainee / task.exercise / f"{task.exercise}.ipynb"
    return nbformat.read(path, as_version=4) if path.is_file() else None


def _items(
    session: Session, task: Task, exercise: Exercise, notebook: NotebookNode
) -> tuple[ItemStanding, ...]:
    cells = {grade_id(cell): cell for cell in notebook.cells}
    with session.gradebook() as gradebook:
        try:
            submission = gradebook.find_submission(task.exercise, task.trainee)
        except MissingEntry:
            return ()
        grades = {grade.name: grade for book in submission.notebooks for grade in book.grades}
        scores = {name: grade.score for name, grade in grades.items()}
        by_hand = {
            asked.name: _marked_by_hand(grades[asked.name])
            for asked in exercise.by_hand
            if asked.name in grades
        }
    standing = []
    for item in exercise.asked:
        became = MarkNoted.of(cells[item.name]) if item.name in cells else MarkNoted()
        standing.append(
            ItemStanding(
                item.name,
                item.title,
                float(scores.get(item.name) or 0.0),
                item.points,
                by_hand.get(item.name) or became.outcome,
                became.mistake,
            )
        )
    return tuple(standing)


def _marked_by_hand(grade: Grade) -> Outcome:
    """Return what became of an answer that a person marks; one never touched waits for nobody."""
    if grade.needs_manual_grade:
        return Outcome.WAITS
    return Outcome.UNANSWERED if grade.manual_score is None else Outcome.BY_HAND
