"""Invented cases for training: a complaint, readings that cost minutes, and a sealed answer.

A case is drawn over what can be wrong, as the bank's cases are, and read once as people and meters read. It
is kept only if all its readings together prove what is wrong (`sufficient.proven`), or prove a tie that no
reading separates, which then is the answer. So the answer follows from the readings alone: whoever marks
solves the case anew (`solved`), and what the trainee holds needs to carry neither the answer nor the seed.

The same seed and level give the same case as long as the bank is the same, whose version the sealed sheet
names.
"""

import base64
import binascii
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from warmside.diagnosis import bank as banks
from warmside.diagnosis.bank import Bank, Cases, draw_cases, usual_bank
from warmside.diagnosis.complaints import owners_words, season
from warmside.diagnosis.evidence import Evidence, evidence
from warmside.diagnosis.faults import FAULTS, Label, labels, title_of
from warmside.diagnosis.inference import Ranked, explain
from warmside.diagnosis.readings import (
    READINGS,
    Readings,
    as_text,
    column,
    from_text,
    measure,
    readable,
)
from warmside.diagnosis.sufficient import Sufficient, cheapest, proven
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES
from warmside.units import from_si, read_quantity, show, to_si

LEVELS = {1: "one clear fault", 2: "one fault, mild or on a mild day", 3: "two faults, or a tie"}
NONE: Label = ("none",)
_SOUND_SHARE = 1 / 8  # of the cases of levels 1 and 2 with nothing wrong
_TIE_SHARE = 1 / 4  # of the cases of level 3
_LARGEST_TIE = 4
_MOST_DRAWS = 200  # what can be wrong, drawn until a case of it is proven
_CASES = {False: 12, True: 60}  # tried of each, by whether nothing is wrong: that is hard to prove
_NOTE = "An invented case of a training course, Warmside. Nobody's refrigerator."
_WHY_PACKED = "Values are packed so that nobody reads one by accident that they haven't spent the minutes on."


