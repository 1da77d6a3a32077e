"""The air path alone: laws that follow from momentum and energy, whatever was calibrated."""

import numpy as np
import pytest
from air_paths import AMBIENT, path
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from warmside.data import load
from warmside.model import draught, enclosure
from warmside.model.draught import Fan, slot
from warmside.properties import air


def test_flow_goes_with_the_cube_root_of_heat():
    flow = enclosure.air_flow(path(), np.array([100.0, 800.0]), np.array([60.0, 480.0]))
    assert flow.total[1] / flow.total[0] == pytest.approx(2.0, rel=1e-9)
    assert flow.fin_share[1] == pytest.approx(flow.fin_share[0], rel=1e-9)


def test_flow_goes_with_the_area_to_two_thirds():
    # all openings grow alike, the space behind as well
    small, large = (
        path(
            lower_area=0.02 * k,
            upper_area=0.02 * k,
            fin_area=0.03 * k,
            baffle_gap=0.01,
            width=0.6 * k,
            side_height=1.0,
        )
        for k in (1.0, 8.0)
    )
    ratio = enclosure.air_flow(large, 200.0, 100.0).total / enclosure.air_flow(small, 200.0, 100.0).total
    assert ratio == pytest.approx(8.0 ** (2.0 / 3.0), rel=1e-9)


@settings(deadline=None)
@given(
    low=st.floats(0.0, 1000.0),
    high=st.floats(0.0, 1000.0),
    wind=st.floats(-0.5, 20.0),
    pressure=st.floats(0.0, 50.0),
    free=st.floats(0.005, 0.1),
    area=st.floats(0.0, 0.2),
    baffle=st.sampled_from([0.0, 0.01, np.inf]),
)
def test_flow_balances_pressures(low, high, wind, pressure, free, area, baffle):
    """Against the same balance written out, the mean over the air that takes either way, and bisection."""
    one = path(wind_pressure=wind, fan=Fan(pressure, free), lower_area=area, baffle_gap=baffle)
    density = air.density(AMBIENT)
    heat_of_air = density * air.specific_heat(AMBIENT)
    fins = 0.05 / np.sqrt(3.0)
    past = max(0.6 * min(baffle, 0.035) / np.sqrt(2.0), 1e-9)
    total, share = enclosure.air_flow(one, low, high)
    losses = (0.55 * max(area, 0.003)) ** -2.0 + (0.55 * 0.065) ** -2.0 + 1.5 / (0.6 * 0.105) ** 2
    losses += share**3 / fins**2 + (1.0 - share) ** 3 / past**2

    def surplus(flow):
        first, second = low / (heat_of_air * flow), (low + high) / (heat_of_air * flow)
        columns = 0.45 * first + 0.075 * (first + second) + 0.6 * second
        draught = density * 9.80665 / AMBIENT * columns
        return draught + wind + pressure * (1.0 - (flow / free) ** 2) - 0.5 * density * flow**2 * losses

    assert total > 0.0
    assert fins / (fins + past) * (1 - 1e-9) <= share <= 1.0
    if low + high > 1.0:
        assert total == pytest.approx(brentq(surplus, 1e-9, 10.0, xtol=1e-14), rel=1e-3)


@pytest.mark.parametrize("baffle", [0.003, 0.01, np.inf])
@pytest.mark.parametrize("fin_area", [0.02, 0.05, 0.1])
def test_both_ways_past_the_condenser_lose_what_the_warmer_one_draws_less(baffle, fin_area):
    """Same pressures below and above: what fins lose less what they draw more is what the by-pass loses."""
    low, high = 220.0, 110.0
    one = path(baffle_gap=baffle, fin_area=fin_area)
    flow = enclosure.air_flow(one, low, high)
    share = flow.fin_share
    stream = one.capacity * flow.total
    inlet, before, after = enclosure.air_temperatures(one, flow, low, high)
    tubes = low / (before - inlet) / stream  # part of the air that is at the tubes
    beside = inlet + (stream * (before - inlet) * tubes - stream * share * (before - inlet)) / (
        stream * (1.0 - share)
    )
    drawn = draught.buoyancy(AMBIENT, 0.25) * (before - beside + 0.5 * high / (stream * share))
    through = one.fin_resistance * (share * flow.total) ** 2
    past = one.bypass_resistance * ((1.0 - share) * flow.total) ** 2
    assert through - drawn == pytest.approx(past, rel=1e-3)
    assert after > before > beside > inlet


def test_fins_that_nothing_warms_divide_the_air_by_their_openings():
    one = path(baffle_gap=np.inf, wind_pressure=2.0)
    share = enclosure.air_flow(one, 0.0, 0.0).fin_share
    fins, past = 0.05 / np.sqrt(3.0), 0.6 * 0.035 / np.sqrt(2.0)
    assert share == pytest.approx(fins / (fins + past), rel=1e-6)
    assert enclosure.air_flow(path(baffle_gap=np.inf), 200.0, 100.0).fin_share > share + 0.02


