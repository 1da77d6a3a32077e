"""The file of a job: what is read, what is refused and how, and the one to fill in."""

import json
import os
import re
import string
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from warmside.cli import main
from warmside.diagnosis.contradictions import contradictions_in
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.fault_effects import OPEN_CIRCUIT
from warmside.diagnosis.job import Job, Plate, Who
from warmside.diagnosis.readings import ABSENT_BAFFLE, READINGS, as_text, readable
from warmside.diagnosis.readings_file import LARGEST_FILE, read_job, template
from warmside.errors import InputError
from warmside.hazards import STOP_SIGNS, signs_on
from warmside.model.installation import HEAT_SOURCES
from warmside.units import Q_, from_si, show, to_si

WARM = """
[refrigerator]
who = "technician"
size = "8 cu ft"
heat_source = "mains"
ambient = "98 °F"
note = "invented"

[readings]
cup = "52 °F"
freezer = "24 °F"
"""
NO_READINGS = WARM.split("[readings]")[0]


def written(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "readings.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def read(tmp_path: Path, more: str = "", text: str = WARM) -> Job:
    return read_job(written(tmp_path, text + more))


def kelvin(fahrenheit: float) -> float:
    return to_si(Q_(fahrenheit, "degF"), "temperature")


# --- what is read -----------------------------------------------------------------------------------------


def test_a_file_is_read(tmp_path):
    job = read(tmp_path)
    assert (job.who, job.note, job.plate, job.signs) == (Who.TECHNICIAN, "invented", None, {})
    readings = job.readings
    assert (readings.size, readings.heat_source, readings.rating) == ("8 cu ft", "mains", "T")
    assert readings.running is None
    assert readings.ambient == pytest.approx(kelvin(98.0))
    assert dict(readings.values) == pytest.approx({"cup": kelvin(52.0), "freezer": kelvin(24.0)})


def test_hourly_ambients_count_as_their_mean(tmp_path):
    hourly = WARM.replace('"98 °F"', '["90 °F", "98 °F", "106 °F"]')
    assert read(tmp_path, text=hourly).readings.ambient == pytest.approx(kelvin(98.0))


def test_a_log_of_the_cup_counts_as_its_mean_and_says_how_long_it_ran(tmp_path):
    logged = ", ".join(f'"{50 + hour % 5} °F"' for hour in range(25))
    job = read(tmp_path, text=WARM.replace('"52 °F"', f"[{logged}]"))
    assert job.readings.values["cup"] == pytest.approx(kelvin(52.0))
    assert job.readings.running == pytest.approx(25 * 3600.0)
    told = WARM.replace('note = "invented"', 'running = "30 h"').replace('"52 °F"', f"[{logged}]")
    assert read(tmp_path, text=told).readings.running == pytest.approx(30 * 3600.0)


@pytest.mark.parametrize(
    "content",
    [
        WARM.encode("utf-8-sig"),
        WARM.encode("utf-16"),
        WARM.encode("utf-16-le").join((b"\xff\xfe", b"")),
        b"\xfe\xff" + WARM.encode("utf-16-be"),
        WARM.replace("\n", "\r\n").encode(),
    ],
    ids=["UTF-8 with a mark", "UTF-16", "little end first", "big end first", "lines of another system"],
)
def test_what_editors_of_other_systems_save_is_read(tmp_path, content):
    assert read_job(written(tmp_path, content)).readings.values["cup"] == pytest.approx(kelvin(52.0))


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("resistance", "OL", OPEN_CIRCUIT),
        ("resistance", "Open", OPEN_CIRCUIT),
        ("resistance", "no reading", OPEN_CIRCUIT),
        ("baffle_gap", "missing", ABSENT_BAFFLE),
        ("baffle_gap", "None", ABSENT_BAFFLE),
        ("duty", "about half", 0.5),
        ("duty", "all the time", 1.0),
        ("setting", "about half", kelvin(38.0)),
        ("setting", "Coldest", kelvin(34.0)),
        ("side_level", "1/2 in over 2 ft", np.arctan2(0.5, 24.0)),
        ("side_level", "-1/4 in per 24 in", np.arctan2(-0.25, 24.0)),
        ("front_level", "5 mm over 60 cm", np.arctan2(5.0, 600.0)),
        ("lower_vent_look", "  Mostly  Shut ", "mostly shut"),
    ],
)
def test_what_people_write_is_understood(tmp_path, name, text, value):
    found = read(tmp_path, f'{name} = "{text}"\n').readings.values[name]
    assert found == (value if isinstance(value, str) else pytest.approx(value, abs=1e-6))


