"""The enclosure's lab: what the model makes of it, its words, its table, its picture, its line of text."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.model.cabinet import Thermostat
from warmside.model.ensemble import Cost
from warmside.model.refrigerator import Installation, cup_test, holding_ambient, steady_state
from warmside.show import enclosure
from warmside.show.departures import departures, departures_table, how_sure
from warmside.show.enclosure import (
    FANS,
    SITUATIONS,
    THERMOSTAT,
    WINDS,
    Enclosure,
    alt_text,
    finding,
    installation_of,
    situation,
    solve,
    solve_all,
    without_effect,
)
from warmside.show.enclosure_lab import ENCLOSURE_CONTROLS, enclosure_lab
from warmside.show.enclosure_picture import enclosure_picture
from warmside.show.lab import Options, Slider, as_line, from_line

BAD = replace(
    Enclosure(), baffle=False, rear_gap=0.08, side_gap=0.02, pocket_open=True, lower_blocked=0.3, swing=5.0
)


ENDS = {
    Slider: lambda slider: (slider.us.low, slider.us.high, slider.us.low + 3 * slider.us.step),
    Options: lambda options: range(len(options.options)),
}


@st.composite
def enclosures(draw):
    """Any setting that the lab's controls give."""
    chosen = {}
    for control in ENCLOSURE_CONTROLS:
        if hasattr(control, "options"):
            chosen[control.name] = draw(st.sampled_from([value for _, value in control.options]))
        else:
            steps = round((control.us.high - control.us.low) / control.us.step)
            place = draw(st.integers(0, steps))
            chosen[control.name] = control.taken(control.us.low + place * control.us.step, "US")
    return Enclosure(**chosen)


def test_a_correct_one_is_the_models_correct_installation():
    one = Installation.of("8 cu ft")
    solved = solve(Enclosure())
    state = steady_state(one, Enclosure.ambient, setting=THERMOSTAT)
    assert solved.food == pytest.approx(float(state.food_temperature), abs=0.01)
    assert solved.duty == pytest.approx(float(state.duty), abs=0.001)
    assert float(solved.now.air_flow) == pytest.approx(float(state.air_flow), rel=1e-3)
    assert solved.holds == pytest.approx(float(holding_ambient(one)), abs=0.1)


def test_under_the_thermostat_food_stays_and_what_is_wrong_makes_the_unit_run_longer():
    mild = Enclosure(ambient=300.0)
    right, wrong = solve_all(mild, replace(mild, lower_blocked=0.75))
    assert (right.food, wrong.food) == pytest.approx((THERMOSTAT, THERMOSTAT), abs=0.01)
    assert 0.3 < right.duty < wrong.duty - 0.02 < 0.7
    (cost,) = departures(replace(mild, lower_blocked=0.75))
    assert (cost.food, cost.duty) == pytest.approx((0.0, wrong.duty - right.duty), abs=0.01)
    assert cost.holds > 4.0


def test_at_full_demand_the_unit_runs_all_the_time_and_holds_no_more_for_it():
    here = Enclosure(ambient=300.0)
    under_thermostat, at_full_demand = solve_all(here, replace(here, full_demand=True))
    state = steady_state(Installation.of("8 cu ft"), 300.0)
    assert at_full_demand.food == pytest.approx(float(state.food_temperature), abs=0.01)
    assert at_full_demand.duty == pytest.approx(1.0, abs=1e-12)
    assert at_full_demand.holds == pytest.approx(under_thermostat.holds, abs=0.01)
    assert departures(replace(here, full_demand=True)) == ()


@pytest.mark.full
def test_the_highest_ambient_that_holds_is_the_models():
    random = np.random.default_rng(0)
    for _ in range(25):
        one = Enclosure(
            size=str(random.choice(["6 cu ft", "8 cu ft", "18 cu ft"])),
            side_gap=random.uniform(0.001, 0.03),
            rear_gap=random.uniform(0.015, 0.15),
            baffle=bool(random.random() < 0.5),
            lower_blocked=random.uniform(0.0, 0.8),
            mains_voltage=random.uniform(102.0, 132.0),
        )
        assert solve(one).holds == pytest.approx(float(holding_ambient(installation_of(one))[0, 0]), abs=0.1)


def test_several_at_once_are_as_one_by_one():
    some = [BAD, Enclosure(), situation("Too deep")]
    for together, one in zip(solve_all(*some), some, strict=True):
        alone = solve(replace(one, wind="calm", battery_voltage=11.0))  # another one that stands the same
        assert together.food == pytest.approx(alone.food, abs=0.02)
        assert together.holds == pytest.approx(alone.holds, abs=0.02)
        assert solve(one) is together


