"""What may be wrong with a real refrigerator that doesn't do what it should, and what to read next.

The model's chances are shown as far as they go. A cooling unit has a line only where it may come into
question at all, and is never called likely before all proofs are in; what can't be judged is said to be that.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from warmside.data import load
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.evidence import Smoothing
from warmside.diagnosis.faults import FAULTS, NONE, Label, condemns, title_of
from warmside.diagnosis.inference import Explanation, NextReading, Tie, explain, next_reading
from warmside.diagnosis.job import Who
from warmside.diagnosis.performance import Performance
from warmside.diagnosis.proofs import Proof, Standing, proofs
from warmside.diagnosis.readings import READINGS, Readings

_SHEET = load("job_sheet")
SETTLED = _SHEET.number("settled")
"""Chance from which an explanation counts as settled."""
NOTHING_LEFT = _SHEET.number("nothing_left")
"""Bits below which no reading is worth its minutes."""
_LIKELY = _SHEET.number("likely")
_WORTH = _SHEET.number("worth")
_SOMETHING_ELSE = _SHEET.number("something_else")
_CONTRADICTION = _SHEET.number("real_contradiction")
REAL = Smoothing(
    kernel=_SHEET.number("real_kernel"),
    ambient=_SHEET.number("real_ambient"),
    evidence=_SHEET.number("real_evidence"),
    tails=_SHEET.number("real_tails"),
    stray=_SHEET.number("real_stray"),
    failed=True,
)
"""A real refrigerator differs from the model by more than the model's cases differ from each other: most of
all in how the air behind it mixes. By how much nobody has measured, so errors have long tails, and what is
read counts for less than in the model. Invented."""
COOLING_UNIT = "Cooling unit: circulation blocked, or charge lost"
SOMETHING_ELSE = "Something else, or what can't be judged by these readings"
UNEXPLAINED = "Nothing in the catalog fits what was read: check the readings, or look for what isn't in it."


@dataclass(frozen=True)
class Suspect:
    """An explanation that the sheet names.

    Attributes
    ----------
    labels : tuple of Label
        Names of the faults: of one explanation, or of all that stand in one line.
    title : str
        What it is called.
    probability : float
        Its chance.
    """

    labels: tuple[Label, ...]
    title: str
    probability: float

    @property
    def is_unit(self) -> bool:
        """Whether it condemns the cooling unit."""
        return any(condemns(label) for label in self.labels)

    @property
    def faults(self) -> tuple[str, ...]:
        """Names of the faults, each once."""
        return tuple(dict.fromkeys(name for label in self.labels for name in label))

    @property
    def remedies(self) -> tuple[str, ...]:
        """What puts each fault right."""
        return tuple(dict.fromkeys(FAULTS[name].remedy for name in self.faults if name not in NONE))

    @property
    def works(self) -> tuple[str, ...]:
        """What its remedies take, by names of `warmside.hazards.WORK`."""
        return tuple(dict.fromkeys(work for name in self.faults for work in FAULTS[name].works))


@dataclass(frozen=True)
class Causes:
    """What may be wrong.

    Attributes
    ----------
    verdict : str
        One sentence.
    suspects : tuple of Suspect
        The likeliest first.
    others, something_else : float
        Chances of all that is too unlikely to be listed, and of what is in no catalogue or can't be judged.
        With those of the suspects they sum to 1.
    ties : tuple of Tie
        Explanations that the readings don't separate.
    proofs : tuple of Proof
        What must be proven before the cooling unit is in question; empty where it isn't.
    measure_next, for_licensed : tuple of NextReading
        The best first; and those that would tell more and are for others than who asks.
    """

    verdict: str
    suspects: tuple[Suspect, ...]
    others: float
    something_else: float
    ties: tuple[Tie, ...]
    proofs: tuple[Proof, ...]
    measure_next: tuple[NextReading, ...]
    for_licensed: tuple[NextReading, ...]


def causes(
    readings: Readings,
    does: Performance,
    seen: tuple[str, ...],
    who: Who,
    bank: Bank,
    priors: Mapping[str, float] | None = None,
    *,
    doubtful: frozenset[str] = frozenset(),
) -> Causes:
    """Say what may be wrong.

    Parameters
    ----------
    readings : Readings
        Against usual figures, without those that contradict each other.
    does : Performance
        What the refrigerator does.
    seen : tuple of str
        Names of the faults that a reading shows by itself.
    who : Who
        Who asks.
    bank, priors
        As in `explain`.
    doubtful : frozenset of str, optional
        Names of readings that were taken and are left out; they aren't offered again.
    """
    left = [name for name in readings.missing if name not in doubtful]
    how: dict = {"bank": bank, "priors": priors, "remaining": left, "smoothing": REAL}
    explanation = explain(readings, something_else=_SOMETHING_ELSE, **how)
    lines, something_else = _lines(explanation, does)
    suspects = tuple(
        one
        for one in lines[: int(_SHEET.number("most_shown"))]
        if one.probability >= _SHEET.number("least_shown")
    )
    others = sum(one.probability for one in lines) - sum(one.probability for one in suspects)
    to_prove = proofs(readings) if any(one.is_unit for one in suspects) else ()
    settled = _is_settled(suspects, seen, explanation)
    offered = () if settled else next_reading(readings, **how)
    mine, licensed = _ordered(offered, to_prove, who, readings.heat_source)
    return Causes(
        verdict=_verdict(readings, suspects, something_else, explanation, to_prove, seen, settled),
        suspects=suspects if readings.values else (),
        others=max(others, 0.0),
        something_else=something_else,
        ties=_told_apart(explanation.ties, suspects),
        proofs=to_prove,
        measure_next=mine,
        for_licensed=licensed,
    )


def _lines(explanation: Explanation, does: Performance) -> tuple[list[Suspect], float]:
    """Return a line for each explanation, the likeliest first, and the chance of what can't be judged."""
    unit = [one for one in explanation.ranked if condemns(one.label)]
    nothing = [one for one in explanation.ranked if one.label == NONE and does.fails]
    rest = [one for one in explanation.ranked if one not in unit and one not in nothing]
    lines = [Suspect((one.label,), title_of(one.label), one.probability) for one in rest]
    unit_chance = sum(one.probability for one in unit)
    something_else = explanation.something_else + sum(one.probability for one in nothing)
    if does.may_condemn:
        lines.append(Suspect(tuple(one.label for one in unit), COOLING_UNIT, unit_chance))
    else:
        something_else += unit_chance
    return sorted(lines, key=lambda one: -one.probability), something_else


