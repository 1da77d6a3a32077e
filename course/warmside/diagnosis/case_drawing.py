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
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from warmside.data import load
from warmside.diagnosis import storing
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.case_file import LEVELS, CaseFile
from warmside.diagnosis.complaints import owners_words, season
from warmside.diagnosis.drawing import SOURCE_SHARES, Cases, draw_cases, numbers_of
from warmside.diagnosis.evidence import Evidence, evidence
from warmside.diagnosis.fault import FIRST_STEPS
from warmside.diagnosis.faults import FAULTS, NONE, Label, condemns, labels, title_of
from warmside.diagnosis.inference import Ranked, explain
from warmside.diagnosis.readings import as_text, measure, readable
from warmside.diagnosis.sufficient import Sufficient, cheapest, proven
from warmside.errors import InputError
from warmside.hazards import StopSign, cautions_of, in_order, signs_on
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES
from warmside.units import from_si, show

_CASES = load("cases")


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
        found = cheapest(self.evidence, self.labels)
        if found is None:
            raise RuntimeError(f"{self.labels} was taken as proven, and no readings prove it")
        return found


def solved(case: CaseFile, bank: Bank | None = None) -> Solved | None:
    """Return what a case's readings prove; None where they prove nothing.

    Parameters
    ----------
    case : CaseFile
        The case.
    bank : Bank, optional
        The usual one by default.
    """
    return _solved(case, bank or storing.usual_bank())


@lru_cache(maxsize=12)
def _solved(case: CaseFile, bank: Bank) -> Solved | None:
    explanation = explain(case.readings, bank, remaining=())
    if explanation.contradictory:
        return None
    best = explanation.best.label
    tied: tuple[Label, ...] = next((tie.labels for tie in explanation.ties if tie.labels[0] == best), ())
    weighed = evidence(case.readings, bank)
    for wanted in ((best,), tied):
        if 0 < len(wanted) <= _CASES.number("largest_tie") and proven(weighed, wanted, case.names):
            return Solved(wanted, explanation.ranked, weighed)
    return None


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

    @property
    def wrong_calls(self) -> tuple[tuple[str, str], ...]:
        """The likeliest wrong calls after the first of the cheapest readings, and what each costs."""
        evidence = self.solved.evidence
        chances = evidence.probabilities(self.cheapest.names[:1])
        likeliest = [evidence.labels[number] for number in np.argsort(-chances, kind="stable")]
        right = [set(label) for label in self.labels]
        wrong = [label for label in likeliest if not any(one <= set(label) for one in right)]
        told = wrong[: int(_CASES.number("wrong_calls"))]
        calls = [(title_of(label), _cost(label)) for label in told]
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
        }


_COSTS = {
    "free": "time, and the fault remains",
    "small": "a small part or repair, and the fault remains",
    "hours of work": "hours of work, and the fault remains",
    "cooling unit": "a cooling unit, and the fault remains",
}


def _cost(label: Label) -> str:
    order = list(_COSTS)
    return _COSTS[max((FAULTS[name].cost for name in label), key=order.index)]


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
    for _ in range(most):
        wants_tie = level == 3 and random.random() < _CASES.number("tie_share")
        cases = _some_cases(random, level, wants_tie, wanted)
        if cases is None:
            continue
        for index in map(int, np.flatnonzero(_of_level(cases, level))):
            tried += 1
            label = cases.label(index)
            case = _case_file(number, level, cases, index, random)
            found = solved(case, bank)
            if found and _is_fair(found, label, level, wants_tie):
                if may_stop:
                    case = replace(case, stop_signs=_met(seed, level, label, case.heat_source))
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
            "pair in the order of the catalogue."
        )


def _number(seed: int, level: int) -> str:
    letters = base64.b32encode(hashlib.sha256(f"case {seed} {level}".encode()).digest()).decode()
    return f"{letters[:4]}-{letters[4:8]}"


def _some_cases(
    random: np.random.Generator, level: int, wants_tie: bool, wanted: Label | None
) -> Cases | None:
    """Draw what is wrong, and some cases of it; None where it can't be, or has hardly any steady state."""
    size = SIZES[int(random.integers(len(SIZES)))]
    shares = np.array([SOURCE_SHARES[source] for source in HEAT_SOURCES])
    heat_source = HEAT_SOURCES[int(random.choice(len(shares), p=shares / shares.sum()))]
    singles, pairs = labels(size, heat_source)
    faulty = [label for label in singles if label != NONE]
    if level == 3:
        some = [*faulty, *pairs] if wants_tie else list(pairs)
        label = some[int(random.integers(len(some)))]
    else:
        sound = random.random() < _CASES.number("sound_share")
        label = NONE if sound else faulty[int(random.integers(len(faulty)))]
    if wanted is not None:
        if wanted not in (*singles, *pairs):
            return None
        label = wanted
    try:
        return draw_cases(
            int(random.integers(2**63)),
            int(_CASES.number("tried_sound" if label == NONE else "tried")),
            sizes=(size,),
            heat_sources=(heat_source,),
            wanted=(label,),
            pair_share=float(len(label) > 1),
        )
    except RuntimeError:  # a fan against a draught that no heat drives
        return None


def _of_level(cases: Cases, level: int) -> np.ndarray:
    """Tell which cases a level allows."""
    sound = (cases.labels == numbers_of(NONE)).all(axis=1)
    if level == 1:
        return cases.out_of_limits() | sound
    if level == 2:
        mild, hot = _CASES.number("mild_day"), _CASES.number("hot_day")
        extreme = (cases.ambient < mild) | (cases.ambient > hot)
        return sound | (extreme & (cases.severities[:, 0] < _CASES.number("mild_fault")))
    return np.ones(len(cases), dtype=bool)


def _case_file(number: str, level: int, cases: Cases, index: int, random: np.random.Generator) -> CaseFile:
    size, heat_source = str(cases.size[index]), str(cases.heat_source[index])
    read = measure({"ambient": float(cases.ambient[index]), **cases.true_readings(index)}, random)
    ambient = show(from_si(float(read["ambient"]), "temperature"), digits=1)
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
