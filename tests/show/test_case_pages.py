"""A case on the bench: stop signs first, what reading costs, and what can't go wrong with it."""

import ast
import html
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from helpers import NEEDS_BANK
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output
from private_diagnosis import a_case, draw_case, from_file_text, write_case

import warmside
from warmside import project
from warmside.cli import main
from warmside.diagnosis.fault import REMEDIES
from warmside.diagnosis.faults import FAULTS, title_of
from warmside.diagnosis.readings import READINGS, readable
from warmside.errors import InputError
from warmside.hazards import STOP_SIGNS, signs_on
from warmside.marking.job_card import PRACTICE, JobCard
from warmside.show.case_commit import Commit
from warmside.show.case_pages import FILE_NAME, CaseOnTheBench, in_metric, my_case, open_case


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


@pytest.fixture
def bench() -> CaseOnTheBench:
    bench = CaseOnTheBench(a_case().to_text())
    look(bench)
    return bench


def look(bench: CaseOnTheBench) -> tuple[str, str]:
    """Look for stop signs; return what is said in plain text and on the page."""
    with capture_output() as captured:
        bench.look()
    [output] = captured.outputs
    return output.data["text/plain"], html.unescape(output.data["text/html"])


def shown(bench: CaseOnTheBench, *names: str) -> list[str]:
    with capture_output() as captured:
        bench.read(*names)
    return [output.data["text/plain"] for output in captured.outputs]


def test_readings_are_shown_and_their_minutes_added(bench):
    assert shown(bench, "cup") == [f"{READINGS['cup'].title}: 80.3 °F (26.8 °C). 10 min; 10 min so far."]
    assert shown(bench, "load", "voltage") == [
        f"{READINGS['load'].title}: usual. 1 min; 11 min so far.",
        f"{READINGS['voltage'].title}: 118.0 V. 8 min; 19 min so far.",
    ]
    assert bench.taken == ["cup", "load", "voltage"]
    assert bench.minutes == 19


def test_stop_signs_come_before_any_reading():
    bench = CaseOnTheBench(a_case("gas").to_text())
    assert shown(bench, "cup") == ["Stop signs come before any reading: run case.look() first."]
    assert (bench.taken, bench.minutes) == ([], 0)
    plain, page = look(bench)
    assert plain == "Nothing that you see, hear or smell stops the job."
    for sign in signs_on("gas"):
        assert sign.question in page
    assert STOP_SIGNS["wrong_fuse"].question not in page
    assert "YES" not in page
    shown(bench, "cup")
    assert bench.taken == ["cup"]


@pytest.mark.parametrize("name", [sign.name for sign in signs_on("mains")])
def test_a_stop_sign_ends_the_job(name):
    bench, sign = CaseOnTheBench(a_case("mains", name).to_text()), STOP_SIGNS[name]
    plain, page = look(bench)
    for sentence in sign.sentences[:-1]:
        assert sentence in plain and sentence in page
    assert sign.goes_on in page
    assert page.count("YES") == 1
    places = [page.index(step) for step in sign.steps]
    assert places == sorted(places)
    assert shown(bench, "cup", "load") == [f"This job has stopped, so nothing is read: {sign.reported}"] * 2
    assert bench.taken == []


def test_a_sign_isn_t_read_by_accident():
    assert "residue" not in a_case("mains", "residue").to_text()
    assert a_case("mains", "residue") == from_file_text(a_case("mains", "residue").to_text())


def test_a_sign_that_there_is_none_of_is_a_damaged_case():
    with pytest.raises(InputError, match="is not a case file any more"):
        CaseOnTheBench(a_case("mains", "damp").to_text())


def test_a_reading_taken_twice_costs_once(bench):
    shown(bench, "cup")
    assert shown(bench, "cup") == [f"{READINGS['cup'].title}: 80.3 °F (26.8 °C). read before; 10 min so far."]
    assert bench.taken == ["cup"]


@pytest.mark.parametrize("name", ["xyz", "", 7])
def test_a_reading_that_is_none_is_a_sentence_and_costs_nothing(bench, name):
    [said] = shown(bench, name)
    assert said.startswith(f"“{name}” is no reading in this case; there are cup, freezer")
    assert bench.taken == []


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("cpu", "cup"),
        ("gas_pressure", "cup_on_gas"),
        ("Level", "side_level or front_level"),
        ("vent", "vent_air or lower_vent_look or upper_vent_look"),
    ],
)
def test_a_near_miss_is_told_and_costs_nothing(bench, typed, meant):
    assert shown(bench, typed) == [f"“{typed}” is no reading in this case; did you mean {meant}?"]
    assert bench.taken == []


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Cup", "cup"),
        ("CUP", "cup"),
        (" cup ", "cup"),
        ("Top Air", "top_air"),
        ("top-air", "top_air"),
        ("boiler temp", "boiler"),
        ("Lower vent", "lower_vent_look"),
        ("frost on the food compartment's fins", "frost"),
        ("Volts at the heater, under load", "voltage"),
    ],
)
def test_readings_are_taken_by_what_a_technician_types(bench, typed, name):
    shown(bench, typed)
    assert bench.taken == [name]


