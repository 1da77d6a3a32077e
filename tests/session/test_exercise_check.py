"""The author's check: it finds nothing wrong with an exercise in order, and each thing that is wrong."""

from dataclasses import replace

import pytest
from helpers import NAME

from warmside.marking.exercise import Exercise, Mistake
from warmside.session import exercise_check
from warmside.session.exercise_check import as_text, check_exercise

CARDS = 3


@pytest.fixture
def check(monkeypatch):
    """The check of an exercise that was changed, on few draws."""
    monkeypatch.setattr(exercise_check, "DRAWS", 40)

    def run(changed: Exercise):
        monkeypatch.setattr(exercise_check, "load_exercise", lambda name: changed)
        return check_exercise(NAME, CARDS)

    return run


def with_item(exercise: Exercise, name: str, **changes) -> Exercise:
    items = (replace(item, **changes) if item.name == name else item for item in exercise.items)
    return replace(exercise, items=tuple(items))


def test_an_exercise_in_order_has_no_problems_and_a_line_for_each_item(check, exercise):
    found = check(exercise)
    assert found.problems == ()
    assert {(item.full, item.nothing) for item in found.items} == {(CARDS, CARDS)}
    assert all(item.nearest > 3 for item in found.items)
    assert 1 <= found.draws_a_card < 3
    lines = as_text(found).splitlines()
    for item in exercise.items:
        assert len([line for line in lines if line.startswith(f"{item.name} ")]) == 1


def test_the_range_of_keys_is_in_us_units_and_letters_in_per_cent(check, exercise):
    by_name = {item.name: item for item in check(exercise).items}
    assert all(30 < key < 110 for key in by_name["cup_at_24_hours"].keys)
    assert by_name["which_limit"].spread == "c 100 %"


def test_a_key_that_the_solution_does_not_meet_is_told(check, exercise):
    key = exercise.item("hours_to_settle").key
    found = check(with_item(exercise, "hours_to_settle", key=lambda job: 1.3 * key(job)))
    assert "hours_to_settle: the solution earns full marks on 0 of 3 cards." in found.problems


def test_an_empty_answer_that_earns_marks_is_told(check, exercise, monkeypatch):
    source = exercise_check._code("solutions_private", NAME)
    monkeypatch.setattr(exercise_check, "_code", lambda folder, name: source)
    problems = check(exercise).problems
    assert "verdict: the release as handed out earns marks on 3 of 3 cards." in problems


def test_a_solution_that_stops_is_told(check, exercise, monkeypatch):
    monkeypatch.setattr(exercise_check, "_code", lambda folder, name: ["1 / 0"])
    problems = check(exercise).problems
    assert "On card 0 a cell stopped with ZeroDivisionError: division by zero." in problems


def test_a_mistake_like_the_truth_is_told_with_its_name(check, exercise):
    item = exercise.item("highest_ambient")
    close = Mistake("nearly right", "Look again.", lambda job: item.key(job) + 0.1)
    found = check(with_item(exercise, "highest_ambient", mistakes=(*item.mistakes, close)))
    assert found.kept == 0
    assert "“the right answer” and “nearly right” lie too close on 40 of 40 draws." in " ".join(
        found.problems
    )


def test_a_number_that_is_the_same_on_every_card_is_told(check, exercise):
    item = exercise.item("heat_from_water")
    found = check(with_item(exercise, "heat_from_water", key=lambda job: 1e4, mistakes=item.mistakes[:1]))
    assert "heat_from_water: the right answer is the same on every card." in found.problems
