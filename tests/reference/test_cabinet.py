"""Walls and food against published formulas."""

import pytest
from real_fluids import ON_ONE_WORKER, PropsSI

from warmside.data import load
from warmside.model.cup import food_specific_heat

pytestmark = ON_ONE_WORKER


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
def test_the_cabinets_are_of_a_likely_insulation(size):
    """Within a factor of two, no better: 35 mm of foam would let through half as much again."""
    # aged polyurethane foam, 0.020 to 0.026 W/(m K) within a fifth (ASHRAE Handbook, Fundamentals, ch. 26,
    # page not read)
    cabinets = load("cabinets")
    width, height = cabinets["door_width"][size], cabinets["door_height"][size]
    depth = cabinets["food_volume"][size] / (width * height) + 0.05
    # Incropera et al., table 4.1, cases 8 and 9: walls A/t, twelve edges 0.54 l, eight corners 0.15 t
    walls = 2.0 * (width * depth + width * height + depth * height) / 0.035
    foam = 0.023 * (walls + 0.54 * 4.0 * (width + depth + height) + 8.0 * 0.15 * 0.035)
    assert 0.5 * foam < cabinets["food_conductance"][size] < foam


def test_food_by_siebel():
    # ASHRAE Handbook, Refrigeration, Properties of Foods: c = 3.35 w + 0.84 kJ/(kg K), 3.52 at w = 0.8
    assert food_specific_heat(0.8) == pytest.approx(3520.0, rel=0.05)
    water = PropsSI("C", "T", 283.15, "P", 101325, "Water")
    assert food_specific_heat(1.0) == pytest.approx(water, rel=0.01)
