"""A day of use: its numbers are the model's, its marks the rule for food, and its tasks notice."""

import json
from dataclasses import replace

import numpy as np
import pytest

from warmside.show.scene_lab import SceneLab
from warmside.show.substance_temperature import DEFROSTS, day_of
from warmside.show.use_because import KEPT, QUIET, because, clock, hours_above
from warmside.show.use_lab import DAYS, day_of_use_lab
from warmside.show.use_scene import MOST_HOURS, judge, use_scene
from warmside.show.use_tasks import use_tasks

HOUR = 3600.0


@pytest.mark.parametrize("name", DAYS)
@pytest.mark.parametrize("system", ["US", "SI"])
def test_numbers_and_texts_are_the_model_s(name, system):
    drawn, day = use_scene(DAYS[name], system), day_of(DAYS[name])
    json.dumps(drawn, allow_nan=False)
    assert {"US": "°C", "SI": "°F"}[system] not in json.dumps([drawn["hours"], drawn["sensor_text"]])
    assert drawn["cup"] == pytest.approx(day.cup[::5], abs=6e-4)
    assert drawn["hours"][-1]["words"] == because(DAYS[name], system)


@pytest.mark.parametrize("name", DAYS)
def test_food_is_thrown_away_by_the_hours_above_the_line(name):
    # USDA FSIS: above 40 °F for more than two hours
    day = day_of(DAYS[name])
    above = (day.cup[:-1] > (40 + 459.67) / 1.8).sum() / 60.0
    assert hours_above(day, 24 * HOUR) / HOUR == pytest.approx(above)
    at = use_scene(DAYS[name])["hours"][-1]
    assert at["margin_text"] == (
        "✘ throw it out" if above > MOST_HOURS else "✘ frozen" if day.cup.min() < 273.15 else "✔ kept"
    )
    assert pytest.approx((40 + 459.67) / 1.8) == KEPT


@pytest.mark.parametrize(
    ("name", "cause"),
    [
        ("A quiet day", "the unit takes out what comes in"),
        ("Warm shopping", "20 lb of food went in as warm as the day"),
        ("Cooled shopping", "the unit takes out what comes in"),
        ("Busy door", "the door let warm air in again and again"),
        ("Sensor off its fin", "the sensor feels 10.0 °F too warm, so the unit runs on"),
        ("Sensor too cold", "the sensor feels 10.0 °F too cold, so the unit stops too soon"),
        ("Defrost at 4 pm", "the unit stood still for a defrost"),
    ],
)
def test_the_sentence_names_what_moved_the_cup_most(name, cause):
    assert f" because {cause}" in because(DAYS[name])


def test_of_two_causes_the_larger_is_named():
    both = replace(DAYS["Busy door"], sensor_error=1.0)
    assert "because the door" in because(both)
    assert "the unit can do no more" in because(replace(QUIET, ambient=320.0))
    assert "the thermostat stands at 45.0 °F" in because(replace(QUIET, setting=(45 + 459.67) / 1.8))


def test_a_sensor_moves_what_the_thermostat_holds():
    off = 2.0  # K
    felt, set_so = (
        day_of(one) for one in (replace(QUIET, sensor_error=off), replace(QUIET, setting=QUIET.setting - off))
    )
    assert felt.cup == pytest.approx(set_so.cup)


def test_the_unit_stands_still_while_it_defrosts():
    for name, defrost in DEFROSTS.items():
        running = day_of(replace(QUIET, defrost=name)).running
        if defrost:
            begin, end = (
                round(60 * at) for at in (defrost.first / HOUR, (defrost.first + defrost.duration) / HOUR)
            )
            assert not running[begin:end].any() and running[end : end + 30].all()
            assert clock(defrost.first, "US") in (
                f"{hour}:00 {half}" for hour, half in ((2, "am"), (4, "pm"))
            )


def test_a_prediction_is_judged_by_the_cup_at_its_worst():
    assert judge(QUIET, DAYS["Busy door"], 1).startswith("✔ Right, it gets warmer")
    assert judge(QUIET, DAYS["Sensor off its fin"], 0).startswith("✘ No, it gets colder")
    assert judge(QUIET, DAYS["Cooled shopping"], 0, "SI").startswith("✔ Right, it stays the same")


def test_every_task_notices_its_day_and_no_quiet_one():
    busy = [DAYS[name] for name in DAYS if name != "A quiet day"]
    for task, day in zip(use_tasks(), busy, strict=True):
        assert [one for one in (QUIET, *busy) if task.is_done(one)] == [_of(task, busy)]
        for system in ("US", "SI"):
            assert task.text(system) and task.says(day, system)


def _of(task, days):
    (one,) = (day for day in days if task.is_done(day))
    return one


def test_the_band_is_there_once_the_hand_rests():
    lab = day_of_use_lab()
    assert isinstance(lab, SceneLab)
    lab.ask({"details": "costs"})
    low, high = np.array(lab.answer["costs"]["band"])
    assert (low <= high).all() and len(low) == 24 * 12 + 1
