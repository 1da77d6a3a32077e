"""Where each trainee stands: hand-in, marks, what became of each item."""

from dataclasses import dataclass
from datetime import datetime

import nbformat
from nbformat import NotebookNode
from nbgrader.api import MissingEntry

from warmside.autograde import hand_marks
from warmside.marking.cells import grade_id
from warmside.marking.exercise import ByHand, Exercise
from warmside.marking.marks import WAITING, Outcome
from warmside.marking.noted import MarkNoted, RunNoted
from warmside.session import decisions, journal
from warmside.session.decisions import What
from warmside.session.folder import Session
from warmside.session.journal import Entry, State, Task
from warmside.session.received import HandIns, Received, all_hand_ins
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
    which : HandIns
        All that came, and which of it counts.
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
    excused : bool
        Whether the instructor excused them.
    """

    trainee: Trainee
    exercise: Exercise
    which: HandIns
    late: bool
    score: float | None
    points: float
    items: tuple[ItemStanding, ...]
    boxed: bool
    newer: bool
    entry: Entry | None
    excused: bool = False

    @property
    def hand_ins(self) -> tuple[Received, ...]:
        """All that came, the latest last."""
        return self.which.all

    @property
    def counting(self) -> Received | None:
        """The hand-in that counts; None where none does."""
        return self.which.counting

    @property
    def state(self) -> str:
        """In one or two words: not handed in, not marked, marked."""
        if not self.hand_ins:
            return "excused" if self.excused else "not handed in"
        if self.counting is None:
            said = "none counts until you choose"
        elif self.score is None:
            said = State.NOT.value
        else:
            said = self.entry.state.value if self.entry else State.MARKED.value
        became = {item.outcome for item in self.items}
        said += ", by hand still to do" if Outcome.WAITS in became else ""
        said += ", to be read again" if Outcome.AGAIN in became else ""
        said += ", newer hand-in waits" if self.newer else ""
        return said + (", excused" if self.excused else "")

    @property
    def waiting(self) -> float:
        """Points of what nobody has read yet, or as it is now."""
        return sum(item.points for item in self.items if item.outcome in WAITING)

    @property
    def to_look_at(self) -> tuple[str, ...]:
        """What the instructor should look at, in sentences."""
        counting, choose = self.counting, f"warmside session choose … {self.trainee.id} {self.exercise.name}"
        said = []
        if counting and counting.other_cards:
            said.append(f"Made with another job card: {', '.join(counting.other_cards)}.")
        if counting and counting.named:
            said.append(f"Its name tells {counting.named}, and its cells are of {self.exercise.name}.")
        for one in self.hand_ins:
            if doubt := self.which.doubts.get(one.name):
                came = f"{datetime.fromisoformat(one.at).astimezone():%Y-%m-%d %H:%M}"
                said.append(f"What came at {came} doesn't count: {doubt} ({choose}).")
        said += [f"To be read again: {item.title}." for item in self.items if item.outcome is Outcome.AGAIN]
        return (*said, *self.why)

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
    due, made, hand_ins = session.due(), decisions.noted(session.folder), all_hand_ins(session)
    rows = []
    for exercise in session.exercises():
        session.demand_as_released(exercise)
        for trainee in session.trainees():
            which = hand_ins.get((trainee.id, exercise.name), HandIns())
            task = Task(trainee.id, exercise.name)
            entry = journal.read(session, task)
            shown = which.counting is not None and (entry is None or entry.ended)
            notebook = _marked(session, task) if shown else None
            items = _items(session, task, exercise, notebook) if notebook else ()
            rows.append(
                Standing(
                    trainee=trainee,
                    exercise=exercise,
                    which=which,
                    late=_is_late(which.counting, decisions.due_for(due, made, exercise.name, trainee.id)),
                    score=sum(item.score for item in items) if items else None,
                    points=exercise.points,
                    items=items,
                    boxed=notebook is None or RunNoted.of(notebook).boxed,
                    newer=bool(items) and not _is_of_the_latest(session, task, entry),
                    entry=entry,
                    excused=decisions.last(made, What.EXCUSED, exercise.name, trainee.id) is not None,
                )
            )
    return rows


def _is_late(counting: Received | None, due: datetime | None) -> bool:
    return bool(counting and due and datetime.fromisoformat(counting.at) > due)


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
            states = hand_marks.states(gradebook, task.exercise, task.trainee)
        except MissingEntry:
            return ()
    standing = []
    for item in exercise.asked:
        became = MarkNoted.of(cells[item.name]) if item.name in cells else MarkNoted()
        score, by_hand = states.get(item.name, (0.0, None))
        outcome = by_hand if isinstance(item, ByHand) or by_hand is Outcome.AGAIN else None
        standing.append(
            ItemStanding(item.name, item.title, score, item.points, outcome or became.outcome, became.mistake)
        )
    return tuple(standing)
