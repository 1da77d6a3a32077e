"""Questions 2 to 9: a case's readings, what they prove, and what follows from that.

What is right follows from the case's own readings, by the same Bayes over simulated cases that draws them:
`solved` gives what all readings together prove, one answer or a tie.

Answers are marked by what they are worth to whoever has the refrigerator. With another fault named,
readings that decide the case and a remedy that helps are worth half, and what only goes with the fault is
worth nothing. So answers chosen without a look at the case earn little, though some are often true.
"""

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import lru_cache
from typing import Any

from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, ISOLATES, REMEDIES
from warmside.diagnosis.faults import FAULTS, Label, condemns, title_of
from warmside.diagnosis.leading import chance, minutes, proven
from warmside.diagnosis.readings import READINGS
from warmside.marking.exercise import Job, Judged
from warmside.marking.kinds import Answer
from warmside.marking.verdict import Table, Verdict
from warmside.show.case_pages import FILE_NAME
from warmside.show.choices import codes

from .case_file import CaseFile, from_file_text
from .case_proof import Solved, solved

NEW_UNIT, NO_MORE = REMEDIES["new unit"].code, FIRST_STEPS["usual"].code

Judge = Callable[[Any, Mapping[str, Any], Job], Verdict]

SOUND_CONDEMNED = "a sound cooling unit condemned"
FOLLOWS_NOTHING = "rests on a fault that isn't there"
NO_EVIDENCE = "evidence that moves nothing"
TOO_MUCH_READ = "read without end"
PASSED_OVER, INVENTED = "a fault passed over", "a fault found where there is none"
_CONDEMNED = Verdict(
    0.0,
    (
        "You would replace a cooling unit that is sound. That is the dearest wrong call there is, so "
        "questions 4 to 9 earn nothing.",
        "Before you condemn a unit: level, heat input and the enclosure must be proven good.",
    ),
    SOUND_CONDEMNED,
)


def case_of(job: Job) -> CaseFile:
    """Return the case of a job card."""
    return _case(job.card.files[FILE_NAME])


@lru_cache(maxsize=64)
def _case(text: str) -> CaseFile:
    return from_file_text(text, FILE_NAME)


def proof_of(job: Job) -> Solved:
    """Return what the case's readings prove; each case that is handed out proves something."""
    return solved(case_of(job))


def faults_in(labels: Collection[Label]) -> set[str]:
    """Return all faults that stand in some labels."""
    return {name for label in labels for name in label}


def taken(given: Mapping[str, Answer], job: Job) -> tuple[str, ...]:
    """Return the readings that the trainee took, of those that the case has."""
    return tuple(name for name in given.get("readings_taken", ()) if name in case_of(job).names)


def condemned(given: Mapping[str, Answer], proof: Solved) -> bool:
    """Tell whether a sound cooling unit is condemned in any of the answers."""
    if proof.condemns:
        return False
    named = [FAULTS.of_code(given[item]).name for item in ("fault", "second_fault") if item in given]
    return condemns(tuple(named)) or given.get("unit") == "a" or NEW_UNIT in given.get("remedy", ())


def found(given: Mapping[str, Answer], proof: Solved) -> bool:
    """Tell whether what is wrong, or one thing of it, is named."""
    return "fault" in given and FAULTS.of_code(given["fault"]).name in faults_in(proof.labels)


def log_odds(proof: Solved, names: Iterable[str]) -> float:
    """Return the logarithm of the odds of what is right, by these readings alone."""
    probable = min(max(chance(proof.evidence, proof.labels, names), 1e-9), 1.0 - 1e-9)
    return math.log(probable / (1.0 - probable))


def percent(probability: float) -> str:
    """Return a chance as text; never quite 0 or 100 %."""
    return f"{min(max(round(100 * probability), 1), 99)} %"


# --- readings and minutes ---------------------------------------------------------------------------------

_WHY_NEEDED = {
    False: "Without the cup nobody knows how well it cooled, nor later whether the repair helped.",
    True: "A cooling unit is named after every proof, and not before.",
}
_FULL, _MOST = (2.0, 20.0), (4.0, 40.0)  # times the cheapest minutes, and minutes on top