@pytest.mark.parametrize(
    ("source", "supply", "nominal"),
    [
        ("mains", "mains_voltage", 120.0),
        ("battery", "battery_voltage", 12.0),
        ("gas", "gas_pressure", 2739.98),
    ],
)
def test_the_heat_sources_own_supply_counts(source, supply, nominal):
    right = Enclosure(heat_source=source)
    assert right.supply == 1.0
    low = replace(right, **{supply: 0.8 * nominal})
    assert low.supply == pytest.approx(0.8, rel=1e-4)
    assert solve(low).duty > solve(right).duty + 0.02
    assert len(departures(low)) == 1
    others = without_effect(low) - {"baffle_gap"}
    assert supply not in others
    for other in others:
        assert replace(low, **{other: 0.8 * getattr(low, other)}).supply == low.supply


def test_a_days_mean_is_near_that_of_a_simulated_day():
    swinging = replace(situation("Blocked lower vent"), ambient=(95 + 459.67) / 1.8, swing=15 / 1.8)
    installation = Installation.of("8 cu ft", lower_vent_blocked=0.75)
    for full_demand, thermostat in ((True, None), (False, Thermostat())):
        day = cup_test(
            installation, swinging.ambient, half_range=swinging.swing, thermostat=thermostat
        ).food_temperature
        solved = solve(replace(swinging, full_demand=full_demand))
        assert solved.food == pytest.approx(day.mean(), abs=3.0)
        assert solved.food_low < day.mean() < solved.food_high


def test_departures_are_what_putting_one_right_gives():
    found = departures(BAD)
    assert {one.title for one in found} == {
        "no baffle",
        "too deep behind",
        "gaps at the sides",
        "open space over the top",
        "lower vent shut in part",
    }
    assert [one.holds for one in found] == sorted((one.holds for one in found), reverse=True)
    by_hand = solve(replace(BAD, baffle=True)).holds - solve(BAD).holds
    assert next(one for one in found if one.title == "no baffle").holds == pytest.approx(by_hand, abs=0.02)


def test_nothing_departs_within_the_rules():
    within = Enclosure(side_gap=0.00635, rear_gap=0.0254, baffle_gap=0.0127)
    assert departures(within) == ()
    assert departures(replace(within, side_gap=0.008))[0].title == "gaps at the sides"


def test_a_weak_fan_costs_and_a_strong_one_gives():
    assert departures(Enclosure(fan="weak"))[0].holds > 1.0
    assert departures(Enclosure(fan="strong"))[0].holds < -1.0


@pytest.mark.parametrize("name", SITUATIONS)
@pytest.mark.parametrize("system", ["US", "SI"])
def test_words_and_picture_of_the_situations(name, system):
    one = situation(name)
    other = {"US": "°C", "SI": "°F"}[system]
    for said in (finding(one, system), departures_table(one, system), enclosure_picture(one, system)):
        assert other not in said
        assert "nan" not in said
    assert alt_text(one, system).endswith(finding(one, system))


@settings(max_examples=15, deadline=None)
@given(enclosures())
def test_every_setting_of_the_controls_is_drawn(one):
    page = enclosure_picture(one)
    root = ET.fromstring(page)
    assert root.get("viewBox") == "0 0 1000 600"
    assert root.get("aria-label") == alt_text(one)
    assert "nan" not in page
    assert "Teaching model, not validated" in page
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        assert float(text.get("font-size")) >= 16
        assert -5 <= float(text.get("x")) <= 1000
        assert 0 <= float(text.get("y")) <= 600


@settings(max_examples=30, deadline=None)
@given(enclosures())
def test_one_line_of_text_loads_it_again(one):
    line = as_line(one, ENCLOSURE_CONTROLS)
    back = from_line(line, Enclosure(), ENCLOSURE_CONTROLS)
    for name, value in vars(one).items():
        close = pytest.approx(value, rel=1e-4, abs=1e-4) if isinstance(value, float) else value
        assert getattr(back, name) == close


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Colour: white", "The line names “Colour”; there are Cabinet,"),
        ("Fan: tired", "Fan: “tired” was read; it must be one of none, weak, strong."),
        ("Side gaps, each: 90 in", "it goes from 0.05 in to 1.5 in"),
        ("Side gaps, each: 1/4", "without a unit"),
        ("Baffle", "Baffle: “” was read"),
    ],
)
def test_a_bad_line_gets_one_sentence_and_changes_nothing(line, said):
    with pytest.raises(InputError) as problem:
        from_line(line, Enclosure(), ENCLOSURE_CONTROLS)
    assert said in str(problem.value)
    lab = enclosure_lab()
    lab.ask({"line": line, "serial": 1})
    assert said in lab.answer["words"]
    assert lab.settings == Enclosure()


