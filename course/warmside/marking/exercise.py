"""What an exercise's author writes down: its items, their keys, the mistakes worth naming, the job card.

These live in ``solutions_private/NAME/items.py`` and never leave the instructor's machine.
"""

import importlib
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any, ClassVar

from warmside import project
from warmside.errors import InputError
from warmside.marking.job_card import PRACTICE, Draw, Entry, JobCard, keyed, numbered
from warmside.marking.kinds import Answer, AnswerKind, kind_of
from warmside.marking.verdict import Verdict

SEPARATION = 3.0
"""Truth and mistakes lie more than this many tolerances apart on every card that is handed out."""

MOST_DRAWS = 1000

RIGHT = "the right answer"
_CARRIED = "That follows rightly from your own earlier value, so it earns full marks; mend the earlier one."
_DECIDED = (
    "That follows rightly from your own earlier value, which is wrong, so it earns half: a decision has to "
    "be right for the refrigerator that stands there."
)
DECIDED_SHARE = 0.5
"""What a decision that is right by the trainee's own earlier values alone earns."""


class Job:
    """One trainee's job, as keys and mistakes see it.

    Parameters
    ----------
    exercise : Exercise
        What is asked.
    card : JobCard
        The trainee's numbers.
    own : mapping of str to Answer, optional
        Values that the trainee gave for earlier items; where one stands here it takes the place of the key,
        so that a later item can be marked with the trainee's own earlier value.
    """

    def __init__(self, exercise: "Exercise", card: JobCard, own: Mapping[str, Answer] | None = None) -> None:
        self.exercise = exercise
        self.card = card
        self.own = own or {}
        self._asked_for: dict[str, None] = {}

    def __getitem__(self, name: str) -> float:
        """Return the line `name` of the job card in SI units."""
        return self.card.si(name)

    def value(self, name: str) -> Any:
        """Return the answer to the item `name`: the trainee's own where given, else the right one."""
        self._asked_for[name] = None
        return self.own[name] if name in self.own else self.exercise.item(name).key(self)

    def by_the_card(self) -> "Job":
        """Return the same job with nothing of the trainee's own in it."""
        return Job(self.exercise, self.card)

    def asked_for(self) -> tuple[str, ...]:
        """Return the names of the items whose answers were looked up so far."""
        return tuple(self._asked_for)


@dataclass(frozen=True)
class Mistake:
    """A wrong path that people take, recomputed on the same job.

    Attributes
    ----------
    name : str
        What it is called in feedback and report, such as ``"°F taken as °C"``.
    next_step : str
        One sentence that tells the trainee what to look at.
    answer : callable
        From a `Job` to the answer it leads to, in SI units or as a letter; None where it can't happen.
    credit : float
        The share of the marks that it still earns.
    """

    name: str
    next_step: str
    answer: Callable[[Job], Answer]
    credit: float = 0.0


