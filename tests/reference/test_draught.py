"""Draught, openings and air against published formulas and other libraries.

ASHRAE: Handbook, Fundamentals, chapter "Ventilation and Infiltration"; the equation's number differs by
edition.
"""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from warmside.model import draught
from warmside.properties import air

INSIDE, OUTSIDE, HEIGHT = 323.15, 308.15, 1.5


def test_stack_flow_of_ashrae():
    # Q = Cd A sqrt(2 g dH (Ti - To)/Ti), equal openings of 0.02 m², Cd 0.65, g = 9.80665
    assert draught.stack_flow(0.02, HEIGHT, INSIDE, OUTSIDE) == pytest.approx(0.0107422, rel=1e-3)


def test_neutral_level_and_inflow_of_ashrae():
    # h = H/(1 + (A1/A2)² Ti/To); flow from mass conservation with ideal-gas densities
    assert draught.neutral_level(HEIGHT, 0.02, 0.02, INSIDE, OUTSIDE) == pytest.approx(0.73218, rel=1e-3)
    assert draught.stack_inflow(0.02, 0.02, HEIGHT, INSIDE, OUTSIDE) == pytest.approx(0.0106138, rel=1e-3)


def test_draught_pressure_by_hydrostatics():
    # (rho_o - rho_i) g H with dry air of 28.9652 g/mol at 101 325 Pa
    assert draught.stack_pressure(HEIGHT, INSIDE, OUTSIDE) == pytest.approx(0.78216, rel=5e-3)


def test_draught_pressure_with_real_air_of_coolprop():
    outside, inside = (PropsSI("D", "T", t, "P", 101325, "Air") for t in (OUTSIDE, INSIDE))
    expected = (outside - inside) * 9.80665 * HEIGHT
    assert draught.stack_pressure(HEIGHT, INSIDE, OUTSIDE) == pytest.approx(expected, rel=5e-3)


def test_loss_coefficient_of_a_discharge_coefficient():
    # definition; fluids 1.3.1 gives the same 2.3669 for 0.65
    assert draught.loss_coefficient(0.65) == pytest.approx(2.3669, abs=5e-5)


def test_orifice_in_a_duct():
    # fluids 1.3.1, discharge_coefficient_to_K(D=0.3, Do=0.15, C=0.65), after ISO 5167-2
    assert draught.orifice_loss_coefficient(0.15 / 0.3, 0.65) == pytest.approx(25.41942, rel=1e-6)


def test_louvres_of_the_published_measurement():
    # E3S Web of Conferences 396 (2023) 02030: 0.80, 0.62, 0.41 at 0, 15, 30°
    angles = np.radians([0, 15, 30])
    assert draught.louvre_discharge_coefficient(angles) == pytest.approx([0.80, 0.62, 0.41])


def test_fan_and_system_by_closed_form():
    # constructed: p = 30 (1 - (Q/0.04)²) Pa against two openings of 0.01 m² with Cd 0.65 in air of 308.15 K
    fan = draught.Fan(30.0, 0.04)
    k = draught.resistance([0.01, 0.01], 0.65, air.density(308.15))
    flow = fan.operating_flow(k)
    assert flow == pytest.approx(0.025576, rel=5e-3)
    assert fan.pressure(flow) == pytest.approx(17.7351, rel=5e-3)
    assert fan.pressure(flow) == pytest.approx(k * flow**2, rel=1e-12)


def test_slot_tends_to_plane_poiseuille_flow():
    # White, Viscous Fluid Flow: mean speed s² dp / (12 mu L) between parallel plates
    gap, length, push, temperature = 1e-3, 0.6, 0.05, 310.0
    laminar = gap**2 * push / (12 * air.viscosity(temperature) * length)
    assert draught.slot_speed(push, gap, length, temperature) == pytest.approx(laminar, rel=1e-2)