@dataclass(frozen=True)
class CaseFile:
    """What a trainee gets of a case. What is wrong isn't in it.

    Attributes
    ----------
    number : str
        Eight letters and digits that tell this case from any other.
    level : int
        One of `LEVELS`.
    size, heat_source : str
        As in `Installation`.
    ambient : str
        Air temperature outside at the hours of the readings.
    season, complaint : str
        What kind of day it is; what the owner says.
    values : tuple of (str, str)
        Name of each reading that can be taken, and what it shows, as people write it.
    """

    number: str
    level: int
    size: str
    heat_source: str
    ambient: str
    season: str
    complaint: str
    values: tuple[tuple[str, str], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the readings that can be taken."""
        return tuple(name for name, _ in self.values)

    def value(self, name: str) -> str:
        """Return what a reading shows, as people write it.

        Raises
        ------
        InputError
            If this case has no such reading.
        """
        shown = dict(self.values)
        if name not in shown:
            raise InputError(f"There is no reading “{name}” in this case; there are {', '.join(self.names)}.")
        return shown[name]

    @cached_property
    def readings(self) -> Readings:
        """All that can be read."""
        ambient = to_si(read_quantity(self.ambient, "temperature"), "temperature")
        values = {name: from_text(name, text) for name, text in self.values}
        return Readings(self.size, self.heat_source, ambient, values)

    def to_text(self) -> str:
        """Return the case as a file's text (JSON)."""
        offered = [
            {
                "name": name,
                "what": READINGS[name].title,
                "minutes": READINGS[name].minutes,
                "caution": READINGS[name].caution,
            }
            for name in self.names
        ]
        packed = base64.b64encode(json.dumps(dict(self.values), ensure_ascii=False).encode()).decode("ascii")
        whole = {
            "note": _NOTE,
            "case": self.number,
            "level": self.level,
            "size": self.size,
            "heat_source": self.heat_source,
            "ambient": self.ambient,
            "season": self.season,
            "complaint": self.complaint,
            "readings": offered,
            "why_packed": _WHY_PACKED,
            "packed": packed,
        }
        return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def from_file_text(text: str, name: str = "the case file") -> CaseFile:
    """Read a case from a file's text.

    Parameters
    ----------
    text : str
        As `CaseFile.to_text` writes it.
    name : str
        What to call it in what is said of a mistake.

    Raises
    ------
    InputError
        One sentence, if it is no case any more.
    """
    damaged = InputError(f"{name} is not a case file any more; take the one that you were given again.")
    try:
        whole = json.loads(text)
        values = json.loads(base64.b64decode(whole["packed"], validate=True))
        texts = [whole[key] for key in ("case", "size", "heat_source", "ambient", "season", "complaint")]
        number, size, heat_source, ambient, of_season, complaint = texts
        given = tuple(values.items())
        right = all(isinstance(one, str) for one in [*texts, *values.values()])
        if not right or whole["level"] not in LEVELS or size not in SIZES or heat_source not in HEAT_SOURCES:
            raise damaged
        case = CaseFile(number, whole["level"], size, heat_source, ambient, of_season, complaint, given)
        if case.names != readable(heat_source):
            raise damaged
        _ = case.readings
    except (ValueError, KeyError, TypeError, AttributeError, binascii.Error):
        raise damaged from None
    except InputError:
        raise damaged from None
    return case


# --- the answer -------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Solved:
    """What a case's readings prove.

    Attributes
    ----------
    labels : tuple of Label
        What is wrong: one label, or those of a tie that no reading separates, the likeliest first.
    ranked : tuple of Ranked
        All explanations by all readings, the likeliest first.
    evidence : Evidence
        What each reading says by itself.
    """

    labels: tuple[Label, ...]
    ranked: tuple[Ranked, ...]
    evidence: Evidence

    @cached_property
    def cheapest(self) -> Sufficient:
        """The cheapest readings that prove it."""
        return cheapest(self.evidence, self.labels)


def solved(case: CaseFile, bank: Bank | None = None) -> Solved | None:
    """Return what a case's readings prove; None where they prove nothing.

    Parameters
    ----------
    case : CaseFile
        The case.
    bank : Bank, optional
        The usual one by default.
    """
    return _solved(case, bank or usual_bank())


@lru_cache(maxsize=12)
def _solved(case, bank):
    explanation = explain(case.readings, bank, remaining=())
    if explanation.contradictory:
        return None
    best = explanation.best.label
    tied = next((tie.labels for tie in explanation.ties if tie.labels[0] == best), ())
    weighed = evidence(case.readings, bank)
    for wanted in ((best,), tied):
        if 0 < len(wanted) <= _LARGEST_TIE and proven(weighed, wanted, case.names):
            return Solved(wanted, explanation.ranked, weighed)
    return None


def condemns(label: Label) -> bool:
    """Tell whether an explanation means that the cooling unit is gone."""
    return any(FAULTS[name].cost == "cooling unit" for name in label)


@dataclass(frozen=True, eq=False)
class SealedAnswer:
    """What the instructor keeps.

    Attributes
    ----------
    case : CaseFile
        Of which case.
    seed : int
        From which it can be drawn again at its level.
    bank : str
        Version of the bank that it rests on.
    label : Label
        What is wrong.
    solved : Solved
        What the readings prove: that, or a tie that it is one of.
    tried : int
        How many cases were drawn until one was proven.
    """

    case: CaseFile
    seed: int
    bank: str
    label: Label
    solved: Solved
    tried: int

    @property
    def labels(self) -> tuple[Label, ...]:
        """What may be answered: what is wrong, or all of the tie."""
        return self.solved.labels

    @property
    def cheapest(self) -> Sufficient:
        """The cheapest readings that prove it."""
        return self.solved.cheapest

    @property
    def remedy(self) -> tuple[str, ...]:
        """What puts it right, for each thing that is wrong."""
        return tuple(FAULTS[name].remedy for name in self.label)

    @property
    def first_step(self) -> tuple[str, ...]:
        """What safety asks for first."""
        cautions = tuple(dict.fromkeys(FAULTS[name].caution for name in self.label if FAULTS[name].caution))
        return cautions or ("Nothing beyond the usual: look and smell for gas, ammonia, scorching, soot.",)

    @property
    def wrong_calls(self) -> tuple[tuple[str, str], ...]:
        """The likeliest wrong calls after the first of the cheapest readings, and what each costs."""
        evidence = self.solved.evidence
        chances = evidence.probabilities(self.cheapest.names[:1])
        likeliest = [evidence.labels[number] for number in np.argsort(-chances, kind="stable")]
        right = [set(label) for label in self.labels]
        wrong = [label for label in likeliest if not any(one <= set(label) for one in right)][:3]
        calls = [(title_of(label), _cost(label)) for label in wrong]
        if not any(condemns(label) for label in self.labels):
            calls.append(("Condemning the cooling unit", "a cooling unit, for nothing"))
        return tuple(calls)

    def as_dict(self) -> dict[str, Any]:
        """Return it for machines."""
        return {
            "case": self.case.number,
            "seed": self.seed,
            "level": self.case.level,
            "bank": self.bank,
            "wrong": list(self.label),
            "answers": [list(label) for label in self.labels],
            "remedy": list(self.remedy),
            "first_step": list(self.first_step),
            "cheapest": list(self.cheapest.names),
            "minutes": self.cheapest.minutes,
            "exact": self.cheapest.exact,
            "chances": [round(one, 4) for one in self.cheapest.chances],
            "readings": dict(self.case.values),
        }


_COSTS = {
    "free": "time, and the fault remains",
    "small": "a small part or repair, and the fault remains",
    "hours of work": "hours of work, and the fault remains",
    "cooling unit": "a cooling unit, and the fault remains",
}


def _cost(label):
    order = list(_COSTS)
    return _COSTS[max((FAULTS[name].cost for name in label), key=order.index)]


# --- drawing ----------------------------------------------------------------------------------------------


def draw_case(seed: int, level: int = 1, bank: Bank | None = None) -> tuple[CaseFile, SealedAnswer]:
    """Draw a case that its readings prove.

    Parameters
    ----------
    seed : int
        From 0 on. Whoever knows it can draw the sealed answer too: keep it from trainees.
    level : int
        One of `LEVELS`.
    bank : Bank, optional
        The usual one by default.

    Returns
    -------
    CaseFile
        For the trainee.
    SealedAnswer
        For the instructor.

    Raises
    ------
    InputError
        If seed or level is none.
    """
    check(seed, level)
    random = np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, level])))
    usual = bank is None
    bank = usual_bank() if usual else bank
    number, tried = _number(seed, level), 0
    for _ in range(_MOST_DRAWS):
        wants_tie = level == 3 and random.random() < _TIE_SHARE
        cases = _some_cases(random, level, wants_tie)
        if cases is None:
            continue
        for index in np.flatnonzero(_fits(cases, level)):
            tried += 1
            label = cases.label(index)
            case = _case_file(number, level, cases, int(index), random)
            found = solved(case, bank)
            if found and _is_fair(found, label, level, wants_tie):
                version = banks.version() if usual else f"another one, of {len(bank)} cases"
                return case, SealedAnswer(case, seed, version, label, found, tried)
    raise RuntimeError(f"seed {seed}, level {level}: no case was proven in {_MOST_DRAWS} draws")


