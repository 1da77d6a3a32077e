"""The opened door: what it costs, and how long."""

import numpy as np
import pytest

from warmside.errors import InputError
from warmside.model import cabinet
from warmside.model.door import door_energy, door_recovery, moisture_share
from warmside.model.installation import Installation
from warmside.model.running import cabinet_of
from warmside.model.steady import steady_state

EIGHT = Installation.of("8 cu ft")


def test_recovery_is_what_the_cabinet_does():
    """Heat over spare cooling against a cabinet that stands at the setting when its door is opened."""
    ambient, setting, length = 303.0, 277.0, 30.0
    expected = door_recovery(EIGHT, ambient, length, setting=setting)
    state = steady_state(EIGHT, ambient, setting=setting)
    made_of = cabinet_of(EIGHT)
    doorway = np.zeros(240)
    doorway[0] = door_energy(EIGHT, length, setting, ambient) / 60.0
    # the surroundings of the food compartment; the freezer's hardly matter in this time
    run = cabinet.run(
        made_of,
        np.array([state.freezer_temperature, setting, setting, setting]),
        np.where(doorway > 0, ambient, state.surround_temperature),
        steps=240,
        coils=cabinet.Coils(
            freezer_conductance=EIGHT.of_size("freezer_coil_conductance"),
            food_conductance=EIGHT.of_size("food_coil_conductance"),
            freezer_temperature=state.freezer_coil_coldest,
            food_temperature=state.food_coil_coldest,
            freezer_most=state.freezer_cooling_limit,
            food_most=state.food_cooling_limit,
        ),
        doorway=doorway,
    )
    warmth = (run.temperatures - setting)[:, 1:] @ made_of.capacities[1:]
    taken_out_meanwhile = 60.0 * expected.spare_cooling
    assert warmth[1] + taken_out_meanwhile == pytest.approx(float(expected.heat), rel=0.03)
    back = run.time[1:][warmth[1:] <= 0.0][0]
    # a little sooner, since air that is still warm gives the coil more
    assert 0.75 * expected.time < back < expected.time


def test_a_longer_opening_and_a_hotter_day_cost_more():
    times = door_recovery(EIGHT, np.array([[295.0], [303.0]]), np.array([10.0, 30.0])).time
    assert times.shape == (2, 2)
    assert (np.diff(times, axis=0) > 0).all()
    assert (np.diff(times, axis=1) > 0).all()
    assert door_recovery(EIGHT, 300.0, 0.0).time == 0.0
    assert np.isinf(door_recovery(EIGHT, 325.0, 10.0).time)


def test_a_door_is_not_open_for_less_than_no_time():
    with pytest.raises(InputError, match="open_time"):
        door_recovery(EIGHT, 300.0, -1.0)


def test_moister_air_brings_more_and_warmer_food_compartments_get_none():
    inside, outside = 277.0, 300.0
    assert moisture_share(outside, inside, 0.5) == 0.0
    assert (np.diff(moisture_share(inside, outside, np.array([0.3, 0.5, 0.7, 1.0]))) > 0).all()
