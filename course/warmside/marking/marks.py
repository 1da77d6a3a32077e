"""Marking: declared answers, a job card and an exercise in; marks with feedback out.

Pure, and needs no kernel. The key's value never appears in what it says.
"""

import math
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum

from warmside.errors import InputError
from warmside.marking.answers import understand
from warmside.marking.exercise import Answer, Exercise, Item, Job, Judged, Table
from warmside.marking.job_card import JobCard
from warmside.units import to_si


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
    WAITS = "waits to be marked by hand"


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
    table : Table or None
        What goes with it.
    """

    item: str
    title: str
    score: float
    points: float
    outcome: Outcome
    mistake: str
    feedback: tuple[str, ...]
    table: Table | None = None


def mark(answers: Mapping[str, str | None], card: JobCard, exercise: Exercise) -> tuple[ItemMark, ...]:
    """Mark declared answers against the job that the card sets.

    Parameters
    ----------
    answers : mapping of str to str
        The recorded text by item; an item that is missing or None is unanswered.
    card : JobCard
        The trainee's own card, drawn again by whoever marks.
    exercise : Exercise
        Items, keys and mistakes.

    Returns
    -------
    tuple of ItemMark
        In the order of the exercise.
    """
    marks: list[ItemMark] = []
    own: dict[str, Answer] = {}
    for item in exercise.items:
        if isinstance(item, Judged):
            marks.append(_judge(item, answers, Job(exercise, card)))
            continue
        given, result = _mark_item(item, answers.get(item.name), Job(exercise, card), own)
        if given is not None and result.outcome is not Outcome.RIGHT:
            own[item.name] = given
        marks.append(result)
    return tuple(marks)


def _judge(item: Judged, answers: Mapping[str, str | None], job: Job) -> ItemMark:
    text = answers.get(item.name)
    if text is None:
        return _unanswered(item)
    try:
        value, said = understand(text, item.kind, item.choices)
    except InputError as problem:
        return _not_understood(item, problem)
    verdict = item.judge(value, _understood(answers, job.exercise), job)
    if verdict.mistake:
        outcome = Outcome.MISTAKE
    elif verdict.share >= 1.0:
        outcome = Outcome.RIGHT
    else:
        outcome = Outcome.PARTLY if verdict.share > 0.0 else Outcome.WRONG
    score = round(min(max(verdict.share, 0.0), 1.0) * item.points, 2)
    feedback = (f"Understood: {said}.", *verdict.feedback)
    return ItemMark(
        item.name, item.title, score, item.points, outcome, verdict.mistake, feedback, verdict.table
    )


def _understood(answers: Mapping[str, str | None], exercise: Exercise) -> dict[str, Answer]:
    """Return what all judged items' answers state, for those that were understood."""
    values: dict[str, Answer] = {}
    for item in exercise.items:
        if isinstance(item, Judged) and (text := answers.get(item.name)) is not None:
            with suppress(InputError):
                values[item.name] = understand(text, item.kind, item.choices)[0]
    return values


def _unanswered(item: Item | Judged) -> ItemMark:
    said = ("No answer was recorded for this item.",)
    return ItemMark(item.name, item.title, 0.0, item.points, Outcome.UNANSWERED, "", said)


def _not_understood(item: Item | Judged, problem: InputError) -> ItemMark:
    said = (str(problem), "Write it so, and it will be marked.")
    return ItemMark(item.name, item.title, 0.0, item.points, Outcome.NOT_UNDERSTOOD, "", said)


def _mark_item(item: Item, text: str | None, job: Job, own: Mapping[str, Answer]) -> tuple[Answer, ItemMark]:
    def result(outcome: Outcome, share: float, *feedback: str, mistake: str = "") -> ItemMark:
        score = round(share * item.points, 2)
        return ItemMark(item.name, item.title, score, item.points, outcome, mistake, feedback)

    if text is None:
        return None, _unanswered(item)
    try:
        value, said = understand(text, item.kind, item.choices)
    except InputError as problem:
        return None, _not_understood(item, problem)
    given = value if item.kind == "choice" else to_si(value, item.kind)
    understood = f"Understood: {said}."

    if item.agrees(given, item.key(job)):
        return given, result(Outcome.RIGHT, 1.0, understood, "That is right.")
    if item.agrees(given, _carried_key(item, job, own)):
        return given, result(
            Outcome.CARRIED,
            1.0,
            understood,
            "That follows rightly from your own earlier value, so it earns full marks; mend the earlier one.",
        )
    matching = [mistake for mistake in item.mistakes if item.agrees(given, mistake.answer(job))]
    if len(matching) == 1:
        mistake = matching[0]
        return given, result(
            Outcome.MISTAKE,
            mistake.credit,
            understood,
            f"This looks like a known mistake: {mistake.name}.",
            mistake.next_step,
            mistake=mistake.name,
        )
    return given, result(Outcome.WRONG, 0.0, understood, how_far_off(item, given, item.key(job)), item.hint)


def _carried_key(item: Item, job: Job, own: Mapping[str, Answer]) -> Answer:
    """Return the answer that follows from the trainee's own earlier values, where any can be computed."""
    if not own:
        return None
    try:
        return item.key(Job(job.exercise, job.card, own))
    except (ArithmeticError, ValueError, TypeError):
        return None


def how_far_off(item: Item, given: Answer, right: Answer) -> str:
    """Say which of sign and magnitude failed and roughly how far, in words that don't give the value away."""
    if item.kind == "choice":
        return "That is not the choice that the readings support."
    if item.kind == "temperature":
        off, side = given - right, "warm" if given > right else "cold"
        if abs(off) < 3 * item.tolerance_at(right):
            return f"That is close, but too {side} by more than the tolerance."
        return f"That is too {side}, by {'some' if abs(off) < 10 else 'many'} degrees."
    if right == 0 or given == 0:
        return "That is not the right size."
    if given * right < 0:
        same_size = item.agrees(-given, right)
        return "The size is right, but the sign is not." if same_size else "The sign is not right."
    ratio = given / right
    powers = round(math.log10(ratio))
    if powers and item.agrees(given / 10.0**powers, right):
        return "The digits are right, but it is off by a power of ten."
    side, factor = ("large", ratio) if ratio > 1 else ("small", 1 / ratio)
    if factor < 1.2:
        return f"That is close, but too {side} by more than the tolerance."
    how = "up to two times" if factor < 2 else "two to ten times" if factor < 10 else "more than ten times"
    return f"That is too {side}, by {how}."
