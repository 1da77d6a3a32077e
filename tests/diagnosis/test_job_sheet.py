"""The job sheet: files of readings good and bad, what it says of refrigerators in good order and of "
"others."""

import json
import math
import os
import re
import string
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from helpers import NEEDS_BANK
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from warmside.cli import main
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.job_sheet import _verdict, chance, contradictions_in, job_sheet
from warmside.diagnosis.job_sheet_text import as_data, as_words
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, as_text, readable
from warmside.diagnosis.readings_file import HONEST, LARGEST_FILE, STOP_SIGNS, read_readings, template
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES
from warmside.show.job_sheet_page import job_sheet_page
from warmside.units import from_si, show

WARM = """
[refrigerator]
size = "8 cu ft"
heat_source = "mains"
ambient = "98 °F"
note = "invented"

[readings]
cup = "52 °F"
freezer = "24 °F"
"""


def written(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "readings.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def sheet_of(tmp_path: Path, more: str = "", text: str = WARM):
    return job_sheet(*read_readings(written(tmp_path, text + more)))


# --- what it says -----------------------------------------------------------------------------------------


@NEEDS_BANK
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("source", HEAT_SOURCES)
def test_good_order_names_no_fault(size, source):
    cases = draw_cases(7, 6, sizes=[size], heat_sources=[source], wanted=[("none",)], pair_share=0.0)
    for case in range(len(cases)):
        readings = Readings(size, source, float(cases.ambient[case]), cases.true_readings(case))
        sheet = job_sheet(readings)
        assert (sheet.suspects, sheet.ties, sheet.contradictions) == ((), (), ())
        assert sheet.verdict.startswith("Nothing points at a fault")
        said = as_words(sheet)
        assert not [fault.title for fault in FAULTS.values() if fault.title in said]


@NEEDS_BANK
def test_a_plain_fault_is_settled_and_put_right(tmp_path):
    more = 'voltage = "119 V"\ncurrent = "1.34 A"\nresistance = "88 ohm"\nfuse = "good"\n'
    sheet = sheet_of(tmp_path, more)
    assert sheet.suspects[0].label == ("half_heater",)
    assert sheet.verdict.startswith(
        "It is settled, as far as this model goes: one of two heating elements open"
    )
    assert "Replace the heater" in as_words(sheet)
    assert "Measurements and repairs on mains circuits." in as_words(sheet)


@NEEDS_BANK
def test_what_is_not_settled_says_what_to_measure_next(tmp_path):
    sheet = sheet_of(tmp_path)
    assert sheet.suspects[0].probability < 0.9
    assert 1 <= len(sheet.measure_next) <= 3
    assert sheet.measure_next[0].name not in sheet.readings.values
    assert "What to measure next" in as_words(sheet)


@NEEDS_BANK
def test_cautions_and_what_it_is_stand_on_every_sheet(tmp_path):
    empty = WARM.split("[readings]")[0]
    for sheet in (sheet_of(tmp_path), sheet_of(tmp_path, text=empty)):
        for said in (as_words(sheet), job_sheet_page(sheet), json.dumps(as_data(sheet), ensure_ascii=False)):
            assert "not validated on measured units" in said
            assert STOP_SIGNS in said.replace("&#39;", "'")
        assert "The sealed unit." in as_data(sheet)["not_for_owner"]
    assert "not validated" in HONEST


@NEEDS_BANK
def test_limits_of_the_trade_are_held_up(tmp_path):
    sheet = sheet_of(tmp_path, 'side_gap = "1 in"\nside_level = "1 deg"\nbaffle_gap = "none"\n')
    against = {one.name: one.limit and str(one.limit.verdict) for one in sheet.measured}
    assert against == {
        "cup": "outside",
        "freezer": "outside",
        "side_gap": "outside",
        "side_level": "within",
        "baffle_gap": "outside",
    }


@NEEDS_BANK
def test_nothing_is_promised_above_the_rated_ambient(tmp_path):
    hot = WARM.replace('"98 °F"', '"112 °F"')
    assert [one.limit for one in sheet_of(tmp_path, text=hot).measured] == [None, None]


@NEEDS_BANK
def test_units_of_any_kind_mean_the_same(tmp_path):
    si = WARM.replace("98 °F", "36.67 °C").replace("52 °F", "11.11 °C").replace("24 °F", "-4.44 °C")
    us, other = sheet_of(tmp_path), sheet_of(tmp_path, text=si)
    assert [one.label for one in us.suspects] == [one.label for one in other.suspects]
    assert [one.probability for one in us.suspects] == pytest.approx(
        [one.probability for one in other.suspects], abs=2e-3
    )


def test_hourly_ambients_count_as_their_mean(tmp_path):
    hourly = WARM.replace('"98 °F"', '["90 °F", "98 °F", "106 °F"]')
    assert read_readings(written(tmp_path, hourly))[0].ambient == pytest.approx((98 + 459.67) / 1.8)


CONTRADICTIONS = {
    'condenser_air = "80 °F"': ("condenser_air", "colder than the ambient of 98.0 °F"),
    'top_air = "70 °F"': ("top_air", "colder than the ambient"),
    'boiler = "180 °F"\nabsorber = "230 °F"': ("absorber", "boiler"),
    'vent_air = "140 °F"\ncondenser_air = "110 °F"': ("vent_air", "condenser_air"),
    'voltage = "119 V"\nresistance = "44 ohm"\ncurrent = "0.4 A"': ("voltage", "resistance, current"),
    'fuse = "open"\ncurrent = "2.7 A"': ("fuse", "current"),
}


@NEEDS_BANK
@pytest.mark.parametrize("more", CONTRADICTIONS)
def test_readings_that_contradict_each_other_are_told_by_field(tmp_path, more):
    sheet = sheet_of(tmp_path, more + "\n")
    (sentence,) = sheet.contradictions
    for said in CONTRADICTIONS[more]:
        assert said in sentence
    assert sentence.count(".") - len(re.findall(r"\d\.\d", sentence)) == 1
    without = sheet_of(tmp_path)
    assert [one.label for one in sheet.suspects] == [one.label for one in without.suspects]


def test_honest_readings_hardly_ever_contradict_each_other():
    cases = draw_cases(11, 300)
    random = np.random.default_rng(4)
    told = 0
    for case in range(len(cases)):
        told += bool(contradictions_in(cases.measured(case, random)))
    assert told <= 3


@pytest.mark.parametrize(
    ("label", "probability", "sound", "said"),
    [
        (("frost",), 0.9, False, "It is settled"),
        (("frost",), 0.89, False, "Likely, but not settled"),
        (("frost",), 0.5, False, "Likely, but not settled"),
        (("frost",), 0.49, False, "Not settled"),
        (("none",), 0.9, True, "Nothing points at a fault (90 %)"),
        (("none",), 0.89, True, "Nothing points at a fault so far"),
        (("none",), 0.89, False, "Nothing is settled"),
    ],
)
def test_a_verdict_is_as_sure_as_its_chance(label, probability, sound, said):
    readings = Readings("8 cu ft", "mains", 310.0, {"cup": 280.0})
    assert _verdict(readings, label, probability, sound, more=True).startswith(said)
    nothing = Readings("8 cu ft", "mains", 310.0)
    assert _verdict(nothing, label, probability, sound, more=True).startswith("No reading was given")


def apart(off: float, *names: str) -> float:
    """So many times four standard deviations of readings; of one reading, with the ambient's."""
    errors = [READINGS[name].error for name in names]
    return off * 4.0 * math.hypot(*errors, *([AMBIENT_ERROR] if len(names) == 1 else []))


@pytest.mark.parametrize(("off", "told"), [(0.98, False), (1.02, True)])
def test_readings_contradict_each_other_from_four_standard_deviations_on(off, told):
    ambient = 305.0
    volts_amps_ohms = math.exp(-apart(off, "voltage", "resistance", "current"))
    for values in (
        {"top_air": ambient - apart(off, "top_air")},
        {"absorber": 400.0 + apart(off, "absorber", "boiler"), "boiler": 400.0},
        {"vent_air": 320.0 + apart(off, "vent_air", "condenser_air"), "condenser_air": 320.0},
        {"freezer": 280.0 + apart(off, "freezer", "cup"), "cup": 280.0},
        {"voltage": 120.0, "resistance": 44.0, "current": 120.0 / 44.0 * volts_amps_ohms},
        {"voltage": 120.0, "resistance": 44.0, "current": 120.0 / 44.0 / volts_amps_ohms},
    ):
        assert bool(contradictions_in(Readings("8 cu ft", "mains", ambient, values))) is told, values


def test_a_stalled_unit_and_an_idle_boiler_contradict_nothing():
    ambient = 305.0
    for values, told in (
        ({"freezer": 304.0, "cup": 296.0}, False),
        ({"freezer": 302.0, "cup": 294.0}, True),
        ({"absorber": 390.0, "boiler": 334.0}, False),
        ({"absorber": 390.0, "boiler": 336.0}, True),
        ({"fuse": "open", "current": 0.09}, False),
        ({"fuse": "open", "current": 0.11}, True),
        ({"voltage": 120.0, "resistance": 1e4, "current": 0.04}, False),
        ({"voltage": 120.0, "resistance": 1e4, "current": 0.2}, True),
        ({"voltage": 120.0, "resistance": 44.0, "current": 0.0}, True),
        ({"voltage": 120.0, "resistance": 44.0, "current": 0.4, "fuse": READINGS["fuse"].choices[2]}, False),
        ({"voltage": 120.0, "resistance": 44.0, "current": 0.0, "fuse": "open"}, False),
    ):
        assert bool(contradictions_in(Readings("8 cu ft", "mains", ambient, values))) is told, values


@NEEDS_BANK
def test_readings_that_nothing_explains_are_told(tmp_path):
    more = (
        'boiler = "600 °F"\nabsorber = "100 °F"\ntop_air = "200 °F"\nside_air = "99 °F"\nvent_air = "99 °F"\n'
    )
    sheet = sheet_of(tmp_path, more)
    assert sheet.unexplained
    assert "Nothing in the catalogue fits" in as_words(sheet)


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (0.999, "over 99 %"),
        (0.994, "99 %"),
        (0.001, "under 1 %"),
        (0.006, "1 %"),
        (0.5, "50 %"),
        (0.05, "5 %"),
    ],
)
def test_chances_are_never_certain(probability, said):
    assert chance(probability) == said


