"""What a practice card expects, as plain data: so that practice is marked at once, by marking's own code.

The data hold numbers, letters and sentences of the practice card alone. They become an `Exercise` again whose
keys and mistakes are constants, and `warmside.marking.marks.mark` marks with that. What has the same answer
on every card isn't in them, since it would answer other cards too; it and what only a person can judge is
listed by name.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations
from pathlib import Path
from typing import Any

from warmside.errors import InputError
from warmside.marking.exercise import Answer, Exercise, Item, Job, Judged, Mistake, Verdict
from warmside.marking.job_card import JobCard
from warmside.marking.marks import ItemMark, Outcome, mark

FILE_NAME = "practice.json"
NOTE = "Made for the practice card alone, whose numbers are invented; it says nothing of any other card."
MOST_NAMES = 10
"""Lists of more names than that have too many answers to write all of them down."""

_OTHER_CARDS = 8  # by chance a key is the same on all of these once in hundreds; then it is left out
_FIGURES = 7  # far finer than any tolerance, and the same on every machine

SAME_FOR_ALL = "it is the same on every card, so it is told when your instructor marks"
TOO_MANY = "it is judged together with all that you read"
IN_WORDS = "it is read and marked by a person"
BY_ITSELF = "That is by itself. Your instructor's marking looks at it together with your other answers."
_HOW = {1.0: "Taken by itself, that is right.", 0.0: "Taken by itself, that is not right."}


@dataclass(frozen=True)
class Practice:
    """What can be marked at once on the practice card.

    Attributes
    ----------
    exercise : Exercise
        The items that can, with constants for keys.
    card_number : str
        Which card they are for.
    follows : mapping of str to tuple of str
        By item, the earlier items whose answers it is computed from.
    left : tuple of (str, str)
        Title of each thing that is left to the instructor, and why.
    """

    exercise: Exercise
    card_number: str
    follows: Mapping[str, tuple[str, ...]]
    left: tuple[tuple[str, str], ...]


# --- writing it down ---------------------------------------------------------------------------------------


def practice_data(exercise: Exercise) -> dict[str, Any]:
    """Return what the practice card of an exercise expects, as data for JSON."""
    card = exercise.practice_card()
    others = [exercise.job_card(b"other cards", str(number)) for number in range(_OTHER_CARDS)]
    items, left = [], []
    for item in exercise.items:
        write = _judged if isinstance(item, Judged) else _computed
        written = write(item, Job(exercise, card))
        if written is None:
            left.append((item.title, TOO_MANY))
        elif all(_decides(write(item, Job(exercise, other))) == _decides(written) for other in others):
            left.append((item.title, SAME_FOR_ALL))
        else:
            items.append(written)
    left += [(asked.title, IN_WORDS) for asked in exercise.by_hand]
    return {
        "note": NOTE,
        "exercise": exercise.name,
        "title": exercise.title,
        "card": card.number,
        "items": items,
        "left": left,
    }


def as_text(data: Mapping[str, Any]) -> str:
    """Return practice data as the text of its file."""
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def _asked(item: Item | Judged) -> dict[str, Any]:
    names = ("name", "title", "kind", "points")
    return {name: getattr(item, name) for name in names} | {"choices": " ".join(item.choices)}


def _computed(item: Item, job: Job) -> dict[str, Any]:
    watched = _Watched(job.exercise, job.card)
    key = item.key(watched)
    mistakes = [
        {"name": one.name, "next_step": one.next_step, "credit": one.credit, "answer": _rounded(answer)}
        for one in item.mistakes
        if (answer := one.answer(job)) is not None
    ]
    return _asked(item) | {
        "answer": _rounded(key),
        "tolerance": item.tolerance,
        "hint": item.hint,
        "follows": [name for name in watched.used if name != item.name],
        "mistakes": mistakes,
    }


def _judged(item: Judged, job: Job) -> dict[str, Any] | None:
    """Return the verdict on each answer that can be given, or None where there are too many."""
    if len(item.choices) > MOST_NAMES and item.kind == "names":
        return None
    verdicts: dict[Verdict, list[str]] = {}
    for answer in _possible(item):
        others = _OtherAnswers({item.name: answer})
        verdict = replace(item.judge(answer, others, job), table=None)
        if others.missed:
            how = _HOW.get(verdict.share, "Taken by itself, that is right in part.")
            verdict = replace(verdict, feedback=(how, BY_ITSELF))
        verdicts.setdefault(verdict, []).append(answer if item.kind == "choice" else ",".join(answer))
    return _asked(item) | {
        "verdicts": [
            {
                "share": one.share,
                "feedback": one.feedback,
                "mistake": one.mistake,
                "answers": " ".join(answers),
            }
            for one, answers in verdicts.items()
        ]
    }


def _possible(item: Judged) -> Iterator[str | tuple[str, ...]]:
    if item.kind == "choice":
        yield from item.choices
        return
    for count in range(1, len(item.choices) + 1):
        yield from combinations(item.choices, count)


def _decides(written: Mapping[str, Any]) -> Any:
    """Return what of an item would help with another card."""
    if "verdicts" in written:
        return [(verdict["share"], verdict["answers"]) for verdict in written["verdicts"]]
    return written["answer"]


def _rounded(value: Answer) -> Answer:
    return value if isinstance(value, str) else float(f"{float(value):.{_FIGURES}g}")


class _Watched(Job):
    """A job that notes which earlier items a key is computed from."""

    def __init__(self, exercise: Exercise, card: JobCard) -> None:
        super().__init__(exercise, card)
        self.used: dict[str, None] = {}

    def value(self, name: str) -> Answer:
        self.used[name] = None
        return super().value(name)


@dataclass
class _OtherAnswers(Mapping):
    """One answer alone, which notes whether others were looked for."""

    given: dict[str, Answer]
    missed: bool = field(default=False)

    def __getitem__(self, name: str) -> Answer:
        self.missed |= name not in self.given
        return self.given[name]

    def __iter__(self) -> Iterator[str]:
        self.missed = True
        return iter(self.given)

    def __len__(self) -> int:
        self.missed = True
        return len(self.given)


# --- reading and marking -----------------------------------------------------------------------------------


def read_practice(path: Path) -> Practice:
    """Read what a practice card expects.

    Raises
    ------
    InputError
        If the file isn't there, or can't be read.
    """
    try:
        return from_data(json.loads(path.read_text("utf-8")))
    except FileNotFoundError:
        raise InputError(
            f"{path.name} is not beside the notebook; it comes with the practice card, in the folder of the "
            "exercise."
        ) from None
    except (ValueError, KeyError, TypeError):
        raise InputError(
            f"{path.name} can't be read any more; copy it again from the folder of the exercise."
        ) from None


def from_data(data: Mapping[str, Any]) -> Practice:
    """Return practice data as an exercise that can be marked."""
    items = tuple(_judged_of(one) if "verdicts" in one else _item_of(one) for one in data["items"])
    return Practice(
        Exercise(data["exercise"], data["title"], items, _no_draw),
        data["card"],
        {one["name"]: tuple(one.get("follows", ())) for one in data["items"]},
        tuple((title, why) for title, why in data["left"]),
    )


def _no_draw(draw: Any) -> Any:
    raise RuntimeError("A practice exercise has its one card, which isn't drawn.")


def _constant(value: Any) -> Callable[[Job], Any]:
    return lambda job: value


def _item_of(one: Mapping[str, Any]) -> Item:
    return Item(
        name=one["name"],
        title=one["title"],
        kind=one["kind"],
        points=one["points"],
        key=_constant(one["answer"]),
        hint=one["hint"],
        tolerance=one["tolerance"],
        choices=tuple(one["choices"].split()),
        mistakes=tuple(
            Mistake(wrong["name"], wrong["next_step"], _constant(wrong["answer"]), wrong["credit"])
            for wrong in one["mistakes"]
        ),
    )


def _judged_of(one: Mapping[str, Any]) -> Judged:
    choices = tuple(one["choices"].split())
    verdicts = {
        answer: Verdict(verdict["share"], tuple(verdict["feedback"]), verdict["mistake"])
        for verdict in one["verdicts"]
        for answer in verdict["answers"].split()
    }

    def judge(answer: Answer, given: Mapping[str, Answer], job: Job) -> Verdict:
        return verdicts[answer if isinstance(answer, str) else ",".join(sorted(answer, key=choices.index))]

    return Judged(one["name"], one["title"], one["kind"], one["points"], choices, judge)


def mark_practice(
    answers: Mapping[str, str | None], card: JobCard, practice: Practice
) -> tuple[ItemMark, ...]:
    """Mark answers on the practice card, by marking's own code.

    The one thing that constants can't tell is whether a later answer follows rightly from a wrong earlier
    one; where that may be so, the feedback says that marking would tell.

    Raises
    ------
    InputError
        If the data are for another card.
    """
    if (card.exercise, card.number) != (practice.exercise.name, practice.card_number):
        raise InputError(
            f"{FILE_NAME} belongs to another job card than {card.number}; keep each pack by itself."
        )
    marks = mark(answers, card, practice.exercise)
    wrong = {one.item: one.title for one in marks if one.score < one.points}
    return tuple(_with_carried(one, practice.follows[one.item], wrong) for one in marks)


def _with_carried(one: ItemMark, follows: tuple[str, ...], wrong: Mapping[str, str]) -> ItemMark:
    earlier = [wrong[name] for name in follows if name in wrong]
    if not earlier or one.outcome not in (Outcome.WRONG, Outcome.MISTAKE):
        return one
    said = (
        f"It is worked out from “{'” and “'.join(earlier)}”: mend that first. Whether it follows rightly "
        "from what you have there, and so earns full marks, only your instructor's marking tells."
    )
    return replace(one, feedback=(*one.feedback, said))
