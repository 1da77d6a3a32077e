"""Each task beside the cup's lab notices when it was done, and nothing else; its answer is the model's."""

import pytest

from warmside.show.cup_because import tenths
from warmside.show.cup_tasks import cup_tasks
from warmside.show.substance_temperature import CupTest, day_of

HOUR = 3600.0
DONE = (
    CupTest(reading_time=2 * HOUR),
    CupTest(reading_time=9 * HOUR),
    CupTest(door="left open five minutes"),
    CupTest(warm_load=9.07),
    CupTest(swing=8 / 1.8),
    CupTest(lower_blocked=0.75, ambient=297.594),
    CupTest(lower_blocked=0.75, ambient=308.15, reading_time=12 * HOUR),
    CupTest(full_demand=True, ambient=297.0),
)
NEARLY = (
    CupTest(reading_time=2 * HOUR, cup_mass=0.4536),
    CupTest(reading_time=8 * HOUR),
    CupTest(door="a busy day"),
    CupTest(warm_load=4.5),
    CupTest(swing=5 / 1.8),
    CupTest(lower_blocked=0.75, ambient=300.0),
    CupTest(lower_blocked=0.75, ambient=308.15),
    CupTest(full_demand=True),
)


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_what_does_one_task_does_no_other(place, done):
    assert [task.is_done(done) for task in cup_tasks()] == [each == place for each in range(len(DONE))]
    assert not cup_tasks()[place].is_done(NEARLY[place])
    assert not cup_tasks()[place].is_done(CupTest())


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_texts_are_in_one_system(place, done):
    task = cup_tasks()[place]
    for system, others in (("US", ("°C", " kg")), ("SI", ("°F", " lb"))):
        for other in others:
            assert other not in task.text(system) + task.says(done, system)


def test_a_shut_vent_is_proven_for_that_day_alone():
    said = cup_tasks()[5].says(DONE[5], "US")
    assert said.startswith(f"It holds, at {tenths(day_of(DONE[5]).at('cup', 24 * HOUR), 'US')}.")
    assert f"{tenths(float(day_of(DONE[6]).cup[360:].max()), 'US')}: a mild day proves" in said
