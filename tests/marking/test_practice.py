"""Practice: marked at once by marking's own code, from data of the practice card alone."""

import json
from dataclasses import replace

import pytest
from helpers import NAME, SECRET

from warmside import project
from warmside.errors import InputError
from warmside.marking import practice
from warmside.marking.exercise import Exercise, Item, Job, Judged, Mistake
from warmside.marking.job_card import Entry
from warmside.marking.marks import Outcome, mark
from warmside.marking.verdict import Verdict
from warmside.units import from_si


@pytest.fixture(scope="module")
def known():
    return practice.read_practice(project.root() / "exercises" / NAME / practice.FILE_NAME)


@pytest.fixture(scope="module")
def card(exercise):
    return exercise.practice_card()


def kelvins(value: float) -> str:
    return f"{value!r} kelvin"


def of_item(marks, name):
    return next(one for one in marks if one.item == name)


def small_exercise(*items) -> Exercise:
    """An exercise whose card holds one number and one letter."""

    def draw(draw):
        return (
            Entry("volts", "Volts", f"{draw.between(100, 130, 0.1)} V", "voltage"),
            Entry("letter", "Letter", draw.pick("abc")),
        ), {}

    return Exercise("small", "Small", items, draw)


def a_choice(key) -> Item:
    return Item("c", "Choice", "choice", 1, key, "Look.", choices=tuple("abc"))


@pytest.mark.full
def test_the_file_is_the_same_whatever_else_there_is(exercise):
    path = project.root() / "exercises" / NAME / practice.FILE_NAME
    assert path.read_text("utf-8") == practice.as_text(practice.practice_data(exercise))


def test_it_changes_with_the_practice_card_and_with_no_other(exercise, monkeypatch):
    before = practice.practice_data(exercise)
    other = exercise.job_card(SECRET, "ann")
    monkeypatch.setattr(Exercise, "practice_card", lambda self: other)
    after = practice.practice_data(exercise)
    assert [item["name"] for item in after["items"]] == [item["name"] for item in before["items"]]
    same = [
        one["name"]
        for one, two in zip(before["items"], after["items"], strict=True)
        if one["answer"] == two["answer"] and one["kind"] != "choice"
    ]
    assert set(same) <= {"thermometer_error"}  # of which there are few


def test_it_holds_plain_data_and_no_other_cards_keys(exercise):
    text = (project.root() / "exercises" / NAME / practice.FILE_NAME).read_text("utf-8")
    assert "lambda" not in text
    for number in range(3):
        job = Job(exercise, exercise.job_card(SECRET, f"t{number}"))
        for name in ("heat_from_water", "cup_time_constant", "hours_to_settle"):
            assert f"{exercise.item(name).key(job):.7g}" not in text


def test_what_is_the_same_on_every_card_is_left_out(known):
    assert ("Which limit is which", practice.SAME_FOR_ALL) in known.left
    assert "which_limit" not in known.follows
    small = small_exercise(
        a_choice(lambda job: "b"), replace(a_choice(lambda job: job.card["letter"]), name="d")
    )
    assert [item["name"] for item in practice.practice_data(small)["items"]] == ["d"]


def test_a_follow_on_from_a_wrong_value_is_said_to_be_for_the_instructor(exercise, known, card):
    own = {"cup_time_constant": 1.2 * exercise.item("cup_time_constant").key(Job(exercise, card))}
    later = exercise.item("cup_at_early_reading").key(Job(exercise, card, own))
    answers = {
        "cup_time_constant": f"{own['cup_time_constant']!r} s",
        "cup_at_early_reading": kelvins(later),
        "highest_ambient": "10 degF",
    }
    marks = practice.mark_practice(answers, card, known)
    assert of_item(mark(answers, card, exercise), "cup_at_early_reading").outcome is Outcome.CARRIED
    here = of_item(marks, "cup_at_early_reading")
    assert here.score == 0
    assert "worked out from “Time constant of the cup”" in here.feedback[-1]
    assert "worked out" not in " ".join(of_item(marks, "highest_ambient").feedback)


def test_right_answers_are_right_after_rounding_and_reading(exercise, known, card):
    job = Job(exercise, card)
    answers = {
        item.name: item.key(job) if item.kind == "choice" else str(from_si(item.key(job), item.kind))
        for item in exercise.items
    }
    marks = practice.mark_practice(answers, card, known)
    assert {one.outcome for one in marks} == {Outcome.RIGHT}