def test_stop_signs_are_answered(tmp_path):
    text = (
        NO_READINGS
        + '[stop_signs]\ngas = "no"\nresidue = "Not sure"\nscorch = "yes"\nwater = ""\ntripped = false\n'
    )
    job = read(tmp_path, text=text)
    assert dict(job.signs) == {"gas": False, "residue": True, "scorch": True, "tripped": False}
    assert [sign.name for sign in job.stops] == ["residue", "scorch"]
    asked = {sign.name for sign in job.unanswered}
    assert asked == {sign.name for sign in signs_on("mains")} - set(job.signs)


def test_a_plate_stands_for_the_usual_heater(tmp_path):
    """325 W at 120 V are 2.71 A and 44.3 ohm, by Ohm's and Joule's laws."""
    plate = '[plate]\nwatts = "325 W"\n'
    job = read(tmp_path, 'current = "2.71 A"\nresistance = "OL"\n' + plate)
    assert job.plate == Plate(120.0, 325.0)
    assert (job.plate.current, job.plate.resistance) == pytest.approx((2.708, 44.31), abs=0.005)
    usual = read(tmp_path, "", NO_READINGS + "[readings]\ncurrent = '2.71 A'\n").against_usual
    scaled = job.against_usual
    assert scaled.values["current"] == pytest.approx(usual.values["current"] * job.factors["current"])
    assert scaled.values["resistance"] == OPEN_CIRCUIT
    assert job.readings.values["current"] == pytest.approx(2.71)
    by_ohms = read(tmp_path, '[plate]\nvolts = "120 V"\nohms = "44.3 ohm"\n')
    assert by_ohms.plate.power == pytest.approx(325.0, rel=1e-3)
    assert read(tmp_path, '[plate]\nvolts = "120 V"\n').plate is None
    gas = WARM.replace('"mains"', '"gas"') + plate
    assert read(tmp_path, text=gas).plate is None
    assert read(tmp_path, text=gas).gas_input is None
    assert read(tmp_path, text=gas + 'gas_input = "1,700 Btu/h"').gas_input == pytest.approx(498.2, abs=0.1)


# --- what is refused --------------------------------------------------------------------------------------


