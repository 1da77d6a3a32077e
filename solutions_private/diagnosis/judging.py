"""Questions 2 to 9: a case's readings, what they prove, and what follows from that.

What is right follows from the case's own readings, by the same Bayes over simulated cases that draws them:
`solved` gives what all readings together prove, one answer or a tie.
"""

import math
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from warmside.diagnosis.case_file import CaseFile, from_file_text
from warmside.diagnosis.case_proof import Solved, solved
from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, ISOLATES, REMEDIES
from warmside.diagnosis.faults import FAULTS, Label, condemns, title_of
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.sufficient import chance, minutes, proven
from warmside.marking.exercise import Job, Judged, Table, Verdict
from warmside.marking.kinds import Answer
from warmside.show.case_pages import FILE_NAME
from warmside.show.choices import codes

NEW_UNIT, NO_MORE = REMEDIES["new unit"].code, FIRST_STEPS["usual"].code

SOUND_CONDEMNED = "a sound cooling unit condemned"
PASSED_OVER, INVENTED = "a fault passed over", "a fault found where there is none"
_CONDEMNED = Verdict(
    0.0,
    (
        "You would replace a cooling unit that is sound. That is the dearest wrong call there is, so the "
        "questions on fault, second fault, cooling unit and remedy earn nothing.",
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
    """Judge what was read: whether it decides the case, and in how many minutes."""
    proof, names = proof_of(job), taken(given, job)
    spent, least = minutes(names), proof.cheapest.minutes
    lines = (f"Your readings took {spent:g} minutes. The cheapest that decide this case take {least:g}.",)
    if proof.decided_by(names):
        share = next(
            (
                share
                for share, (times, more) in ((1.0, _FULL), (0.75, _MOST))
                if spent <= times * least + more
            ),
            0.5,
        )
        said = "They decide it." if share == 1.0 else "They decide it, but some of the time was not needed."
        return Verdict(share, (*lines, said))
    lacking = ", ".join(READINGS[name].title for name in proof.lacking(names))
    if proven(proof.evidence, proof.labels, names):
        said = f"They tell what is wrong, and this is still missing: {lacking}. {_WHY_NEEDED[proof.condemns]}"
        return Verdict(0.5, (*lines, said), "a proof left out")
    likeliest = proof.ranked_by(names)[0][0] in proof.labels
    now = percent(chance(proof.evidence, proof.labels, names))
    said = f"They don't decide it yet: what is right stands at {now} after them."
    return Verdict(
        0.5 if likeliest else 0.0,
        (*lines, said),
        "" if likeliest else "readings that don't decide the case",
    )


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
        return Verdict(1.0, ("That is right.",))
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
            return Verdict(1.0, ("That is right.",))
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
        return Verdict(1.0, ("That is right.",))
    if letter == "c":
        if not proof.decided_by(read):
            return Verdict(0.5, ("Fair by what you read; more readings would have told.",))
        return Verdict(0.0, ("Your readings tell.",), "left open though the readings tell")
    return Verdict(0.0, ("The unit is gone, and nothing else brings the cold back.",), "a dead unit left in")


# --- evidence ---------------------------------------------------------------------------------------------

_MOVED = ((0.7, 1.0), (0.4, 0.5))
_LITTLE = 0.05


def judge_evidence(names: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge by how far the named readings alone move the odds towards what is right."""
    proof, read = proof_of(job), taken(given, job)
    named = tuple(name for name in names if name in read)
    said = []
    if len(named) < len(names):
        said.append("Only readings that you took count as evidence.")
    before, after = log_odds(proof, ()), log_odds(proof, read)
    whole = after - before
    decided = proof.decided_by(named)
    if not decided and (not named or whole <= 0.0):
        said.append("What you read doesn't speak for what is right." if named else "Name some that you took.")
        return Verdict(0.0, tuple(said), "evidence that moves nothing" if named else "")
    by_named = log_odds(proof, named)
    moved = 1.0 if decided else (by_named - before) / whole
    if proven(proof.evidence, proof.labels, named):
        moved = max(moved, 1.0)
    share = next((share for least, share in _MOVED if moved >= least), 0.0)
    little = min(_LITTLE, 0.5 / len(named)) * abs(whole)
    tells = [
        name
        for name in named
        if name in proof.needed
        or max(
            log_odds(proof, (name,)) - before,
            by_named - log_odds(proof, [other for other in named if other != name]),
        )
        >= little
    ]
    idle = [name for name in named if name not in tells]
    if 2 * len(tells) < len(named):
        share = min(share, 0.5)
    if idle:
        said.append(f"These hardly move the odds: {', '.join(READINGS[name].title for name in idle)}.")
    far = "as far as all that you took" if moved >= 0.95 else f"{percent(moved)} of the way of all you took"
    if decided:
        said.append("What you name decides the case.")
    else:
        said.append(f"What you name moves the odds {far}." if moved > 0.0 else "It points elsewhere.")
    return Verdict(share, tuple(said), "" if share else "evidence that moves nothing")


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
    if share == 1.0:
        return Verdict(1.0, ("That is right.",))
    if share > 0.0:
        return Verdict(0.5, ("Some of it is right: one is missing, or one is not needed.",))
    return Verdict(0.0, ("That doesn't put right what is wrong.",), "a remedy that doesn't help")


def judge_first_step(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what safety asks for first."""
    faults = faults_in(proof_of(job).labels)
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


ITEMS = (
    Judged("readings_taken", "Readings and minutes", "names", 4, tuple(READINGS), judge_readings),
    Judged("where", "Where it lies", "choice", 1, codes("groups"), judge_where),
    Judged("fault", "What is wrong", "choice", 4, codes("faults"), judge_fault),
    Judged("second_fault", "What else is wrong", "choice", 2, codes("faults"), judge_second_fault),
    Judged("evidence", "Evidence", "names", 3, tuple(READINGS), judge_evidence),
    Judged("unit", "Whether the unit is gone", "choice", 2, tuple("abc"), judge_unit),
    Judged("remedy", "Remedy", "names", 2, codes("remedies"), judge_remedy),
    Judged("first_step", "First step, for safety", "choice", 2, codes("first_steps"), judge_first_step),
)