def test_heat_between_the_fins_is_no_second_draught():
    """However the air divides, both ways together hold it back at least as much as they do undisturbed."""
    for baffle in (0.0, 0.01, np.inf):
        one = path(baffle_gap=baffle)
        shares = np.linspace(0.0, 1.0, 201)
        whole = one.both_ways(shares)
        least = one.both_ways(one.forced_share)
        assert least <= whole.min() * (1.0 + 1e-6)


def test_everything_open_wider_lets_more_through_and_nothing_jumps():
    openings = {
        "lower_area": np.linspace(0.0, 0.2, 4001),
        "upper_area": np.linspace(0.0, 0.2, 4001),
        "fin_area": np.linspace(1e-6, 0.1, 4001),
        "baffle_gap": np.linspace(0.0, 0.06, 4001),
        "cavity_depth": np.linspace(0.09, 0.3, 4001),
        "outlet_height": np.linspace(0.0, 1.5, 4001),
    }
    for name, values in openings.items():
        total, share = enclosure.air_flow(path(**{name: values}), 200.0, 110.0)
        steps = np.diff(total) / total[:-1]
        assert steps.min() > -1e-6, name
        assert np.abs(np.diff(share)).max() < 0.01, name
    gap = np.linspace(0.0, 0.05, 4001)
    around = enclosure.surroundings(path(side_gap=gap), AMBIENT + 12.0, AMBIENT + 18.0)
    for temperature in (around.side, around.food, around.freezer):
        assert np.diff(temperature).min() >= 0.0
        assert np.diff(temperature).max() < 0.02


def test_heat_warms_the_air_by_what_it_carries():
    one = path(baffle_gap=0.0)
    flow = enclosure.air_flow(one, 200.0, 100.0)
    inlet, before, after = enclosure.air_temperatures(one, flow, 200.0, 100.0)
    stream = air.density(AMBIENT) * air.specific_heat(AMBIENT) * flow.total
    assert inlet == AMBIENT
    assert stream * (before - inlet) == pytest.approx(200.0)
    assert stream * (after - before) == pytest.approx(100.0)


def test_air_that_comes_round_again_makes_all_of_it_warmer():
    fresh, stale = path(), path(recirculation=0.5)
    flow = enclosure.air_flow(fresh, 200.0, 100.0)
    one, other = (enclosure.air_temperatures(p, flow, 200.0, 100.0) for p in (fresh, stale))
    mixed_rise = 300.0 / (fresh.capacity * flow.total)
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
    weight = conductance / (conductance + 1.8)
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
    assert enclosure.air_flow(path(lower_area=0.0), 200.0, 100.0).total > 0.0


def test_thin_air_carries_less_heat_for_its_weight():
    """Without friction in it: flow at the same heat goes as density to the power -1/3, its weight to 2/3."""
    thin = path(air_pressure=0.7 * air.ATMOSPHERE)
    one, other = (enclosure.air_flow(each, 200.0, 100.0).total for each in (path(), thin))
    assert other / one == pytest.approx(0.7 ** (-1.0 / 3.0), rel=1e-9)
    assert enclosure.in_thin_air(air.ATMOSPHERE, 0.2) == 1.0
    assert enclosure.in_thin_air(0.49 * air.ATMOSPHERE, 0.0) == pytest.approx(0.7)
    assert enclosure.in_thin_air(0.49 * air.ATMOSPHERE, 1.0) == 1.0


def test_what_is_looked_up_is_what_is_given():
    """Every number that the path takes from the tables may be an array of cases."""
    table, asked = load("parameters").number, set()

    def varied(name):
        asked.add(name)
        return table(name) * np.array([1.0, 1.1])

    flow = enclosure.air_flow(path(parameter=varied), 200.0, 100.0)
    assert flow.total[0] == pytest.approx(enclosure.air_flow(path(), 200.0, 100.0).total)
    assert flow.total[0] != flow.total[1]
    usual = dict(pocket_area=0.1, lower_area=0.0, baffle_gap=np.inf, cavity_depth=0.2)
    for name in asked:

        def raised(each, name=name):
            return table(each) * (1.1 if each == name else 1.0)

        assert repr(path(**usual, parameter=raised)) != repr(path(**usual)), name


def test_heats_below_nothing_on_the_way_to_an_answer_do_no_harm():
    total, share = enclosure.air_flow(
        path(wind_pressure=-0.3), np.array([-500.0, 100.0]), np.array([50.0, -90.0])
    )
    assert (total > 0.0).all()
    assert ((share > 0.0) & (share <= 1.0)).all()