def test_no_feedback_of_practice_gives_the_value_away(exercise, known, card):
    for item in known.exercise.items:
        if item.kind == "choice":
            continue
        key = from_si(item.key(Job(known.exercise, card)), item.kind).magnitude
        marks = practice.mark_practice(
            {item.name: "1e6 degF" if "temp" in item.kind else "1e6 h"}, card, known
        )
        assert f"{key:.3g}" not in " ".join(of_item(marks, item.name).feedback)


def judged(name="j", kind="choice", choices="abc", judge=None) -> Judged:
    return Judged(name, "Judged", kind, 2, tuple(choices), judge)


def test_a_verdict_on_one_answer_alone_is_kept_as_it_is():
    def judge(answer, given, job):
        right = answer == job.card["letter"]
        return Verdict(float(right), ("Yes." if right else "No.",), "" if right else "a slip")

    small = small_exercise(judged(judge=judge))
    card = small.practice_card()
    known = practice.from_data(json.loads(practice.as_text(practice.practice_data(small))))
    for letter in "abc":
        assert practice.mark_practice({"j": letter}, card, known) == mark({"j": letter}, card, small)


def test_a_verdict_that_looks_at_other_answers_is_said_to_be_by_itself():
    def judge(answer, given, job):
        more = 0.5 * (given.get("c") == "a")
        return Verdict((answer == job.card["letter"]) * (0.5 + more), ("By what you read, 40 %.",))

    small = small_exercise(judged(judge=judge), a_choice(lambda job: "a"))
    data = practice.practice_data(small)
    texts = [sentence for one in data["items"][0]["verdicts"] for sentence in one["feedback"]]
    assert practice.BY_ITSELF in texts
    assert not any("40 %" in text for text in texts)


def test_by_itself_an_answer_is_said_to_be_right_or_not_or_in_part():
    def judge(answer, given, job):
        assert given.get("c") is None  # which looks for another answer
        right = answer == job.card["letter"]
        return Verdict(1.0 if right else 0.0 if answer == "a" else 0.5, ("Seen.",))

    small = small_exercise(judged(judge=judge), a_choice(lambda job: job.card["letter"]))
    card = small.practice_card()
    known = practice.from_data(practice.practice_data(small))
    letter = card["letter"]
    said = {
        one: practice.mark_practice({"j": one}, card, known)[0].feedback[1] for one in {letter, "a", "b", "c"}
    }
    assert said.pop(letter) == "Taken by itself, that is right."
    assert said.pop("a", "Taken by itself, that is not right.") == "Taken by itself, that is not right."
    assert set(said.values()) == {"Taken by itself, that is right in part."}


def test_lists_are_marked_in_any_order_and_long_ones_left():
    def judge(answer, given, job):
        return Verdict(float(set(answer) == {"a", job.card["letter"]}), ("Seen.",))

    small = small_exercise(
        judged(kind="names", judge=judge), judged("k", "names", [f"n{n}" for n in range(11)], judge)
    )
    card = small.practice_card()
    known = practice.from_data(practice.practice_data(small))
    assert known.left == (("Judged", practice.TOO_MANY),)
    for answer in ("a", "b, a", "a, b", "c a", "a, b, c"):
        (here,), (there, _) = (
            practice.mark_practice({"j": answer}, card, known),
            mark({"j": answer}, card, small),
        )
        assert here == there


def test_another_card_is_refused(exercise, known):
    with pytest.raises(InputError, match="belongs to another job card"):
        practice.mark_practice({}, exercise.job_card(SECRET, "ann"), known)


@pytest.mark.parametrize("content", ["", "[]", "{}", '{"items": [{}]}'])
def test_a_damaged_file_is_a_sentence(tmp_path, content):
    (tmp_path / practice.FILE_NAME).write_text(content)
    with pytest.raises(InputError, match="can't be read any more"):
        practice.read_practice(tmp_path / practice.FILE_NAME)


def test_a_missing_file_is_a_sentence(tmp_path):
    with pytest.raises(InputError, match="is not beside the notebook"):
        practice.read_practice(tmp_path / practice.FILE_NAME)


def test_a_mistake_that_cannot_happen_is_left_out():
    item = Item(
        "v",
        "Volts",
        "voltage",
        1,
        lambda job: job["volts"],
        "Look.",
        "1 %",
        "Meter.",
        mistakes=(
            Mistake("never", "No.", lambda job: None),
            Mistake("half", "No.", lambda job: job["volts"] / 2),
        ),
    )
    (data,) = practice.practice_data(small_exercise(item))["items"]
    assert [one["name"] for one in data["mistakes"]] == ["half"]
