"""Marks: the key earns all, each mistake its own message, nothing gives the key away."""

import re
from collections import Counter

import pytest
from helpers import points_by_machine
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside.marking.exercise import SEPARATION, Exercise, Job, load_exercise
from warmside.marking.marks import Outcome, mark
from warmside.marking.wrong_turns import fahrenheit
from warmside.units import from_si

CARDS = 200
UNIT = {"temperature": "kelvin", "temperature_difference": "delta_degC", "energy": "joule", "time": "second"}


@pytest.fixture(scope="module")
def cards(exercise):
    return [exercise.job_card(b"marks", f"t{n:03d}") for n in range(CARDS)]


def as_text(item, value) -> str:
    if item.kind == "choice":
        return value
    quantity = from_si(value, item.kind, UNIT[item.kind])
    return f"{quantity.magnitude!r} {quantity.units}"


def key_texts(exercise: Exercise, card) -> dict[str, str]:
    job = Job(exercise, card)
    return {item.name: as_text(item, item.key(job)) for item in exercise.items}


def test_key_earns_full_marks_on_every_card(exercise, cards):
    for card in cards:
        marks = mark(key_texts(exercise, card), card, exercise)
        assert [m.outcome for m in marks] == [Outcome.RIGHT] * len(marks)
        assert sum(m.score for m in marks) == points_by_machine(exercise)


def test_nothing_earns_nothing(exercise, cards):
    marks = mark({}, cards[0], exercise)
    assert {m.outcome for m in marks} == {Outcome.UNANSWERED}
    assert sum(m.score for m in marks) == 0


@pytest.mark.full
def test_every_mistake_is_told_by_its_own_name_on_every_card(exercise, cards):
    seen = Counter()
    for card in cards:
        job = Job(exercise, card)
        for index, item in enumerate(exercise.items):
            for mistake in item.mistakes:
                answer = mistake.answer(job)
                if answer is None:
                    continue
                result = mark({item.name: as_text(item, answer)}, card, exercise)[index]
                assert (result.outcome, result.mistake) == (Outcome.MISTAKE, mistake.name), item.name
                assert mistake.next_step in result.feedback
                assert result.score == pytest.approx(mistake.credit * item.points)
                seen[item.name, mistake.name] += 1
    assert set(seen) == {(item.name, mistake.name) for item in exercise.items for mistake in item.mistakes}


def test_truth_and_mistakes_lie_more_than_three_tolerances_apart(exercise, cards):
    for card in cards:
        job = Job(exercise, card)
        for item in exercise.items:
            if item.kind == "choice":
                continue
            values = [item.key(job), *(m.answer(job) for m in item.mistakes)]
            for index, one in enumerate(values):
                for other in values[index + 1 :]:
                    assert abs(one - other) > SEPARATION * item.asks.tolerance_at(one), (
                        card.trainee,
                        item.name,
                    )


def test_every_verdict_is_met(exercise, cards):
    verdicts = Counter(exercise.item("verdict").key(Job(exercise, card)) for card in cards)
    assert set(verdicts) == set("abcde")
    assert min(verdicts.values()) > CARDS / 5 / 2


def test_the_tolerance_is_a_sharp_edge(exercise, cards):
    item = exercise.item("cup_at_24_hours")
    card = cards[0]
    key = item.key(Job(exercise, card))
    for share, outcome in ((0.99, Outcome.RIGHT), (1.01, Outcome.WRONG)):
        off = key_texts(exercise, card) | {
            item.name: as_text(item, key + share * item.asks.tolerance_at(key))
        }
        assert mark(off, card, exercise)[5].outcome is outcome


def test_own_earlier_value_carries_on(exercise, cards):
    card = cards[1]
    own = {"thermometer_error": -exercise.item("thermometer_error").key(Job(exercise, card))}
    texts = key_texts(exercise, card)
    texts["thermometer_error"] = as_text(exercise.item("thermometer_error"), own["thermometer_error"])
    for name in ("cup_at_24_hours", "margin_below_limit"):
        texts[name] = as_text(exercise.item(name), exercise.item(name).key(Job(exercise, card, own)))
        own[name] = exercise.item(name).key(Job(exercise, card, own))
    by_name = {m.item: m for m in mark(texts, card, exercise)}
    assert by_name["thermometer_error"].outcome is Outcome.MISTAKE
    for name in ("cup_at_24_hours", "margin_below_limit"):
        assert by_name[name].outcome is Outcome.CARRIED
        assert by_name[name].score == by_name[name].points


