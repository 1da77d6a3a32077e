"""Drawing invented cases that their readings prove, and what they prove.

A case is drawn over what can be wrong, as the bank's cases are, and read once as people and meters read. It
is kept only if all its readings together prove what is wrong (`sufficient.proven`), or prove a tie that no
reading separates, which then is the answer. So the answer follows from the readings alone: whoever marks
solves the case anew (`solved`), and what the trainee holds needs to carry neither the answer nor the seed.

The same seed and level give the same case as long as the bank is the same, whose version the sealed sheet
names.
"""

import base64
import hashlib
from collections import deque
from dataclasses import dataclass, replace
from enum import Enum
from itertools import repeat
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis import storing
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.complaints import owners_words, season
from warmside.diagnosis.drawing import AMBIENTS, SOURCE_SHARES, Cases, draw_cases, numbers_of
from warmside.diagnosis.fault import FIRST_STEPS
from warmside.diagnosis.faults import FAULTS, NONE, Label, condemns, labels
from warmside.diagnosis.performance import (
    DAY,
    NEAR_RATING,
    TOO_COLD,
    Place,
    State,
    performance,
    place_of,
    rated_ambient,
)
from warmside.diagnosis.proofs import Standing, proofs
from warmside.diagnosis.readings import Readings, as_text, column, readable
from warmside.errors import InputError
from warmside.hazards import StopSign, cautions_of, in_order, signs_on
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES, usual_rating
from warmside.units import from_si, show

from .case_file import LEVELS, RETEST, CaseFile
from .case_proof import Short, Solved, prove, solved
from .cheapest import Sufficient

_CASES = load("cases")
_MINUTE = 60.0  # s


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
    def stops(self) -> tuple[StopSign, ...]:
        """The stop signs that are met: where there is one, right is who does what it asks for and stops."""
        return in_order(self.case.stop_signs)

    @property
    def remedy(self) -> tuple[str, ...]:
        """What puts it right, for each thing that is wrong."""
        return tuple(FAULTS[name].remedy for name in self.label)

    @property
    def first_step(self) -> tuple[str, ...]:
        """What safety asks for first."""
        works = [work for name in self.label for work in FAULTS[name].works]
        return cautions_of(works, self.case.heat_source) or (FIRST_STEPS["usual"].title,)

    def as_dict(self) -> dict[str, Any]:
        """Return it for machines."""
        return {
            "case": self.case.number,
            "seed": self.seed,
            "level": self.case.level,
            "bank": self.bank,
            "stop_signs": list(self.case.stop_signs),
            "wrong": list(self.label),
            "answers": [list(label) for label in self.labels],
            "remedy": list(self.remedy),
            "first_step": list(self.first_step),
            "cheapest": list(self.cheapest.names),
            "minutes": self.cheapest.minutes,
            "exact": self.cheapest.exact,
            "chances": [round(one, 4) for one in self.cheapest.chances],
            "readings": dict(self.case.values),
            "retest": dict(self.case.retest),
        }


# --- drawing ----------------------------------------------------------------------------------------------


def draw_case(
    seed: int,
    level: int = 1,
    bank: Bank | None = None,
    *,
    wanted: Label | None = None,
    may_stop: bool = True,
) -> tuple[CaseFile, SealedAnswer]:
    """Draw a case that its readings prove.

    Parameters
    ----------
    seed : int
        From 0 on. Whoever knows it can draw the sealed answer too: keep it from trainees.
    level : int
        One of `LEVELS`.
    bank : Bank, optional
        The usual one by default.
    wanted : Label, optional
        What shall be wrong, as this level has it; anything by default.
    may_stop : bool, optional
        Whether a stop sign may be met in it.

    Returns
    -------
    CaseFile
        For the trainee.
    SealedAnswer
        For the instructor.

    Raises
    ------
    InputError
        If seed or level is none, or nothing of this level is as wanted.
    """
    check(seed, level)
    if wanted is not None:
        _check_wanted(wanted, level)
    random = np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, level])))
    version = storing.version() if bank is None else f"another one, of {len(bank)} cases"
    bank = storing.usual_bank() if bank is None else bank
    number, tried = _number(seed, level), 0
    most = int(_CASES.number("most_draws"))
    short: Short = deque(maxlen=6)
    kind = _kind(level, random) if wanted is None else Kind.SOUND if wanted == NONE else Kind.ANY
    for _ in range(most):
        cases = _some_cases(random, kind, wanted)
        if cases is None:
            continue
        right = cases.with_only(None)
        for index in _by_label(cases, _is_worth_it(cases, right, level)):
            read, again = (replace(part.measured(index, random), running=DAY) for part in (cases, right[0]))
            if not _is_honest(read, again):
                continue
            tried += 1
            label = cases.label(index)
            if not _is_fair(prove(read, bank, label), read, label, level, kind, short):
                continue
            case = _case_file(number, level, read, again)
            found = solved(case, bank)  # as it is written, which rounds a little
            if found and _is_fair(found, case.readings, label, level, kind, short):
                case = replace(
                    case,
                    season=season(read.ambient, random),
                    complaint=owners_words(label, read, level, random),
                    stop_signs=_met(seed, level, label, case.heat_source) if may_stop else (),
                )
                return case, SealedAnswer(case, seed, version, label, found, tried)
    raise RuntimeError(f"seed {seed}, level {level}: no case was proven in {most} draws")


