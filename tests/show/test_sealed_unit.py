"""The sealed unit's scene: its numbers are the model's, and where the model fails it has none."""

import json
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from warmside.hazards import WORK
from warmside.model.cycle_points import cycle_points
from warmside.model.ensemble import plausible
from warmside.model.refrigerator import Installation, steady_state
from warmside.properties import ammonia
from warmside.show.enclosure import temperature
from warmside.show.sealed_unit import (
    ALWAYS,
    COLD,
    LIMIT,
    MIDDLE,
    POINTS,
    RATED,
    SITUATIONS,
    WARM,
    SealedUnit,
    gas_text,
    held,
    percent,
    power_text,
    pressure_text,
    solve,
    solve_all,
)
from warmside.show.unit_because import CANT_TELL, asked_for, because, boils_at, cause, mended
from warmside.show.unit_lab import unit_lab
from warmside.show.unit_picture import alt_text, unit_figure
from warmside.show.unit_scene import MEMBERS, caution, judge, scene_page, unit_costs, unit_details, unit_scene

START = SealedUnit()
EIGHT = Installation.of("8 cu ft")
WORKING = [name for name, unit in SITUATIONS.items() if not solve(unit).fails]
FAILING = [name for name in SITUATIONS if name not in WORKING]


def of_the_model(unit: SealedUnit):
    """What the model gives for a unit, asked here and not by the lab."""
    one = EIGHT.changed(
        heat_input=unit.heat * float(EIGHT.heat_input),
        side_tilt=unit.tilt,
        charge_pressure=unit.charge * float(EIGHT.charge_pressure),
    )
    return steady_state(one, unit.ambient, setting=None if unit.setting == ALWAYS else held(unit))


@pytest.mark.parametrize("name", SITUATIONS)
@pytest.mark.parametrize("system", ["US", "SI"])
def test_what_is_drawn_is_the_model_s(name, system):
    unit = SITUATIONS[name]
    state, drawn = of_the_model(unit), unit_scene(unit, system)
    points = cycle_points(state)
    json.dumps(drawn, allow_nan=False)
    said = json.dumps({**drawn, "caution": ""}, ensure_ascii=False)  # the care has pressures of its own
    assert not any(
        other in said for other in {"US": ("°C", " bar", "g/h"), "SI": ("°F", "psi", "Btu")}[system]
    )
    for field in ("boiler", "absorber", "condensing", "freezer_coil", "food_coil", "condenser_air", "food"):
        assert drawn[field] == pytest.approx(float(getattr(state, f"{field}_temperature")), abs=0.02)
    for field in ("vapour_flow", "condensate_flow"):
        assert drawn[field] == pytest.approx(float(getattr(state, field)), rel=1e-3, abs=1e-8)
    for field in ("hydrogen_flow", "unused", "rich_flow", "weak_flow", "freezer_wet", "food_wet"):
        assert drawn[field] == pytest.approx(float(getattr(points, field)), rel=5e-3, abs=1e-7)
    assert drawn["pressure"] == pytest.approx(float(state.pressure), rel=1e-4)
    assert drawn["air_text"] == temperature(float(state.condenser_air_temperature), system)
    assert drawn["condensing_text"] == temperature(float(state.condensing_temperature), system)
    assert drawn["good"] == (float(state.food_temperature) <= LIMIT and not state.failed)
    if name in WORKING:
        assert drawn["number"] == power_text(float(state.capacity), system)
        assert (
            drawn["margin_says"]
            == f"{percent(float(state.cop))} of {power_text(float(state.heat_input), system)}"
        )
        assert drawn["food_text"] == temperature(float(state.food_temperature), system)


def test_what_is_read_at_each_point():
    state = of_the_model(START)
    points = cycle_points(state)
    cards = unit_scene(START)["cards"]
    assert list(cards) == list(POINTS) == scene_page()["points"]
    for name, pressure in (
        ("light", state.weak_gas_pressure),
        ("freezer", points.freezer_gas_pressure),
        ("food", state.rich_gas_pressure),
        ("heavy", state.rich_gas_pressure),
    ):
        assert cards[name]["lines"][0].startswith(f"{pressure_text(float(pressure), 'US')} ammonia, ")
        assert cards[name]["share"] == pytest.approx(float(pressure / state.pressure), rel=1e-3)
    assert cards["freezer"]["at"] == temperature(float(state.freezer_coil_temperature), "US")
    assert cards["boiler"]["at"] == temperature(float(state.boiler_temperature), "US")
    assert cards["strong"]["lines"][0] == f"{percent(float(state.rich_fraction))} ammonia"
    assert cards["weak"]["lines"][0] == f"{percent(float(state.weak_fraction))} ammonia"
    assert cards["condenser"]["lines"][2] == f"{gas_text(float(state.condensate_flow), 'US')} turn liquid"
    assert cards["rectifier"]["at"] == f"{power_text(float(state.rectifier_heat), 'US')} to the air"


