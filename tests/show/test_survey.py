"""A survey's verdicts go by the tape, its order by the work, and what it gives by the model."""

import json
from dataclasses import replace

import numpy as np
import pytest

from warmside.model.ensemble import cost_of
from warmside.model.limits import Verdict
from warmside.show.departures import CAN_NOT_TELL, MEMBERS
from warmside.show.enclosure import Enclosure, installation_of
from warmside.show.survey import (
    SURVEYS,
    gains_of,
    in_order_of_work,
    on_tape,
    sheet,
    summary,
    survey,
    verdicts,
)
from warmside.show.survey_lab import SURVEY_CONTROLS, survey_costs, survey_details, survey_scene
from warmside.show.survey_tasks import survey_tasks

INCH = 0.0254
GOOD, FOUND = SURVEYS["By the rules"], SURVEYS["As found"]


def told(field: str, **changes) -> Verdict:
    (verdict,) = (each.verdict for each in survey(replace(GOOD, **changes)) if each.field == field)
    return verdict


@pytest.mark.parametrize(
    ("field", "limit", "beyond"),
    [
        ("rear_gap", 1.0, 1),
        ("side_gap", 0.25, 1),
        ("top_gap", 0.0, 1),
        ("baffle_gap", 0.5, 1),
        ("baffle_gap", 0.25, -1),
    ],
)
def test_a_gap_is_told_at_its_limit_within_the_tape_and_beyond(field, limit, beyond):
    """Limits and a sixteenth for the tape: common practice, no source."""
    sixteenths = {0: Verdict.WITHIN, 1: Verdict.TOO_NEAR, 2: Verdict.OUTSIDE}
    for count, verdict in sixteenths.items():
        assert told(field, **{field: (limit + beyond * count / 16) * INCH}) == verdict


def test_what_is_seen_is_never_too_near_to_tell():
    assert [told("baffle", baffle=there) for there in (True, False)] == [Verdict.WITHIN, Verdict.OUTSIDE]
    assert told("pocket_open", pocket_open=True) == Verdict.OUTSIDE
    assert "baffle_gap" not in verdicts(replace(GOOD, baffle=False))


def test_a_vent_goes_by_its_free_area():
    # 116 in² is 23.6 by 4.9 in: a sixteenth in each is 1.3 % of the area
    by_part = {part: told("lower_blocked", lower_blocked=part) for part in (0.0, 0.012, 0.015, 0.5)}
    assert list(by_part.values()) == [Verdict.WITHIN, Verdict.TOO_NEAR, Verdict.OUTSIDE, Verdict.OUTSIDE]
    half = replace(GOOD, lower_blocked=0.5)
    assert verdicts(half)["lower_blocked"] == "✘ outside: 58.1 in²"
    assert verdicts(half, "SI")["lower_blocked"] == "✘ outside: 375 cm²"


def test_the_least_work_comes_first_and_what_is_within_last():
    order = in_order_of_work(survey(FOUND))
    assert [each.field for each in order] == ["lower_blocked", "baffle_gap", "side_gap", "rear_gap"]
    minutes = [each.minutes for each in order]
    assert minutes == sorted(minutes)
    told = sheet(FOUND)
    places = [told.index(f">{each.title}</th>") for each in order]
    within = [told.index(f">{each.title}</th>") for each in survey(FOUND) if each not in order]
    assert places == sorted(places) and max(places) < min(within)
    assert summary(FOUND).endswith(
        "Least work: free the lower vent: nest, screen, bent blades, what leans on it."
    )
    assert summary(GOOD).startswith("All 8 readings are within")


@pytest.mark.full
def test_what_a_remedy_gives_is_the_model_s_and_says_where_it_can_not_tell():
    gains = gains_of(FOUND)
    assert CAN_NOT_TELL in gains["baffle_gap"] and CAN_NOT_TELL in gains["rear_gap"]
    costs = cost_of(installation_of(FOUND), installation_of(replace(FOUND, lower_blocked=0.0)), MEMBERS)
    low, _, high = (1.8 * float(np.squeeze(each)) for each in costs)
    assert gains["lower_blocked"] == f"sure: {low:.1f} to {high:.1f} °F"
    assert gains_of(GOOD) == {}
    before = survey_details(FOUND)["html"]
    assert before.count("is being worked out") == 5 and gains[""] not in before
    after = survey_costs(FOUND)["html"]
    assert "is being worked out" not in after and gains[""] in after


@pytest.mark.full
def test_a_deep_space_costs_less_once_there_is_a_baffle():
    deep = SURVEYS["Deep, no baffle"]
    assert gains_of(deep)["rear_gap"].startswith("sure: 1.6")
    assert CAN_NOT_TELL in gains_of(replace(deep, baffle=True))["rear_gap"]


@pytest.mark.full
@pytest.mark.parametrize("system", ["US", "SI"])
def test_all_texts_are_in_one_system(system):
    others = {"US": ("°C", " mm", "cm²"), "SI": ("°F", " in<", "in²")}[system]
    for one in SURVEYS.values():
        said = json.dumps([survey_scene(one, system), survey_costs(one, system)], ensure_ascii=False)
        said += json.dumps([task.text(system) for task in survey_tasks()], ensure_ascii=False)
        assert not [other for other in others if other in said]


def test_a_survey_to_load_is_what_a_tape_can_read():
    controls = {control.name: control for control in SURVEY_CONTROLS}
    for one in SURVEYS.values():
        for name in ("rear_gap", "baffle_gap", "side_gap", "top_gap"):
            gap = getattr(one, name)
            assert controls[name].taken(controls[name].shown(gap, "US"), "US") == pytest.approx(gap)
            assert on_tape(gap).endswith(" in")


def test_each_task_notices_when_it_is_done_and_no_sooner():
    done = {
        name: [task.is_done(one) for task in survey_tasks()]
        for name, one in {**SURVEYS, "near": replace(FOUND, side_gap=5 / 16 * INCH)}.items()
    }
    assert not any(done["As found"])
    assert done["near"] == [True, False, False, False]
    assert done["Deep, no baffle"] == [False, True, False, False]
    assert done["In a slide-out"][2] and done["By the rules"][3]
    for task, name in zip(
        survey_tasks(), ("near", "Deep, no baffle", "In a slide-out", "By the rules"), strict=True
    ):
        one = SURVEYS.get(name, replace(FOUND, side_gap=5 / 16 * INCH))
        assert task.says(one, "SI") and "°F" not in task.says(one, "SI")


def test_an_enclosure_as_it_comes_departs_from_nothing():
    assert in_order_of_work(survey(Enclosure())) == []
