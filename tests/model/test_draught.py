"""Draught: laws, edges, shapes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.model import draught
from warmside.properties import air

temperatures = st.floats(250.0, 360.0)
areas = st.floats(1e-4, 0.2)
heights = st.floats(0.05, 3.0)


@given(heights, temperatures, temperatures)
def test_cold_air_falls_as_warm_air_rises(height, inside, outside):
    push = draught.stack_pressure(height, inside, outside)
    if abs(inside - outside) > 1e-9:
        assert np.sign(push) == np.sign(inside - outside)
    assert push == pytest.approx(-draught.stack_pressure(height, outside, inside))


@given(heights, temperatures)
def test_buoyancy_is_the_draught_of_a_small_difference(height, outside):
    push = draught.stack_pressure(height, outside + 1e-3, outside)
    assert push == pytest.approx(1e-3 * draught.buoyancy(outside, height), rel=1e-4)


@given(areas, st.floats(-50.0, 50.0), st.floats(0.8, 1.4), st.floats(0.3, 1.0))
def test_an_opening_s_flow_is_that_of_its_resistance(area, push, density, coefficient):
    flow = draught.opening_flow(area, push, density, coefficient)
    assert np.sign(flow) == np.sign(push)
    assert draught.resistance(density, draught.loss(area * coefficient)) * flow**2 == pytest.approx(
        abs(push), rel=1e-9, abs=1e-300
    )


@given(areas, areas, st.floats(0.5, 50.0))
def test_a_loss_is_that_of_the_effective_area(first, second, coefficient):
    alike = draught.loss(draught.effective_area(first, coefficient)), draught.loss(first, coefficient)
    assert alike[0] == pytest.approx(alike[1])
    in_series = draught.resistance(1.2, draught.loss(first), draught.loss(second))
    assert in_series == pytest.approx(0.6 * (first**-2.0 + second**-2.0))


def test_a_closed_opening_lets_nothing_through():
    assert draught.opening_flow(0.0, 5.0, 1.2) == 0


@given(st.floats(0, 5), st.floats(1e-4, 0.05), st.floats(0.05, 1.0))
def test_a_slot_balances_its_pressures(push, gap, length):
    speed = draught.slot(gap, length, 310.0).speed(push)
    mouth = air.density(310.0) * speed**2 / (2 * 0.6**2)
    friction = 12 * air.viscosity(310.0) * length * speed / gap**2
    assert mouth + friction == pytest.approx(push, rel=1e-9, abs=1e-12)


def test_a_narrow_gap_seals_and_a_wide_one_does_not():
    gaps = np.array([0.0, 0.25, 0.5, 1.0]) * 0.0254
    shut, quarter, half, one = draught.slot(gaps, 0.6, 320.0).speed(0.3)
    assert quarter < half < one
    assert shut < 1e-6 * quarter
    assert 2.0 * half / quarter > 3  # more than the gap alone explains


ways = st.floats(1e-3, 1e3)


@given(ways, st.floats(0.0, 10.0))
def test_a_drawn_share_balances_both_ways(ratio, lift):
    share = draught.drawn_share(ratio, lift)
    assert 0.0 < share <= 1.0
    if share < 1.0:
        assert ratio * share**2 - (1.0 - share) ** 2 == pytest.approx(lift, rel=1e-6, abs=1e-9)
    else:
        assert lift >= ratio * (1.0 - 1e-9)  # it draws more than all of the flow would lose there


@given(ways)
def test_without_a_draught_of_its_own_flow_divides_as_the_effective_areas(ratio):
    assert draught.drawn_share(ratio, 0.0) == pytest.approx(1.0 / (1.0 + np.sqrt(ratio)))


@given(ways, st.floats(0.0, 5.0), st.floats(1e-3, 1.0))
def test_more_draught_never_takes_a_smaller_share(ratio, lift, more):
    assert draught.drawn_share(ratio, lift + more) >= draught.drawn_share(ratio, lift)


def test_thin_air_weighs_and_holds_back_in_proportion():
    half = 0.5 * air.ATMOSPHERE
    assert draught.buoyancy(300.0, 1.0, half) == pytest.approx(0.5 * draught.buoyancy(300.0))
    thick, thin = draught.slot(0.01, 1.0, 300.0), draught.slot(0.01, 1.0, 300.0, half)
    assert thin.inertia == pytest.approx(0.5 * thick.inertia)
    assert thin.friction == thick.friction  # viscosity doesn't depend on pressure


@pytest.mark.parametrize(("pressure", "free"), [(-20.0, 0.05), (20.0, 0.0), ("much", 0.05), (20.0, np.nan)])
def test_a_fan_that_blows_down_or_not_at_all_is_refused(pressure, free):
    with pytest.raises(InputError, match="of the fan is"):
        draught.Fan(pressure, free)


def test_everything_broadcasts():
    column, row = np.array([[0.01], [0.02]]), np.array([0.5, 1.0, 1.5])
    assert draught.stack_pressure(row, 320.0, [[300.0], [310.0]]).shape == (2, 3)
    assert draught.opening_flow(column, row, 1.2).shape == (2, 3)
    assert draught.slot(column, row, 300.0).speed(0.1).shape == (2, 3)
    assert draught.doorway_flow(column, row, 277.0, 300.0).shape == (2, 3)
    assert draught.doorway_flow([0.5, 0.6], [0.8, 0.9], 277.0, 300.0).shape == (2,)
