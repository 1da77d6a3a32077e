"""The exercise on diagnosis: the job card with its case, and all that is asked.

What is right follows from the case's own readings (`judging`), so the card carries no key. The case itself
holds no stop sign: these are asked for at another call (`stops`), so that everybody has a case to work.
"""

from warmside.diagnosis.faults import FAULTS, title_of
from warmside.diagnosis.readings import READINGS
from warmside.marking.exercise import ByHand, Exercise, Job
from warmside.marking.job_card import Draw, Entry
from warmside.show import case_debrief
from warmside.show.case_pages import FILE_NAME

from . import debrief, judging, retest, stops
from .case_drawing import draw_case

LEVELS = (2, 3)
"""Levels that cases are drawn of: one fault or two, so that the second fault is a question."""

KEPT = {"still_air": 0.4, "heavy_load": 0.6, "door_seal": 0.7}
"""Parts of the cases with these that are handed out, so that no answer is right much oftener than others."""


def note_rubric(job: Job) -> tuple[str, ...]:
    """Say what is true of this case, and what earns marks."""
    case, proof = judging.case_of(job), judging.proof_of(job)
    tie = "; or ".join(title_of(label) for label in proof.labels)
    shown = ", ".join(f"{READINGS[name].title}: {case.value(name)}" for name in proof.cheapest.names[:4])
    remedies = " ".join(FAULTS[name].remedy for name in proof.labels[0])
    return (
        f"What is wrong in case {case.number}: {tie}. Shown by {shown}.",
        f"What puts it right: {remedies}",
        "1: names that, with a reading it stands on.",
        "1: says what is done, by whom, and what stays off the customer's hands.",
        "1: plain words, no guess sold as a finding, none of the owner's own words blamed on them.",
        "A wrong answer to question 4 costs marks there; a note that follows from it may have all three.",
        "No mark at all for advice that could hurt, or for a sound cooling unit condemned.",
        "Readings and minutes are those of this copy; in another, everything may have been read for nothing. "
        "Before you call somebody competent, ask why each reading was taken, and what came next had it shown "
        "something else.",
    )


NOTE = ByHand(name="customer_line", title="Line to the customer", points=3, rubric=note_rubric)


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw a case, its readings sealed in a file beside the card, and the log of a re-test."""
    level = draw.pick(LEVELS)
    while True:
        case, answer = draw_case(int(draw.between(0, 2**48, 1)), level, may_stop=False)
        kept = min(KEPT.get(name, 1.0) for label in answer.labels for name in label)
        if draw.between(0, 1, 0.01) <= kept:
            break
    files = {FILE_NAME: case.to_text(), retest.LOG: retest.retest_log(draw, case.size)}
    entries = (
        Entry(
            "first_call",
            "First call this morning, at another refrigerator (question 1)",
            stops.first_call(draw),
        ),
        Entry("case", "Case", case.number),
        Entry("size", "Refrigerator", case.size),
        Entry("heat_source", "It runs on", case.heat_source),
        Entry("season", "The day", case.season),
        Entry("ambient", "Air outside, when you read", case.ambient, "temperature"),
        Entry("complaint", "The owner says", case.complaint),
    )
    return entries, files


def debrief_file(job: Job) -> dict[str, str]:
    """Return the debrief of a case; the practice card's alone is handed out."""
    case = judging.case_of(job)
    known = debrief.debrief_of(case, judging.proof_of(job))
    return {case_debrief.file_name(case.number): case_debrief.as_text(known, case.number)}


EXERCISE = Exercise(
    "diagnosis",
    "Diagnosis",
    (*stops.ITEMS, *judging.ITEMS, *retest.ITEMS),
    draw,
    by_hand=(NOTE,),
    needs_bank=True,
    with_practice=debrief_file,
)