# --- files ------------------------------------------------------------------------------------------------


@NEEDS_BANK
@pytest.mark.parametrize("source", HEAT_SOURCES)
def test_the_template_filled_in_as_it_stands_is_read(tmp_path, source):
    filled = re.sub(r"^# ([a-z_]+ = )", r"\1", template(source), flags=re.MULTILINE)
    readings, note = read_readings(written(tmp_path, filled))
    assert (readings.heat_source, note) == (source, "")
    assert set(readings.values) == set(readable(source))
    assert job_sheet(readings).contradictions == ()


def test_every_value_that_is_shown_is_read_back(tmp_path):
    cases = draw_cases(3, 20)
    random = np.random.default_rng(8)
    for case in range(len(cases)):
        readings = cases.measured(case, random)
        lines = [f'{name} = "{as_text(name, value)}"' for name, value in readings.values.items()]
        head = f'[refrigerator]\nsize = "{readings.size}"\nheat_source = "{readings.heat_source}"\n'
        head += f'ambient = "{show(from_si(readings.ambient, "temperature"))}"\n[readings]\n'
        back, _ = read_readings(written(tmp_path, head + "\n".join(lines)))
        assert set(back.values) == set(readings.values)


BAD = {
    "": "is empty",
    "size = ": "is no TOML file",
    "\x00": "is no TOML file",
    "size = '8 cu ft'": "a file of readings has the tables",
    "refrigerator = 3": "a value stands where the table [refrigerator] belongs",
    "[fridge]\nsize = '8 cu ft'": "fridge: this is unknown",
    WARM.replace('"8 cu ft"', '"nine"'): "size: “nine” was read; write the volume",
    WARM.replace('size = "8 cu ft"\n', ""): "size: nothing stands there",
    WARM.replace('"mains"', '"solar"'): "heat_source: “solar” was read",
    WARM.replace('ambient = "98 °F"\n', ""): "ambient: nothing stands there",
    WARM.replace('"98 °F"', "98"): "ambient: 98 was read, without quotes or unit",
    WARM.replace('"98 °F"', '"98"'): "ambient: “98” was read, without a unit",
    WARM.replace('"98 °F"', '"298 °F"'): "ambient: 298.0 °F was read",
    WARM.replace('"98 °F"', '"98 V"'): "ambient: “98 V” was read, which is not a temperature",
    WARM.replace('note = "invented"', "note = 3"): "note: 3 stands where a text",
    WARM.replace('note = "invented"', 'year = "2027"'): "year: this is unknown in [refrigerator]",
    WARM + 'colour = "white"': "colour: this reading is unknown",
    WARM + 'gas_pressure = "11 in w.c."': "gas_pressure: this is read on gas, but heat_source is mains",
    WARM + "voltage = 119": "voltage: 119 was read, without quotes or unit",
    WARM + 'voltage = "119"': "voltage: “119” was read, without a unit",
    WARM + 'voltage = "119 ohm"': "voltage: “119 ohm” was read, which is not a voltage",
    WARM + 'voltage = ""': "voltage: An empty text was read",
    WARM + 'voltage = "9999 V"': "voltage: “9999 V” was read; from 0 V to 300 V would make sense",
    WARM + 'boiler = "4000 °F"': "boiler: “4000 °F” was read; from",
    WARM + 'fins = "so so"': "fins: “so so” was read; write one of clean, dusty, matted",
    WARM + "fins = ['clean']": "fins: ['clean'] was read, without quotes",
}


