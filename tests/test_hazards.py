"""Hazards: each stop sign with its own order of steps, each work with its caution, or one sentence."""

import html
import re
from itertools import combinations

import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside import data, hazards, project
from warmside.diagnosis.fault import REMEDIES
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import READINGS
from warmside.errors import InputError
from warmside.hazards import FIRST, STOP_SIGNS, WORK
from warmside.model.installation import HEAT_SOURCES
from warmside.show.cautions import show_cautions, show_stop_signs

every_sign = pytest.mark.parametrize("sign", STOP_SIGNS.values(), ids=list(STOP_SIGNS))
every_work = pytest.mark.parametrize("work", WORK.values(), ids=list(WORK))
SWITCHES = re.compile(r"power off|switch (it )?off|unplug|shut(ting)? off gas and power", re.IGNORECASE)


def step_with(sign: hazards.StopSign, words: str) -> int:
    """Return the number of the first step that says so."""
    return next(number for number, step in enumerate(sign.steps) if re.search(words, step))


def test_the_signs_stand_in_the_order_of_their_urgency():
    assert list(STOP_SIGNS) == [
        "gas",
        "carbon_monoxide",
        "ammonia",
        "residue",
        "flame",
        "scorch",
        "water",
        "tripped",
        "wrong_fuse",
        "overheated",
    ]


@every_sign
def test_a_sign_is_asked_for_by_one_plain_question(sign):
    assert sign.question.count("?") == 1 and sign.question.endswith("?")
    assert re.match(r"(Do|Does|Did|Is|Are|Was) ", sign.question)
    for sentence in (sign.reported, *sign.steps, sign.never, sign.goes_on):
        assert sentence[0].isupper() and sentence.endswith(".")


def test_each_sign_has_an_order_of_its_own():
    for one, other in combinations(STOP_SIGNS.values(), 2):
        assert one.steps != other.steps, (one.name, other.name)
        assert one.question != other.question


def test_where_it_smells_of_gas_no_switch_is_touched():
    gas = STOP_SIGNS["gas"]
    assert step_with(gas, "flame") < step_with(gas, "Touch no switch") < step_with(gas, "everybody out")
    assert step_with(gas, "everybody out") < step_with(gas, "call")
    assert not SWITCHES.search(" ".join(gas.sentences))


def test_people_come_first_where_the_air_is_bad():
    for name in ("carbon_monoxide", "ammonia"):
        assert "everybody out" in STOP_SIGNS[name].steps[0]
        assert not SWITCHES.search(STOP_SIGNS[name].steps[0])
    assert "fresh air" in STOP_SIGNS["flame"].steps[0]
    assert step_with(STOP_SIGNS["flame"], "unwell|headache") < step_with(STOP_SIGNS["flame"], "gas off")
    assert step_with(STOP_SIGNS["scorch"], "emergency") < step_with(STOP_SIGNS["scorch"], "[Pp]ower off")


def test_what_is_poisonous_is_named_and_left_alone():
    residue = STOP_SIGNS["residue"]
    assert "chromate" in residue.reported
    assert residue.steps[0].startswith("Don't touch it")
    for done in ("brush", "blow", "wash"):
        assert done in residue.never


def test_nothing_that_tripped_is_put_back():
    tripped = STOP_SIGNS["tripped"]
    assert "don't put it back" in tripped.steps[0]
    assert "larger" in tripped.never


def test_a_sign_is_asked_for_where_it_can_be_met():
    assert STOP_SIGNS["wrong_fuse"].heat_sources == ("mains", "battery")
    for source in HEAT_SOURCES:
        asked = [sign.name for sign in hazards.signs_on(source)]
        assert asked == [name for name in STOP_SIGNS if source in STOP_SIGNS[name].heat_sources]
        assert {"gas", "carbon_monoxide", "ammonia", "residue", "scorch", "water"} <= set(asked)
    assert hazards.HEAT_SOURCES == HEAT_SOURCES


def test_signs_come_in_the_order_of_their_urgency():
    assert [sign.name for sign in hazards.in_order(["wrong_fuse", "gas"])] == ["gas", "wrong_fuse"]
    assert hazards.in_order([]) == ()
    with pytest.raises(InputError, match="no stop sign “smell”; there are gas, "):
        hazards.in_order(["smell"])


@every_work
def test_a_work_says_what_is_minded_and_who_may(work):
    assert work.caution.endswith(".") and work.title[0].isupper()
    assert bool(work.not_for_owner) == bool(work.licensed)
    assert work.sentences[1:] == ((f"Only for {work.licensed}.",) if work.licensed else ())


def test_what_is_licensed_is_kept_from_owners():
    licensed = {work.name for work in WORK.values() if work.licensed}
    assert licensed >= {"volts_under_load", "vehicle_mains", "gas_work", "sealed_unit", "replacing_unit"}
    assert hazards.not_for_owner(["reach_behind", "gas_work", "gas_work"], "gas") == (
        WORK["gas_work"].not_for_owner,
    )
    assert hazards.not_for_owner(["reach_behind", "roof", "levelling", "food"], "mains") == ()


