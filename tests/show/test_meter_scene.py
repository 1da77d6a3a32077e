"""The meter's scene: its numbers are the model's, and of a mystery it tells what a meter tells."""

import json
from dataclasses import replace

import numpy as np
import pytest

from warmside.hazards import WORK
from warmside.model.installation import Installation
from warmside.model.refrigerator import steady_state
from warmside.show.enclosure import THERMOSTAT, temperature
from warmside.show.heater_meter import (
    FAULTS,
    HEATERS,
    MYSTERIES,
    SITUATIONS,
    MeterOnHeater,
    heater_with,
    reading,
)
from warmside.show.meter_lab import heater_meter_lab
from warmside.show.meter_scene import (
    caution,
    judge,
    kind_of,
    meter_costs,
    meter_details,
    meter_scene,
    scene_page,
)

START = MeterOnHeater()
HOT = 310.928  # K


@pytest.mark.parametrize("name", SITUATIONS)
@pytest.mark.parametrize("system", ["US", "SI"])
def test_what_is_drawn_is_the_model_s(name, system):
    setting = SITUATIONS[name]
    drawn = meter_scene(setting, system)
    json.dumps(drawn, allow_nan=False)
    assert drawn["number"] == reading(setting).text
    assert {"US": "°C", "SI": "°F"}[system] not in json.dumps(drawn, ensure_ascii=False)
    if setting.is_told:
        assert drawn["heat"] == pytest.approx(setting.circuit.heat, abs=0.02)
        assert sum(drawn["heats"]) == pytest.approx(setting.circuit.heat, abs=0.02)
    assert len(drawn["points"]) == {2: 13, 1: 11}[drawn["elements"]]


@pytest.mark.parametrize("heater", HEATERS)
def test_the_food_follows_from_the_heat(heater):
    size, source = HEATERS[heater]
    for fault in ("in order", "element 1 open", "low supply"):
        setting = replace(START, heater=heater, fault=fault, ambient=HOT)
        weak = Installation.of(size, heat_source=source, heat_input=heater_with(heater, fault).heat)
        food = float(steady_state(weak, np.array(HOT), setting=THERMOSTAT).food_temperature)
        drawn = meter_scene(setting, "SI")
        assert drawn["food"] == pytest.approx(food, abs=0.02)
        assert drawn["food_text"] == temperature(food, "SI")
    assert drawn["plate"] == float(np.asarray(Installation.of(size, heat_source=source).heat_input))


@pytest.mark.parametrize("name", MYSTERIES)
def test_a_mystery_gives_no_heat_away_until_it_is_told(name):
    hidden = meter_scene(replace(START, fault=name))
    assert (hidden["heat"], hidden["heats"], hidden["open"], hidden["hot"]) == (None, [], "", "")
    assert not any(fault in json.dumps(hidden) for fault in FAULTS if fault != "in order")
    assert meter_scene(replace(START, fault=name, shown=True))["heat"] is not None


def test_isolated_it_gives_no_heat_and_the_food_is_that_of_a_heater_left_on():
    on, off = (meter_scene(replace(START, isolated=isolated)) for isolated in (False, True))
    assert (off["heat"], off["current"], off["number"]) == (0.0, 0.0, "0.00 V")
    assert off["food"] == on["food"]


@pytest.mark.parametrize(
    ("setting", "mark"),
    [
        (START, "✔ as in order"),
        (replace(START, fault="element 1 open"), "≈ as in order"),
        (replace(START, fault="element 1 open", meter="amps"), "✘ not in order"),
        (replace(START, meter="ohms"), "✘ live"),
        (replace(START, heater="battery", red="J"), "✘ no such point"),
        (replace(START, meter="ohms", isolated=True, black="N", fault="leakage to ground"), "✘ not in order"),
    ],
)
def test_what_a_reading_is_worth(setting, mark):
    drawn = meter_scene(setting)
    assert drawn["margin_text"] == mark
    assert drawn["good"] == (mark[0] in "✔≈")


def test_the_care_is_that_of_the_work_in_hand():
    for setting, work in (
        (START, "volts_under_load"),
        (replace(START, meter="amps"), "volts_under_load"),
        (replace(START, heater="battery"), "battery"),
        (replace(START, meter="ohms"), "ohms"),
        (replace(START, isolated=True), "ohms"),
    ):
        assert caution(setting) == f"⚠ {' '.join(WORK[work].sentences)}"
        assert meter_scene(setting)["caution"] == caution(setting)


def test_a_prediction_is_one_of_three():
    names = [
        "In order",
        "Volts lost on the way",
        "Element 1 open: volts",
        "Element 1 open: amps",
        "Bad joint",
    ]
    assert [kind_of(SITUATIONS[name]) for name in names] == [1, -1, 1, 0, 0]
    assert kind_of(SITUATIONS["Battery’s way"]) == -1
    assert kind_of(replace(START, heater="battery")) == 1
    assert kind_of(replace(START, isolated=True)) == -1
    wrong, right = (judge(START, SITUATIONS["Element 1 open: volts"], said) for said in (0, 1))
    assert wrong == "✘ No: 119.3 V, and the supply gives 119.5 V."
    assert right.startswith("✔ Right")
    assert judge(START, SITUATIONS["Element 1 open: amps"], 0) == "✔ Right: 1.35 A, and 2.67 A in order."
    assert judge(START, replace(START, meter="ohms"), 0) == ""
    assert set(scene_page()["asks"]) == {"volts", "amps"}


def test_what_comes_when_the_hand_rests():
    weak = replace(START, fault="element 1 open")
    assert meter_details(weak)["range_text"] == "left on, the food comes to 66 °F"
    assert meter_costs(weak) == {}


def test_ahead_of_the_hand_one_run_serves_a_whole_range(monkeypatch):
    lab, runs = heater_meter_lab(), []
    ran = steady_state
    monkeypatch.setattr("warmside.show.meter_scene._FOODS", {})
    monkeypatch.setattr(
        "warmside.show.meter_scene.steady_state",
        lambda *given, **more: runs.append(given) or ran(*given, **more),
    )
    views = lab.views_ahead("ambient", list(range(70, 116, 5)))
    assert len(runs) == 1
    assert all(view["picture"]["food"] > 275 for view in views)