# --- the commit and the debrief ---------------------------------------------------------------------------


def said_by(act) -> str:
    """What is said in plain text."""
    with capture_output() as captured:
        act()
    [output] = captured.outputs
    return output.data["text/plain"]


def test_a_commit_counts_once_and_ends_the_reading(bench):
    shown(bench, "cup")
    assert said_by(lambda: bench.commit("LV, Condenser fins fouled", do="b")) == (
        "You commit, after 10 min: Lower vent blocked, and condenser fins fouled. What you do: Clear or "
        "clean: vents, fins. Your instructor marks it."
    )
    assert bench.committed == Commit(False, ("lower_vent_blocked", "fins_fouled"), ("clear",), 10.0)
    again = said_by(lambda: bench.commit("ok", do="a"))
    assert again.startswith("A commit counts once, and this is yours: Lower vent blocked")
    assert bench.committed.wrong == ("lower_vent_blocked", "fins_fouled")
    assert shown(bench, "freezer") == ["You have committed, so nothing is read any more."]
    assert bench.minutes == 10.0


@pytest.mark.parametrize(
    ("wrong", "do", "said"),
    [
        ("", "b", "Write what is wrong, as in case.commit"),
        ("          ", "          ", "Write what is wrong, as in case.commit"),
        ("lv", "", "Write what you do, too"),
        ("lv, ff, fd", "b", "commit to one thing, to two, or to none"),
        ("ok, lv", "b", "commit to one thing, to two, or to none"),
        ("gremlins", "b", "“gremlins” is no fault; "),
        ("lv", "pray", "“pray” is no remedy; "),
    ],
)
def test_a_commit_that_says_too_little_or_too_much_is_none(bench, wrong, do, said):
    assert said in said_by(lambda: bench.commit(wrong, do))
    assert bench.committed is None


def test_a_commit_and_a_debrief_come_in_their_order():
    bench = CaseOnTheBench(a_case().to_text())
    assert said_by(lambda: bench.commit("lv", "b")) == (
        "Stop signs come before all else: run case.look() first."
    )
    assert said_by(bench.debrief).startswith("A debrief comes after the commit")


def test_a_case_that_is_marked_is_not_debriefed():
    case = a_case()
    for trainee, debriefs in (("t1", False), (PRACTICE, True)):
        bench = my_case(JobCard("diagnosis", trainee, "AAAA-BBBB", (), {FILE_NAME: case.to_text()}))
        look(bench)
        said = said_by(lambda bench=bench: bench.commit("stop"))
        assert said.endswith(
            "case.debrief() tells what was right." if debriefs else "Your instructor marks it."
        )
        if not debriefs:
            assert (
                said_by(bench.debrief)
                == "This case is marked: your instructor's feedback tells what was right."
            )


@pytest.mark.parametrize(("wrong", "begins"), [("Stop", "Right: this job stops"), ("cl", "This job stops.")])
def test_where_a_stop_sign_is_met_stopping_is_right_and_nothing_else(wrong, begins):
    bench, sign = CaseOnTheBench(a_case("gas", "gas").to_text(), folder=Path()), STOP_SIGNS["gas"]
    look(bench)
    said_by(lambda: bench.commit(wrong, do="j"))
    said = said_by(bench.debrief)
    assert said.startswith(begins)
    for sentence in sign.sentences:
        assert sentence in said
    assert "minutes" not in said and "charge" not in said.lower()


@NEEDS_BANK
def test_a_debrief_tells_what_was_right_and_compares(tmp_path):
    case, answer = draw_case(2, 1, may_stop=False)
    folder, debrief, _ = write_case(answer, tmp_path, {"case.json": case.to_text()})
    bench = open_case(folder / "case.json")
    look(bench)
    shown(bench, "freezer", "side_level")
    said_by(lambda: bench.commit("charge lost", do="j"))
    said = said_by(bench.debrief)
    least = answer.cheapest.minutes
    for words in (
        f"What was wrong: {title_of(answer.label)}.",
        f"What puts it right: {FAULTS[answer.label[0]].remedy}",
        "You condemned a sound cooling unit",
        "What you would do doesn't put all of it right.",
        f"You spent 7 minutes; the cheapest way takes {least:g}.",
        "Without the cup nobody knows",
        "Condemning the cooling unit | a cooling unit, for nothing",
        *(f"{READINGS[name].title} | {shows}" for name, shows in case.retest),
        *(f"{READINGS[name].title} | {case.value(name)}" for name in answer.cheapest.names),
    ):
        assert words in said
    debrief.rename(folder / debrief.name)  # as an instructor gives it
    right = open_case(folder / "case.json")
    look(right)
    shown(right, *answer.cheapest.names)
    code = FAULTS[answer.label[0]].code
    do = REMEDIES[FAULTS[answer.label[0]].remedy_kind].code
    said_by(lambda: right.commit(code, do))
    said = said_by(right.debrief)
    for words in ("You named what was wrong.", "puts it right, and no more is needed", "decide the case"):
        assert words in said
    (folder / debrief.name).write_text("{}", "utf-8")
    assert said_by(right.debrief) == f"{debrief.name} is no debrief of this case any more; copy it again."
    (folder / debrief.name).unlink()
    assert said_by(right.debrief).startswith(f"The debrief is the file {debrief.name}: whoever gave you this")


