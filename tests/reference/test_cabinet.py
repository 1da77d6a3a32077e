"""Walls, doors and food against published formulas."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from warmside.data import load
from warmside.model import cabinet


def test_conductance_of_a_foam_box():
    # 0.5 x 0.5 x 0.6 m, 35 mm of foam of 0.023 W/(m K): Incropera et al., table 4.1, wall, edge and corner:
    # 1.1171 W/K through the walls alone, 1.1976 W/K with edges and corners
    assert cabinet.box_conductance(0.5, 0.5, 0.6, 0.035, 0.023) == pytest.approx(1.1976, rel=1e-3)
    walls = 0.023 * 2 * (0.25 + 0.3 + 0.3) / 0.035
    assert walls == pytest.approx(1.1171, rel=1e-3)


@pytest.mark.parametrize("size", ["six", "eight", "eighteen"])
def test_the_cabinets_are_of_a_likely_insulation(size):
    """Within a factor of two, no better: 35 mm of foam would let through half as much again."""
    # aged polyurethane foam, 0.020 to 0.026 W/(m K) within a fifth (ASHRAE Handbook, Fundamentals, ch. 26,
    # page not read)
    cabinets = load("cabinets")
    width, height = cabinets["door_width"][size], cabinets["door_height"][size]
    depth = cabinets["food_volume"][size] / (width * height) + 0.05
    foam = cabinet.box_conductance(width, depth, height, 0.035, 0.023)
    assert 0.5 * foam < cabinets["food_conductance"][size] < foam


def test_food_by_siebel():
    # ASHRAE Handbook, Refrigeration, Properties of Foods: c = 3.35 w + 0.84 kJ/(kg K), 3.52 at w = 0.8
    assert cabinet.food_specific_heat(0.8) == pytest.approx(3520.0, rel=0.05)
    water = PropsSI("C", "T", 283.15, "P", 101325, "Water")
    assert cabinet.food_specific_heat(1.0) == pytest.approx(water, rel=0.01)


def test_doorway_tends_to_the_orifice_formula():
    # W. G. Brown and K. R. Solvason, Int. J. Heat Mass Transfer 5 (1962) 859, from memory: for small
    # differences V = Cd/3 A sqrt(g H dT/T) with Cd about 0.6 to 0.8
    flow = cabinet.doorway_flow(0.5, 0.8, 292.0, 293.0)
    simple = 0.4 / 3 * np.sqrt(9.80665 * 0.8 * 1.0 / 292.5)
    assert 0.6 < flow / simple < 0.8
    assert cabinet.doorway_flow(0.5, 0.8, 293.0, 293.0) == 0.0
    assert cabinet.doorway_flow(0.5, 0.8, 300.0, 293.0) == 0.0
