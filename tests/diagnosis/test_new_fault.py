"""A fault is one entry: added while all is running, it comes through wherever faults are met."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from helpers import part_of
from private_diagnosis import draw_case, from_file_text, sealed_sheet, solved

from warmside.diagnosis import bank as banks
from warmside.diagnosis import evidence, inference, job_sheet, storing
from warmside.diagnosis.bank import Bank
from warmside.diagnosis.complaints import owners_words
from warmside.diagnosis.drawing import draw_cases, label_of
from warmside.diagnosis.fault import Fault
from warmside.diagnosis.fault_effects import Effect, multiplies
from warmside.diagnosis.faults import FAULTS, labels, prior, title_of
from warmside.diagnosis.inference import explain
from warmside.diagnosis.job import Job as AtTheDoor
from warmside.diagnosis.job import Who
from warmside.diagnosis.job_sheet_text import as_words
from warmside.marking import exercise as exercises
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.marks import mark
from warmside.show.case_pages import FILE_NAME
from warmside.show.choices import codes
from warmside.show.job_sheet_page import job_sheet_page

pytestmark = pytest.mark.full  # two small banks; a new reading is tried in the quick set


def both(one: Effect, other: Effect) -> Effect:
    """Too much of what heats it, and what that did: most of the flame lifts off, or an element is burnt."""
    return lambda severity, situation: one(severity, situation) | other(severity, situation)


NEW = (
    Fault(
        name="gas_pressure_high",
        code="gh",
        title="Gas pressure too high",
        group="heat source",
        effect=both(multiplies("gas_pressure", 1.25, 1.60), multiplies("burner", 0.5, 0.3)),
        prior=2.0,
        remedy="Have the regulator set under load, or replaced.",
        remedy_kind="gas",
        cost="small",
        first_steps=("gas off",),
        works=("gas_work",),
        heat_sources=("gas",),
    ),
    Fault(
        name="high_voltage",
        code="vh",
        title="Supply of too many volts",
        group="heat source",
        effect=both(multiplies("voltage", 1.10, 1.20), multiplies("resistance", 2.2, 2.6)),
        prior=2.0,
        remedy="Tell the keeper of the site.",
        remedy_kind="electric",
        cost="free",
        first_steps=("dead",),
        works=("vehicle_mains",),
        heat_sources=("mains",),
    ),
)
"""One on gas and one on mains: all that is said of them stands here and nowhere else."""
LEVELS = {fault.name: level for fault, level in zip(NEW, (2, 1), strict=True)}
"""At which a case of it can be: a gauge takes longer than a meter."""


@pytest.fixture(scope="module")
def bank() -> Iterator[Bank]:
    """A small bank of the catalogue with the new faults in it, in place of the usual one."""
    with pytest.MonkeyPatch.context() as patch:
        for fault in NEW:
            patch.setitem(FAULTS._faults, fault.name, fault)
        small = banks.make(40_000, 7)
        for module in (storing, evidence, inference, job_sheet):
            patch.setattr(module, "usual_bank", lambda: small)
        exercises._items.cache_clear()
        yield small
    exercises._items.cache_clear()


@pytest.fixture(params=NEW, ids=lambda fault: fault.name)
def fault(request, bank) -> Fault:
    return request.param


@pytest.fixture
def source(fault) -> str:
    return fault.heat_sources[0]


@pytest.fixture
def drawn(fault, bank):
    return draw_case(1, LEVELS[fault.name], bank, wanted=(fault.name,))


def held_back(fault: Fault, count: int):
    cases = draw_cases(99, count, heat_sources=fault.heat_sources, wanted=[(fault.name,)], pair_share=0.0)
    random = np.random.default_rng(5)
    return [cases.measured(case, random) for case in range(count)]


def test_it_is_among_what_can_be_wrong_alone_and_in_pairs(fault, source):
    singles, pairs = labels("8 cu ft", source)
    assert (fault.name,) in singles
    assert [pair for pair in pairs if fault.name in pair]
    assert prior("8 cu ft", source)[fault.name,] > 0.0
    for other in {"mains", "battery", "gas"} - {source}:
        assert (fault.name,) not in labels("8 cu ft", other)[0]


def test_the_bank_draws_it(fault, bank):
    drawn = [label_of(numbers) for numbers in np.unique(bank.labels, axis=0)]
    assert (fault.name,) in drawn
    assert sum(fault.name in label for label in drawn) > 10


def test_readings_lead_to_it(fault, bank):
    found = [explain(readings, bank, remaining=()).best.label for readings in held_back(fault, 12)]
    assert found.count((fault.name,)) >= 10


def test_its_owner_says_what_is_true_of_its_heat_source(fault):
    readings, random = held_back(fault, 1)[0], np.random.default_rng(1)
    said = {owners_words((fault.name,), readings, 1, random) for _ in range(60)}
    better = {
        "gas": ("better plugged in than on gas", "with mains it is better than on gas"),
        "mains": ("better on gas than plugged in", "gas now; plugged in it is worse"),
    }[readings.heat_source]
    assert all(any(words in one for words in better) for one in said)
    assert all(any(words in one for one in said) for words in better)


def test_an_owner_says_nothing_of_the_source_where_the_fault_is_on_any(fault, monkeypatch):
    anywhere = replace(
        fault, name="anywhere", code="aw", title="Anywhere", heat_sources=("mains", "battery", "gas")
    )
    monkeypatch.setitem(FAULTS._faults, "anywhere", anywhere)
    said = owners_words(("anywhere",), held_back(fault, 1)[0], 1, np.random.default_rng(1))
    assert said.endswith("It is in use every day.")


def test_a_case_of_it_is_drawn_and_its_sealed_sheet_tells_all(fault, drawn, bank):
    case, answer = drawn
    assert answer.label == (fault.name,)
    assert answer.labels == (answer.label,)
    assert fault.title not in case.to_text()
    assert solved(from_file_text(case.to_text()), bank).labels == answer.labels
    sheet = sealed_sheet(answer)
    for words in (fault.title, fault.remedy, *fault.cautions(case.heat_source)):
        assert words in sheet


def test_the_exercise_offers_it_and_marks_by_it(fault, drawn):
    exercise = load_exercise("diagnosis")
    assert exercise.item("fault").choices == codes("faults")
    assert fault.code in codes("faults")
    card = exercise.job_card(b"new fault", "t1")
    card = replace(card, files=card.files | {FILE_NAME: drawn[0].to_text()})
    read = ", ".join(drawn[1].cheapest.names)
    judging = part_of("diagnosis", "judging")
    right = {
        "readings_taken": read,
        "where": judging.GROUPS[fault.group].code,
        "fault": fault.code.upper(),
        "second_fault": "ok",
        "evidence": read,
        "unit": "b",
        "remedy": judging.REMEDIES[fault.remedy_kind].code,
        "first_step": judging.FIRST_STEPS[fault.first_steps[0]].code,
    }
    marks = {one.item: one for one in mark(right, card, exercise)}
    assert [name for name in right if marks[name].score < marks[name].points] == []
    taken = {"readings_taken": drawn[1].cheapest.names}
    *_, table = part_of("diagnosis", "ways").WAYS["readings_taken"](Job(exercise, card), taken)
    assert title_of((fault.name,)) in " ".join(cell for row in table.rows for cell in row)
    wrong = {one.item: one for one in mark(right | {"fault": "lv"}, card, exercise)}
    assert (wrong["fault"].score, wrong["fault"].mistake) == (0, "another fault taken for the one there is")
    assert fault.title in " ".join(exercise.by_hand[0].rubric(Job(exercise, card)))


def test_the_job_sheet_names_it_with_remedy_and_caution(fault, bank):
    sheet = job_sheet.job_sheet(AtTheDoor(held_back(fault, 1)[0], Who.OWNER), bank)
    causes = sheet.findings.causes
    named = (*(causes.suspects[:1] if causes else ()), *sheet.findings.put_right)
    assert ((fault.name,),) in [one.labels for one in named]
    for page in (as_words(sheet), job_sheet_page(sheet, bank).replace("&#39;", "'")):
        (source,) = fault.heat_sources
        for words in (fault.title, fault.remedy, *fault.cautions(source), *fault.not_for_owner(source)):
            assert words in page