def check(seed: int, level: int) -> None:
    """Raise InputError, one sentence, if there is no such seed or level."""
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed < 2**64:
        raise InputError(f"The seed is {seed!r}; it must be a whole number from 0 to {2**64 - 1}.")
    if isinstance(level, bool) or level not in LEVELS:
        said = ", ".join(f"{number} ({words})" for number, words in LEVELS.items())
        raise InputError(f"The level is {level!r}; it must be one of {said}.")


def _number(seed: int, level: int) -> str:
    letters = base64.b32encode(hashlib.sha256(f"case {seed} {level}".encode()).digest()).decode()
    return f"{letters[:4]}-{letters[4:8]}"


def _some_cases(random, level, wants_tie) -> Cases | None:
    """Draw what is wrong, and some cases of it; None where it has hardly any steady state."""
    size = SIZES[int(random.integers(len(SIZES)))]
    shares = np.array([banks.SOURCE_SHARES[source] for source in HEAT_SOURCES])
    heat_source = HEAT_SOURCES[int(random.choice(len(shares), p=shares / shares.sum()))]
    singles, pairs = labels(size, heat_source)
    faulty = [label for label in singles if label != NONE]
    if level == 3:
        some = [*faulty, *pairs] if wants_tie else pairs
        label = some[int(random.integers(len(some)))]
    else:
        sound = random.random() < _SOUND_SHARE
        label = NONE if sound else faulty[int(random.integers(len(faulty)))]
    try:
        return draw_cases(
            int(random.integers(2**63)),
            _CASES[label == NONE],
            sizes=(size,),
            heat_sources=(heat_source,),
            wanted=(label,),
            pair_share=float(len(label) > 1),
        )
    except RuntimeError:  # a fan against a draught that no heat drives
        return None


_MILD_DAY, _HOT_DAY = 300.0, 310.9  # K; 80 and 100 °F
_MILD_FAULT = 0.5
_WARM, _COLDER_THAN_ANY = 283.0, 257.0  # K; 50 and 3 °F


def _fits(cases: Cases, level: int) -> np.ndarray:
    """Tell which cases a level allows."""
    cup, freezer = (cases.readings[:, column(name)] for name in ("cup", "freezer"))
    # a warm box under a freezer colder than any is an artefact of the model when circulation falters
    odd = (cup > _WARM) & (freezer < _COLDER_THAN_ANY)
    return _of_level(cases, level) & ~odd


def _of_level(cases: Cases, level: int) -> np.ndarray:
    sound = (cases.labels[:, 0] == list(FAULTS).index("none")) & (cases.labels[:, 1] < 0)
    if level == 1:
        return cases.out_of_limits() | sound
    if level == 2:
        extreme = (cases.ambient < _MILD_DAY) | (cases.ambient > _HOT_DAY)
        return sound | (extreme & (cases.severities[:, 0] < _MILD_FAULT))
    return np.ones(len(cases), dtype=bool)


def _case_file(number, level, cases, index, random) -> CaseFile:
    size, heat_source = str(cases.size[index]), str(cases.heat_source[index])
    read: Mapping[str, Any] = measure(
        {"ambient": float(cases.ambient[index]), **cases.true_readings(index)}, random
    )
    ambient = show(from_si(read["ambient"], "temperature"), digits=1)
    values = tuple((name, as_text(name, read[name])) for name in readable(heat_source))
    bare = CaseFile(number, level, size, heat_source, ambient, "", "", values)
    said = owners_words(cases.label(index), bare.readings, level, random)
    of_season = season(bare.readings.ambient, random)
    return CaseFile(number, level, size, heat_source, ambient, of_season, said, values)


def _is_fair(found: Solved, label: Label, level: int, wants_tie: bool) -> bool:
    """Tell whether the truth is what the readings prove, and nobody is led to condemn a sound unit."""
    if label not in found.labels or len({condemns(one) for one in found.labels}) > 1:
        return False
    if level == 1:
        return len(found.labels) == 1
    return len(found.labels) > 1 if wants_tie else True