def test_an_earlier_value_that_leads_nowhere_carries_nothing(exercise, cards):
    texts = key_texts(exercise, cards[0]) | {"cup_time_constant": "0 h", "hours_to_settle": "0 h"}
    by_name = {m.item: m for m in mark(texts, cards[0], exercise)}
    assert by_name["cup_at_early_reading"].outcome is Outcome.RIGHT
    assert by_name["cup_time_constant"].score == by_name["hours_to_settle"].score == 0


def test_a_cup_colder_than_any_and_a_day_hotter_than_any_carry_nothing(exercise, cards):
    for card in cards[:20]:
        right = exercise.item("verdict").key(Job(exercise, card))
        texts = {"cup_at_24_hours": "-400 °F", "highest_ambient": "500 °F", "verdict": "a"}
        texts["margin_below_limit"] = f"{fahrenheit(card.si('food_limit')) + 400} degF difference"
        by_name = {m.item: m for m in mark(texts, card, exercise)}
        assert by_name["margin_below_limit"].score == 0
        assert by_name["verdict"].score == (3 if right == "a" else by_name["verdict"].score)
        assert by_name["verdict"].outcome in (Outcome.RIGHT, Outcome.MISTAKE)


def test_a_verdict_that_follows_from_a_wrong_cup_earns_half_and_hears_what_the_test_proves(exercise, cards):
    card = next(card for card in cards if exercise.item("verdict").key(Job(exercise, card)) == "a")
    marks = {m.item: m for m in mark({"cup_at_24_hours": "80 °F", "verdict": "d"}, card, exercise)}
    assert (marks["verdict"].score, marks["verdict"].points) == (1.5, 3)
    assert "it holds its limit on a day as hot as it is rated for" in marks["verdict"].feedback[-1]


def test_feedback_never_holds_the_key(exercise, cards):
    for card in cards[:40]:
        job = Job(exercise, card)
        for index, item in enumerate(exercise.items):
            if item.kind == "choice":
                continue
            key = from_si(item.key(job), item.kind)
            shown = {f"{key.magnitude:.{digits}f}" for digits in (1, 2, 3)}
            for answer in ("0.001 K", "0.001 J", "0.001 s", "-9 delta_degC", "400 K", "9 years", "nonsense"):
                result = mark({item.name: answer}, card, exercise)[index]
                said = " ".join(s for s in result.feedback if not s.startswith("Understood"))
                own_words = re.sub(r"such as \S+", "", said)  # a unit's example is on no card
                assert not shown & set(re.findall(r"-?\d+\.\d+", own_words))


@pytest.mark.parametrize(
    ("name", "factor", "said"),
    [
        ("heat_from_water", -1, "The size is right, but the sign is not."),
        ("heat_from_water", -3, "The sign is not right."),
        ("heat_from_water", 100, "off by a power of ten"),
        ("heat_from_water", 0.1, "off by a power of ten"),
        ("heat_from_water", 1.1, "close, but too large"),
        ("heat_from_water", 1.7, "too large, by up to two times"),
        ("heat_from_water", 0.3, "too small, by two to ten times"),
        ("heat_from_water", 37, "too large, by more than ten times"),
        ("heat_from_water", 0, "not the right size"),
    ],
)
def test_how_far_off(exercise, cards, name, factor, said):
    item = exercise.item(name)
    right = item.key(Job(exercise, cards[0]))
    assert said in item.asks.how_far_off(factor * right, right)


@pytest.mark.parametrize(
    ("off", "said"), [(0.5, "close, but too warm"), (-4, "too cold, by some"), (20, "many")]
)
def test_how_far_off_for_temperatures(exercise, off, said):
    assert said in exercise.item("cup_at_early_reading").asks.how_far_off(280.0 + off, 280.0)


EXERCISE = load_exercise("substance_temperature_test")
CARD = EXERCISE.practice_card()


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from([item.name for item in EXERCISE.items]), st.text()))
def test_any_text_is_marked_within_bounds(answers):
    for result in mark(answers, CARD, EXERCISE):
        assert 0 <= result.score <= result.points
        assert result.feedback
