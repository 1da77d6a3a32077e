"""Kinds of answers: what is understood, what counts as the same, what is said of what is off."""

import numpy as np
import pytest

from warmside.errors import InputError
from warmside.marking.cells import LONGEST_ANSWER
from warmside.marking.kinds import answer_text, kind_of
from warmside.units import Q_, to_si

NAMES = ("cup", "load", "vent_air")


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
    back, _ = kind_of(kind).understand(answer_text(quantity))
    assert back == pytest.approx(to_si(quantity, kind), rel=1e-12)


@pytest.mark.parametrize("text", ["c", " C ", "(c)", "c."])
def test_choice_is_a_letter(text):
    assert kind_of("choice", "abcd").understand(text) == ("c", "choice c")


@pytest.mark.parametrize("text", ["f", "ab", "venting", "1", "(", "a b"])
def test_other_choices_are_refused_with_the_letters(text):
    with pytest.raises(InputError, match="type one letter: a, b, c or d"):
        kind_of("choice", "abcd").understand(text)


@pytest.mark.parametrize(
    "text", ["cup, load", "cup load", "CUP; load", "cup,load,cup", "['cup', 'load']", '"cup", "load"']
)
def test_a_list_of_names_is_understood_however_it_is_written(text):
    assert kind_of("names", NAMES).understand(text) == (("cup", "load"), "cup, load")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("cup, lode", "“lode” was read, which is none of the names; there are cup, load, vent_air"),
        ("x" * 300, "“xxxxxxxxxx"),
        ("; ,", "No name was read; write names with commas"),
    ],
)
def test_other_names_are_refused_with_those_there_are(text, said):
    with pytest.raises(InputError, match=said) as problem:
        kind_of("names", NAMES).understand(text)
    assert len(str(problem.value)) < 200
