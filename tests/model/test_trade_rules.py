"""The rules of the trade as the plausible refrigerators judge them."""

import re
from fractions import Fraction

import numpy as np
import pytest

from warmside.data import load
from warmside.model.ensemble import Cost, cost_of
from warmside.model.installation import Installation
from warmside.model.sizes import SIZES
from warmside.model.trade_rules import RULES, VERDICTS, judged, verdict

COMES_OUT, LIKELY, CANT_TELL = VERDICTS
EXPECTED = {
    "lower_vent": COMES_OUT,
    "upper_vent": COMES_OUT,
    "fins": COMES_OUT,
    "outlet": COMES_OUT,
    "comes_in_again": COMES_OUT,
    "top": COMES_OUT,
    "pocket": COMES_OUT,
    "side_half": LIKELY,
    "side_inch": COMES_OUT,
    "baffle": CANT_TELL,
    "depth_without_baffle": LIKELY,
    "depth_with_baffle": CANT_TELL,
    "near_baffle": CANT_TELL,
    "far_baffle": CANT_TELL,
    "level": COMES_OUT,
    "heat": COMES_OUT,
    "several": COMES_OUT,
}
FEW = 100
"""Refrigerators of a size that judge as all do."""

pytestmark = pytest.mark.xdist_group("ensemble")


@pytest.mark.full
@pytest.mark.parametrize("name", RULES)
def test_what_the_model_makes_of_each_rule(name):
    assert judged(FEW)[name].verdict == EXPECTED[name]


@pytest.mark.full
def test_all_refrigerators_judge_as_few_do():
    assert {name: each.verdict for name, each in judged().items()} == EXPECTED


def test_a_departure_from_nothing_is_not_judged():
    costs = judged(FEW)["outlet"].costs
    assert set(costs) == set(SIZES) - {"6 cu ft"}  # whose usual outlet is the one in the wall
    assert all(set(each.costs) == set(SIZES) for name, each in judged(FEW).items() if name != "outlet")


@pytest.mark.parametrize("name", ["level", "depth_without_baffle"])
def test_rules_judged_together_cost_what_each_costs_alone(name):
    correct = Installation.of("18 cu ft")
    alone = cost_of(correct.changed(**RULES[name].changes(correct)), count=FEW)
    assert judged(FEW)[name].costs["18 cu ft"] == pytest.approx([float(each) for each in alone], abs=0.02)


def test_verdicts():
    surely_costs, surely_gains = Cost(0.1, 1.0, 2.0), Cost(-2.0, -1.0, -0.1)
    hardly_costs, rather_gains = Cost(-0.1, 0.1, 1.0), Cost(-1.0, -0.1, 0.1)
    assert verdict([surely_costs] * 3) == COMES_OUT
    assert verdict([surely_costs, hardly_costs, hardly_costs]) == LIKELY
    assert verdict([surely_costs, surely_costs, rather_gains]) == CANT_TELL
    assert verdict([hardly_costs] * 3) == CANT_TELL
    assert verdict([surely_gains] * 3) == CANT_TELL


def test_every_departure_of_the_table_is_told_in_its_amount():
    told = " ".join(rule.departure for rule in RULES.values())
    for field in load("trade_rules").fields.values():
        for number in np.atleast_1d(field.given):
            amount = str(Fraction(float(number))) if field.unit == "inch" else f"{number:g}"
            assert re.search(rf"(?<![\d/.]){re.escape(amount)}(?![\d/.])", told), field.name


def test_every_departure_breaks_its_rule():
    """What the rule names stands in the table of limits."""
    limits, eight = load("limits"), Installation.of("8 cu ft")
    near, far = (RULES[name].changes(eight)["baffle_gap"] for name in ("near_baffle", "far_baffle"))
    least, most = limits.numbers("baffle_gap")
    assert near < least <= most < far
    assert RULES["side_half"].changes(eight)["side_gap"] > limits.number("side_gap")
    assert RULES["level"].changes(eight)["side_tilt"] > limits.number("side_tilt")
    assert RULES["depth_with_baffle"].changes(eight)["rear_gap"] > limits.number("rear_gap")