def _met(seed: int, level: int, label: Label, heat_source: str) -> tuple[str, ...]:
    """Draw the stop sign that is met, one that goes with what is wrong if there is any; mostly none."""
    random = np.random.default_rng([seed, level, 1])  # its own, so that the case is the same with and without
    if random.random() >= _CASES.number("stop_share"):
        return ()
    on_source = [sign.name for sign in signs_on(heat_source)]
    of_faults = [name for fault in label for name in FAULTS[fault].stop_signs if name in on_source]
    some = of_faults or on_source
    return (some[int(random.integers(len(some)))],)


def check(seed: int, level: int) -> None:
    """Raise InputError, one sentence, if there is no such seed or level."""
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed < 2**64:
        raise InputError(f"The seed is {seed!r}; it must be a whole number from 0 to {2**64 - 1}.")
    if isinstance(level, bool) or level not in LEVELS:
        said = ", ".join(f"{number} ({words})" for number, words in LEVELS.items())
        raise InputError(f"The level is {level!r}; it must be one of {said}.")


def _check_wanted(wanted: Label, level: int) -> None:
    parts = [labels(size, source) for size in SIZES for source in HEAT_SOURCES]
    known = {label for singles, pairs in parts for label in (*singles, *(pairs if level == 3 else ()))}
    if wanted not in known:
        raise InputError(
            f"{' with '.join(wanted)} is wrong in no case of level {level}; write one fault, or at level 3 a "
            "pair in the order of the catalog."
        )


def _number(seed: int, level: int) -> str:
    letters = base64.b32encode(hashlib.sha256(f"case {seed} {level}".encode()).digest()).decode()
    return f"{letters[:4]}-{letters[4:8]}"


class Kind(Enum):
    """What is looked for, once for each case: else what is quick to prove would be most of them."""

    ANY, SOUND, UNIT, FAULT, PAIR, TIE = range(6)


def _kind(level: int, random: np.random.Generator) -> Kind:
    if level == 3:
        return Kind.TIE if random.random() < _CASES.number("tie_share") else Kind.PAIR
    sound, unit = (_CASES.number(f"{kind}_share") for kind in ("sound", "unit"))
    drawn = random.random()
    return Kind.SOUND if drawn < sound else Kind.UNIT if drawn < sound + unit else Kind.FAULT


def _of_kind(kind: Kind, singles: tuple[Label, ...], pairs: tuple[Label, ...]) -> list[Label]:
    faulty = [label for label in singles if label != NONE]
    return {
        Kind.ANY: [*singles, *pairs],
        Kind.SOUND: [NONE],
        Kind.UNIT: [label for label in faulty if condemns(label)],
        Kind.FAULT: [label for label in faulty if not condemns(label)],
        Kind.PAIR: list(pairs),
        Kind.TIE: [*faulty, *pairs],
    }[kind]


def _some_cases(random: np.random.Generator, kind: Kind, wanted: Label | None) -> Cases | None:
    """Draw what is wrong, and some cases of it; None where it can't be, or has hardly any steady state."""
    size = SIZES[int(random.integers(len(SIZES)))]
    shares = np.array([SOURCE_SHARES[source] for source in HEAT_SOURCES])
    heat_source = HEAT_SOURCES[int(random.choice(len(shares), p=shares / shares.sum()))]
    some = _of_kind(kind, *labels(size, heat_source))
    if wanted is not None:
        some = [label for label in some if label == wanted]
    if not some:
        return None
    several = min(int(_CASES.number("labels_at_once")), len(some))
    chosen = [some[number] for number in random.choice(len(some), several, replace=False)]
    try:
        return draw_cases(
            int(random.integers(2**63)),
            several * int(_CASES.number("tried")),
            sizes=(size,),
            heat_sources=(heat_source,),
            wanted=chosen,
            pair_share=sum(len(label) > 1 for label in chosen) / several,
            ambients=_days(size, kind),
        )
    except RuntimeError:  # a fan against a draught that no heat drives
        return None


def _by_label(cases: Cases, worth: np.ndarray) -> list[int]:
    """Return which are worth it, those of one label together: what is easily proven isn't tried first."""
    found = np.flatnonzero(worth)
    _, first, label = np.unique(cases.labels, axis=0, return_index=True, return_inverse=True)
    return [int(case) for case in found[np.argsort(first[label.ravel()[found]], kind="stable")]]


