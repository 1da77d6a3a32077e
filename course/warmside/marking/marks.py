"""Marking: declared answers, a job card and an exercise in; marks with feedback out.

Pure, and needs no kernel. The key's value never appears in what it says.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from warmside.errors import InputError
from warmside.marking.exercise import Asked, Exercise, Job
from warmside.marking.job_card import JobCard
from warmside.marking.kinds import Answer
from warmside.marking.verdict import Verdict


class Outcome(StrEnum):
    """What became of one item."""

    RIGHT = "right"
    CARRIED = "right, carried on from an earlier value"
    PARTLY = "right in part"
    MISTAKE = "a known mistake"
    WRONG = "wrong"
    NOT_UNDERSTOOD = "not understood"
    UNANSWERED = "unanswered"
    BY_HAND = "marked by hand"
    WAITS = "not yet read"
    AGAIN = "to be read again, as the answer changed"


WAITING = (Outcome.WAITS, Outcome.AGAIN)
"""What a person has still to read."""


@dataclass(frozen=True)
class ItemMark:
    """Marks and feedback of one item.

    Attributes
    ----------
    item : str
        The item's name.
    title : str
        The item's few words.
    score, points : float
        Marks earned and full marks.
    outcome : Outcome
        What became of it.
    mistake : str
        The name of the mistake that explains it, or empty.
    feedback : tuple of str
        Sentences for the trainee: what was understood, what is off, one next step.
    """

    item: str
    title: str
    score: float
    points: float
    outcome: Outcome
    mistake: str
    feedback: tuple[str, ...]


def mark(answers: Mapping[str, str | None], card: JobCard, exercise: Exercise) -> tuple[ItemMark, ...]:
    """Mark declared answers against the job that the card sets.

    Parameters
    ----------
    answers : mapping of str to str
        The recorded text by item; an item that is missing or None is unanswered.
    card : JobCard
        The trainee's own card, as it was handed out.
    exercise : Exercise
        Items, keys and mistakes.

    Returns
    -------
    tuple of ItemMark
        In the order of the exercise.
    """
    read = {item.name: _read(item, answers.get(item.name)) for item in exercise.items}
    given = {name: one.value for name, one in read.items() if one.value is not None}
    own: dict[str, Answer] = {}
    marks = []
    for item in exercise.items:
        result = _mark_one(item, read[item.name], given, Job(exercise, card, own))
        if item.name in given and result.outcome is not Outcome.RIGHT:
            if item.carries(given[item.name]):
                own[item.name] = given[item.name]
            elif _is_built_on(item, exercise, card):
                result = replace(result, feedback=(*result.feedback, IMPOSSIBLE))
        marks.append(result)
    return tuple(marks)


IMPOSSIBLE = (
    "No card of this exercise leads to such a value, so nothing that is worked out from it earns marks."
)
"""Said of an answer that others are worked out from, where it lies beyond what some card may have."""


def _is_built_on(item: Asked, exercise: Exercise, card: JobCard) -> bool:
    """Tell whether a later item is worked out from this one."""
    job = Job(exercise, card)
    return any(item.name in later.constants(job).get("follows", ()) for later in exercise.items)


@dataclass(frozen=True)
class _Read:
    """What an item's text was taken for: a value, or a problem, or neither where there is no text."""

    value: Answer = None
    said: str = ""
    problem: str = ""


def _read(item: Asked, text: str | None) -> _Read:
    if text is None:
        return _Read()
    try:
        return _Read(*item.asks.understand(text))
    except InputError as problem:
        return _Read(problem=str(problem))


def _mark_one(item: Asked, read: _Read, given: Mapping[str, Answer], job: Job) -> ItemMark:
    if read.problem:
        return _unmarked(item, Outcome.NOT_UNDERSTOOD, read.problem, "Write it so, and it will be marked.")
    if read.value is None:
        return _unmarked(item, Outcome.UNANSWERED, "No answer was recorded for this item.")
    verdict = item.judge(read.value, given, job)
    score = round(min(max(verdict.share, 0.0), 1.0) * item.points, 2)
    feedback = (f"Understood: {read.said}.", *verdict.feedback)
    outcome = _outcome(verdict)
    return ItemMark(item.name, item.title, score, item.points, outcome, verdict.mistake, feedback)


def _unmarked(item: Asked, outcome: Outcome, *feedback: str) -> ItemMark:
    return ItemMark(item.name, item.title, 0.0, item.points, outcome, "", feedback)


def _outcome(verdict: Verdict) -> Outcome:
    if verdict.mistake:
        return Outcome.MISTAKE
    if verdict.share >= 1.0:
        return Outcome.CARRIED if verdict.carried else Outcome.RIGHT
    return Outcome.PARTLY if verdict.share > 0.0 else Outcome.WRONG
