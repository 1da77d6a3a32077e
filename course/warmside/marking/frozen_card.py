"""Frozen cards: a job card as it was handed out, kept in the session, with what is expected of answers.

An exercise, the model and the bank of cases go on changing while a session lives. So a card is drawn once,
and marked as it was then: where this version of Warmside would mark answers on it otherwise, it marks none.
"""

import hashlib
import hmac
import json
import zipfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

import warmside
from warmside import project
from warmside.errors import InputError
from warmside.marking.exercise import Exercise, Item, Job
from warmside.marking.job_card import FILE_NAME, Draw, Entry, JobCard, keyed, read_secret
from warmside.marking.marks import mark
from warmside.private_file import write_private

FOLDER = "cards"
WHAT_TO_DO = "Go on with the version that it began with."
_NAMED = 3
_LISTS = 9
"""Sets of answers that hold lists of many names, too; what these give takes long to judge."""


@dataclass(frozen=True)
class FrozenCard:
    """A job card as it was handed out.

    Attributes
    ----------
    card : JobCard
        The card.
    expected : mapping of str to any
        By item, as plain data: what it asks for, the right answer and what else earns marks.
    versions : mapping of str to str
        Of the package, the exercise and the bank of cases that it was drawn with.
    """

    card: JobCard
    expected: Mapping[str, Any]
    versions: Mapping[str, str]

    def demand(self, exercise: Exercise) -> None:
        """Raise InputError where this version would mark answers on the card otherwise than at hand-out."""
        if self.versions == versions(exercise):
            return
        try:
            now = expected(exercise, self.card)
            unclear = {item for item, *_ in exercise.confusable(self.card)}
        except Exception:  # a key raises whatever its author's code does on a card that isn't its own
            now, unclear = {}, set()
        names = [*self.expected, *(name for name in now if name not in self.expected)]
        other = [name for name in names if self.expected.get(name) != now.get(name) or name in unclear]
        if other:
            named = ", ".join(other[:_NAMED]) + (" and more" if len(other) > _NAMED else "")
            raise InputError(
                f"{self.card.trainee}'s job card for {self.card.exercise} was handed out by another version "
                f"of Warmside ({_told(self.versions)}): this one ({_told(versions(exercise))}) would mark "
                f"{named} otherwise. {WHAT_TO_DO}"
            )


def frozen_card(session_folder: Path, exercise: Exercise, trainee: str) -> FrozenCard:
    """Return a trainee's card as it was handed out; where it never was, it is drawn, and kept from now on.

    Raises
    ------
    InputError
        If the file isn't as it was written, or if a pack from before cards were kept holds another card than
        this version draws.
    """
    path = path_of(session_folder, exercise.name, trainee)
    if path.exists():
        return read_frozen(session_folder, exercise.name, trainee)
    card = _in_pack(session_folder, exercise.job_card(read_secret(session_folder), trainee))
    frozen = FrozenCard(card, expected(exercise, card), versions(exercise))
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    write_private(path, _as_text(frozen, read_secret(session_folder)))
    return frozen


def path_of(session_folder: Path, exercise: str, trainee: str) -> Path:
    """Return where a trainee's frozen card lies."""
    return session_folder / FOLDER / trainee / f"{exercise}.json"


# --- its file ---------------------------------------------------------------------------------------------


def read_frozen(session_folder: Path, exercise: str, trainee: str) -> FrozenCard:
    """Read a frozen card; InputError if it isn't as it was written, or somebody else's."""
    path, secret = path_of(session_folder, exercise, trainee), read_secret(session_folder)
    try:
        record = json.loads(path.read_text("utf-8"))
        seal = record.pop("seal")
        card = record["card"]
        card |= {"entries": tuple(Entry(**entry) for entry in card["entries"])}
        frozen = FrozenCard(JobCard(**card), record["expected"], record["versions"])
        whole = hmac.compare_digest(seal, _seal(frozen, secret))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        whole = False
    if not whole or (frozen.card.exercise, frozen.card.trainee) != (exercise, trainee):
        raise InputError(f"{path} isn't the job card that was handed out any more; put back a copy of it.")
    return frozen


def _as_text(frozen: FrozenCard, secret: bytes) -> str:
    return json.dumps(asdict(frozen) | {"seal": _seal(frozen, secret)}, indent=1, ensure_ascii=False) + "\n"


def _seal(frozen: FrozenCard, secret: bytes) -> str:
    return keyed(secret, "frozen card", json.dumps(asdict(frozen), sort_keys=True)).hex()


