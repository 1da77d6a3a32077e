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
        (np.array([38.5]), "38.5"),
        (np.array(38.5), "38.5"),
        (np.array([38.5, 39.0]), "array([38.5, 39. ])"),
        (np.array([]), "array([], dtype=float64)"),
        (Q_(np.array([38.5]), "hour"), "38.5 hour"),
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


HEAT = kind_of("energy", tolerance="2 %")
CUP = kind_of("temperature", tolerance="0.5 °F")


def test_a_share_of_the_value_is_its_tolerance_and_of_a_temperature_so_many_degrees():
    assert HEAT.tolerance_at(-500.0) == pytest.approx(10.0)
    assert CUP.tolerance_at(280.0) == pytest.approx(0.5 / 1.8)
    assert HEAT.agrees(102.0, 100.0) and not HEAT.agrees(102.01, 100.0)
    assert HEAT.agrees(98.0, 100.0) and not HEAT.agrees(97.99, 100.0)
    assert HEAT.agrees(105.9, 100.0, 3.0) and not HEAT.agrees(106.1, 100.0, 3.0)


@pytest.mark.parametrize("strange", [None, float("nan"), float("inf")])
def test_what_is_no_number_agrees_with_nothing(strange):
    assert not HEAT.agrees(strange, 100.0)
    assert not HEAT.agrees(100.0, strange)
    assert not HEAT.agrees(strange, strange)
    assert not kind_of("choice", "ab").agrees(None, None)
    assert not kind_of("names", "ab").agrees(None, None)


def test_the_wider_tolerance_tells_how_far_apart_two_answers_lie():
    assert HEAT.apart(100.0, 110.0) == pytest.approx(10.0 / 2.2)
    assert CUP.apart(280.0, 281.0) == pytest.approx(1.8 / 0.5)
    assert kind_of("energy", tolerance="2 %").apart(0.0, 0.0) == float("inf")
    assert kind_of("choice", "ab").apart("a", "a") == float("inf")


@pytest.mark.parametrize(
    ("ratio", "said"),
    [
        (1.19, "close, but too large"),
        (1.21, "too large, by up to two times"),
        (1 / 1.21, "too small, by up to two times"),
        (1.9, "by up to two times"),
        (2.1, "by two to ten times"),
        (9.5, "by two to ten times"),
        (10.0, "The digits are right"),
        (10.5, "by more than ten times"),
        (1e-3, "The digits are right"),
        (-1.0, "The size is right, but the sign is not."),
        (-1.1, "The sign is not right."),
        (0.0, "not the right size"),
    ],
)
def test_how_far_off_a_size_is(ratio, said):
    assert said in HEAT.how_far_off(ratio * 500.0, 500.0)


@pytest.mark.parametrize(
    ("off", "said"),
    [
        (0.8, "close, but too warm"),
        (-0.8, "close, but too cold"),
        (0.9, "too warm, by some"),
        (9.9, "by some"),
        (10.1, "by many"),
        (-10.1, "too cold, by many"),
    ],
)
def test_how_far_off_a_temperature_is(off, said):
    assert said in CUP.how_far_off(280.0 + off, 280.0)


def test_answers_that_can_be_given():
    assert list(kind_of("choice", "abc").possible()) == ["a", "b", "c"]
    assert list(kind_of("names", NAMES[:2]).possible()) == [("cup",), ("load",), ("cup", "load")]
    assert len(kind_of("names", [f"n{number}" for number in range(10)]).possible()) == 2**10 - 1
    assert not kind_of("names", [f"n{number}" for number in range(11)]).possible()
    assert not HEAT.possible()
    assert kind_of("names", NAMES).word(("vent_air", "cup")) == "cup,vent_air"
    assert kind_of("names", NAMES).agrees(("load", "cup"), ("cup", "load"))


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (HEAT, pytest.approx(300.0)),
        (CUP, pytest.approx(280.0)),
        (kind_of("choice", "ab"), "b"),
        (kind_of("names", NAMES), ("cup", "load")),
    ],
)
def test_what_is_typed_is_understood_as_it_was(kind, value):
    assert kind.understand(kind.typed(getattr(value, "expected", value)))[0] == value


def test_a_kind_that_is_none_is_refused():
    with pytest.raises(KeyError):
        kind_of("hotness")
