"""Each task beside the lab notices when it was done, and nothing else; its answer is the model's."""

import pytest

from warmside.show.because import flow_text
from warmside.show.enclosure import Enclosure, situation, solve, temperature
from warmside.show.enclosure_tasks import enclosure_tasks

DONE = (
    Enclosure(lower_blocked=0.75),
    Enclosure(lower_blocked=0.75, fan="strong"),
    Enclosure(fan="weak"),
    Enclosure(baffle=False, rear_gap=0.102),
    Enclosure(mains_voltage=105.0),
    Enclosure(side_gap=0.0254),
    Enclosure(lower_blocked=0.5, ambient=310.928, swing=8.3333),
    Enclosure(ambient=299.817, full_demand=True),
)
NEARLY = (
    Enclosure(lower_blocked=0.4),
    Enclosure(lower_blocked=0.75, fan="weak"),
    Enclosure(fan="weak", lower_blocked=0.2),
    Enclosure(baffle=False),
    Enclosure(mains_voltage=110.0),
    Enclosure(side_gap=0.0127),
    Enclosure(lower_blocked=0.5, ambient=310.928),
    Enclosure(ambient=299.817),
)


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_what_does_one_task_does_no_other(place, done):
    assert [task.is_done(done) for task in enclosure_tasks()] == [each == place for each in range(len(DONE))]
    assert not enclosure_tasks()[place].is_done(NEARLY[place])
    assert not enclosure_tasks()[place].is_done(Enclosure())


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_texts_are_in_one_system(place, done):
    task = enclosure_tasks()[place]
    for system, others in (("US", ("°C", " mm", "m³")), ("SI", ("°F", "1 in ", "4 in ", "cfm"))):
        for other in others:
            assert other not in task.text(system) + task.says(done, system)


def test_a_fan_before_a_shut_vent_is_no_cure():
    fan, without = solve(DONE[1]), solve(situation("Blocked lower vent"))
    said = enclosure_tasks()[1].says(DONE[1], "US")
    assert f"comes to {temperature(fan.food, 'US')}, as long as the fan runs" in said
    assert f"The day it stops: {temperature(without.food, 'US')}" in said
    assert said.endswith("That is no cure.")


def test_a_weak_fan_passes_less_than_rises_by_itself():
    weak, right = (solve(each).now.air_flow for each in (DONE[2], Enclosure()))
    said = enclosure_tasks()[2].says(DONE[2], "US")
    assert weak < right
    assert said.startswith(f"{flow_text(float(right), 'US')} rise by themselves, and with the weak fan")