def judge_readings(names: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what was read: whether it decides the case, in how many minutes, and what was made of it."""
    proof, names = proof_of(job), taken(given, job)
    spent, least = minutes(names), proof.cheapest.minutes
    share, said, mistake = _worth_of_readings(proof, names, spent)
    lines = [
        f"Your readings took {spent:g} minutes. The cheapest that decide this case take {least:g}.",
        said,
    ]
    if share and not found(given, proof):
        share = 0.5 * share if proof.decided_by(names) and share >= 0.5 else 0.0
        lines.append("You don't name what is wrong, so they earn less: readings are for a right call.")
    return Verdict(share, tuple(lines), mistake)


def _worth_of_readings(proof: Solved, names: tuple[str, ...], spent: float) -> tuple[float, str, str]:
    """Return what readings are worth to a right call, why, and the mistake that was made."""
    least = proof.cheapest.minutes
    if proof.decided_by(names):
        if spent <= _FULL[0] * least + _FULL[1]:
            return 1.0, "They decide it.", ""
        if spent <= _MOST[0] * least + _MOST[1]:
            return 0.5, "They decide it, but much of the time was not needed.", ""
        return 0.25, "They decide it, in more time than any customer pays for.", TOO_MUCH_READ
    if proven(proof.evidence, proof.labels, names):
        lacking = ", ".join(READINGS[name].title for name in proof.lacking(names))
        said = f"They tell what is wrong, and this is still missing: {lacking}. {_WHY_NEEDED[proof.condemns]}"
        return 0.5, said, "a proof left out"
    now = percent(chance(proof.evidence, proof.labels, names))
    said = f"They don't decide it yet: what is right stands at {now} after them."
    likeliest = bool(names) and proof.ranked_by(names)[0][0] in proof.labels
    return (0.5, said, "") if likeliest else (0.0, said, "readings that don't decide the case")


def odds_table(proof: Solved, case: CaseFile, names: tuple[str, ...]) -> Table:
    """Return how the chances moved with each reading."""
    rows = []
    for step in proof.steps(names):
        shown = (
            (READINGS[step.name].title, case.value(step.name)) if step.name else ("Before any reading", "–")
        )
        leading = f"{title_of(step.leading)}: {percent(step.chance)}"
        rows.append((*shown, f"{step.minutes:g}", leading, percent(step.of_right)))
    head = ("Reading", "It shows", "Minutes so far", "Likeliest then", "Chance of what is right")
    return Table("How the chances moved with your readings (of the teaching model)", head, tuple(rows))


def what_settles(proof: Solved) -> str:
    """Say which readings settle the case in the least minutes, in the order of work."""
    cheapest = proof.cheapest
    if proof.performs:
        return (
            f"Cup and freezer settle it ({cheapest.minutes:g} minutes): both are within limits on a day near "
            "its rating, so it does what the rating promises, and no cause is looked for."
        )
    listed = ", then ".join(READINGS[name].title for name in cheapest.names)
    if proof.condemns:
        return f"A dead cooling unit is settled by every proof: {listed} ({cheapest.minutes:g} minutes)."
    return f"The cheapest that settle it, performance first: {listed} ({cheapest.minutes:g} minutes)."


# --- what is wrong ----------------------------------------------------------------------------------------


def judge_where(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge where the fault lies."""
    groups = {FAULTS[name].group for name in faults_in(proof_of(job).labels)}
    if letter in {GROUPS[group].code for group in groups}:
        if found(given, proof_of(job)):
            return Verdict(1.0, ("That is right.",))
        return Verdict(0.5, ("That is right. As you don't name what is wrong there, it earns half.",))
    if letter == GROUPS["unit"].code:
        return Verdict(0.0, _CONDEMNED.feedback[1:], SOUND_CONDEMNED)
    if letter == GROUPS["none"].code:
        return Verdict(0.0, ("Something is wrong: the readings say so.",), PASSED_OVER)
    said = ("It lies elsewhere: ask what you would have read if it lay there.",)
    return Verdict(0.0, said, INVENTED if groups == {"none"} else "sought in another place")


def judge_fault(code: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what is wrong."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    name = FAULTS.of_code(code).name
    if name in faults_in(proof.labels):
        said = ["That is right."]
        if len(proof.labels) > 1:
            tie = "; ".join(title_of(label) for label in proof.labels)
            said.append(f"No reading separates these, so each counts as right: {tie}.")
        return Verdict(1.0, tuple(said))
    if name == "none":
        return Verdict(0.0, ("Something is wrong: the readings say so.",), PASSED_OVER)
    if faults_in(proof.labels) == {"none"}:
        return Verdict(
            0.0,
            ("Nothing is wrong with this one: it does what it can on such a day.",),
            INVENTED,
        )
    by_theirs = sum(one for label, one in proof.ranked_by(taken(given, job)) if name in label)
    return Verdict(
        0.0,
        (f"By what you read, that had a chance of {percent(by_theirs)}.",),
        "another fault taken for the one there is",
    )


def judge_second_fault(code: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what is wrong besides."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    name = FAULTS.of_code(code).name
    first = FAULTS.of_code(given["fault"]).name if "fault" in given else "none"
    if name in ("none", first):
        if any(len(label) == 1 for label in proof.labels):
            if found(given, proof):
                return Verdict(1.0, ("That is right.",))
            return Verdict(0.0, ("Something is: what you passed over in question 4.",), FOLLOWS_NOTHING)
        return Verdict(0.0, ("Something else is wrong as well.",), "a second fault passed over")
    if any(len(label) == 2 and name in label for label in proof.labels):
        return Verdict(1.0, ("That is right.",))
    if len(proof.labels) > 1 and {name, first} <= faults_in(proof.labels):
        return Verdict(1.0, ("These two are a tie that no reading separates; you named both.",))
    return Verdict(0.0, ("The readings don't show that.",), "a second fault that isn't there")


def judge_unit(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge whether the cooling unit has to be replaced."""
    proof = proof_of(job)
    gone, read = proof.condemns, taken(given, job)
    if condemned(given, proof):
        return _CONDEMNED
    lacking = proof.lacking(read) if gone else ()
    if letter == "a" and lacking:
        missing = ", ".join(READINGS[name].title for name in lacking)
        said = f"It is gone, but you condemned it before every proof was in. Missing: {missing}."
        return Verdict(0.25, (said,), "a unit condemned before every proof")
    if letter == ("a" if gone else "b"):
        if found(given, proof):
            return Verdict(1.0, ("That is right.",))
        return Verdict(0.0, ("True, but without what is wrong it is a guess.",), FOLLOWS_NOTHING)
    if letter == "c":
        if read and not proof.decided_by(read):
            return Verdict(0.25, ("Fair by what you read; more readings would have told.",))
        return Verdict(0.0, ("Your readings tell.",), "left open though the readings tell")
    return Verdict(0.0, ("The unit is gone, and nothing else brings the cold back.",), "a dead unit left in")


# --- evidence ---------------------------------------------------------------------------------------------

_MOVED = ((0.7, 1.0), (0.4, 0.5))
_LITTLE, _IDLE_COSTS = 0.05, 0.25
"""Part of the way to what is right that a reading has to go, and what naming one that doesn't costs."""


def judge_evidence(names: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge by how far the named readings alone move the odds towards what is right."""
    proof, read = proof_of(job), taken(given, job)
    if condemned(given, proof):
        return _CONDEMNED
    if not found(given, proof):
        said = "Readings are evidence for what is wrong, and you don't name that: see question 4."
        return Verdict(0.0, (said,), FOLLOWS_NOTHING)
    named = tuple(name for name in names if name in read)
    said = [] if len(named) == len(names) else ["Only readings that you took count as evidence."]
    before, whole = log_odds(proof, ()), log_odds(proof, read) - log_odds(proof, ())
    decided = proof.decided_by(named)
    if not decided and (not named or whole <= 0.0):
        said.append("What you read doesn't speak for what is right." if named else "Name some that you took.")
        return Verdict(0.0, tuple(said), NO_EVIDENCE if named else "")
    moved = (log_odds(proof, named) - before) / whole if whole > 0.0 else 1.0
    if decided or proven(proof.evidence, proof.labels, named):
        moved = max(moved, 1.0)
    share = next((share for least, share in _MOVED if moved >= least), 0.0)
    if idle := _idle(proof, named, abs(whole)):
        share = max(share - _IDLE_COSTS * len(idle), 0.0)
        told = ", ".join(READINGS[name].title for name in idle)
        said.append(f"These hardly move the odds, and each costs a quarter of the marks: {told}.")
    far = "as far as all that you took" if moved >= 0.95 else f"{percent(moved)} of the way of all you took"
    if decided:
        said.append("What you name decides the case.")
    else:
        said.append(f"What you name moves the odds {far}." if moved > 0.0 else "It points elsewhere.")
    return Verdict(share, tuple(said), "" if share else NO_EVIDENCE)


def _idle(proof: Solved, named: tuple[str, ...], whole: float) -> list[str]:
    """Return which readings tell hardly anything: not by themselves, and not on top of the others."""
    before, after, decided = log_odds(proof, ()), log_odds(proof, named), proof.decided_by(named)
    idle = []
    for name in named:
        others = [other for other in named if other != name]
        alone, on_top = log_odds(proof, (name,)) - before, after - log_odds(proof, others)
        needed = name in proof.needed or (decided and not proof.decided_by(others))
        if not needed and max(alone, on_top) < _LITTLE * whole:
            idle.append(name)
    return idle


# --- what to do -------------------------------------------------------------------------------------------


def judge_remedy(letters: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge the remedies: all that are needed, and none that isn't."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    needed = [{REMEDIES[FAULTS[name].remedy_kind].code for name in label} for label in proof.labels]
    needed.append(set().union(*needed))  # of a whole tie
    chosen = set(letters)
    share = max(len(one & chosen) / len(one | chosen) for one in needed)
    worth = 1.0 if found(given, proof) else 0.5
    if share == 1.0:
        said = "That is right." if worth == 1.0 else "It helps, though you don't name what is wrong: half."
        return Verdict(worth, (said,))
    if share > 0.0 and worth == 1.0:
        return Verdict(0.5, ("Some of it is right: one is missing, or one is not needed.",))
    return Verdict(0.0, ("That doesn't put right what is wrong.",), "a remedy that doesn't help")


def judge_first_step(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what safety asks for first."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    verdict = _first_step(letter, faults_in(proof.labels))
    if found(given, proof) or not verdict.share:
        return verdict
    said = (
        "That is a good habit; the work that it comes before is for what you don't name, so it earns nothing."
    )
    return Verdict(0.0, (said,), FOLLOWS_NOTHING)


def _first_step(letter: str, faults: set[str]) -> Verdict:
    right = {FIRST_STEPS[step].code for name in faults for step in FAULTS[name].first_steps}
    if letter in right:
        return Verdict(1.0, ("That is right.",))
    if right == {NO_MORE}:
        return Verdict(0.5, ("That does no harm, but nothing here asks for it.",))
    if letter == FIRST_STEPS[ISOLATES].code:
        return Verdict(1.0, ("Right: who isolates first can't go wrong.",))
    if letter == NO_MORE:
        return Verdict(0.0, ("This work can hurt somebody: ask what.",), "a hazard passed over")
    said = "That leaves open what can hurt in this work: ask what is hot, live, under gas or out of reach."
    return Verdict(0.0, (said,), "a hazard left open")


def fault_granted(job: Job) -> dict[str, Answer]:
    """Return a right answer to question 4."""
    return {"fault": FAULTS[proof_of(job).labels[0][0]].code}


ITEMS = (
    Judged(
        "readings_taken", "Readings and minutes", "names", 4, tuple(READINGS), judge_readings, fault_granted
    ),
    Judged("where", "Where it lies", "choice", 1, codes("groups"), judge_where, fault_granted),
    Judged("fault", "What is wrong", "choice", 5, codes("faults"), judge_fault),
    Judged(
        "second_fault", "What else is wrong", "choice", 2, codes("faults"), judge_second_fault, fault_granted
    ),
    Judged("evidence", "Evidence", "names", 5, tuple(READINGS), judge_evidence, fault_granted),
    Judged("unit", "Whether the unit is gone", "choice", 1, tuple("abc"), judge_unit, fault_granted),
    Judged("remedy", "Remedy", "names", 2, codes("remedies"), judge_remedy, fault_granted),
    Judged(
        "first_step",
        "First step, for safety",
        "choice",
        1,
        codes("first_steps"),
        judge_first_step,
        fault_granted,
    ),
)
