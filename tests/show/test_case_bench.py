"""A case's living bench: one state with what is typed, what its page is told and when, and its odds."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from helpers import NEEDS_BANK
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output
from private_diagnosis import a_case, debrief_of, from_file_text, solved

from warmside.diagnosis.faults import FAULTS, possible
from warmside.diagnosis.readings import READINGS, readable
from warmside.hazards import STOP_SIGNS
from warmside.marking.job_card import PRACTICE, JobCard
from warmside.show import case_bench as module
from warmside.show.case_bench import CaseBench, practice_case, practice_case_lab, show_still
from warmside.show.case_debrief import as_text, file_name
from warmside.show.case_odds import EVERYTHING_ELSE
from warmside.show.case_pages import FILE_NAME, CaseOnTheBench, my_case
from warmside.show.case_places import NOWHERE, PLACES, place_of
from warmside.show.sealing import sealed

PRACTICE_FOLDER = Path(module.__file__).parent / "practice_case"


def bench_of(heat_source: str = "mains", *stop_signs: str, folder: Path | None = None) -> CaseBench:
    return CaseBench(CaseOnTheBench(a_case(heat_source, *stop_signs).to_text(), folder=folder))


def all_told(bench: CaseBench) -> str:
    return json.dumps([bench.page, bench.answer], ensure_ascii=False)


# --- where readings are -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", READINGS)
def test_every_reading_has_one_place_which_the_page_can_draw(name):
    places = [place for place, (_, readings) in PLACES.items() if name in readings]
    assert places == [place_of(name)]
    drawn = Path(module.__file__).with_name("scene_case.js").read_text("utf-8")
    assert re.search(rf"^    {places[0]}: (left|right)\(", drawn, re.MULTILINE)


def test_no_place_is_of_a_reading_that_there_is_none_of():
    assert {name for place in PLACES.values() for name in place.readings} <= set(READINGS)


def test_a_new_reading_falls_back_to_a_plain_list():
    whole = json.loads(a_case().to_text())
    new = {"name": "humidity", "what": "Humidity", "minutes": 2, "caution": ""}
    whole["readings"].insert(0, {**new, "sealed": sealed("40 %", whole["case"], "humidity")})
    bench = CaseBench(CaseOnTheBench(json.dumps(whole)))
    assert bench.page["readings"][-1] == {**new, "place": NOWHERE}
    bench.ask({"look": True})
    bench.ask({"read": "humidity"})
    assert bench.answer["log"] == [{"name": "humidity", "value": "40 %", "metric": "", "spent": 2}]


# --- what the page is told, and when ----------------------------------------------------------------------


@pytest.mark.parametrize("heat_source", ["mains", "battery", "gas"])
def test_the_page_knows_what_can_be_read_and_no_value(heat_source):
    bench = bench_of(heat_source)
    assert {one["name"] for one in bench.page["readings"]} == set(readable(heat_source))
    assert set(bench.page["readings"][0]) == {"name", "what", "minutes", "caution", "place"}
    bench.ask({"look": True})
    case = a_case(heat_source)
    numbers = {value for _, value in case.values if re.search(r"\d", value)}
    assert len(numbers) > 5
    told = all_told(bench)
    assert not [value for value in numbers if value in told]
    assert '"sealed"' not in told
    bench.ask({"read": "cup"})
    told = all_told(bench)
    assert [value for value in numbers if value in told] == [case.value("cup")]


def test_stop_signs_come_before_any_reading_and_cost_nothing():
    bench = bench_of()
    assert bench.answer["signs"] == []
    bench.ask({"read": "cup"})
    assert bench.answer["problem"].startswith("Stop signs come before any reading")
    assert bench.answer["log"] == []
    bench.ask({"look": True})
    assert bench.answer["looked"]
    assert {sign["met"] for sign in bench.answer["signs"]} == {False}
    assert (bench.answer["stops"], bench.answer["minutes"], bench.answer["problem"]) == ([], 0, "")


def test_a_stop_sign_ends_the_job(tmp_path):
    bench, sign = bench_of("gas", "gas", folder=tmp_path), STOP_SIGNS["gas"]
    assert bench.answer["stops"] == []
    bench.ask({"look": True})
    assert [stop["steps"] for stop in bench.answer["stops"]] == [sign.steps]
    bench.ask({"read": "cup"})
    assert bench.answer["problem"].startswith("This job has stopped, so nothing is read")
    bench.ask({"commit": {"wrong": "stop", "do": ""}})
    assert bench.answer["committed"] == "the job stops here"
    bench.ask({"debrief": True})
    assert bench.answer["debrief"]["said"][0] == "Right: this job stops, and nothing else is right."
    assert bench.answer["debrief"]["steps"] == []


@pytest.mark.parametrize(
    "asked", [None, {}, [], {"read": 7}, {"commit": {}}, {"commit": {"do": "b", "or": 3}}]
)
def test_what_no_page_of_ours_would_ask_changes_nothing(asked):
    bench = bench_of()
    bench.ask({"look": True})
    bench.ask(asked)
    assert (bench.answer["log"], bench.answer["committed"]) == ([], "")
    bench.ask({"read": "cup"})
    assert bench.answer["minutes"] == READINGS["cup"].minutes


# --- one state --------------------------------------------------------------------------------------------


def test_what_is_typed_and_what_is_pressed_is_one_log():
    bench = bench_of()
    InteractiveShell.instance()
    with capture_output():
        bench.case.look()
        bench.case.read("cup")
        assert bench.answer["looked"]
        bench.ask({"read": "freezer"})
        bench.case.read("freezer", "load")
    assert [one["name"] for one in bench.answer["log"]] == bench.case.taken == ["cup", "freezer", "load"]
    assert [one["spent"] for one in bench.answer["log"]] == [10, 15, 16]
    bench.ask({"commit": {"wrong": "lower_vent_blocked, fins_fouled", "do": "clear"}})
    assert bench.case.committed.wrong == ("lower_vent_blocked", "fins_fouled")
    bench.ask({"read": "duty"})
    assert bench.answer["problem"] == "You have committed, so nothing is read any more."
    bench.ask({"commit": {"wrong": "none", "do": "explain"}})
    assert bench.answer["problem"].startswith("A commit counts once")
    InteractiveShell.clear_instance()


def test_the_lists_have_what_can_be_wrong_on_this_heat_source():
    bench = bench_of("gas")
    bench.ask({"lists": True})
    faults = bench.answer["lists"]["faults"]
    assert [one["name"] for one in faults] == [n for n in possible("8 cu ft", "gas") if n != "none"]
    assert {one["title"] for one in faults} <= {fault.title for fault in FAULTS.values()}
    assert "heater_dead" not in {one["name"] for one in faults}


def test_a_case_that_is_marked_is_not_debriefed():
    card = JobCard("diagnosis", "t1", "AAAA-BBBB", (), {FILE_NAME: a_case().to_text()})
    assert card.trainee != PRACTICE
    bench = CaseBench(my_case(card))
    assert bench.page["marked"]
    bench.ask({"look": True})
    bench.ask({"commit": {"wrong": "none", "do": "explain"}})
    bench.ask({"debrief": True})
    assert bench.answer["debrief"] is None
    assert bench.answer["problem"].startswith("This case is marked")


_WORKS = """
import json, sys
from warmside.show.case_bench import practice_case_lab
def loaded(): return [name for name in sys.modules if name.startswith("warmside.diagnosis")]
bench = practice_case_lab()
for asked in ({"look": True}, {"read": "cup"}, {"read": "fins"}):
    bench.ask(asked)
