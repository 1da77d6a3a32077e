"""Draught: laws, edges, shapes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.model import draught
from warmside.properties import air

temperatures = st.floats(250.0, 360.0)
areas = st.floats(1e-4, 0.2)
heights = st.floats(0.05, 3.0)


@given(areas, heights, temperatures, temperatures)
def test_no_warmth_no_draught_and_cold_air_falls(area, height, inside, outside):
    flow = draught.stack_flow(area, height, inside, outside)
    assert np.sign(flow) == np.sign(inside - outside)
    assert draught.stack_flow(area, height, outside, outside) == 0
    assert draught.stack_pressure(height, inside, outside) == pytest.approx(
        -draught.stack_pressure(height, outside, inside)
    )


@given(areas, areas, heights, temperatures, st.floats(1.0, 60.0))
def test_as_much_mass_leaves_as_comes_in(lower, upper, height, outside, warmer):
    inside = outside + warmer
    into = draught.stack_inflow(lower, upper, height, inside, outside) * air.density(outside)
    level = draught.neutral_level(height, lower, upper, inside, outside)
    push = draught.stack_pressure(height - level, inside, outside)
    out = draught.opening_flow(upper, push, air.density(inside)) * air.density(inside)
    assert into == pytest.approx(out, rel=1e-9)
    assert 0 < level < height


@given(areas, heights, temperatures, st.floats(1.0, 60.0), st.floats(1.01, 3.0))
def test_higher_wider_warmer_all_draw_more(area, height, outside, warmer, more):
    def flow(area, height, warmer):
        return draught.stack_inflow(area, area, height, outside + warmer, outside)

    base = flow(area, height, warmer)
    assert flow(area * more, height, warmer) == pytest.approx(more * base)
    assert flow(area, height * more, warmer) == pytest.approx(np.sqrt(more) * base)
    assert flow(area, height, warmer * more) > base


@pytest.mark.parametrize("area", [0.01, 0.02, 0.05])
def test_with_a_given_heat_the_flow_goes_with_its_cube_root(area):
    """V ~ Q^(1/3) and V ~ A^(2/3), the analytic laws of a heated stack, for small rises of temperature."""

    def flow(heat: float, area: float) -> float:
        rise = 1.0
        for _ in range(200):
            moved = float(draught.stack_flow(area, 1.5, 300.0 + rise, 300.0))
            rise = 0.5 * rise + 0.5 * heat / (air.density(300.0) * air.specific_heat(300.0) * moved)
        return moved

    assert flow(8.0, area) / flow(1.0, area) == pytest.approx(2.0, rel=0.02)
    assert flow(1.0, 8 * area) / flow(1.0, area) == pytest.approx(4.0, rel=0.02)


def test_colder_inside_has_no_inflow_below():
    assert np.isnan(draught.stack_inflow(0.02, 0.02, 1.0, 300.0, 310.0))


def test_a_closed_opening_lets_nothing_through():
    assert draught.opening_flow(0.0, 5.0, 1.2) == 0
    assert draught.stack_inflow(0.0, 0.02, 1.0, 320.0, 300.0) == 0
    assert draught.stack_inflow(0.02, 1e-9, 1.0, 320.0, 300.0) == pytest.approx(0, abs=1e-8)
    assert draught.resistance([0.0, 0.02], 0.65, 1.2) == np.inf
    assert draught.Fan(20.0, 0.04).operating_flow(np.inf) == 0


@given(st.floats(0, 5), st.floats(1e-4, 0.05), st.floats(0.05, 1.0))
def test_a_slot_balances_its_pressures(push, gap, length):
    speed = draught.slot_speed(push, gap, length, 310.0)
    mouth = air.density(310.0) * speed**2 / (2 * draught.SLOT_CONTRACTION)
    friction = 12 * air.viscosity(310.0) * length * speed / gap**2
    assert mouth + friction == pytest.approx(push, rel=1e-9, abs=1e-12)


def test_a_narrow_gap_seals_and_a_wide_one_does_not():
    quarter, half, one = draught.slot_speed(0.3, np.array([0.25, 0.5, 1.0]) * 0.0254, 0.6, 320.0)
    assert quarter < half < one
    assert draught.slot_speed(0.3, 0.0, 0.6, 320.0) == 0
    flows = np.array([quarter, half, one]) * np.array([0.25, 0.5, 1.0])
    assert flows[1] / flows[0] > 3  # more than the gap alone explains


@pytest.mark.parametrize("degrees", [-1, 31, np.nan])
def test_louvres_outside_the_measured_angles_are_nan(degrees):
    assert np.isnan(draught.louvre_discharge_coefficient(np.radians(degrees)))


def test_a_fan_beyond_its_free_flow_obstructs():
    fan = draught.Fan(20.0, 0.045)
    assert fan.pressure([0.0, 0.045, 0.06]) == pytest.approx([20.0, 0.0, -15.5556], abs=1e-4)
    k = 1000.0
    free = np.sqrt(50.0 / k)
    assert free > fan.free_flow
    assert fan.operating_flow(k, draught=50.0) < free
    assert np.isnan(fan.operating_flow(k, draught=-21.0))


def test_wind_presses_and_sucks():
    assert draught.wind_pressure(5.0, 0.6) == pytest.approx(0.6 * 0.5 * 1.204 * 25, rel=1e-3)
    assert draught.wind_pressure(5.0, -0.4) < 0


def test_everything_broadcasts():
    area, height = np.array([[0.01], [0.02]]), np.array([0.5, 1.0, 1.5])
    assert draught.stack_flow(area, height, 320.0, 300.0).shape == (2, 3)
    assert draught.stack_inflow(area, area, height, 320.0, 300.0).shape == (2, 3)
    assert draught.slot_speed(0.1, area, height, 300.0).shape == (2, 3)
    assert draught.resistance(np.full((4, 2), 0.01), 0.65, np.full(4, 1.2)).shape == (4,)
