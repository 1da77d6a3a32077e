"""Which of a trainee's hand-ins counts: the rule, by itself."""

import json
from dataclasses import replace

import pytest

from warmside.session.decisions import Decision, What
from warmside.session.received import NOTE, HandIns, Received, from_note, which_counts

FIRST = Received(
    "ann", "small", "stick/ann_small.ipynb", "2027-03-13T10:00:00+00:00", "1", answers=5, written="a"
)


def later(**changes) -> Received:
    """One that came an hour after the first and says something else."""
    usual = {"at": "2027-03-13T11:00:00+00:00", "sha256": "2", "written": "b"}
    return replace(FIRST, **usual | changes)


def chosen(value: str, at: str = "2027-03-13T12:00:00+00:00") -> Decision:
    return Decision(What.COUNTS, "small", "ann", value, at)


def test_nothing_came():
    assert which_counts(()) == HandIns()


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"answers": 6},
        {"answers": 6, "where": "stick/ann_small (2).ipynb"},
        {"answers": None},
        {"named": "other"},
    ],
)
def test_the_latest_counts(changes):
    newer = later(**changes)
    assert which_counts([FIRST, newer]) == HandIns((FIRST, newer), newer)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"blank": True, "answers": 0}, "nothing is written in it"),
        ({"answers": 4}, "it has 4 answers, the one before has 5"),
        ({"answers": 1}, "it has 1 answer, the one before has 5"),
        ({"other_cards": ("bo",), "answers": 9}, "it was made with the job card of bo"),
        ({"around": "bo", "answers": 9}, "it lay in a file or folder of bo"),
        ({"written": "a"}, "it says the same as the one that came before"),
        ({"where": "stick/ann_small (2).ipynb"}, "its name says that it is a copy"),
        ({"where": "stick/ann_small-Copy1.ipynb"}, "its name says that it is a copy"),
    ],
)
def test_a_slip_is_kept_and_does_not_count(changes, why):
    slip = later(**changes)
    found = which_counts([FIRST, slip])
    assert found.counting == FIRST
    assert why in found.doubts[slip.name]
    by_hand = which_counts([FIRST, slip], chosen(slip.name))
    assert (by_hand.counting, by_hand.chosen, by_hand.doubts) == (slip, True, {})


def test_the_only_one_counts_but_from_anothers_file():
    for changes in ({"blank": True}, {"other_cards": ("bo",)}, {"where": "ann (2).ipynb"}):
        only = replace(FIRST, **changes)
        assert which_counts([only]).counting == only
    strange = replace(FIRST, around="bo")
    assert which_counts([strange]).counting is None
    assert which_counts([strange], chosen(strange.name)).counting == strange


def test_a_slip_is_held_against_the_one_that_counts():
    slip = later(answers=2)
    third = replace(FIRST, at="2027-03-13T11:30:00+00:00", answers=5, written="c")
    assert which_counts([FIRST, slip, third]).counting == third
    blank = replace(FIRST, blank=True, answers=0)
    strange = later(other_cards=("bo",))
    assert which_counts([blank, strange]).counting == strange


def test_what_comes_after_a_choice_waits_for_another():
    newer = later(answers=9)
    found = which_counts([FIRST, newer], chosen(FIRST.name, at="2027-03-13T10:30:00+00:00"))
    assert found.counting == FIRST
    assert found.doubts == {newer.name: "you chose another one"}
    assert which_counts([FIRST, newer], chosen(FIRST.name)).doubts == {}


def test_what_comes_after_results_were_released_waits():
    released = Decision(What.RELEASED, "small", "", "yes", "2027-03-13T10:30:00+00:00")
    newer = later(answers=9)
    found = which_counts([FIRST, newer], released=released)
    assert (found.counting, found.doubts) == (FIRST, {newer.name: "it came after results were released"})
    assert which_counts([newer], released=released).counting is None
    assert which_counts([newer], chosen(newer.name), released).counting == newer


def test_a_note_from_before_answers_were_counted_reads_as_it_was(tmp_path):
    note = {"trainee": "ann", "exercise": "small", "where": "x", "at": FIRST.at, "sha256": "1"}
    (tmp_path / NOTE).write_text(json.dumps(note | {"other_cards": ["bo"], "blank": True}))
    assert from_note(tmp_path) == Received("ann", "small", "x", FIRST.at, "1", ("bo",), True)
    (tmp_path / NOTE).write_text("{")
    assert from_note(tmp_path) is None


def test_a_choice_of_what_is_not_there_leaves_it_to_the_rule():
    assert which_counts([FIRST], chosen("20200101T000000.000000Z")).counting == FIRST
