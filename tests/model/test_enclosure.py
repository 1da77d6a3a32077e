"""The air path alone: laws that follow from momentum and energy, whatever was calibrated."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from warmside.model import enclosure
from warmside.model.draught import Fan, slot
from warmside.properties import air

AMBIENT = 305.0
USUAL = dict(
    ambient_temperature=AMBIENT,
    room_temperature=AMBIENT,
    lower_area=0.075,
    upper_area=0.065,
    fin_area=0.05,
    baffle_gap=0.01,
    cavity_depth=0.105,
    width=0.6,
    absorber_height=0.9,
    outlet_height=0.6,
    side_gap=0.006,
    side_height=1.35,
    pocket_area=0.0,
)


def path(**changes):
    return enclosure.air_path(**{**USUAL, **changes})


def test_flow_goes_with_the_cube_root_of_heat():
    flow = enclosure.air_flow(path(), np.array([100.0, 800.0]), np.array([60.0, 480.0]))
    assert flow[1] / flow[0] == pytest.approx(2.0, rel=1e-9)


def test_flow_goes_with_the_area_to_two_thirds():
    # all openings grow alike, the space behind as well
    small, large = (
        path(
            lower_area=0.02 * k,
            upper_area=0.02 * k,
            fin_area=0.03 * k,
            baffle_gap=0.0,
            width=0.6 * k,
            side_height=1.0,
        )
        for k in (1.0, 8.0)
    )
    ratio = enclosure.air_flow(large, 200.0, 100.0) / enclosure.air_flow(small, 200.0, 100.0)
    assert ratio == pytest.approx(8.0 ** (2.0 / 3.0), rel=1e-9)


@given(
    low=st.floats(0.0, 1000.0),
    high=st.floats(0.0, 1000.0),
    wind=st.floats(-2.3, 20.0),
    pressure=st.floats(0.0, 50.0),
    free=st.floats(0.005, 0.1),
    area=st.floats(0.0, 0.2),
)
def test_flow_balances_pressures(low, high, wind, pressure, free, area):
    """Against the same balance written out and solved by bisection."""
    one = path(wind_pressure=wind, fan=Fan(pressure, free), lower_area=area)
    density = air.density(AMBIENT)
    heat_of_air = density * air.specific_heat(AMBIENT)
    losses = (0.55 * max(area, 0.003)) ** -2.0 + (0.55 * 0.065) ** -2.0 + 1.5 / (0.6 * 0.105) ** 2
    losses += (0.05 / np.sqrt(2.5) + 0.006 / np.sqrt(2.0)) ** -2.0

    def surplus(flow):
        first, second = low / (heat_of_air * flow), (low + high) / (heat_of_air * flow)
        columns = 0.45 * first + 0.075 * (first + second) + 0.6 * second
        draught = density * 9.80665 / AMBIENT * columns
        return draught + wind + pressure * (1.0 - (flow / free) ** 2) - 0.5 * density * flow**2 * losses

    flow = enclosure.air_flow(one, low, high)
    assert flow > 0.0
    if low + high > 1.0:
        assert flow == pytest.approx(brentq(surplus, 1e-9, 10.0, xtol=1e-14), rel=1e-4)


def test_heat_warms_the_air_by_what_it_carries():
    one = path(baffle_gap=0.0)
    flow = enclosure.air_flow(one, 200.0, 100.0)
    inlet, before, after = enclosure.air_temperatures(one, flow, 200.0, 100.0)
    stream = air.density(AMBIENT) * air.specific_heat(AMBIENT) * flow
    assert inlet == AMBIENT
    assert stream * (before - inlet) == pytest.approx(200.0)
    assert stream * (after - before) == pytest.approx(100.0)


def test_air_that_comes_round_again_makes_all_of_it_warmer():
    fresh, stale = path(), path(recirculation=0.5)
    flow = enclosure.air_flow(fresh, 200.0, 100.0)
    one, other = (enclosure.air_temperatures(p, flow, 200.0, 100.0) for p in (fresh, stale))
    mixed_rise = 300.0 / (fresh.capacity * flow)
    # half of the inlet air is outlet air: its rise is that of the fresh air twice over
    assert other[0] - AMBIENT == pytest.approx(0.5 * 2.0 * mixed_rise)
    assert other[2] - other[0] == pytest.approx(one[2] - one[0])


def test_the_slot_beside_the_cabinet_is_that_of_the_draught():
    gaps = np.array([0.0, 0.004, 0.006, 0.0127, 0.0254])
    one = path(side_gap=gaps)
    around = enclosure.surroundings(one, AMBIENT + 12.0, AMBIENT + 18.0)
    beside = 0.75 * 12.0
    push = air.density(AMBIENT) * 9.80665 * 1.35 / 4.0 * beside / AMBIENT
    speed = slot(gaps, 1.0, AMBIENT).speed(push)
    conductance = air.density(AMBIENT) * air.specific_heat(AMBIENT) * speed * gaps * 1.35 / 3.0
    weight = conductance / (conductance + 0.8)
    assert around.side - AMBIENT == pytest.approx(weight * beside, rel=1e-6, abs=1e-9)
    assert (np.diff(around.side) > 0).all()


def test_what_comes_into_a_cool_room_is_as_warm_as_the_air_outside_and_more():
    """Gap and pocket lie between the room's air and what warms them, by conductances alone."""
    room, before, after = 295.0, AMBIENT + 12.0, AMBIENT + 18.0
    warm, cool = path(pocket_area=0.2), path(pocket_area=0.2, room_temperature=room)
    here, there = (enclosure.surroundings(one, before, after) for one in (warm, cool))
    beside = AMBIENT + 0.75 * 12.0
    assert (there.side - room) / (beside - room) == pytest.approx((here.side - AMBIENT) / (beside - AMBIENT))
    assert (there.pocket - room) / (after - room) == pytest.approx(
        (here.pocket - AMBIENT) / (after - AMBIENT)
    )


def test_surroundings_are_the_room_where_nothing_is_warm_and_within_what_there_is():
    cold = enclosure.surroundings(path(), AMBIENT, AMBIENT)
    assert cold == pytest.approx((AMBIENT,) * 4)
    warm = enclosure.surroundings(path(pocket_area=0.2, side_gap=0.02), AMBIENT + 15.0, AMBIENT + 20.0)
    for temperature in warm:
        assert AMBIENT < temperature < AMBIENT + 20.0
    cool_room = enclosure.surroundings(path(room_temperature=295.0), AMBIENT + 15.0, AMBIENT + 20.0)
    assert cool_room.food < enclosure.surroundings(path(), AMBIENT + 15.0, AMBIENT + 20.0).food


def test_a_shut_vent_leaves_a_leak():
    assert path(lower_area=0.0).resistance == path(lower_area=0.003).resistance
    assert enclosure.air_flow(path(lower_area=0.0), 200.0, 100.0) > 0.0