BAD = {
    "": "is empty",
    "size = ": "is no TOML file",
    "\x00": "is no TOML file",
    "refrigerator = 3": "a value stands where the table [refrigerator] belongs",
    "[fridge]\nsize = '8 cu ft'" + WARM: "fridge: this is unknown; a file of readings has the tables",
    WARM.replace('"8 cu ft"', '"nine"'): "size: “nine” was read; write the volume",
    WARM.replace('size = "8 cu ft"\n', ""): "size: nothing stands there",
    WARM.replace('"mains"', '"solar"'): "heat_source: “solar” was read",
    WARM.replace('"technician"', '"me"'): "who: “me” was read; write one of owner, technician",
    WARM.replace('who = "technician"\n', ""): "who: nothing stands there",
    WARM.replace('ambient = "98 °F"\n', ""): "ambient: nothing stands there",
    WARM.replace('"98 °F"', "98"): "ambient: 98 was read, without quotes or unit",
    WARM.replace('"98 °F"', '"98"'): "ambient: “98” was read, without a unit",
    WARM.replace('"98 °F"', '"298 °F"'): "ambient: 298.0 °F was read",
    WARM.replace('"98 °F"', '"98 V"'): "ambient: “98 V” was read, which is not a temperature",
    WARM.replace('note = "invented"', "note = 3"): "note: 3 stands where a text",
    WARM.replace('note = "invented"', 'running = "-3 h"'): "running: “-3 h” was read",
    WARM.replace('note = "invented"', 'year = "2027"'): "year: this is unknown in [refrigerator]",
    WARM + 'colour = "white"': "colour: this is unknown in [readings]",
    WARM + 'gas_pressure = "11 in w.c."': "gas_pressure: this is read on gas, but heat_source is mains",
    WARM + 'cup_on_mains = "41 °F"': "cup_on_mains: this is read on gas, but heat_source is mains",
    WARM + "voltage = 119": "voltage: 119 was read, without quotes or unit",
    WARM + 'voltage = "119"': "voltage: “119” was read, without a unit",
    WARM + 'voltage = "119 ohm"': "voltage: “119 ohm” was read, which is not a voltage",
    WARM + 'voltage = " "': "voltage: An empty text was read",
    WARM + 'voltage = "9999 V"': "voltage: “9999 V” was read; from 0 V to 300 V would make sense",
    WARM + 'boiler = "4000 °F"': "boiler: “4000 °F” was read; from",
    WARM + 'fins = "so so"': "fins: “so so” was read; write one of clean, dusty, matted",
    WARM + "fins = ['clean']": "fins: ['clean'] was read, without quotes",
    WARM + 'side_level = "1/2 in over 0 ft"': "side_level: “1/2 in over 0 ft” was read; write a rise over",
    WARM
    + '[stop_signs]\ngas = "a little"': "gas: “a little” was read; write yes, no, or not sure: Do you smell",
    WARM + '[stop_signs]\nsmoke = "no"': "smoke: this is unknown in [stop_signs]",
    WARM + '[plate]\ngas_input = "17 Btu/h"': "gas_input: “17 Btu/h” was read; write what the plate says",
    WARM + '[plate]\nwatts = "0 W"': "watts: “0 W” was read; write what the plate says",
    WARM
    + '[plate]\nwatts = "325 W"\nohms = "60 ohm"': "plate: 325 W at 120 V make 44.3 ohm, but 60 ohm stand",
}


@pytest.mark.parametrize("text", BAD, ids=range(len(BAD)))
def test_bad_files_get_one_sentence_with_file_and_field(tmp_path, text):
    path = written(tmp_path, text)
    run = CliRunner().invoke(main, ["job-sheet", str(path)])
    assert run.exit_code == 2
    assert BAD[text] in run.stderr
    assert "readings.toml" in run.stderr
    if text.startswith(WARM[:15]):
        assert len(run.stderr.strip().splitlines()) == 1
    assert run.stdout == ""


def test_all_that_is_wrong_is_told_at_once(tmp_path):
    text = WARM.replace('"8 cu ft"', '"nine"').replace('"98 °F"', '"98"') + 'fins = "so so"\nvoltage = "7"\n'
    with pytest.raises(InputError) as problem:
        read(tmp_path, text=text + '[stop_signs]\ngas = "hm"\n')
    told = str(problem.value).splitlines()
    assert [line.split(": ")[0].removeprefix("readings.toml, ") for line in told] == [
        "size",
        "ambient",
        "gas",
        "fins",
        "voltage",
    ]


def test_a_mistake_in_the_form_is_told_with_its_line(tmp_path):
    with pytest.raises(InputError, match="at line 12"):
        read(tmp_path, "voltage 119")


@pytest.mark.parametrize(
    "content",
    [b"x" * 2_000_000, os.urandom(2_000_000), b"[" * 60_000, b"\xff\xfe" * 90, b"\xff\xfe\x00"],
    ids=["long", "noise", "nested", "marks alone", "half a letter"],
)
def test_junk_gets_one_sentence(tmp_path, content):
    path = written(tmp_path, content)
    with pytest.raises(InputError) as problem:
        read_job(path)
    assert str(path) in str(problem.value)
    assert "\n" not in str(problem.value)
    assert (f"larger than {LARGEST_FILE // 1024} kB" in str(problem.value)) == (len(content) > LARGEST_FILE)


def test_files_that_are_not_there(tmp_path):
    for path in (tmp_path / "nowhere.toml", tmp_path):
        with pytest.raises(InputError, match="is no file; make one with"):
            read_job(path)


