"""Wind: when air may turn, and how much of an outlet's air it brings to the inlet."""

import numpy as np
import pytest
from air_paths import AMBIENT, path
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from warmside.errors import InputError
from warmside.model import wind
from warmside.model.draught import Fan
from warmside.model.refrigerator import Installation, steady_state
from warmside.properties import air


@given(st.floats(2.0, 500.0), st.floats(0.0, 500.0))
def test_air_turns_where_the_pressure_could_keep_it_going_down(low, high):
    """Against the least pressure that air on its way down needs, looked for."""
    one = path()
    whole = one.resistance + one.both_ways(one.forced_share)
    per_kelvin = air.density(AMBIENT) * 9.80665 / AMBIENT

    def needed(log_flow):
        flow = np.exp(log_flow)
        stream = one.capacity * flow
        # on its way down the condenser warms it first, and then, over the absorber's height, the absorber
        columns = high / stream * (0.075 + 0.9) + low / stream * 0.45
        return whole * flow**2 + per_kelvin * columns

    least = minimize_scalar(needed, bounds=(-9.0, 0.0), method="bounded", options={"xatol": 1e-9}).fun
    assert not wind.may_turn(path(wind_pressure=-0.999 * least), low, high)
    assert wind.may_turn(path(wind_pressure=-1.001 * least), low, high)
    assert not wind.may_turn(path(wind_pressure=-1.001 * least, fan=Fan(least, 0.05)), low, high)


@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
def test_no_wind_that_is_taken_turns_the_air_of_a_refrigerator_that_runs(size):
    """At nominal heat and a seventh less, whatever is shut or fouled."""
    share = np.array([1.0, 0.85])[:, np.newaxis]
    usual = Installation.of(size)
    worst = usual.changed(
        heat_input=usual.heat_input * share,
        wind_pressure=-0.5,
        lower_vent_blocked=np.array([0.0, 0.8, 0.0, 0.0]),
        fin_fouling=np.array([0.0, 0.0, 0.6, 0.0]),
        baffle_gap=np.array([0.01, 0.01, 0.01, np.inf]),
    )
    assert steady_state(worst, 300.0).converged.all()


def test_what_may_have_turned_is_no_result():
    """Next to no heat holds the air up against a wind: no result, where with heat there is one."""
    heat = Installation.of("8 cu ft").heat_input * np.array([1.0, 0.2])
    assert steady_state(Installation.of("8 cu ft", heat_input=heat), 300.0).converged.all()
    against = steady_state(Installation.of("8 cu ft", heat_input=heat, wind_pressure=-0.5), 300.0)
    assert against.converged.tolist() == [True, False]


def test_where_nothing_warms_the_air_nothing_hangs_on_its_way():
    dead = Installation.of("8 cu ft", heat_input=np.array([0.0, 100.0]), wind_pressure=-0.45)
    assert steady_state(dead, 300.0).converged.tolist() == [True, False]


def test_a_stronger_wind_and_a_fan_that_blows_down_are_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"must be from -0.5 to 100 Pa: the model knows no reverse flow"):
        Installation.of("8 cu ft", wind_pressure=-1.0)
    with pytest.raises(InputError, match="air that a fan blows down is none that the model knows"):
        Installation.of("8 cu ft", fan=Fan(-10.0, 0.05))


def test_a_wind_against_the_draught_never_helps():
    pressure = np.linspace(-0.5, 0.0, 101)
    state = steady_state(Installation.of("8 cu ft", wind_pressure=pressure), 311.0)
    assert (np.diff(state.air_flow) > 0.0).all()
    assert np.abs(np.diff(state.food_temperature)).max() < 1.0
    assert (np.diff(state.food_temperature) < 0.01).all()


# --- air that comes in again ---


def test_no_air_comes_round_in_still_air_and_little_in_a_gale():
    flow, distance = 0.02, 1.2
    speeds = np.linspace(0.0, 50.0, 5001)
    again = wind.recirculation(flow, speeds, distance)
    assert again[0] == 0.0
    assert again[-1] < 0.01
    assert again.max() < 0.12
    assert 0.3 < speeds[np.argmax(again)] < 1.0
    assert (np.diff(again)[speeds[1:] > 1.0] < 0.0).all()


@given(st.floats(0.005, 0.1), st.floats(0.1, 10.0), st.floats(0.3, 3.0))
def test_less_comes_round_from_farther_and_more_of_more(flow, speed, distance):
    here = wind.recirculation(flow, speed, distance)
    assert 0.0 < here < 1.0
    assert wind.recirculation(flow, speed, 1.1 * distance) < here
    assert wind.recirculation(1.1 * flow, speed, distance) > here


def test_far_away_it_thins_out_as_a_plume_does():
    """Far downwind: flow over wind, distance squared and the spread, 0.027 + 0.0021 a degree for 15°."""
    far = wind.recirculation(0.02, 5.0, 100.0)
    assert far == pytest.approx(0.02 / ((0.027 + 0.0021 * 15.0) * 5.0 * 100.0**2), rel=0.05)