# --- words ------------------------------------------------------------------------------------------------


def chance(probability: float) -> str:
    """Say a chance in whole percent, without pretending to be certain."""
    percent = round(100.0 * probability)
    return "over 99 %" if percent > 99 else "under 1 %" if percent < 1 else f"{percent} %"


def _is_unexplained(explanation: Explanation) -> bool:
    return explanation.surprise > _CONTRADICTION or explanation.something_else >= _LIKELY


def _is_settled(suspects: tuple[Suspect, ...], seen: tuple[str, ...], explanation: Explanation) -> bool:
    """Tell whether the first is settled: each of its faults is itself seen, and sure alone or not."""
    if not suspects or suspects[0].is_unit or _is_unexplained(explanation):
        return False
    first = suspects[0]
    if first.labels == (NONE,):
        return first.probability >= SETTLED
    return set(first.faults) <= set(seen) and _sure(first, explanation) >= SETTLED


def _sure(suspect: Suspect, explanation: Explanation) -> float:
    """Return how likely each of a suspect's faults is at least, alone or beside others."""
    return min(explanation.of_fault(name) for name in suspect.faults)


def _verdict(
    readings: Readings,
    suspects: tuple[Suspect, ...],
    something_else: float,
    explanation: Explanation,
    to_prove: tuple[Proof, ...],
    seen: tuple[str, ...],
    settled: bool,
) -> str:
    if not readings.values:
        return "No reading was given, so nothing can be said of a cause."
    if _is_unexplained(explanation):
        return UNEXPLAINED
    first = suspects[0] if suspects else None
    if first is None or something_else > first.probability:
        return (
            "By these readings the cause can't be told; what is listed are the likeliest of those it may be."
        )
    title, likely = _uncapped(first.title), chance(first.probability)
    if first.labels == (NONE,):
        return f"Nothing points at a fault{'' if settled else ' so far'} ({likely})."
    if first.is_unit:
        return _of_the_unit(first, to_prove)
    if settled:
        sure = chance(_sure(first, explanation))
        return (
            f"It is settled, as far as this model goes: {title} ({sure}, alone or beside something else). "
            "Put it right and test again."
        )
    if set(first.faults) <= set(seen):
        return (
            f"Seen: {title}. Put that right first and test again; that it explains all that was read "
            f"isn't settled ({likely})."
        )
    if first.probability >= _LIKELY:
        return f"Likely, but not settled: {title} ({likely})."
    return f"Not settled: the likeliest is {title}, at {likely} only."


def _of_the_unit(first: Suspect, to_prove: tuple[Proof, ...]) -> str:
    """Say how far a cooling unit is in question: never that it is dead before all proofs are in."""
    likely = chance(first.probability)
    against = sum(proof.standing is Standing.SPEAKS_AGAINST for proof in to_prove)
    missing = sum(proof.standing is Standing.MISSING for proof in to_prove)
    if against:
        return (
            f"The cooling unit is in question ({likely}), and something else was found that looks the "
            "same from "
            "inside the box: put that right and test again before anybody condemns it."
        )
    if missing:
        return (
            f"The cooling unit is in question ({likely}), and not condemned: {missing} of the "
            f"{len(to_prove)} proofs below are missing."
        )
    if first.probability < _LIKELY:
        return (
            f"All proofs are in, and the cooling unit is the likeliest, at {likely} only: have it looked at."
        )
    return (
        f"All proofs are in: by this model it is the cooling unit ({likely}). A qualified person confirms "
        "that "
        "before it is replaced."
    )


def _uncapped(title: str) -> str:
    return title[0].lower() + title[1:]


def _told_apart(ties: tuple[Tie, ...], suspects: tuple[Suspect, ...]) -> tuple[Tie, ...]:
    """Return the ties among what is listed, those of the cooling unit left out: it has one line."""
    listed = {label for one in suspects if not one.is_unit for label in one.labels}
    among = [(tuple(label for label in tie.labels if label in listed), tie.separated_by) for tie in ties]
    return tuple(Tie(labels, by) for labels, by in among if len(labels) > 1)


def _ordered(
    offered: tuple[NextReading, ...], to_prove: tuple[Proof, ...], who: Who, heat_source: str
) -> tuple[tuple[NextReading, ...], tuple[NextReading, ...]]:
    """Return what to read next, missing proofs first, then by what it tells; and what is for licensed "
    "people."""
    proving = {name for proof in to_prove for name in proof.missing}
    least = max(NOTHING_LEFT, _WORTH * max((one.gain for one in offered), default=0.0))
    wanted = [one for one in offered if one.name in proving or one.gain >= least]
    wanted.sort(key=lambda one: (one.name not in proving, one.name in proving and one.effort))
    kept = [
        one for one in wanted if who is not Who.OWNER or not READINGS[one.name].not_for_owner(heat_source)
    ]
    others = [one for one in wanted if one not in kept]
    most = int(_SHEET.number("offered"))
    return tuple(kept[:most]), tuple(others[:most])