def test_cautions_come_once_and_in_order():
    assert hazards.cautions_of(["roof", "fans", "roof"], "gas") == (
        WORK["roof"].caution,
        WORK["fans"].caution,
    )
    hazards.check_works(["roof", "fans"], "a fault")
    with pytest.raises(InputError, match="a fault: there is no work “roofs”; there are reach_behind, "):
        hazards.check_works(["roofs"], "a fault")


def test_what_belongs_to_mains_isn_t_said_of_a_battery():
    works = ["volts_under_load", "vehicle_mains", "battery", "gas_work"]
    assert hazards.cautions_of(works, "battery") == (WORK["battery"].caution,)
    assert hazards.cautions_of(works, "gas") == WORK["gas_work"].sentences
    assert WORK["battery"].caution not in hazards.cautions_of(works, "mains")


def test_a_reach_behind_isolates_first():
    caution = WORK["reach_behind"].caution
    assert caution.index("Gas off and power off first") < caution.index("cool") < caution.index("gloves")
    assert "400 °F (200 °C)" in caution


def test_what_is_read_live_isn_t_made_dead():
    assert not re.search(r"unplug|\bdead\b|power off", WORK["volts_under_load"].caution, re.IGNORECASE)
    assert "proven dead" in WORK["ohms"].caution
    assert "isn't dead yet" in WORK["vehicle_mains"].caution
    assert not re.search(r"mains|unplug", WORK["battery"].caution)
    assert "negative" in WORK["battery"].caution


def test_local_codes_come_before_all_of_it():
    assert FIRST.startswith("Local codes")
    assert "first" not in WORK
    for text in (
        *[s for sign in STOP_SIGNS.values() for s in sign.sentences],
        *[w.caution for w in WORK.values()],
    ):
        assert "Local codes" not in text


HEADING = 'title = "Trial"\nabout = "A trial."\nsource = "invented"\n'
ROOF = '[roof]\nmeaning = "Roof"\n'
LEAST = HEADING + '[first]\nmeaning = "First"\ntexts = { caution = "Codes." }\n'
SIGN = (
    LEAST
    + '[smell]\nmeaning = "Smell"\n[smell.texts]\nquestion = "Does it smell?"\nreported = "It smells."\n'
    'steps = ["Out."]\nnever = "No flame."\ngoes_on = "A technician."\n'
)


@pytest.fixture
def hazards_from(tmp_path):
    def read(text: str):
        path = tmp_path / "hazards.toml"
        path.write_text(text, encoding="utf-8")
        return hazards.hazards_of(data.read(path))

    return read


def test_a_sign_is_read_from_its_table(hazards_from):
    first, signs, works = hazards_from(SIGN + ROOF + 'texts = { caution = "Ladder." }\n')
    assert first == "Codes."
    assert signs["smell"].sentences == (
        "It smells.",
        "Out.",
        "No flame.",
        "Who goes on: a technician.",
    )
    assert (works["roof"].caution, works["roof"].licensed) == ("Ladder.", "")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (HEADING + ROOF + 'texts = { caution = "Ladder." }\n', "no field .first. says"),
        (LEAST + ROOF + 'unit = "m"\nvalue = 3\n', "field roof: a number stands there"),
        (LEAST + ROOF + 'texts = { licensed = "one" }\n', "field roof: it lacks caution"),
        (
            LEAST + ROOF + 'texts = { caution = "L.", who = "x" }\n',
            "roof: “who” is unknown",
        ),
        (LEAST + ROOF + 'texts = { caution = ["L."] }\n', "roof, caution: write one text"),
        (SIGN.replace('steps = ["Out."]', 'steps = "Out."'), "field smell, steps: write a list of texts"),
        (SIGN.replace('never = "No flame."', ""), "field smell: it lacks never"),
        (SIGN + 'heat_sources = ["steam"]\n', "field smell: “steam” is no heat source; there are mains, "),
    ],
)
def test_a_bad_table_is_told_in_one_sentence(hazards_from, text, sentence):
    with pytest.raises(InputError, match=sentence) as error:
        hazards_from(text)
    assert "\n" not in str(error.value)


# --- all that is shown, held against the table ------------------------------------------------------------

ROOT = project.root()
SHOWN = sorted(
    path
    for folder, endings in (
        ("course", ("*.ipynb",)),
        ("course/warmside/show", ("*.py", "*.toml", "*.html")),
        ("course/warmside/diagnosis", ("circuit_*.py", "fault*.py", "complaints.py")),
        ("solutions_private", ("*.py", "*.ipynb")),
        ("exercises", ("*.ipynb",)),
    )
    for ending in endings
    for path in (ROOT / folder).rglob(ending)
    if "tables.ipynb" not in path.name
)
"""Files whose words people read, but for the table of hazards and the page made from it."""
TAKES = {
    r"vent\b|baffle|back wall|gaps|the fins;|\bfan\b|the heater|boiler|cooling unit": "reach_behind",
    r"(?<!flue )baffle|back wall|Close (the gaps|the space)": "closing_gaps",
    r"\bfan\b": "fans",
    r"roof": "roof",
    r"[Ll]evel the": "levelling",
    r"regulator|orifice|flue": "gas_work",
    r"mineral wool": "mineral_wool",
    r"Replace the cooling unit": "replacing_unit",
    r"boiler|Replace the cooling unit": "sealed_unit",
    r"Defrost": "defrosting",
}
"""What a remedy speaks of, and the work whose caution belongs there."""


