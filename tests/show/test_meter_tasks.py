"""Each task beside the meter's lab notices when it was done, and nothing else; its answer is the model's."""

import pytest

from warmside.show.heater_meter import MYSTERIES, MeterOnHeater
from warmside.show.meter_tasks import meter_tasks

OPEN = "element 1 open"
HOT = 311.0  # K
DONE = (
    (MeterOnHeater(red="A", black="F"), "0.22 V of the supply’s 118.9 V"),
    (MeterOnHeater(fault=OPEN), "119.3 V, and 118.5 V in order"),
    (MeterOnHeater(fault=OPEN, meter="amps"), "1.35 A, where 2.67 A belong"),
    (MeterOnHeater(isolated=True, red="K", black="E"), "0.00 V. Isolated, proven dead and cold"),
    (MeterOnHeater(fault=OPEN, isolated=True, meter="ohms"), "88.7 ohm, where 44.3 ohm belong"),
    (MeterOnHeater(fault="bad joint, return", red="K", black="L"), "9.83 V lost in one joint"),
    (MeterOnHeater(fault="blown fuse", red="D", black="C"), "120.0 V across it"),
    (MeterOnHeater(fault="low supply", ambient=HOT), "38 °F at 80 °F outside, "),
    (MeterOnHeater(fault=MYSTERIES[1], shown=True), "It was “element 1 open”."),
)
NEARLY = (
    MeterOnHeater(red="A", black="E"),
    MeterOnHeater(fault=OPEN, red="A", black="M"),
    MeterOnHeater(fault=OPEN, meter="amps", isolated=True),
    MeterOnHeater(isolated=True, red="A", black="M"),
    MeterOnHeater(fault=OPEN, meter="ohms"),
    MeterOnHeater(fault="bad joint, return", red="K", black="M"),
    MeterOnHeater(fault="blown fuse", red="C", black="E"),
    MeterOnHeater(fault="low supply", ambient=HOT, isolated=True),
    MeterOnHeater(fault=MYSTERIES[1]),
)


@pytest.mark.parametrize(("place", "done"), [(place, done) for place, (done, _) in enumerate(DONE)])
def test_what_does_one_task_does_no_other(place, done):
    assert [task.is_done(done) for task in meter_tasks()] == [each == place for each in range(len(DONE))]
    assert not meter_tasks()[place].is_done(NEARLY[place])
    assert not meter_tasks()[place].is_done(MeterOnHeater())


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_answers_have_the_model_s_numbers_in_one_system(place, done):
    setting, says = done
    task = meter_tasks()[place]
    assert says in task.says(setting, "US")
    for system, other in (("US", "°C"), ("SI", "°F")):
        assert other not in task.text(system) + task.says(setting, system)
