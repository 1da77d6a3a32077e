"""The ways of the air that a scene draws are those of the model's air path."""

from dataclasses import replace

import pytest

from warmside.data import load
from warmside.model import enclosure as air_model
from warmside.model.steady import steady_state
from warmside.show.air_ways import air_ways
from warmside.show.enclosure import SITUATIONS, Enclosure, installation_of, situation, solve

P = load("parameters").number
CASES = [situation(name) for name in SITUATIONS]
CASES += [Enclosure(outlet="wall", upper_blocked=0.5), Enclosure(size="18 cu ft", baffle_gap=0.03)]


def path_of(this: Enclosure) -> air_model.AirPath:
    one = installation_of(this)
    return air_model.air_path(
        ambient_temperature=this.ambient,
        room_temperature=this.ambient,
        lower_area=one.lower_vent_area * (1.0 - one.lower_vent_blocked),
        upper_area=one.upper_vent_area * (1.0 - one.upper_vent_blocked),
        fin_area=one.of_size("fin_area"),
        baffle_gap=one.baffle_gap,
        cavity_depth=one.cavity_depth,
        width=one.of_size("width"),
        absorber_height=one.of_size("absorber_height"),
        outlet_height=one.outlet_height,
        side_gap=one.side_gap,
        side_height=one.of_size("side_height"),
        pocket_area=one.pocket_opening,
        recirculation=one.recirculation,
        fan=one.fan,
        air_pressure=one.air_pressure,
    )


@pytest.mark.parametrize("this", CASES)
def test_they_are_the_models(this):
    state = solve(this).now
    low = (
        state.absorber_heat
        + P("loss_share_low") * state.boiler_loss
        + P("rectifier_share_low") * state.rectifier_heat
    )
    given_off = (
        state.absorber_heat
        + state.boiler_loss
        + state.rectifier_heat
        + state.condenser_heat
        + state.flue_heat
    )
    path = path_of(this)
    flow = air_model.air_flow(path, low, given_off - low)
    ways = air_ways(installation_of(this), state, this.ambient)
    assert float(flow.total.item()) == pytest.approx(float(state.air_flow), rel=1e-3)
    assert float(ways.through.item()) == pytest.approx(float(flow.fin_share.item()), abs=2e-3)
    assert float(ways.near.item()) == pytest.approx(float(path.tube_share(flow.fin_share).item()), abs=2e-3)


def test_heat_that_the_streams_carry_is_what_the_unit_gives_off():
    """What is drawn loses nothing: near and far air together are as warm as the mixed air of the model."""
    this = replace(situation("Too deep"), ambient=305.0)
    one, state = installation_of(this), steady_state(installation_of(this), this.ambient)
    ways = air_ways(one, state, this.ambient)
    mixed = ways.near * (state.outlet_air_temperature - this.ambient)
    path = path_of(this)
    given_off = state.absorber_heat + state.boiler_loss + state.rectifier_heat + state.condenser_heat
    assert float((mixed * path.capacity * state.air_flow).item()) == pytest.approx(
        float((given_off + state.flue_heat).item()), rel=1e-3
    )


def test_without_a_baffle_and_deeper_more_of_it_goes_past():
    ways = [
        air_ways(installation_of(each), solve(each).now, each.ambient)
        for each in (Enclosure(), situation("No baffle"), situation("Too deep"))
    ]
    assert ways[0].through > ways[1].through + 0.1 > ways[2].through + 0.2
    assert ways[0].past_gap < ways[1].past_gap < ways[2].past_gap