def test_what_makes_no_difference_is_not_shown_and_not_in_the_line():
    lab = enclosure_lab()
    assert set(lab.answer["hidden"]) == {"battery_voltage", "gas_pressure"}
    lab.ask({"name": "heat_source", "value": 2, "system": "US", "serial": 1})
    assert set(lab.answer["hidden"]) == {"mains_voltage", "battery_voltage"}
    lab.ask({"details": True, "serial": 2})
    assert "Gas at the burner: 11 in w.c." in lab.answer["line"]
    assert "Mains at the heater" not in lab.answer["line"]


def test_views_made_ahead_of_the_hand_are_what_the_control_then_asks_for(monkeypatch):
    """One solution of the whole range serves them all, and the settings stay as they are meanwhile."""
    lab = enclosure_lab()
    for control in ENCLOSURE_CONTROLS:
        ends = list(ENDS[type(control)](control))
        lab.views_ahead(control.name, [])
        before = lab.settings
        with monkeypatch.context() as patch:
            patch.setattr(enclosure, "_solve_anew", lambda _: pytest.fail("was not prepared"))
            views = lab.views_ahead(control.name, ends)
            assert lab.settings == before
            for serial, (value, view) in enumerate(zip(ends, views, strict=True), 1):
                lab.ask({"name": control.name, "value": value, "system": "US", "serial": serial})
                assert view == {part: lab.answer[part] for part in ("words", "picture", "hidden")}
        lab.ask({"reset": True, "serial": 0})


def test_choices_of_the_controls_are_those_of_the_model():
    by_name = {control.name: control for control in ENCLOSURE_CONTROLS}
    assert [value for _, value in by_name["fan"].options] == list(FANS)
    assert [value for _, value in by_name["wind"].options] == list(WINDS)
    line = as_line(Enclosure(), ENCLOSURE_CONTROLS)
    assert line.startswith("Cabinet: 8 cu ft; Rating on the plate: 110 °F (T); Outlet: in the roof")


def test_food_that_passes_its_limit_in_the_afternoon_is_not_said_to_hold():
    half_shut = Enclosure(lower_blocked=0.5, ambient=310.928)
    assert " and holds;" in finding(half_shut)
    swinging = replace(half_shut, swing=8.3333)
    assert solve(swinging).food < (43 + 459.67) / 1.8 < solve(swinging).food_high
    assert " and passes its limit in the afternoon;" in finding(swinging)


def test_wind_along_the_wall_brings_the_air_of_a_walls_outlet_back_and_no_other():
    for outlet, comes_round in (("wall", True), ("roof", False)):
        calm, windy = solve_all(Enclosure(outlet=outlet), Enclosure(outlet=outlet, wind="along the wall"))
        assert (float(windy.now.inlet_air_temperature) > calm.now.inlet_air_temperature + 0.3) == comes_round
        assert (windy.holds < calm.holds - 0.3) == comes_round


def test_how_sure_a_cost_is_stands_beside_it():
    costs = {one.title: one.plausible for one in departures(BAD)}
    assert costs["lower vent shut in part"].is_sure
    for one in departures(BAD):
        assert one.plausible.low <= one.plausible.median <= one.plausible.high
    (one,) = departures(Enclosure(baffle=False))
    assert one.plausible.low < 0.05 < one.plausible.median
    assert "<td>practice says so; the model can’t tell</td>" in departures_table(Enclosure(baffle=False))
    (one,) = departures(Enclosure(lower_blocked=0.5))
    low, high = one.plausible.low, one.plausible.high
    assert f"<td>sure: {low * 1.8:.1f} to {high * 1.8:.1f} °F</td>" in departures_table(
        Enclosure(lower_blocked=0.5)
    )
    assert f"<td>sure: {low:.1f} to {high:.1f} °C</td>" in departures_table(
        Enclosure(lower_blocked=0.5), "SI"
    )


def test_a_cost_without_end_is_told_as_that():
    assert how_sure(Cost(2.0, 5.0, np.inf)) == "sure: 3.6 °F or more"
    assert how_sure(Cost(-1.0, 5.0, np.inf), is_a_rule=False) == "the model can’t tell"