@pytest.mark.parametrize(("name", "system"), list(product(WORKING, ("US", "SI"))))
def test_the_parts_of_one_pressure_add_up_as_they_are_printed(name, system):
    drawn = unit_scene(SITUATIONS[name], system)
    for point in ("light", "freezer", "food", "heavy"):
        own, rest, whole = (
            float(line.lstrip("+= ").split()[0]) for line in drawn["cards"][point]["lines"][:3]
        )
        assert own + rest == pytest.approx(whole, abs=1e-6)
        assert drawn["cards"][point]["lines"][2] == f"= {drawn['pressure_text']} everywhere"


@pytest.mark.parametrize("name", FAILING)
def test_a_unit_that_fails_has_no_numbers_but_at_the_condenser(name):
    drawn = unit_scene(SITUATIONS[name])
    assert FAILING == ["Out of level", "Charge too low"]
    assert (drawn["number"], drawn["food_text"], drawn["good"]) == ("none", "not cooled", False)
    assert {drawn[text] for text in ("absorber_text", "boiler_text", "freezer_text")} == {"–"}
    for point, card in drawn["cards"].items():
        assert (card["share"] is None) == (point != "condenser")
    assert unit_costs(SITUATIONS[name])["range_text"].endswith("plausible units fail")


def test_what_the_model_can_t_tell_it_doesn_t(monkeypatch):
    solved = solve(START)
    lost = solved._replace(state=replace(solved.state, converged=np.array(False)))
    monkeypatch.setattr("warmside.show.sealed_unit._known", {START: lost})
    drawn = unit_scene(START)
    assert because(START) == CANT_TELL
    assert (drawn["number"], drawn["food_text"], drawn["known"], drawn["good"]) == (
        "?",
        "can’t tell",
        False,
        False,
    )
    assert "can’t tell" in unit_costs(START)["range_text"]


def test_the_line_is_ammonia_s_own():
    # Gao et al. 2020, as warmside.properties.ammonia has it (tests/reference/test_ammonia.py)
    line = np.array(scene_page()["line"])
    assert line[:, 1] == pytest.approx(ammonia.saturation_pressure(line[:, 0]))
    boils = unit_scene(START)["boils"]
    for name in ("freezer", "food"):
        kelvin, pascals = boils[name]
        assert float(ammonia.saturation_pressure(kelvin)) == pytest.approx(pascals, rel=1e-6)
        assert boils[f"{name}_told"] == f"{boils_at(pascals, 'US')} at {pressure_text(pascals, 'US')}"


def test_the_care_is_that_of_what_is_set():
    assert caution(START) == caution(replace(START, tilt=float(np.radians(3.0)))) == ""
    assert caution(SITUATIONS["Out of level"]) == f"⚠ {' '.join(WORK['levelling'].sentences)}"
    assert caution(SITUATIONS["Charge too low"]) == f"⚠ {' '.join(WORK['sealed_unit'].sentences)}"


# --- the sentence -------------------------------------------------------------------------------------------

REASONS = {
    "boils at 2 °F because its own part of the pressure is only 32 of 393 psi": START,
    "of the ammonia turns to liquid: the air at the fins is at 140 °F, too near the 148 °F": SITUATIONS[
        "Air too hot"
    ],
    "60 % of the heat drives out 3.3 oz/h of ammonia in place of 7.9 oz/h": SITUATIONS["Too little heat"],
    "run back unused": SITUATIONS["More heat"],
    "liquid stands in the tilted tubes": SITUATIONS["Out of level"],
    "It runs 28 min an hour, then the thermostat stops it": SITUATIONS["Under its thermostat"],
    "Nothing is left for either coil": SITUATIONS["Charge too low"],
    "the boiler gets no heat": replace(START, heat=0.0),
    "the boiler has to get hotter": replace(START, charge=1.15),
    "above the": replace(START, charge=0.6, ambient=RATED),
    "The freezer comes first, and the food’s coil starves": replace(START, ambient=RATED + 2.0),
}


@pytest.mark.parametrize("reason", REASONS)
def test_the_reason_is_what_costs_most(reason):
    assert reason in because(REASONS[reason])


