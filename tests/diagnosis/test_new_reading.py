"""A reading is one entry: what is put into READINGS at run time turns up wherever readings do."""

import dataclasses

import numpy as np
import pytest
from private_diagnosis import CaseFile, draw_case, from_file_text

from warmside.diagnosis.bank import Bank, make
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.inference import explain, next_reading
from warmside.diagnosis.job import Job
from warmside.diagnosis.job_sheet import job_sheet
from warmside.diagnosis.job_sheet_text import as_words
from warmside.diagnosis.reading import Reading
from warmside.diagnosis.readings import READINGS, Readings, as_text, column, from_text, readable
from warmside.diagnosis.readings_file import read_job, template
from warmside.hazards import WORK
from warmside.marking import exercise as exercises
from warmside.marking.exercise import load_exercise
from warmside.show.case_pages import CaseOnTheBench

LAGGING = Reading(
    "lagging",
    "Look at the boiler's lagging",
    "choice",
    7.0,
    lambda known: known.situation["boiler_insulation"] < 0.85,
    ("mineral_wool",),
    choices=("whole", "torn"),
    confusion=np.array([[0.98, 0.02], [0.05, 0.95]]),
    shows=("boiler_insulation",),
)
CHARGE = Reading(
    "charge",
    "Pressure of the charge",
    "pressure_gauge",
    9.0,
    lambda known: known.situation["charge_pressure"],
    error=2e4,
    resolution=1e3,
    highest=1e7,
    heat_sources=("gas",),
    words={"flat": 9e6},
    digits=0,
    example="300 psi",
)


@pytest.fixture(scope="module")
def added():
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(READINGS, "lagging", LAGGING)
        patch.setitem(READINGS, "charge", CHARGE)
        yield


@pytest.fixture(scope="module")
def bank(added) -> Bank:
    return make(20_000, 5)


@pytest.fixture(scope="module")
def drawn(bank) -> CaseFile:
    return next(case for seed in range(20) if (case := draw_case(seed, 1, bank)[0]).heat_source == "mains")


def test_its_truth_is_drawn(added):
    cases = draw_cases(3, 400)
    torn = cases.readings[:, column("lagging")]
    np.testing.assert_array_equal(torn, cases.situation["boiler_insulation"] < 0.85)
    assert 0 < torn.sum() < 400
    on_gas = cases.heat_source == "gas"
    charge = cases.readings[:, column("charge")]
    np.testing.assert_array_equal(charge[on_gas], cases.situation["charge_pressure"][on_gas])
    assert np.isnan(charge[~on_gas]).all()
    case = int(np.flatnonzero(on_gas)[0])
    assert cases.measured(case, np.random.default_rng(1)).values["lagging"] in LAGGING.choices


def test_it_is_weighed_and_offered(bank):
    before = Readings("8 cu ft", "mains", 305.0)
    offered = {one.name: one for one in next_reading(before, bank)}
    assert offered["lagging"].gain > 0.0
    assert (offered["lagging"].minutes, offered["lagging"].caution) == (7.0, WORK["mineral_wool"].caution)
    assert "charge" not in offered
    chances = [
        explain(before.adding(lagging=seen), bank).of_fault("boiler_insulation_lost")
        for seen in LAGGING.choices
    ]
    assert chances[0] < explain(before, bank).of_fault("boiler_insulation_lost") < chances[1]


def test_a_case_offers_it_in_its_file_and_on_its_page(drawn, capsys):
    assert drawn.value("lagging") in LAGGING.choices
    again = from_file_text(drawn.to_text())
    assert dataclasses.asdict(again) == dataclasses.asdict(drawn)
    bench = CaseOnTheBench(drawn.to_text(), "case_file.json")
    bench.look()
    bench.read("lagging")
    assert bench.taken == ["lagging"]
    assert LAGGING.title in drawn.to_text()


def test_a_job_sheet_asks_for_it_and_reads_it(added, tmp_path):
    asked = template("gas")
    assert f"# {LAGGING.title}; 7 min\n# {WORK['mineral_wool'].caution}\n" in asked
    assert 'lagging = ""    # whole, torn' in asked
    assert 'charge = ""    # 300 psi or flat' in asked
    assert "charge" not in template("mains")
    file = tmp_path / "sheet.toml"
    answers = {"who": "owner", "size": "8 cu ft", "ambient": "90 °F", "lagging": "Whole", "charge": "flat"}
    for name, answer in answers.items():
        asked = asked.replace(f'{name} = ""', f'{name} = "{answer}"')
    file.write_text(asked, encoding="utf-8")
    assert dict(read_job(file).readings.values) == {"lagging": "whole", "charge": 9e6}


def test_a_job_sheet_says_what_it_shows_and_means(bank):
    sheet = job_sheet(Job(Readings("8 cu ft", "mains", 305.0, {"lagging": "torn"})), bank)
    assert f"{LAGGING.title}: torn" in as_words(sheet)
    assert "boiler_insulation_lost" in [
        name for one in sheet.findings.causes.suspects[:3] for name in one.faults
    ]


def test_the_exercise_knows_it_among_what_can_be_read(added):
    exercises._items.cache_clear()
    try:
        taken = load_exercise("diagnosis").item("readings_taken")
        assert taken.asks.understand("Lagging, cup") == (("lagging", "cup"), "lagging, cup")
    finally:
        exercises._items.cache_clear()


def test_its_words_are_written_and_read(added):
    assert as_text("charge", 9.5e6) == "flat"
    assert from_text("charge", "Flat") == 9e6
    assert from_text("charge", as_text("charge", 2e6)) == pytest.approx(2e6, rel=1e-2)
    assert "charge" in readable("gas")
