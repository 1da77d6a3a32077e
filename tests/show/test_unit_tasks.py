"""Each task beside the unit's lab notices when it was done, and nothing else; its answer is the model's."""

import re

import numpy as np
import pytest

from warmside.show.sealed_unit import RATED, WARM, SealedUnit
from warmside.show.unit_tasks import unit_tasks

MILD, HOT = 302.594, 318.15  # K; 85 and 113 °F
DONE = (
    (SealedUnit(point="condenser"), "393 psi, the same as in the coils. Here it is ammonia alone"),
    (
        SealedUnit(point="food", flow="hydrogen"),
        "45 psi of 393 psi: it boils at 17 °F. In the freezer’s coil",
    ),
    (SealedUnit(ambient=HOT + 2.0), "turn to liquid, and the food comes to 67 °F"),
    (SealedUnit(ambient=HOT, setting=WARM), "set to coldest. It ran all the time before"),
    (SealedUnit(heat=0.7, ambient=305.0), "Liquid comes to the freezer first"),
    (SealedUnit(heat=1.2, ambient=MILD), "20 % more heat, and the cold goes from"),
    (SealedUnit(tilt=float(np.radians(3.0))), "34 °F level, 34 °F so: the tubes still fall"),
    (SealedUnit(tilt=float(np.radians(5.0))), "of ammonia are left of 7.9 oz/h"),
    (SealedUnit(charge=0.75, ambient=MILD), "today. At 110 °F it would be: "),
)
NEARLY = (
    SealedUnit(point="condenser", heat=0.9),
    SealedUnit(point="food"),
    SealedUnit(ambient=RATED),
    SealedUnit(ambient=HOT - 2.0, setting=WARM),
    SealedUnit(heat=0.9),
    SealedUnit(heat=1.15, ambient=MILD),
    SealedUnit(tilt=float(np.radians(1.0))),
    SealedUnit(tilt=float(np.radians(4.0))),
    SealedUnit(charge=0.75),
)


@pytest.mark.parametrize(("place", "done"), [(place, done) for place, (done, _) in enumerate(DONE)])
def test_what_does_one_task_does_no_other(place, done):
    assert [task.is_done(done) for task in unit_tasks()] == [each == place for each in range(len(DONE))]
    assert not unit_tasks()[place].is_done(NEARLY[place])
    assert not unit_tasks()[place].is_done(SealedUnit())


@pytest.mark.parametrize(("place", "done"), list(enumerate(DONE)))
def test_answers_have_the_model_s_numbers_in_one_system(place, done):
    unit, says = done
    task = unit_tasks()[place]
    assert says in task.says(unit, "US")
    for system, others in (("US", r"°C|\d bar|\d g/h|\d W\b"), ("SI", "°F|psi|oz/h|Btu")):
        assert not re.search(others, task.text(system) + task.says(unit, system))