def pack_files(session_folder: Path, exercise: str, trainee: str) -> dict[str, str]:
    """Return what the trainee's pack holds for an exercise, by name; nothing where there is no pack.

    Raises
    ------
    InputError
        If the pack is damaged.
    """
    path = session_folder / "hand_outs" / f"{trainee}.zip"
    folder = f"{trainee}_{exercise}/"
    try:
        with zipfile.ZipFile(path) as pack:
            names = [name for name in pack.namelist() if name.startswith(folder)]
            return {name.removeprefix(folder): pack.read(name).decode() for name in names}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, zipfile.BadZipFile):
        raise InputError(f"{path} is damaged; put back a copy of it.") from None


def is_in(card: JobCard, files: Mapping[str, str]) -> bool:
    """Tell whether the files of a pack hold this card."""
    return all(files.get(name) == text for name, text in card.as_files().items())


def _in_pack(session_folder: Path, card: JobCard) -> JobCard:
    """Return the card with the number that it has in the trainee's pack, where there is one already.

    Before cards were kept, a card's number said nothing of what stands on it.
    """
    files = pack_files(session_folder, card.exercise, card.trainee)
    if FILE_NAME not in files:
        return card
    try:
        card = replace(card, number=str(json.loads(files[FILE_NAME])["number"]))
    except (ValueError, KeyError, TypeError):
        files = {}
    if not is_in(card, files):
        raise InputError(
            f"{card.trainee}'s job card for {card.exercise} was handed out by a version of Warmside that "
            f"drew other numbers than this one. {WHAT_TO_DO}"
        )
    return card


# --- what is expected -------------------------------------------------------------------------------------


def expected(exercise: Exercise, card: JobCard) -> dict[str, Any]:
    """Return by item, as plain data, all that marks on a card depend on.

    Of an item with a key these are its answer and what mistakes earn; a mistake that earns nothing only adds
    a sentence. What is judged is described by what it gives for many sets of answers.
    """
    job = Job(exercise, card)
    earned = _earned(exercise, job)
    result: dict[str, Any] = {}
    for item in exercise.items:
        asked = {"kind": item.kind, "points": item.points, "choices": list(item.choices)}
        if isinstance(item, Item):
            constants = item.constants(job)
            asked |= {name: constants[name] for name in ("answer", "tolerance", "follows")}
            wrong = [(one["answer"], one["credit"]) for one in constants["mistakes"] if one["credit"]]
            asked |= {"mistakes": [list(one) for one in wrong]}
            asked |= {"could_be": list(item.could_be)} if item.could_be else {}
            asked |= {"decides": True} if item.decides else {}
        else:
            asked |= {"earned": earned[item.name]}
        result[item.name] = asked
    result |= {asked.name: {"kind": "by hand", "points": asked.points} for asked in exercise.by_hand}
    return json.loads(json.dumps(result))


def _earned(exercise: Exercise, job: Job) -> dict[str, list[float]]:
    """Return what each judged item gives for sets of answers, which try all that are few and some of many."""
    judged = [item for item in exercise.items if not isinstance(item, Item)]
    right = {item.name: item.asks.typed(item.key(job)) for item in exercise.items if isinstance(item, Item)}
    few = {item.name: some for item in judged if (some := item.asks.possible())}
    sets = max([_LISTS, *(len(item.choices) for item in judged if item.name in few)]) if judged else 0
    draw = Draw(keyed(b"what is judged", exercise.name))
    earned: dict[str, list[float]] = {item.name: [] for item in judged}
    for number in range(sets):
        answers = dict(right)
        for place, item in enumerate(judged):
            if item.name in few:
                answers[item.name] = item.asks.typed(few[item.name][number % len(few[item.name])])
            elif number < _LISTS:
                one_in = (1, 2, 6)[(number + place) % 3]
                chosen = [name for name in item.choices if draw.pick(range(one_in)) == 0]
                answers[item.name] = item.asks.typed(chosen or item.choices[:1])
        for one in mark(answers, job.card, exercise):
            if one.item in earned:
                earned[one.item].append(one.score)
    return earned


# --- versions ---------------------------------------------------------------------------------------------


def versions(exercise: Exercise) -> dict[str, str]:
    """Return the versions of all that draws and marks the cards of an exercise."""
    found = {
        "package": f"{warmside.__version__}-{_hash_of(Path(warmside.__file__).parent)}",
        "exercise": _hash_of(project.root() / "solutions_private" / exercise.name),
        "numpy": np.__version__,
    }
    if exercise.needs_bank:
        from warmside.diagnosis.storing import version  # here, as it takes the model along

        found["bank"] = version()
    return found


@cache
def _hash_of(folder: Path) -> str:
    """Return a hash of the code and the tables in a folder."""
    content = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.suffix in (".py", ".toml", ".npz"):
            content.update(path.relative_to(folder).as_posix().encode() + path.read_bytes())
    return content.hexdigest()[:8]


def _told(versions: Mapping[str, str]) -> str:
    return ", ".join(f"{name} {version}" for name, version in versions.items())