@pytest.mark.parametrize("text", BAD, ids=range(len(BAD)))
def test_bad_files_get_one_sentence_with_file_and_field(tmp_path, text):
    path = written(tmp_path, text)
    run = CliRunner().invoke(main, ["job-sheet", str(path)])
    assert run.exit_code == 2
    assert BAD[text] in run.stderr
    assert "readings.toml" in run.stderr
    assert len(run.stderr.strip().splitlines()) == 1
    assert run.stdout == ""


def test_a_mistake_in_the_form_is_told_with_its_line(tmp_path):
    with pytest.raises(InputError, match="at line 11"):
        read_readings(written(tmp_path, WARM + "voltage 119"))


@pytest.mark.parametrize(
    "content",
    [b"x" * 2_000_000, os.urandom(2_000_000), b"[" * 60_000, b"\xff\xfe" * 90],
    ids=["long", "noise", "nested", "not UTF-8"],
)
def test_junk_gets_one_sentence(tmp_path, content):
    path = written(tmp_path, content)
    with pytest.raises(InputError) as problem:
        read_readings(path)
    assert str(path) in str(problem.value)
    assert (f"larger than {LARGEST_FILE // 1024} kB" in str(problem.value)) == (len(content) > LARGEST_FILE)


def test_files_that_are_not_there(tmp_path):
    for path in (tmp_path / "nowhere.toml", tmp_path):
        with pytest.raises(InputError, match="is no file; make one with"):
            read_readings(path)


