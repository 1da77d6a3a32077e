"""Measured values against the limits: common practice, no source, but as the tables say."""

import pytest

from warmside.errors import InputError
from warmside.model.limits import TOLERANCES, Verdict, check
from warmside.units import read_quantity, to_si


def inches(text: str) -> float:
    return to_si(read_quantity(f"{text} in", "length"), "length")


def degrees(text: str) -> float:
    return to_si(read_quantity(f"{text} deg", "angle"), "angle")


@pytest.mark.parametrize(
    ("name", "value", "verdict"),
    [
        ("top_gap", inches("0"), Verdict.WITHIN),
        ("top_gap", inches("1/16"), Verdict.TOO_NEAR),
        ("top_gap", inches("1/8"), Verdict.OUTSIDE),
        ("side_gap", inches("1/4"), Verdict.WITHIN),
        ("side_gap", inches("5/16"), Verdict.TOO_NEAR),
        ("side_gap", inches("3/8"), Verdict.OUTSIDE),
        ("rear_gap", inches("1"), Verdict.WITHIN),
        ("rear_gap", inches("1 1/2"), Verdict.OUTSIDE),
        ("baffle_gap", inches("1/8"), Verdict.OUTSIDE),
        ("baffle_gap", inches("3/16"), Verdict.TOO_NEAR),
        ("baffle_gap", inches("1/4"), Verdict.WITHIN),
        ("baffle_gap", inches("1/2"), Verdict.WITHIN),
        ("baffle_gap", inches("9/16"), Verdict.TOO_NEAR),
        ("baffle_gap", inches("3/4"), Verdict.OUTSIDE),
        ("side_tilt", degrees("-3"), Verdict.WITHIN),
        ("side_tilt", degrees("3.4"), Verdict.TOO_NEAR),
        ("side_tilt", degrees("-4"), Verdict.OUTSIDE),
        ("front_tilt", degrees("6"), Verdict.WITHIN),
        ("front_tilt", degrees("7"), Verdict.OUTSIDE),
        ("food_temperature", to_si(read_quantity("43 °F", "temperature"), "temperature"), Verdict.WITHIN),
        ("food_temperature", to_si(read_quantity("45 °F", "temperature"), "temperature"), Verdict.OUTSIDE),
        ("freezer_temperature", to_si(read_quantity("16 °F", "temperature"), "temperature"), Verdict.WITHIN),
        ("freezer_temperature", to_si(read_quantity("18 °F", "temperature"), "temperature"), Verdict.OUTSIDE),
    ],
)
def test_verdicts(name, value, verdict):
    (one,) = check("8 cu ft", **{name: value})
    assert one.verdict is verdict
    assert one.measured == value
    assert one.source.startswith("common practice, no source")
    assert one.meaning


def test_a_better_tape_tells_what_a_worse_one_cannot():
    gap = inches("5/16")
    assert check("6 cu ft", side_gap=gap)[0].verdict is Verdict.TOO_NEAR
    assert check("6 cu ft", side_gap=gap, tolerances={"side_gap": 0.0005})[0].verdict is Verdict.OUTSIDE


def test_all_at_once_in_order():
    measured = dict.fromkeys(TOLERANCES, 0.0)
    assert [one.name for one in check("18 cu ft", **measured)] == list(measured)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"size": "ten"}, "size is “ten”"),
        ({"size": "6 cu ft", "gap": 0.1}, "There is no limit for “gap”; there are top_gap"),
        ({"size": "6 cu ft", "side_gap": -0.1}, "a gap is 0 or more"),
        ({"size": "6 cu ft", "side_gap": float("nan")}, "write numbers"),
        ({"size": "6 cu ft", "side_gap": 0.1, "tolerances": {"side_gap": -1.0}}, "the tolerance not below 0"),
        ({"size": "6 cu ft", "tolerances": {"rear": 1.0}}, "There is no limit for “rear”"),
    ],
)
def test_what_is_no_measurement_is_refused(arguments, words):
    with pytest.raises(InputError, match=words):
        check(**arguments)