def test_what_costs_most_is_what_helps_most_if_put_right():
    unit = SealedUnit(heat=0.8, charge=0.85, ambient=RATED + 3.0, tilt=float(np.radians(4.0)))
    now, *others = solve_all(asked_for(unit))
    gains = [float(now.state.food_temperature - one.state.food_temperature) for one in others]
    assert cause(unit) == list(mended(unit))[int(np.argmax(gains))]


def test_every_unit_has_one_reason():
    units = [
        SealedUnit(heat, ambient, float(np.radians(tilt)), charge, setting)
        for heat, ambient, tilt, charge, setting in product(
            (0.0, 0.3, 0.5, 0.8, 1.0, 1.3),
            (290.0, 311.0, 321.0),
            (0.0, 4.0, 5.5),
            (0.6, 0.8, 1.0, 1.15),
            (ALWAYS, COLD),
        )
    ]
    solve_all(each for unit in units for each in asked_for(unit))
    for unit in units:
        for system in ("US", "SI"):
            said = because(unit, system)
            assert said == CANT_TELL or said.count(" because ") == 1
            assert "nan" not in said and " inf" not in said
        if solve(unit).fails:
            assert "The cold comes from" not in because(unit)


# --- prediction, range, picture -----------------------------------------------------------------------------


def test_a_prediction_is_judged_by_the_plausible_units():
    hot = SITUATIONS["Air too hot"]
    assert judge(START, hot, 1) == "✔ Right, it gets warmer: 34 °F, then 69 °F."
    assert judge(START, hot, -1, "SI").startswith("✘ No, it gets warmer: 1 °C")
    turned_up = replace(START, setting=MIDDLE, ambient=RATED + 2.0), replace(START, ambient=RATED + 2.0)
    assert judge(*turned_up, 0).startswith("✔ Right, it stays the same")
    many = plausible(EIGHT, MEMBERS)
    foods = [steady_state(many, at).food_temperature for at in (START.ambient, hot.ambient)]
    assert (foods[1] - foods[0] > 1.1).mean() >= 0.9


def test_a_change_that_they_disagree_on_is_not_judged():
    warmer = next(
        replace(START, ambient=START.ambient + step)
        for step in np.arange(0.2, 6.0, 0.2)
        if judge(START, replace(START, ambient=START.ambient + step), 1).startswith("?")
    )
    assert "The model can’t tell" in judge(START, warmer, 1)


def test_what_comes_when_the_hand_rests():
    low, high = np.percentile(
        steady_state(plausible(EIGHT, MEMBERS), START.ambient).food_temperature, (10, 90)
    )
    ends = f"{temperature(low, 'US').split()[0]} to {temperature(high, 'US')}"
    assert unit_costs(START)["range_text"] == f"food in eight of ten plausible units: {ends}"
    assert unit_details(START) == unit_costs(START)


def test_what_must_be_made_first_waits_for_its_turn(monkeypatch):
    monkeypatch.setattr("warmside.show.unit_scene._MADE", set())
    assert unit_details(START) == {}
    assert unit_costs(START) == unit_details(START)


def test_ahead_of_the_hand_one_run_serves_a_whole_range(monkeypatch):
    lab, runs = unit_lab(), []
    ran = steady_state
    monkeypatch.setattr("warmside.show.sealed_unit._known", {})
    monkeypatch.setattr(
        "warmside.show.sealed_unit.steady_state",
        lambda *given, **more: runs.append(given) or ran(*given, **more),
    )
    views = lab.views_ahead("ambient", list(range(70, 111, 5)))
    assert len(runs) == 1
    assert all(view["picture"]["food"] > 260 for view in views)


def test_what_is_looked_at_changes_nothing():
    seen = [unit_scene(replace(START, point=point, flow="hydrogen")) for point in POINTS]
    usual = unit_scene(START)
    for one in seen:
        assert {**one, "point": "freezer", "flow": "all"} == usual


@pytest.mark.parametrize("setting", [WARM, MIDDLE, COLD])
def test_a_thermostat_holds_where_the_unit_can(setting):
    mild = replace(START, ambient=297.0, setting=setting)
    assert float(solve(mild).state.food_temperature) == pytest.approx(held(mild), abs=0.1)
    assert unit_scene(mild)["number_label"].startswith("Cold made while it runs, ")


@pytest.mark.parametrize("name", SITUATIONS)
def test_the_still_picture_can_be_read(name):
    figure = unit_figure(SITUATIONS[name])
    assert figure.get_size_inches() == pytest.approx((10, 6))
    for text in figure.findobj(lambda artist: hasattr(artist, "get_fontsize")):
        assert text.get_fontsize() >= 14 or not text.get_text()
    assert alt_text(SITUATIONS[name]).endswith(because(SITUATIONS[name]))
