"""The cup's scene: its numbers are the model's, and what the model can't vouch for isn't judged."""

import json

import numpy as np
import pytest

from warmside.model.ensemble import plausible
from warmside.model.installation import Installation
from warmside.show.cup_because import because, tenths
from warmside.show.cup_lab import substance_temperature_lab
from warmside.show.cup_scene import cup_costs, cup_details, cup_scene, judge, scene_page
from warmside.show.departures import MEMBERS
from warmside.show.substance_temperature import SITUATIONS, CupTest, day_of, ran_in, read_test

HOUR = 3600.0


@pytest.mark.parametrize("name", SITUATIONS)
@pytest.mark.parametrize("system", ["US", "SI"])
def test_every_hour_s_numbers_and_texts_are_the_model_s(name, system):
    test = SITUATIONS[name]
    drawn, day, page = cup_scene(test, system), day_of(test), scene_page()
    assert {"US": "°C", "SI": "°F"}[system] not in json.dumps([drawn["hours"], drawn["day_text"]])
    json.dumps(drawn, allow_nan=False)
    every = page["day"]["minutes"]
    for series, name_of in (
        ("cup", "cup"),
        ("air", "air"),
        ("freezer", "freezer"),
        ("outside_air", "outside"),
    ):
        assert len(drawn[series]) == 24 * 60 // every + 1
        assert drawn[series] == pytest.approx(getattr(day, name_of)[::every], abs=6e-4)
    assert len(drawn["hours"]) == 24 * page["day"]["texts"] + 1
    at = drawn["hours"][round(test.reading_time / HOUR * page["day"]["texts"])]
    assert at["number"] == tenths(read_test(test).shown, system)
    assert at["words"] == because(test, system)
    assert at["good"] == (
        read_test(test).holds and read_test(test).is_settled and not read_test(test).misleads
    )


def test_the_door_is_seen_open_when_it_is():
    assert cup_scene(CupTest())["opened"] == []
    assert cup_scene(CupTest(door="left open five minutes"))["opened"] == [120]
    assert len(cup_scene(CupTest(door="opened once an hour"))["opened"]) == 13


@pytest.mark.parametrize(
    ("test", "mark"),
    [
        (CupTest(), ("✔ settled", "and within 43 °F")),
        (CupTest(reading_time=2 * HOUR), ("✘ too early", "°F of its start are left")),
        (SITUATIONS["Shut vent, hot"], ("✘ settled", "and warmer than 43 °F")),
        (SITUATIONS["Wrong thermometer"], ("✘ misread", "settled; the water is at 41.0 °F")),
    ],
)
def test_what_a_reading_is_worth(test, mark):
    at = cup_scene(test)["hours"][round(test.reading_time / HOUR * 2)]
    assert at["margin_text"] == mark[0]
    assert mark[1] in at["margin_says"]


def test_the_band_is_that_of_the_plausible_refrigerators():
    shut = SITUATIONS["Shut vent, hot"]
    assert cup_details(shut) == {}
    low, high = np.array(cup_costs(shut)["band"])
    some = plausible(Installation.of("8 cu ft", lower_vent_blocked=np.array([0.75])), MEMBERS)
    cups = ran_in(some, [shut]).cup_temperature.reshape(MEMBERS, -1)
    assert low[144] == pytest.approx(np.percentile(cups[:, 720], 10), abs=1e-2)
    assert high[144] == pytest.approx(np.percentile(cups[:, 720], 90), abs=1e-2)
    assert high[144] - low[144] > 3


def test_a_prediction_is_judged_where_nine_in_ten_agree():
    right, warmer = CupTest(), CupTest(setting=280.0)
    assert judge(right, SITUATIONS["Busy door"], 0).startswith(
        "✔ Right, it reads the same after 24 hours: 37.8 °F"
    )
    assert judge(right, warmer, 0).startswith("✘ No, it reads more after 24 hours: 37.8 °F and 44")
    assert judge(warmer, right, -1, "SI").startswith("✔ Right, it reads less after 24 hours: 6.")
    near = CupTest(lower_blocked=0.75, ambient=311.5)
    assert judge(right, near, 1).startswith("? The model can’t tell: in ")


def test_ahead_of_the_hand_one_run_serves_a_whole_range(monkeypatch):
    lab, runs = substance_temperature_lab(), []
    ran = ran_in
    monkeypatch.setattr(
        "warmside.show.substance_temperature.ran_in", lambda *given: runs.append(given) or ran(*given)
    )
    views = lab.views_ahead("ambient", list(range(59, 114)))
    assert len(runs) == 1
    assert [view["hidden"] for view in views] == [[]] * 55
    lab.ask({"name": "reading_time", "value": 12, "system": "US"})
    assert len(runs) == 1
    assert lab.answer["words"] == because(CupTest(reading_time=12 * HOUR))