def owns(fault, source: str) -> bool:
    """Whether a fault's remedy is an owner's, as far as its works say."""
    return not fault.not_for_owner(source)


@pytest.mark.parametrize("name", FAULTS)
def test_no_remedy_without_its_caution(name):
    fault = FAULTS[name]
    for words, work in TAKES.items():
        if re.search(words, fault.remedy):
            assert work in fault.works, (name, words)
    for source in fault.heat_sources:
        said = " ".join(fault.cautions(source))
        if fault.group == "heat source" or (fault.name == "control_volts_low" and source == "mains"):
            of_source = {"mains": "vehicle_mains", "battery": "battery", "gas": "gas_work"}[source]
            assert WORK[of_source].caution in said
        assert "meanwhile" not in fault.remedy
        if re.search(r"[Uu]nplug|prove dead", said):
            assert "Live" not in said


def test_licensed_work_is_never_an_owner_s():
    licensed = {name for name, work in WORK.items() if work.licensed}
    assert licensed >= {"volts_under_load", "vehicle_mains", "gas_work", "sealed_unit", "replacing_unit"}
    for fault in FAULTS.values():
        for source in fault.heat_sources:
            on_source = {name for name in fault.works if source in WORK[name].heat_sources}
            assert owns(fault, source) == (not on_source & licensed), (fault.name, source)
            if fault.remedy_kind in ("gas", "new unit"):
                assert not owns(fault, source)
    for kind, people in (("electric", "licensed"), ("gas", "qualified")):
        assert people in REMEDIES[kind].title


def test_a_hazard_is_no_reading_and_no_fault():
    words = re.compile(r"residue|yellow|wrong (kind|fuse)|soot|scorch|smell", re.IGNORECASE)
    for reading in READINGS.values():
        assert not words.search(" ".join((reading.title, *reading.choices))), reading.name
    for fault in FAULTS.values():
        assert not words.search(f"{fault.title} {fault.remedy}"), fault.name


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: str(path.relative_to(ROOT)))
def test_what_is_shown_agrees_with_the_table(path):
    text = " ".join(re.sub(r'\\n",\s*"', " ", path.read_text("utf-8")).split())
    # a pulled cord isn't dead yet, and what is read live can't be unplugged
    assert not re.search(r"\bunplug", text, re.IGNORECASE)
    for sentence in re.split(r"(?<=[.:!?])\s", text):
        if re.search(r"smells? (of )?gas|gas smell", sentence, re.IGNORECASE):
            assert not SWITCHES.search(sentence), sentence
        if re.search(r"yellow", sentence) and "flame" in sentence:
            assert "weak or yellow" not in sentence
    assert "gas meanwhile" not in text


@pytest.mark.parametrize("name", ["00_start_here", "07_diagnosis"])
def test_the_stop_signs_of_a_lesson_come_from_the_table(name):
    assert "show_stop_signs()" in (ROOT / "course" / f"{name}.ipynb").read_text("utf-8")


@pytest.mark.parametrize(
    "name",
    [
        "01_absorption_cycle",
        "02_venting",
        "03_clearances",
        "04_heat_sources_and_circuits",
        "05_substance_temperature_test",
        "06_everyday_use",
        "07_diagnosis",
    ],
)
def test_the_cautions_of_a_lesson_come_from_the_table(name):
    """What a lesson asks for is there, and so is what its subject needs."""
    text = (ROOT / "course" / f"{name}.ipynb").read_text("utf-8")
    (works,) = re.findall(r"show_cautions\((.*?)\)", text, re.DOTALL)
    hazards.check_works(re.findall(r'\\"(\w+)\\"', works), name)
    assert "sealed_unit" in works or name.startswith("04")


def test_a_lesson_shows_each_step_and_each_caution():
    InteractiveShell.instance()
    with capture_output() as captured:
        show_stop_signs()
        show_cautions("roof", "gas_work")
    InteractiveShell.clear_instance()
    signs, works = (html.unescape(output.data["text/html"]) for output in captured.outputs)
    for sign in STOP_SIGNS.values():
        for sentence in (sign.question, *sign.steps, sign.never, sign.goes_on):
            assert sentence in signs
    for sentence in (*WORK["roof"].sentences, *WORK["gas_work"].sentences):
        assert sentence in works
    assert FIRST in signs and FIRST in works
    with pytest.raises(InputError, match="there is no work “ladder”"):
        show_cautions("ladder")