def _days(size: str, kind: Kind) -> tuple[float, float]:
    """Return between which ambients a refrigerator is promised to hold [K]; a sound one near its rating."""
    rated = rated_ambient(Readings(size, HEAT_SOURCES[0], AMBIENTS[0]))
    return (rated - NEAR_RATING if kind is Kind.SOUND else AMBIENTS[0]), min(rated, AMBIENTS[1])


# --- what is fair -----------------------------------------------------------------------------------------


def _is_worth_it(cases: Cases, right: tuple[Cases, np.ndarray], level: int) -> np.ndarray:
    """Tell which cases are worth working: what is wrong matters, and putting it right helps on that day."""
    sound, settled = right
    holds = settled & _all_are(sound, Place.GOOD, "cup", "freezer")
    nothing = (cases.labels == numbers_of(NONE)).all(axis=1)
    freezes = _true(cases, "cup") < np.minimum(
        TOO_COLD, _true(sound, "cup") - _CASES.number("least_difference")
    )
    fails = _all_are(cases, Place.OUT, "cup") | freezes
    if level == 2:
        mild = cases.severities[:, 0] < _CASES.number("mild_fault")
        mild |= cases.ambient < _CASES.number("mild_day")
        fails = mild & (fails | _differs(cases, sound, "least_difference"))
    worth = holds & (nothing | fails)
    two = np.flatnonzero(worth & (cases.labels[:, 1] >= 0))
    if two.size:
        worth[two] = _each_matters(cases.select(two), sound.select(two))
    return worth


def _each_matters(cases: Cases, sound: Cases) -> np.ndarray:
    """Tell where each of two faults does something to the cup: by itself, or on top of the other."""
    count = len(cases)
    twice = cases.select(np.tile(np.arange(count), 2))  # solved at once, which takes hardly longer than one
    labels, severities = (np.concatenate([a, a[:, ::-1]]) for a in (cases.labels, cases.severities))
    apart, found = replace(twice, labels=labels, severities=severities).with_only(0)
    first, second = apart.select(np.arange(count)), apart.select(np.arange(count, 2 * count))
    row = "least_of_two"
    one = _differs(first, sound, row) | _differs(cases, second, row)
    other = _differs(second, sound, row) | _differs(cases, first, row)
    return found[:count] & found[count:] & one & other


def _true(cases: Cases, name: str) -> np.ndarray:
    return cases.readings[:, column(name)]


def _differs(cases: Cases, sound: Cases, row: str) -> np.ndarray:
    return np.abs(_true(cases, "cup") - _true(sound, "cup")) >= _CASES.number(row)


def _all_are(cases: Cases, place: Place, *names: str) -> np.ndarray:
    """Tell in which cases these stand so to their limits."""
    ratings = [usual_rating(str(size)) for size in cases.size]
    there = [map(place_of, ratings, repeat(name), _true(cases, name)) for name in names]
    return np.all([[one is place for one in each] for each in there], axis=0)


def _is_honest(read: Readings, again: Readings) -> bool:
    """Tell whether the numbers can be believed: none is impossible, and after the repair it performs."""
    freezer, cup, *airs = (float(read.values[name]) for name in ("freezer", "cup", *_AIRS))
    warmest = max(read.ambient, *airs) + _CASES.number("warmer_hours")
    return freezer <= cup <= warmest and performance(again).state is State.PROVEN


_AIRS = ("vent_air", "condenser_air", "top_air", "side_air")


def _case_file(number: str, level: int, read: Readings, again: Readings) -> CaseFile:
    ambient = show(from_si(read.ambient, "temperature"), digits=1)
    values = tuple((name, as_text(name, read.values[name])) for name in readable(read.heat_source))
    retest = tuple((name, as_text(name, again.values[name])) for name in RETEST)
    return CaseFile(number, level, read.size, read.heat_source, ambient, "", "", values, retest)


def _is_fair(
    found: Solved | None, readings: Readings, label: Label, level: int, kind: Kind, short: Short | None = None
) -> bool:
    """Tell whether the truth is what is proven, in a level's minutes, and no sound unit is at risk."""
    if found is None:
        return False
    tied = len(found.labels) > 1
    if label not in found.labels or len({condemns(one) for one in found.labels}) > 1:
        return False
    if tied and (level == 1 or NONE in found.labels):
        return False
    if not tied and (kind is Kind.TIE or (level == 3 and len(label) == 1)):
        return False
    if label == NONE:
        return found.performs
    if performance(readings).rating_proven:
        return False
    if found.condemns:
        return all(proof.standing is Standing.GIVEN for proof in proofs(readings))
    least, most = (end / _MINUTE for end in _CASES.numbers(f"minutes_{level}"))
    return found.takes(least, most, short)
