"""Tables of numbers: every value with unit and source, or refused in one sentence."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside import data
from warmside.errors import InputError

HEADING = 'title = "Trial"\nabout = "A trial."\n'
GOOD = 'meaning = "Something"\nunit = "inch"\nsource = "from memory"\n'
FIELD = HEADING + "[gap]\n" + GOOD
every = pytest.mark.parametrize("name", data.names())


@pytest.fixture
def reading(tmp_path):
    def read(text: str) -> data.Table:
        path = tmp_path / "trial.toml"
        path.write_text(text, encoding="utf-8")
        return data.read(path)

    return read


@every
def test_every_value_has_unit_source_and_a_number(name):
    table = data.load(name)
    assert table.fields
    for field in table.fields.values():
        assert field.meaning and field.source
        assert field.basis in (data.PUBLISHED, *data.MARKS)
        if not field.unit:
            assert field.given and field.value == field.given
            continue
        numbers = list(field.value.values()) if isinstance(field.value, dict) else field.value
        assert np.isfinite(numbers).all()


def test_the_tables_that_others_rely_on_are_there():
    assert set(data.names()) >= {"cabinets", "limits", "louvres", "parameters", "practice", "ratings"}


def test_values_are_in_si():
    assert data.load("cabinets").column("8 cu ft")["charge_pressure"] == pytest.approx(25e5)
    assert data.load("ratings")["food_limit"]["N"] == pytest.approx((43 + 459.67) / 1.8)
    assert data.load("limits")["side_gap"] == pytest.approx(0.00635)
    assert data.load("limits")["side_tilt"] == pytest.approx(np.radians(3))
    assert data.load("louvres")["blade_angle"] == pytest.approx(np.radians([0, 15, 30]))
    assert data.load("practice")["gas_heat_input"] == pytest.approx([439.6, 703.4], abs=0.05)
    assert data.load("practice")["gas_pressure"] == pytest.approx(11 * 249.08891)
    assert data.load("practice")["cup_mass"] == pytest.approx([0.1134, 0.2268], abs=1e-4)
    assert data.load("parameters")["freezer_heat_capacity"] == pytest.approx(14e3)


def test_a_column_has_every_field():
    cabinets = data.load("cabinets")
    assert cabinets.columns == ("6 cu ft", "8 cu ft", "18 cu ft")
    for column in cabinets.columns:
        assert cabinets.column(column).keys() == cabinets.fields.keys()
    with pytest.raises(InputError, match="“twelve” was read where one of 6 cu ft, 8 cu ft, 18 cu ft belongs"):
        cabinets.column("twelve")


def test_what_is_loaded_cannot_be_changed():
    louvres = data.load("louvres")
    with pytest.raises(ValueError, match="read-only"):
        louvres["blade_angle"][0] = 1.0
    with pytest.raises(TypeError):
        louvres.fields["new"] = None


def test_an_unknown_table_is_named():
    with pytest.raises(InputError, match="no table “cabinet”; there are cabinets, "):
        data.load("cabinet")


@pytest.mark.parametrize("mark", data.MARKS)
def test_a_mark_may_be_followed_by_a_remark(reading, mark):
    text = FIELD.replace("from memory", f"{mark}; and why") + "value = 1\n"
    assert reading(text).fields["gap"].basis == mark


def test_a_published_source_is_told_from_a_mark(reading):
    text = FIELD.replace("from memory", "Handbook of Something, 2021, table 3") + "value = 1\n"
    assert reading(text).fields["gap"].basis == data.PUBLISHED


@given(st.floats(-1e12, 1e12))
def test_numbers_survive_the_file(tmp_path_factory, number):
    path = tmp_path_factory.mktemp("numbers") / "trial.toml"
    path.write_text(FIELD + f"value = {number!r}\n", encoding="utf-8")
    assert data.read(path)["gap"] == pytest.approx(number * 0.0254, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (HEADING + "gap = 3\n", "trial.toml, field gap: 3 stands there without unit and source"),
        (
            FIELD.replace("unit", "#") + "value = 1",
            "trial.toml, field gap: no unit is given; write one such as",
        ),
        (
            FIELD.replace("source", "#") + "value = 1",
            "no source is given; name the document and its year, or",
        ),
        (FIELD.replace("meaning", "#") + "value = 1", "no meaning is given"),
        (FIELD.replace('"from memory"', '" "') + "value = 1", "no source is given"),
        (FIELD.replace('"from memory"', "7") + "value = 1", "no source is given"),
        (
            FIELD.replace("from memory", "somewhere") + "value = 1",
            "“somewhere” is no source; name the document",
        ),
        (FIELD.replace("from memory", "?; from memory") + "value = 1", "field gap: .* is no source"),
        (FIELD.replace("inch", "inchworm") + "value = 1", "field gap: “inchworm” is no unit known here"),
        (FIELD + 'kind = "power"\nvalue = 1', "field gap: “inch” is no unit of a power"),
        (FIELD + 'kind = "gap"\nvalue = 1', "field gap: “gap” is no kind of quantity"),
        (FIELD, "field gap: write either value = a number or a list, or values"),
        (FIELD + "value = 1\nvalues = { six = 1 }", "write either value"),
        (FIELD + "values = { six = 1 }", "write value = a number or a list"),
        (FIELD + "value = true", "field gap: True stands where a number belongs"),
        (FIELD + 'value = "1"', "field gap: '1' stands where a number belongs"),
        (FIELD + "value = nan", "field gap: nan stands where a number belongs"),
        (FIELD + "value = [1, inf]", "field gap: inf stands where a number belongs"),
        (FIELD + "value = []", "field gap: an empty list"),
        (FIELD + "value = 1\nunits = 3", "field gap: “units” is unknown"),
        ('columns = ["six", "ten"]\n' + FIELD + "value = 1", "write values for six, ten, in this order"),
        ('columns = ["six", "ten"]\n' + FIELD + "values = { six = 1 }", "write values for six, ten"),
        ("columns = [6]\n" + FIELD + "value = 1", "trial.toml, columns: write a list of names"),
        ('title = "Trial"\n[gap]\n', "trial.toml begins without its about"),
        ('about = "A trial."\n', "trial.toml begins without its title"),
        ("title = \nabout = 3\n", "trial.toml is no TOML file: .*line 1"),
    ],
)
def test_what_is_wrong_is_named_in_one_sentence(reading, text, sentence):
    with pytest.raises(InputError, match=sentence) as error:
        reading(text)
    assert "\n" not in str(error.value)


SQUARE = 'title = "A"\nabout = "B"\nunit = "1"\nsource = "invented"\n[look]\nmeaning = "A look"\n'


def test_a_square_has_a_row_and_a_column_for_each_name(tmp_path):
    file = tmp_path / "looks.toml"
    file.write_text(SQUARE + 'names = ["good", "bad"]\nvalue = [[0.9, 0.1], [0.2, 0.8]]\n')
    field = data.read(file).fields["look"]
    assert field.names == ("good", "bad")
    assert field.value.tolist() == [[0.9, 0.1], [0.2, 0.8]]
    assert (field.unit, field.basis) == ("1", "invented")


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ('names = ["good", "bad"]\nvalue = [[0.9, 0.1]]', "a row for each of the names"),
        ('names = ["good", "bad"]\nvalue = [[0.9], [0.2]]', "a row for each of the names"),
        ('names = ["good", "bad"]\nvalue = [[0.9, 0.1], [0.2, "x"]]', "'x' stands where a number belongs"),
        ('names = ["good", "good"]\nvalue = [[0.9, 0.1], [0.2, 0.8]]', "different names"),
        ("names = []\nvalue = 1", "different names"),
    ],
)
def test_a_square_that_is_none_is_refused(tmp_path, lines, sentence):
    file = tmp_path / "looks.toml"
    file.write_text(SQUARE + lines + "\n")
    with pytest.raises(InputError, match=sentence):
        data.read(file)


TEXTS = 'title = "A"\nabout = "B"\nsource = "invented"\n[look]\nmeaning = "A look"\n'


def test_a_field_may_hold_texts(tmp_path):
    file = tmp_path / "looks.toml"
    file.write_text(TEXTS + 'texts = { said = " Look. ", steps = ["One.", "Two."] }\n')
    field = data.read(file).fields["look"]
    assert dict(field.given) == {"said": "Look.", "steps": ("One.", "Two.")}
    assert (field.unit, field.basis) == ("", "invented")


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ('texts = "Look."', "field look: write texts = words by their names"),
        ("texts = {}", "field look: write texts = words by their names"),
        ("texts = { said = 3 }", "field look, said: 3 stands where a text or a list of texts belongs"),
        ('texts = { said = " " }', "field look, said: ' ' stands where a text"),
        ('texts = { said = [""] }', "field look, said: .* stands where a text"),
        ('texts = { said = "Look." }\nunit = "K"', "field look: “unit” is unknown beside texts"),
        ('texts = { said = "Look." }\nsource = "?"', "field look: “\\?” is no source"),
    ],
)
def test_texts_that_are_none_are_refused_in_one_sentence(tmp_path, lines, sentence):
    file = tmp_path / "looks.toml"
    file.write_text(TEXTS + lines + "\n")
    with pytest.raises(InputError, match=sentence) as error:
        data.read(file)
    assert "\n" not in str(error.value)
