"""What a practice card expects, as plain data: so that practice is marked at once, by marking's own code.

The data hold numbers, letters and sentences of the practice card alone. They become an `Exercise` again whose
keys and mistakes are constants, and `warmside.marking.marks.mark` marks with that. What has the same answer
on every card isn't in them, since it would answer other cards too; it and what only a person can judge is
listed by name.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from warmside.errors import InputError
from warmside.marking.exercise import Asked, Exercise, Item, Job, Judged, Mistake
from warmside.marking.job_card import JobCard
from warmside.marking.kinds import Answer, kind_of
from warmside.marking.marks import ItemMark, Outcome, mark
from warmside.marking.verdict import Verdict

FILE_NAME = "practice.json"
NOTE = "Made for the practice card alone, whose numbers are invented; it says nothing of any other card."
_OTHER_CARDS = 8  # by chance a key is the same on all of these once in hundreds; then it is left out

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
        written = _written(item, Job(exercise, card))
        if not written:
            left.append((item.title, TOO_MANY))
        elif all(_decides(_written(item, Job(exercise, other))) == _decides(written) for other in others):
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


def _written(item: Asked, job: Job) -> dict[str, Any]:
    """Return what an item expects on a job; nothing where that are too many answers to write down."""
    names = ("name", "title", "kind", "points")
    asked = {name: getattr(item, name) for name in names} | {"choices": " ".join(item.choices)}
    if constants := item.constants(job):
        return asked | constants
    verdicts = _verdicts(item, job) if isinstance(item, Judged) else []
    return asked | {"verdicts": verdicts} if verdicts else {}


def _verdicts(item: Judged, job: Job) -> list[dict[str, Any]]:
    """Return the verdict on each answer that can be given, each verdict with all its answers."""
    answers: dict[Verdict, list[str]] = {}
    for answer in item.asks.possible():
        others = _OtherAnswers({item.name: answer}, item.granted(job))
        verdict = item.judge(answer, others, job)
        if others.missed:
            how = _HOW.get(verdict.share, "Taken by itself, that is right in part.")
            verdict = replace(verdict, feedback=(how, BY_ITSELF))
        answers.setdefault(verdict, []).append(item.asks.word(answer))
    return [
        {
            "share": one.share,
            "feedback": one.feedback,
            "mistake": one.mistake,
            "answers": " ".join(words),
        }
        for one, words in answers.items()
    ]


def _decides(written: Mapping[str, Any]) -> Any:
    """Return what of an item would help with another card."""
    if "verdicts" in written:
        return [(verdict["share"], verdict["answers"]) for verdict in written["verdicts"]]
    return written["answer"]


@dataclass
class _OtherAnswers(Mapping):
    """One answer alone, which notes whether others were looked for; some are granted to it."""

    given: dict[str, Answer]
    granted: Mapping[str, Answer]
    missed: bool = field(default=False)

    def __getitem__(self, name: str) -> Answer:
        self.missed |= name not in self.given
        return self.given[name] if name in self.given else self.granted[name]

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
    asks = kind_of(one["kind"], choices)
    verdicts = {
        answer: Verdict(verdict["share"], tuple(verdict["feedback"]), verdict["mistake"])
        for verdict in one["verdicts"]
        for answer in verdict["answers"].split()
    }

    def judge(answer: Answer, given: Mapping[str, Answer], job: Job) -> Verdict:
        return verdicts[asks.word(answer)]

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
