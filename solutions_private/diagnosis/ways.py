"""What is right in a case of “Diagnosis”, what proves it, and what the readings show. Never released."""

from collections.abc import Iterable
from typing import Any

from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, REMEDIES
from warmside.diagnosis.faults import FAULTS, title_of
from warmside.diagnosis.readings import READINGS
from warmside.hazards import STOP_SIGNS
from warmside.marking.exercise import Job
from warmside.marking.verdict import Table
from warmside.marking.ways import Given, Way

from .judging import case_of, faults_in, odds_table, percent, proof_of, taken, what_settles
from .retest import HOLDS, LIMIT, LOG, MILD_DAY, NOT_YET, RATED, retest_proves
from .stops import NONE, sign_of


def stop_sign(job: Job, given: Given) -> tuple[str, ...]:
    right = sign_of(job)
    if right == NONE:
        return ("none: nothing that was met there stops the job.",)
    sign = STOP_SIGNS[right]
    return (f"{right}: {sign.title}", *sign.sentences)


def shown(job: Job, steps: Iterable[Any], then: str) -> tuple[str, ...]:
    """Say of each reading what it shows, and how likely what is right is then."""
    case = case_of(job)
    return tuple(
        f"{READINGS[step.name].title}: {case.value(step.name)}. {then} {percent(step.of_right)}."
        for step in steps
        if step.name
    )


def readings_taken(job: Job, given: Given) -> tuple[str | Table, ...]:
    proof, read = proof_of(job), taken(given, job)
    missed = [name for name in proof.cheapest.names if name not in read]
    listed = ", ".join(READINGS[name].title for name in missed)
    return (
        what_settles(proof),
        *shown(job, proof.steps(proof.cheapest.names), "What is right stands then at"),
        f"Of these you left out: {listed}." if missed else "You took all of these.",
        odds_table(proof, case_of(job), read),
    )


def where(job: Job, given: Given) -> tuple[str, ...]:
    groups = dict.fromkeys(FAULTS[name].group for name in sorted(faults_in(proof_of(job).labels)))
    return ("; or ".join(f"{GROUPS[group].code}: {GROUPS[group].title}" for group in groups),)


def fault(job: Job, given: Given) -> tuple[str, ...]:
    proof = proof_of(job)
    right = "; or ".join(title_of(label) for label in proof.labels)
    codes = ", ".join(
        f"{FAULTS[name].code} ({FAULTS[name].title})" for name in sorted(faults_in(proof.labels))
    )
    tie = ("No reading of this case tells these apart, so each is right.",) if len(proof.labels) > 1 else ()
    return (f"What is the matter with it: {right}.", *tie, f"To type: {codes}.")


def second_fault(job: Job, given: Given) -> tuple[str, ...]:
    labels = proof_of(job).labels
    if any(len(label) > 1 for label in labels):
        return ("Two things are wrong: the one that you didn't name in question 4.",)
    return (f"{FAULTS['none'].code}: nothing else is wrong.",)


def evidence(job: Job, given: Given) -> tuple[str, ...]:
    proof, read = proof_of(job), taken(given, job)
    before = proof.steps(())[0].of_right
    names = dict.fromkeys((*proof.cheapest.names, *read))
    telling = sorted(proof.alone(names), key=lambda step: -step.of_right)
    return (
        f"Before any reading what is right stood at {percent(before)}. By themselves these move it, the most "
        "telling first:",
        *shown(job, telling[:6], "By itself it puts what is right at"),
    )


def unit(job: Job, given: Given) -> tuple[str, ...]:
    proof = proof_of(job)
    if not proof.condemns:
        return ("b: the unit is sound; see question 4 for what is the matter with it.",)
    listed = ", ".join(READINGS[name].title for name in proof.needed)
    return (f"a: it is gone, and every proof says so: {listed}.",)


def remedy(job: Job, given: Given) -> tuple[str, ...]:
    ways = []
    for label in proof_of(job).labels:
        letters = ", ".join(dict.fromkeys(REMEDIES[FAULTS[name].remedy_kind].code for name in label))
        ways.append(f"{letters}: {' '.join(FAULTS[name].remedy for name in label)}")
    return tuple(ways)


def first_step(job: Job, given: Given) -> tuple[str, ...]:
    names = sorted(faults_in(proof_of(job).labels))
    steps = dict.fromkeys(step for name in names for step in FAULTS[name].first_steps)
    return tuple(f"{FIRST_STEPS[step].code}: {FIRST_STEPS[step].title}" for step in steps)


def hottest_hour(job: Job, given: Given) -> tuple[str, ...]:
    ambient = job.card.column(LOG, "ambient_F")
    return (f"The ambient is highest at hour {int(ambient.argmax())} of the log: {ambient.max():.1f} °F",)


def cup_margin(job: Job, given: Given) -> tuple[str, ...]:
    limit, cup = LIMIT[job.card["size"]], job.card.column(LOG, "cup_F")[-1]
    return (f"Limit less cup: {limit:g} °F - {cup:.1f} °F = {limit - cup:.1f} °F",)


_PROVES = {
    HOLDS: "it holds on a day as hot as it is rated for",
    MILD_DAY: "it held, on a day milder than its rating",
    NOT_YET: "it doesn't hold yet",
}


def proves(job: Job, given: Given) -> tuple[str, ...]:
    cup, hottest = job.card.column(LOG, "cup_F")[-1], job.card.column(LOG, "ambient_F").max()
    size = job.card["size"]
    return (
        f"Cup {cup:.1f} °F, limit {LIMIT[size]:g} °F; hottest hour {hottest:.1f} °F, rated for "
        f"{RATED[size]:g} °F: {_PROVES[retest_proves(job)]}.",
    )


WAYS: dict[str, Way] = {
    "stop_sign": stop_sign,
    "readings_taken": readings_taken,
    "where": where,
    "fault": fault,
    "second_fault": second_fault,
    "evidence": evidence,
    "unit": unit,
    "remedy": remedy,
    "first_step": first_step,
    "hottest_hour": hottest_hour,
    "cup_margin": cup_margin,
    "retest_proves": proves,
}