_VALUES = st.one_of(
    st.text(alphabet=string.printable + "°µΩ½", max_size=30),
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False),
    st.booleans(),
    st.lists(st.text(max_size=3), max_size=2),
    st.sampled_from(["41 °F", "1e999 V", "-300 °C", "open", "none", "1/0 in", "12 V", "nan V"]),
)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from([*READINGS, "colour"]), _VALUES, max_size=4))
def test_whatever_stands_in_a_file_is_read_or_refused(tmp_path, values):
    lines = [f"{name} = {json.dumps(value)}" for name, value in values.items()]
    try:
        read_readings(
            written(tmp_path, WARM.replace('cup = "52 °F"\nfreezer = "24 °F"\n', "") + "\n".join(lines))
        )
    except InputError as problem:
        assert "readings.toml" in str(problem)
        assert "\n" not in str(problem)


# --- the command ------------------------------------------------------------------------------------------


@NEEDS_BANK
def test_the_command_prints_text_json_and_a_page(tmp_path):
    path, page = written(tmp_path, WARM), tmp_path / "sheet.html"
    plain = CliRunner().invoke(main, ["job-sheet", str(path)])
    assert plain.exit_code == 0
    assert plain.stdout.startswith("Job sheet\n")
    run = CliRunner().invoke(main, ["job-sheet", str(path), "--json", "--html", str(page)])
    data = json.loads(run.stdout)
    assert data["refrigerator"] == {
        "size": "8 cu ft",
        "rating": "T",
        "like": "8 cu ft",
        "heat_source": "mains",
        "ambient_K": pytest.approx(309.817, abs=0.01),
        "note": "invented",
    }
    assert 0.0 < data["explanations"][0]["probability"] < 1.0
    html = page.read_text("utf-8")
    assert html.count("<img") == 2
    assert not re.search(r'<img[^>]*alt=""', html)
    assert not re.search(r'(src|href)="(?!data:)', html)


def test_the_command_writes_a_template_and_never_over_a_file(tmp_path):
    path = tmp_path / "new.toml"
    assert (
        CliRunner().invoke(main, ["job-sheet", str(path), "--template", "--heat-source", "gas"]).exit_code
        == 0
    )
    before = path.read_text("utf-8")
    assert before == template("gas")
    again = CliRunner().invoke(main, ["job-sheet", str(path), "--template"])
    assert (again.exit_code, "is there already" in again.stderr) == (2, True)
    assert path.read_text("utf-8") == before
    wrong = CliRunner().invoke(
        main, ["job-sheet", str(tmp_path / "x"), "--template", "--heat-source", "wood"]
    )
    assert (wrong.exit_code, (tmp_path / "x").exists()) == (2, False)
    nowhere = CliRunner().invoke(main, ["job-sheet", str(tmp_path / "no" / "x"), "--template"])
    assert nowhere.exit_code == 2


@NEEDS_BANK
def test_the_page_shows_markup_as_text(tmp_path):
    text = WARM.replace('"invented"', '"<script>alert(1)</script>"')
    assert "<script>" not in job_sheet_page(sheet_of(tmp_path, text=text), usual_bank())
