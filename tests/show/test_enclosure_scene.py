"""The scene's numbers are the model's, and what the model can't vouch for isn't judged."""

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from show.test_enclosure import enclosures

from warmside.model.ensemble import plausible
from warmside.model.refrigerator import holding_ambient
from warmside.show.departures import MEMBERS
from warmside.show.enclosure import (
    GRID,
    SITUATIONS,
    Enclosure,
    installation_of,
    situation,
    solve,
    temperature,
)
from warmside.show.enclosure_scene import enclosure_scene, judge, scene_costs, scene_details, scene_page

SHUT = situation("Blocked lower vent")


@settings(max_examples=15, deadline=None)
@given(enclosures())
def test_every_setting_gives_numbers_and_texts_of_the_model(one):
    drawn, solved = enclosure_scene(one), solve(one)
    json.dumps(drawn, allow_nan=False)
    assert not any("nan" in value for value in drawn.values() if isinstance(value, str))
    assert drawn["flow"] == float(solved.now.air_flow)
    assert drawn["food_text"] == temperature(solved.food, "US")
    assert drawn["below_text"] == temperature(float(solved.now.condenser_air_temperature), "US")
    assert (drawn["holds"] is None) == bool(np.isnan(solved.holds))
    assert 0.0 <= drawn["through"] <= drawn["near"] <= 1.0
    assert len(drawn["foods"]) == len(scene_page()["ambients"]) == GRID.size
    assert drawn["fins_top"] < drawn["outlet_height"] < 1.97  # what the stage has room for


def test_what_passes_its_limit_in_the_afternoon_is_not_marked_as_holding():
    swinging = Enclosure(lower_blocked=0.5, ambient=310.928, swing=8.3333)
    assert enclosure_scene(replace(swinging, swing=0.0))["state_text"] == "✔ holds"
    drawn = enclosure_scene(swinging)
    assert (drawn["food_good"], drawn["state_text"]) == (False, "✘ 45 °F in the afternoon")


@pytest.mark.full
@pytest.mark.parametrize("system", ["US", "SI"])
def test_all_texts_are_in_one_system(system):
    other = {"US": "°C", "SI": "°F"}[system]
    for name in SITUATIONS:
        assert other not in json.dumps(enclosure_scene(situation(name), system), ensure_ascii=False)
        assert other not in json.dumps(scene_costs(situation(name), system), ensure_ascii=False)
    assert (
        scene_page()["systems"][system]["heats"]
        == {
            "US": ["0", "10", "20", "30", "40"],
            "SI": ["0", "6", "11", "17", "22"],
        }[system]
    )


def test_the_range_is_that_of_the_plausible_refrigerators():
    held = holding_ambient(plausible(installation_of(SHUT), MEMBERS))
    low, high = np.percentile(held, [10.0, 90.0]) * 1.8 - 459.67
    said = scene_costs(SHUT)["range_text"].split(": ")[1].split()
    assert [float(said[0]), float(said[2])] == pytest.approx([low, high], abs=1.0)
    assert scene_details(SHUT).items() <= scene_costs(SHUT).items()
    under, over = np.array(scene_details(SHUT)["band"])
    assert (under <= over + 0.01).all()
    assert ((under - 0.5 <= solve(SHUT).foods) & (solve(SHUT).foods <= over + 0.5)).mean() > 0.8


def test_nobody_waits_for_plausible_refrigerators_of_a_size_that_is_new(monkeypatch):
    monkeypatch.setattr("warmside.show.enclosure_scene._KNOWN_SIZES", set())
    assert scene_details(SHUT) == {}
    assert set(scene_costs(SHUT)) == {"band", "range_text", "sure_text", "html"}
    assert set(scene_details(SHUT)) == {"band", "range_text"}


def test_how_sure_it_is_stands_beside_the_sentence():
    assert scene_costs(SHUT)["sure_text"].startswith("Lost by it, sure: 1")
    assert scene_costs(Enclosure(baffle=False))["sure_text"] == "How much, the model can’t tell."
    assert scene_costs(Enclosure())["sure_text"] == ""
    assert "lower vent shut in part" in scene_costs(SHUT)["html"]


def test_a_prediction_is_judged_where_nine_in_ten_agree():
    half, hot = Enclosure(lower_blocked=0.5), replace(SHUT, ambient=316.5)
    assert judge(Enclosure(), half, 0) == (
        "✔ Right, it stays the same. What moved is the limit: 112 °F to 108 °F."
    )
    assert judge(Enclosure(), half, 1).startswith("✘ No, it stays the same.")
    assert judge(Enclosure(ambient=316.5), hot, 1).startswith("✔ Right, it gets warmer: 38 °F to ")
    assert judge(hot, Enclosure(ambient=316.5), 1).startswith("✘ No, it gets colder")
    assert judge(Enclosure(), Enclosure(), 0, "SI") == "✔ Right, it stays the same."
    assert judge(Enclosure(), SHUT, 1).startswith("? The model can’t tell: in ")
