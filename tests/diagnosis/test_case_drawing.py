"""Which drawn cases a level takes, and what is fair; what drawn cases are like stands in test_case_file."""

import pytest

from warmside.diagnosis.case_drawing import Solved, _cost, _is_fair, _of_level, check, draw_case
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.readings import column
from warmside.diagnosis.solving import FOOD_LIMIT
from warmside.errors import InputError

NO_EVIDENCE = None


def test_a_level_takes_what_it_says():
    cases = draw_cases(17, 400, pair_share=0.2)
    taken = {level: _of_level(cases, level) for level in (1, 2, 3)}
    cup = cases.readings[:, column("cup")]
    met = set()
    for case in range(len(cases)):
        sound = cases.label(case) == ("none",)
        mild_or_hot = cases.ambient[case] < 300.0 or cases.ambient[case] > 310.9
        mild = cases.severities[case, 0] < 0.5
        assert taken[1][case] == (sound or cup[case] > FOOD_LIMIT)
        assert taken[2][case] == (sound or (mild_or_hot and mild))
        assert taken[3][case]
        met.add((bool(taken[1][case]), bool(taken[2][case])))
    assert len(met) == 4


FROST, GAPS, CHARGE, BLOCKED = ("frost",), ("side_gaps",), ("charge_lost",), ("circulation_blocked",)


@pytest.mark.parametrize(
    ("labels", "label", "level", "wants_tie", "fair"),
    [
        ((FROST,), FROST, 1, False, True),
        ((GAPS,), FROST, 1, False, False),
        ((FROST, GAPS), FROST, 1, False, False),
        ((FROST, GAPS), FROST, 2, False, True),
        ((FROST, GAPS), GAPS, 3, True, True),
        ((FROST,), FROST, 3, True, False),
        ((FROST, CHARGE), FROST, 3, True, False),
        ((CHARGE, BLOCKED), CHARGE, 3, True, True),
    ],
)
def test_what_is_fair(labels, label, level, wants_tie, fair):
    assert _is_fair(Solved(labels, (), NO_EVIDENCE), label, level, wants_tie) is fair


def test_a_wrong_call_costs_what_the_dearer_of_its_faults_does():
    assert _cost(FROST) == "time, and the fault remains"
    assert _cost(("side_gaps", "frost")) == "a small part or repair, and the fault remains"
    assert _cost(("cavity_too_deep", "frost")) == "hours of work, and the fault remains"
    assert _cost(CHARGE) == "a cooling unit, and the fault remains"


def test_seeds_and_levels_at_their_ends():
    for seed, level in ((0, 1), (2**64 - 1, 3)):
        check(seed, level)
    for seed, level in ((-1, 1), (2**64, 1), (0, 0), (0, 4)):
        with pytest.raises(InputError):
            check(seed, level)


@pytest.mark.parametrize(
    ("wanted", "level"), [(("gremlins",), 1), (("fan_dead", "fan_backwards"), 3), (("side_gaps", "frost"), 2)]
)
def test_what_no_case_can_have_is_refused_in_a_sentence(wanted, level):
    with pytest.raises(InputError, match=f"{' with '.join(wanted)} is wrong in no case of level {level}"):
        draw_case(1, level, wanted=wanted)
