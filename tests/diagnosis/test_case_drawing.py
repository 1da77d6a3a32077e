"""Which drawn cases a level takes, and what is fair; what drawn cases are like stands in test_case_file."""

import numpy as np
import pytest
from private_diagnosis import Kind, Solved, Sufficient, case_drawing, draw_case, needed

from warmside.data import load
from warmside.diagnosis.drawing import draw_cases
from warmside.diagnosis.faults import condemns, labels
from warmside.diagnosis.proofs import Standing, proofs
from warmside.diagnosis.readings import Readings, column
from warmside.errors import InputError
from warmside.show.case_debrief import cost_of

_is_fair, _is_honest, _is_worth_it = (
    case_drawing._is_fair,
    case_drawing._is_honest,
    case_drawing._is_worth_it,
)
_kind, _of_kind = case_drawing._kind, case_drawing._of_kind
CUP_LIMIT, FREEZER_LIMIT = 279.26, 264.26  # K; 43 and 16 °F, common practice
CUP_MARGIN, FREEZER_MARGIN = 1.0, 1.2  # K
FROST, GAPS, CHARGE, BLOCKED, NONE = (
    ("frost",),
    ("side_gaps",),
    ("charge_lost",),
    ("circulation_blocked",),
    ("none",),
)
NO_EVIDENCE = None


def of(cases, name):
    return cases.readings[:, column(name)]


@pytest.mark.parametrize("level", [1, 2, 3])
def test_a_case_matters_and_is_right_once_it_is_put_right(level):
    how = {"sizes": ("8 cu ft",), "heat_sources": ("mains",), "pair_share": 0.5 if level == 3 else 0.0}
    cases = draw_cases(17, 200, **how)
    right, found = cases.with_only(None)
    worth = _is_worth_it(cases, (right, found), level)
    assert 0 < worth.sum() < len(cases)
    changed = of(cases, "cup") - of(right, "cup")
    for case in np.flatnonzero(worth):
        assert right.label(case) == NONE
        assert of(right, "cup")[case] <= CUP_LIMIT - CUP_MARGIN + 0.01
        assert of(right, "freezer")[case] <= FREEZER_LIMIT - FREEZER_MARGIN + 0.01
        if cases.label(case) == NONE:
            continue
        out = of(cases, "cup")[case] >= CUP_LIMIT + CUP_MARGIN - 0.01
        least = load("cases").number("least_difference")
        freezes = of(cases, "cup")[case] < 273.71 and changed[case] <= -least
        assert out or freezes or (level == 2 and abs(changed[case]) >= least)
        if level == 2:
            assert cases.severities[case, 0] < 0.5 or cases.ambient[case] < 300.0


def test_each_of_two_faults_does_something_to_the_cup():
    pair = ("door_seal", "frost")
    how = {"sizes": ("8 cu ft",), "heat_sources": ("mains",), "wanted": (pair,), "pair_share": 1.0}
    cases = draw_cases(3, 60, **how)
    (right, found), (seal, _), (frost, _) = (cases.with_only(place) for place in (None, 0, 1))
    assert (seal.label(0), frost.label(0)) == (pair[:1], pair[1:])
    worth = _is_worth_it(cases, (right, found), 3)
    both, none = of(cases, "cup"), of(right, "cup")
    least = 2.0 / 1.8
    for alone, other in ((seal, frost), (frost, seal)):
        does = np.maximum(np.abs(of(alone, "cup") - none), np.abs(both - of(other, "cup")))
        assert (does[worth] >= least - 0.01).all()
    assert worth.any()


def test_with_nothing_wrong_a_sound_refrigerator_is_as_it_was():
    cases = draw_cases(5, 20, wanted=(NONE,), pair_share=0.0)
    right, found = cases.with_only(None)
    assert found.all()
    np.testing.assert_allclose(right.readings, cases.readings, rtol=1e-6)


def a_proof(wanted, minutes=16.0, performs=False) -> Solved:
    """What readings prove, in so many minutes."""
    proof = Solved(wanted, NO_EVIDENCE, (), performs)
    names = {16.0: ("cup", "fins"), 25.0: ("cup", "gas_pressure"), 45.0: ("cup", "panel_off_air")}[minutes]
    proof.__dict__["cheapest"] = Sufficient(names, (0.5, 0.95), True)  # which a proof looks for but once
    return proof


WARM = Readings("8 cu ft", "mains", 305.0, {"cup": 283.0, "freezer": 262.0})


@pytest.mark.parametrize(
    ("wanted", "label", "level", "kind", "minutes", "fair"),
    [
        ((FROST,), FROST, 1, Kind.FAULT, 16.0, True),
        ((FROST,), FROST, 1, Kind.FAULT, 25.0, False),
        ((FROST,), FROST, 2, Kind.FAULT, 16.0, False),
        ((GAPS,), FROST, 1, Kind.FAULT, 16.0, False),
        ((FROST, GAPS), FROST, 1, Kind.FAULT, 16.0, False),
        ((FROST, GAPS), FROST, 2, Kind.FAULT, 25.0, True),
        ((FROST, GAPS), GAPS, 3, Kind.TIE, 45.0, True),
        ((FROST, GAPS), GAPS, 3, Kind.TIE, 16.0, False),
        ((FROST,), FROST, 3, Kind.TIE, 45.0, False),
        ((FROST,), FROST, 3, Kind.ANY, 45.0, False),
        ((FROST, CHARGE), FROST, 3, Kind.TIE, 45.0, False),
        ((FROST, NONE), FROST, 2, Kind.FAULT, 25.0, False),
        ((GAPS + FROST,), GAPS + FROST, 3, Kind.PAIR, 45.0, True),
        ((GAPS + FROST,), GAPS + FROST, 3, Kind.TIE, 45.0, False),
    ],
)
def test_what_is_fair(wanted, label, level, kind, minutes, fair):
    assert _is_fair(a_proof(wanted, minutes), WARM, label, level, kind) is fair