before = loaded()
bench.ask({"lists": True})
print(json.dumps([len(bench.answer["log"]), before, loaded()]))
"""


def test_a_kernel_loads_nothing_of_the_diagnosis_for_it_and_names_alone_for_the_commit():
    run = subprocess.run([sys.executable, "-c", _WORKS], capture_output=True, text=True, check=True)
    taken, before, after = json.loads(run.stdout)
    assert taken == 2
    assert before == []
    assert {"warmside.diagnosis.fault", "warmside.diagnosis.faults"} <= set(after)
    solving = {"inference", "evidence", "bank", "storing", "leading", "readings", "drawing", "causes"}
    assert not solving & {name.rpartition(".")[2] for name in after}


# --- the case of module 07, and its odds ------------------------------------------------------------------


@NEEDS_BANK
def test_the_practice_case_is_proven_and_its_debrief_in_step():
    """If not: ``warmside case new --seed 12 --level 1``, and put its two files into show/practice_case."""
    case = from_file_text((PRACTICE_FOLDER / FILE_NAME).read_text("utf-8"))
    assert case.stop_signs == ()
    known = as_text(debrief_of(case, solved(case)), case.number)
    assert (PRACTICE_FOLDER / file_name(case.number)).read_text("utf-8") == known


@NEEDS_BANK
def test_a_bar_stands_for_the_same_from_the_first_step_to_the_last():
    bench = practice_case_lab()
    bench.ask({"look": True})
    names = ["cup", "load", "fins", "vent_air"]
    for name in names:
        bench.ask({"read": name})
    bench.ask({"debrief": True})
    assert bench.answer["problem"].startswith("A debrief comes after the commit")
    bench.ask({"commit": {"wrong": "air_again", "do": "build"}})
    bench.ask({"debrief": True})
    told = bench.answer["debrief"]
    bars, steps = told["bars"], told["steps"]
    assert bars[0]["title"] == FAULTS["air_again"].title
    assert bars[-1]["title"] == EVERYTHING_ELSE
    assert len({bar["colour"] for bar in bars}) == len({bar["look"] for bar in bars}) == len(bars)
    assert [step["name"] for step in steps] == ["", *names]
    assert [step["minutes"] for step in steps] == [0, 10, 11, 17, 20]
    for step in steps:
        assert len(step["chances"]) == len(bars)
        assert sum(step["chances"]) == pytest.approx(1.0)
    assert steps[-1]["changed"].startswith(f"It changed: {FAULTS['air_again'].title}, from ")
    assert steps[-1]["chances"][0] == max(steps[-1]["chances"]) > 0.5
    assert told["said"][2] == "You named what was wrong."
    assert told["cheapest"] == 13
    assert "The re-test on such a day" in told["page"]


def test_a_still_picture_and_the_text_stand_for_it():
    InteractiveShell.instance()
    with capture_output() as captured:
        show_still(practice_case())
    InteractiveShell.clear_instance()
    [output] = captured.outputs
    page = output.data["text/html"]
    about = practice_case().about
    for words in ("<svg", "condenser", "lower vent", about["complaint"], about["number"], "<details>"):
        assert words in page
    for name in practice_case().names:
        assert f"<code>{name}</code>" in page