_VALUES = st.one_of(
    st.text(alphabet=string.printable + "°µΩ½", max_size=30),
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False),
    st.booleans(),
    st.lists(st.text(max_size=3), max_size=2),
    st.sampled_from(
        ["41 °F", "1e999 V", "-300 °C", "open", "none", "1/0 in", "12 V", "nan V", "1 in over 0 in"]
    ),
)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from([*READINGS, "colour"]), _VALUES, max_size=4))
def test_whatever_stands_in_a_file_is_read_or_refused(tmp_path, values):
    lines = [f"{name} = {json.dumps(value)}" for name, value in values.items()]
    try:
        read(tmp_path, "[readings]\n" + "\n".join(lines), NO_READINGS)
    except InputError as problem:
        assert all("readings.toml" in line for line in str(problem).splitlines())
        assert len(str(problem).splitlines()) <= max(len(values), 1)


# --- one to fill in ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("source", ["", *HEAT_SOURCES])
def test_an_untouched_template_is_refused_for_what_it_asks(tmp_path, source):
    with pytest.raises(InputError) as problem:
        read(tmp_path, text=template(source))
    asked = {line.split(": ")[0].removeprefix("readings.toml, ") for line in str(problem.value).splitlines()}
    assert asked == {"size", "ambient", "who"} | ({"heat_source"} if not source else set())


@pytest.mark.parametrize("source", HEAT_SOURCES)
def test_the_template_filled_in_with_its_examples_is_read(tmp_path, source):
    before, readings = template(source).split("[readings]")
    for name in readable(source):
        assert len(re.findall(rf'^{name} = ""', readings, flags=re.MULTILINE)) == 1
        filled = f'{name} = "{READINGS[name].written}"'
        readings = re.sub(rf'^{name} = ""', filled, readings, flags=re.MULTILINE)
    for name, value in (("size", "8 cu ft"), ("ambient", "96 °F"), ("who", "owner"), ("running", "24 h")):
        before = before.replace(f'{name} = ""', f'{name} = "{value}"')
    job = read(tmp_path, text=f"{before}[readings]{readings}")
    assert (job.readings.heat_source, job.who, job.note) == (source, Who.OWNER, "")
    assert set(job.readings.values) == set(readable(source))
    assert contradictions_in(job.readings) == []


@pytest.mark.parametrize("source", ["", *HEAT_SOURCES])
def test_each_stop_sign_is_a_question_of_its_own_and_comes_before_all_readings(source):
    text = template(source)
    flat = " ".join(text.replace("\n# ", " ").split())
    for sign in STOP_SIGNS.values():
        asked = source in sign.heat_sources if source else bool(sign.heat_sources)
        assert (sign.question in flat) == asked
        if asked:
            assert text.index(f'\n{sign.name} = ""') < text.index("[readings]")


def test_every_value_that_is_shown_is_read_back(tmp_path):
    cases = draw_cases(3, 20)
    random = np.random.default_rng(8)
    for case in range(len(cases)):
        readings = cases.measured(case, random)
        lines = [f'{name} = "{as_text(name, value)}"' for name, value in readings.values.items()]
        head = f'[refrigerator]\nwho = "owner"\nsize = "{readings.size}"\n'
        head += f'heat_source = "{readings.heat_source}"\n'
        head += f'ambient = "{show(from_si(readings.ambient, "temperature"))}"\n[readings]\n'
        assert set(read(tmp_path, "\n".join(lines), head).readings.values) == set(readings.values)


def test_the_command_writes_a_template_and_never_over_a_file(tmp_path):
    path = tmp_path / "new.toml"

    def run(*arguments):
        return CliRunner().invoke(main, ["job-sheet", *map(str, arguments)])

    assert run(path, "--template", "--heat-source", "gas").exit_code == 0
    before = path.read_text("utf-8")
    assert before == template("gas")
    again = run(path, "--template")
    assert (again.exit_code, "is there already" in again.stderr) == (2, True)
    assert path.read_text("utf-8") == before
    wrong = run(tmp_path / "x", "--template", "--heat-source", "wood")
    assert (wrong.exit_code, (tmp_path / "x").exists()) == (2, False)
    assert run(tmp_path / "no" / "x", "--template").exit_code == 2
