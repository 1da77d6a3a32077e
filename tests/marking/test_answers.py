"""What leaves a trainee's kernel."""

import html
import re

import nbformat
import numpy as np
import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside.errors import InputError
from warmside.marking.answers import (
    LONGEST_ANSWER,
    MIME_TYPE,
    answer_text,
    card_numbers,
    record,
    recorded_answer,
    show_card,
    understand,
)
from warmside.marking.cleaning import clean_outputs
from warmside.show.card_drawing import alt_text
from warmside.units import Q_


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


def recorded(name: str, value: object, kind: str, choices: str = "") -> dict:
    """Record a value as a notebook cell would, and return the output's data."""
    namespace = {"record": record, name: value}
    with capture_output() as captured:
        exec(f'record("{name}", "{kind}", "{choices}")', namespace)
    return captured.outputs[0].data


def test_text_and_quantity_say_what_was_understood():
    for value in ("38.5 degF", "38.5F", Q_(38.5, "degF")):
        data = recorded("cup", value, "temperature")
        assert data["text/plain"] == "Recorded: 38.5 °F, a temperature."
        assert data[MIME_TYPE]["name"] == "cup"


def test_nothing_yet_and_not_understood_are_said_at_once():
    assert "Nothing recorded yet for cup" in recorded("cup", "", "temperature")["text/plain"]
    assert "Nothing recorded yet for cup" in recorded("cup", None, "temperature")["text/plain"]
    said = recorded("cup", 38.5, "temperature")
    assert said["text/plain"].startswith("Recorded, but not understood.")
    assert said[MIME_TYPE]["text"] == "38.5"


def test_what_is_said_back_never_depends_on_the_key():
    right, wrong = (recorded("cup", text, "temperature") for text in ("38.5 degF", "238.5 degF"))
    assert wrong["text/html"] == right["text/html"].replace("38.5", "238.5")


def test_markup_in_an_answer_is_shown_as_text():
    data = recorded("cup", "<script>alert(1)</script>", "temperature")
    assert "<script>" not in data["text/html"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, None),
        ("  ", None),
        (" 3 h ", "3 h"),
        (38.5, "38.5"),
        (np.float64(38.5), "38.5"),
        (3, "3.0"),
        (True, "1.0"),
        (Q_(np.float64(1.5), "hour"), "1.5 hour"),
        (Q_(6.5, "delta_degF"), "6.5 delta_degree_Fahrenheit"),
        (["a"], "['a']"),
        ("x" * 10_000, "x" * LONGEST_ANSWER),
    ],
)
def test_answer_as_text(value, text):
    assert answer_text(value) == text


@pytest.mark.parametrize(
    ("quantity", "kind"),
    [
        (Q_(38.5, "degF"), "temperature"),
        (Q_(3.6, "degC"), "temperature"),
        (Q_(277.0, "kelvin"), "temperature"),
        (Q_(6.5, "delta_degF"), "temperature_difference"),
        (Q_(12, "Btu"), "energy"),
        (Q_(12.7, "kJ"), "energy"),
        (Q_(2.08, "hour"), "time"),
        (Q_(0.25, "Btu / (hour * delta_degF)"), "heat_conductance"),
        (Q_(7.0, "oz"), "mass"),
    ],
)
def test_a_computed_quantity_is_read_back_as_it_was(quantity, kind):
    back, _ = understand(answer_text(quantity), kind)
    assert back.to(quantity.units).magnitude == pytest.approx(quantity.magnitude, rel=1e-12)


@pytest.mark.parametrize("text", ["c", " C ", "(c)", "c."])
def test_choice_is_a_letter(text):
    assert understand(text, "choice", tuple("abcd")) == ("c", "choice c")


@pytest.mark.parametrize("text", ["f", "ab", "venting", "1", "(", "a b"])
def test_other_choices_are_refused_with_the_letters(text):
    with pytest.raises(InputError, match="type one letter: a, b, c or d"):
        understand(text, "choice", tuple("abcd"))


def output(payload: object, mime_type: str = MIME_TYPE) -> dict:
    return {"outputs": [{"output_type": "display_data", "data": {mime_type: payload}}]}


@pytest.mark.parametrize(
    "cell",
    [
        {},
        {"outputs": []},
        {"outputs": [{"output_type": "stream", "text": "38.5 degF"}]},
        output("38.5 degF"),
        output(["cup", "38.5 degF"]),
        output({"name": "cup", "text": 38.5}),
        output({"name": "cup", "text": None}),
        output({"name": "cup", "text": ""}),
        output({"name": "cup", "text": "9" * (LONGEST_ANSWER + 1)}),
        output({"name": "other", "text": "38.5 degF"}),
        output({"name": "cup", "text": "38.5 degF"}, "application/json"),
    ],
)
def test_only_a_declared_answer_counts(cell):
    assert recorded_answer(cell, "cup") is None


def test_a_declared_answer_counts():
    assert recorded_answer(output({"name": "cup", "text": "38.5 degF"}), "cup") == "38.5 degF"


def test_card_number_is_left_in_the_output(exercise):
    card = exercise.practice_card()
    with capture_output() as captured:
        show_card(card)
    assert card_numbers([{"outputs": [{"data": captured.outputs[0].data}]}]) == {card.number}
    page = captured.outputs[0].data["text/html"]
    assert page.index("<table") < page.index("<img")
    assert card_numbers([output({"number": 3}, "application/vnd.warmside.job-card+json")]) == set()


def test_of_a_cards_drawing_its_text_stays_in_a_marked_notebook(exercise):
    card = exercise.practice_card()
    with capture_output() as captured:
        show_card(card)
    shown = nbformat.v4.new_output("display_data", captured.outputs[0].data)
    cell = nbformat.v4.new_code_cell("show_card(card)", outputs=[shown])
    clean_outputs(cell)
    page = cell.outputs[0].data["text/html"]
    drawing = page[page.index("<img") :]
    assert alt_text(card) in html.unescape(drawing)
    assert re.sub("<[^>]*>", "", drawing).strip() == ""