def test_nothing_wrong_is_proven_by_performance_alone_and_no_fault_is():
    assert _is_fair(a_proof((NONE,), performs=True), WARM, NONE, 1, Kind.SOUND)
    assert not _is_fair(a_proof((NONE,)), WARM, NONE, 1, Kind.SOUND)
    performs = Readings("8 cu ft", "mains", 315.0, {"cup": 276.0, "freezer": 260.0})
    assert not _is_fair(a_proof((FROST,)), performs, FROST, 1, Kind.FAULT)


PROVEN = Readings(
    "8 cu ft",
    "gas",
    305.0,
    {
        "cup": 300.0,
        "freezer": 299.0,
        "side_level": 0.0,
        "front_level": 0.0,
        "gas_pressure": 2740.0,
        "flame": "steady blue",
        "lower_vent_look": "open",
        "upper_vent_look": "open",
        "fins": "clean",
        "baffle_gap": 0.01,
        "fan": "none fitted",
        "load": "usual",
        "seal": "grips",
        "frost": "none",
        "cup_on_mains": 300.0,
    },
    running=86400.0,
)


def test_a_unit_takes_every_proof_and_no_minutes():
    assert {proof.standing for proof in proofs(PROVEN)} == {Standing.GIVEN}
    assert _is_fair(a_proof((CHARGE,)), PROVEN, CHARGE, 2, Kind.UNIT)
    for name, otherwise in (("flame", "weak"), ("seal", "slips"), ("fins", "matted"), ("cup", 278.0)):
        assert not _is_fair(a_proof((CHARGE,)), PROVEN.adding(**{name: otherwise}), CHARGE, 2, Kind.UNIT)
    assert set(needed(PROVEN, (CHARGE,))) == set(PROVEN.values)
    assert needed(PROVEN, (FROST,)) == ("cup",)
    assert needed(PROVEN, (NONE,)) == ("cup", "freezer")


def test_impossible_numbers_are_no_case():
    good = Readings("8 cu ft", "mains", 305.0, {"cup": 277.0, "freezer": 262.0}, running=86400.0)
    airs = {"vent_air": 305.0, "condenser_air": 312.0, "top_air": 308.0, "side_air": 307.0}
    warm = WARM.adding(**airs)
    assert _is_honest(warm, good)
    assert not _is_honest(warm.adding(freezer=283.5), good)  # warmer than the food
    assert not _is_honest(warm.adding(cup=316.0), good)  # warmer than all air
    assert not _is_honest(warm, good.adding(cup=279.0))  # no better than too near once it is put right


def test_what_is_looked_for_is_drawn_once_for_each_case():
    singles, pairs = labels("8 cu ft", "mains")
    assert _of_kind(Kind.SOUND, singles, pairs) == [NONE]
    assert all(map(condemns, _of_kind(Kind.UNIT, singles, pairs)))
    assert not any(condemns(label) or label == NONE for label in _of_kind(Kind.FAULT, singles, pairs))
    assert NONE not in _of_kind(Kind.TIE, singles, pairs)
    random = np.random.default_rng(1)
    drawn = [_kind(1, random) for _ in range(2000)]
    assert drawn.count(Kind.SOUND) / 2000 == pytest.approx(0.125, abs=0.03)
    assert drawn.count(Kind.UNIT) / 2000 == pytest.approx(0.1, abs=0.03)
    assert {_kind(3, random) for _ in range(100)} == {Kind.PAIR, Kind.TIE}


def test_a_wrong_call_costs_what_the_dearer_of_its_faults_does():
    assert cost_of(FROST) == "time, and the fault remains"
    assert cost_of(("side_gaps", "frost")) == "a small part or repair, and the fault remains"
    assert cost_of(("cavity_too_deep", "frost")) == "hours of work, and the fault remains"
    assert cost_of(CHARGE) == "a cooling unit, and the fault remains"


def test_seeds_and_levels_at_their_ends():
    for seed, level in ((0, 1), (2**64 - 1, 3)):
        case_drawing.check(seed, level)
    for seed, level in ((-1, 1), (2**64, 1), (0, 0), (0, 4)):
        with pytest.raises(InputError):
            case_drawing.check(seed, level)


@pytest.mark.parametrize(
    ("wanted", "level"), [(("gremlins",), 1), (("fan_dead", "fan_backwards"), 3), (("side_gaps", "frost"), 2)]
)
def test_what_no_case_can_have_is_refused_in_a_sentence(wanted, level):
    with pytest.raises(InputError, match=f"{' with '.join(wanted)} is wrong in no case of level {level}"):
        draw_case(1, level, wanted=wanted)