class Cells(HTMLParser):
    """Counts of a table's parts, and the scopes of its headings."""

    def __init__(self) -> None:
        super().__init__()
        self.counts: dict[str, int] = {}
        self.scopes: list[str | None] = []

    def handle_starttag(self, tag, attributes):
        self.counts[tag] = self.counts.get(tag, 0) + 1
        if tag == "th":
            self.scopes.append(dict(attributes).get("scope"))


def test_the_card_is_an_accessible_table_of_all_that_can_be_read(bench):
    page = bench._repr_html_()
    cells = Cells()
    cells.feed(page)
    count = len(readable("mains"))
    assert cells.counts["caption"] == 1
    assert cells.scopes == ["col"] * 4 + ["row"] * count
    for name in readable("mains"):
        assert f"<code>{name}</code>" in page
    assert "Live mains kills" in page
    assert "It isn&#39;t cold &lt;enough&gt;." in page
    assert "95.0 °F (35.0 °C) outside" in page
    values = re.sub(r"<.*?>", " ", page)
    assert "118.0 V" not in values
    assert "80.3 °F" not in values


def test_a_bench_holds_no_reading_before_its_minutes_are_spent(bench):
    values = {value for _, value in a_case().values}
    assert bench.readings.values == {}
    assert not values & set(re.findall(r"'([^']*)'", repr(vars(bench))))
    shown(bench, *bench.names)
    assert set(bench.readings.values) == set(bench.names)
    assert bench.minutes == sum(READINGS[name].minutes for name in bench.names) > 200


SOLVES = {"solved", "prove", "cheapest", "draw_case", "from_file_text", "sealed_sheet", "debrief_of"}
"""Functions that read a case whole, solve it, or tell its answer."""


def test_nothing_that_trainees_install_solves_a_case_or_reads_one_whole():
    package = Path(warmside.__file__).parent
    defined = {
        node.name
        for path in package.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
    }
    assert "CaseOnTheBench" in defined
    assert not defined & (SOLVES | {"CaseFile", "SealedAnswer"})
    private = project.root() / "solutions_private" / "diagnosis"
    there = "".join(path.read_text("utf-8") for path in private.glob("*.py"))
    assert [name for name in SOLVES if f"def {name}(" not in there] == []


def test_without_the_answers_no_case_is_made(tmp_path, monkeypatch):
    monkeypatch.setenv("WARMSIDE_ROOT", str(tmp_path))
    result = CliRunner().invoke(main, ["case", "new", "--out", str(tmp_path)])
    assert result.exit_code == 2
    assert "run this from a clone of Warmside" in result.output


def test_the_case_of_a_job_card_and_of_a_file(tmp_path):
    case = a_case("gas")
    card = JobCard("diagnosis", "t1", "AAAA-BBBB", (), {FILE_NAME: case.to_text()})
    (tmp_path / "case.json").write_text(case.to_text(), "utf-8")
    for bench in (my_case(card), open_case(tmp_path / "case.json")):
        assert bench.names == case.names
        assert bench.readings.values == {}
        look(bench)
        shown(bench, "cup", "flame")
        assert bench.readings.values == case.readings.only(("cup", "flame")).values
    with pytest.raises(InputError, match="can't be read; give the file of a case"):
        open_case(tmp_path / "none.json")


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"case": "A", "readings": [], "signs": "!"}', '{"case": "A", "readings": 3}']
)
def test_what_is_no_case_is_a_sentence(tmp_path, text):
    (tmp_path / "case.json").write_text(text, "utf-8")
    with pytest.raises(InputError, match=r"case\.json is not a case file any more; take the one"):
        open_case(tmp_path / "case.json")


@pytest.mark.parametrize(
    ("text", "metric"),
    [
        ("43.0 °F", "6.1 °C"),
        ("-1.5 °F", "-18.6 °C"),
        ("1 5/16 in", "33.3 mm"),
        ("0 in", "0.0 mm"),
        ("11.0 in w.c.", "2.74 kPag"),
        ("none", ""),
        ("open", ""),
        ("85 %", ""),
        ("118.0 V", ""),
    ],
)
def test_metric_units(text, metric):
    assert in_metric(text) == metric


def test_a_trainees_kernel_loads_nothing_of_the_diagnosis():
    code = "import sys, warmside.show.case_pages; print([m for m in sys.modules if 'diagnosis' in m])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