@dataclass(frozen=True)
class Item:
    """One thing that is asked.

    Attributes
    ----------
    name : str
        The variable that the trainee fills in; also the locked cell's nbgrader id.
    title : str
        A few words for tables.
    kind : str
        A kind of quantity (`warmside.units.KINDS`), or ``"choice"``.
    points : float
        Full marks.
    key : callable
        From a `Job` to the right answer, in SI units or as a letter.
    hint : str
        The next step when no listed mistake explains a wrong answer.
    tolerance : str
        How far off still counts: a share such as ``"2 %"``, or a quantity such as ``"0.5 °F"``.
    why : str
        Where the tolerance comes from.
    choices : tuple of str
        The letters, for a choice.
    mistakes : tuple of Mistake
        The wrong paths worth naming.
    could_be : tuple of str
        The lowest and the highest number, with units, that may stand on some card, generously; a wrong answer
        carries on to later items from between them alone, and from nowhere without them.
    decides : callable or None
        Of a verdict or a decision, from a `Job` and an answer that isn't true of it: one sentence that says
        what is, without a number. An answer that is right by the trainee's own earlier values alone is told
        so, and earns half.
    """

    name: str
    title: str
    kind: str
    points: float
    key: Callable[[Job], Answer]
    hint: str
    tolerance: str = ""
    why: str = ""
    choices: tuple[str, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    could_be: tuple[str, ...] = ()
    decides: Callable[[Job, Any], str] | None = None

    @cached_property
    def asks(self) -> AnswerKind:
        """The kind of answer, with its tolerance."""
        return kind_of(self.kind, self.choices, self.tolerance)

    def paths(self, job: Job) -> list[tuple[str, Answer]]:
        """Return what answers can be come to on a job, by name: the right one, then those of mistakes."""
        wrong = [(mistake.name, mistake.answer(job)) for mistake in self.mistakes]
        return [(RIGHT, self.key(job)), *((name, value) for name, value in wrong if value is not None)]

    def constants(self, job: Job) -> dict[str, Any]:
        """Return what is expected on a job, as plain data; ``follows`` are the items that the key uses."""
        watched = job.by_the_card()
        key = self.key(watched)
        return {
            "answer": self.asks.rounded(key),
            "tolerance": self.tolerance,
            "hint": self.hint,
            "follows": [name for name in watched.asked_for() if name != self.name],
            "mistakes": [
                {
                    "name": one.name,
                    "next_step": one.next_step,
                    "credit": one.credit,
                    "answer": self.asks.rounded(answer),
                }
                for one in self.mistakes
                if (answer := one.answer(job)) is not None
            ],
        }

    def judge(self, answer: Answer, given: Mapping[str, Answer], job: Job) -> Verdict:
        """Judge an answer: right, following from the trainee's own earlier values, a mistake, or wrong."""
        plain = job.by_the_card()
        right = self.key(plain)
        if self.asks.agrees(answer, right):
            return Verdict(1.0, ("That is right.",))
        if self.asks.agrees(answer, self._carried(job)):
            if self.decides:
                return Verdict(DECIDED_SHARE, (_DECIDED, self.decides(plain, answer)), carried=True)
            return Verdict(1.0, (_CARRIED,), carried=True)
        matching = [one for one in self.mistakes if self.asks.agrees(answer, one.answer(plain))]
        if len(matching) == 1:  # else nobody can tell which it was
            mistake = matching[0]
            said = f"This looks like a known mistake: {mistake.name}."
            return Verdict(mistake.credit, (said, mistake.next_step), mistake.name)
        return Verdict(0.0, (self.asks.how_far_off(answer, right), self.hint))

    def carries(self, answer: Answer) -> bool:
        """Tell whether later items may be worked out from this answer though it isn't the right one."""
        return self.asks.lies_within(answer, self.could_be)

    def _carried(self, job: Job) -> Answer:
        """Return the answer that follows from the trainee's own earlier values, where any can be computed."""
        if not job.own:
            return None
        try:
            return self.key(job)
        except (ArithmeticError, ValueError, TypeError):
            return None


@dataclass(frozen=True)
class Judged:
    """One thing that is asked and has more than one right answer, or answers that are right in part.

    Attributes
    ----------
    name, title, points
        As of an `Item`.
    kind : str
        ``"choice"``, or ``"names"`` for a list.
    choices : tuple of str
        The letters or names to choose from.
    judge : callable
        From the answer, all understood answers by item, and the `Job` to a `Verdict`.
    granted : callable
        From a `Job` to other answers, by item, that are taken to be given where it is judged by itself.
    """

    name: str
    title: str
    kind: str
    points: float
    choices: tuple[str, ...]
    judge: Callable[[Any, Mapping[str, Any], Job], Verdict]
    granted: Callable[[Job], Mapping[str, Answer]] = lambda job: {}
    mistakes: ClassVar[tuple[Mistake, ...]] = ()

    @cached_property
    def asks(self) -> AnswerKind:
        """The kind of answer."""
        return kind_of(self.kind, self.choices)

    def key(self, job: Job) -> Answer:
        """Raise TypeError: there is no one right answer that a later item could be computed from."""
        raise TypeError(f"{self.name} is judged; it has no one right answer.")

    def paths(self, job: Job) -> list[tuple[str, Answer]]:
        """Return nothing: there is no one right answer."""
        return []

    def carries(self, answer: Answer) -> bool:
        """Tell that nothing is worked out from it, for the same reason."""
        return False

    def constants(self, job: Job) -> dict[str, Any]:
        """Return nothing, for the same reason."""
        return {}


Asked = Item | Judged
"""What a machine marks."""


@dataclass(frozen=True)
class ByHand:
    """One thing that is asked in words and marked by a person, in nbgrader's formgrader.

    Attributes
    ----------
    name : str
        The nbgrader id of the text cell that the trainee fills in.
    title : str
        A few words for tables.
    points : float
        Full marks.
    rubric : callable
        From a `Job` to sentences: what is true of this job, and what earns marks. The formgrader shows them
        above the answer, no trainee's page does.
    """

    name: str
    title: str
    points: float
    rubric: Callable[[Job], tuple[str, ...]]


@dataclass(frozen=True)
class Exercise:
    """An exercise: its items and how its job cards are drawn.

    Attributes
    ----------
    name : str
        The folder's name, and nbgrader's assignment.
    title : str
        What people call it.
    items : tuple of Asked
        In the order of the notebook.
    draw : callable
        From a `Draw` to the card's lines and further files.
    by_hand : tuple of ByHand
        What a person marks, after all items.
    needs_bank : bool
        Whether drawing and marking need the bank of simulated cases, which takes a while to make, once.
    with_practice : callable
        From the practice card's `Job` to further files, by name, that go with it and with no other card.
    """

    name: str
    title: str
    items: tuple[Asked, ...]
    draw: Callable[[Draw], tuple[tuple[Entry, ...], dict[str, str]]] = field(repr=False)
    by_hand: tuple[ByHand, ...] = ()
    needs_bank: bool = False
    with_practice: Callable[[Job], Mapping[str, str]] = field(default=lambda job: {}, repr=False)

    @property
    def asked(self) -> tuple[Asked | ByHand, ...]:
        """All that earns marks, in the order of the notebook."""
        return (*self.items, *self.by_hand)

    @property
    def points(self) -> float:
        """Full marks of the whole exercise."""
        return sum(asked.points for asked in self.asked)

    @cached_property
    def _by_name(self) -> dict[str, Asked]:
        return {item.name: item for item in self.items}

    def item(self, name: str) -> Asked:
        """Return the item called `name`; KeyError if there is none."""
        return self._by_name[name]

    def job_card(self, secret: bytes, trainee: str) -> JobCard:
        """Draw a trainee's job card: the same one for the same secret and trainee, by the same exercise.

        What was handed out in a session is kept there (`frozen_card`), and isn't drawn again.

        A draw on which a mistake could be taken for the truth or for another mistake is thrown away, and the
        next one is taken.
        """
        for attempt in range(MOST_DRAWS):
            entries, files = self.draw(Draw(keyed(secret, trainee, self.name, str(attempt))))
            card = JobCard(self.name, trainee, "", entries, files)
            if not self.confusable(card):
                return numbered(card, secret)
        raise RuntimeError(f"{self.name}: {MOST_DRAWS} draws gave no job card that can be marked fairly.")

    @lru_cache(maxsize=64)  # noqa: B019, as there are a few exercises, which stay
    def practice_card(self) -> JobCard:
        """Return the one card that everybody has without a session."""
        return self.job_card(PRACTICE.encode(), PRACTICE)

    def confusable(self, card: JobCard) -> list[tuple[str, str, str]]:
        """Return (item, one, other) for all pairs of truth and mistakes that lie too close on this card."""
        job = Job(self, card)
        pairs = []
        for item in self.items:
            paths = item.paths(job)
            pairs += [
                (item.name, one, other)
                for index, (one, first) in enumerate(paths)
                for other, second in paths[index + 1 :]
                if item.asks.agrees(first, second, SEPARATION) or item.asks.agrees(second, first, SEPARATION)
            ]
        return pairs


def load_exercise(name: str) -> Exercise:
    """Load an exercise from its private source.

    Raises
    ------
    InputError
        If there is no exercise of that name.
    """
    if name not in project.exercise_names():
        known = ", ".join(project.exercise_names())
        raise InputError(f"There is no exercise “{name}”; the exercises are: {known}.")
    return _items(project.root() / "solutions_private" / name).EXERCISE


def private_part(exercise: str, part: str) -> ModuleType:
    """Load a module beside an exercise's items, which trainees don't have.

    Raises
    ------
    InputError
        If there is no such exercise here.
    """
    load_exercise(exercise)
    return importlib.import_module(f"warmside_private_{exercise}.{part}")


@lru_cache(maxsize=64)
def _items(folder: Path) -> ModuleType:
    """Import an exercise's items.py as part of a package, so that it can import what lies beside it."""
    package = ModuleType(f"warmside_private_{folder.name}")
    package.__path__ = [str(folder)]
    for name in [name for name in sys.modules if name.startswith(f"{package.__name__}.")]:
        del sys.modules[name]  # of an exercise of the same name in another project
    sys.modules[package.__name__] = package
    importlib.invalidate_caches()
    return importlib.import_module(f"{package.__name__}.items")
