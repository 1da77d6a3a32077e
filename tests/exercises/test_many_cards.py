"""Two exercises on very many cards: none confusable, each mistake told, and little for who reads no card."""

from statistics import fmean

import pytest

from warmside.marking.exercise import Job, load_exercise
from warmside.marking.marks import mark

NAMES = ("absorption_cycle", "clearances")
FEW, MANY = 25, 1000


@pytest.fixture(scope="module", params=NAMES)
def exercise(request):
    return load_exercise(request.param)


def check(exercise, cards) -> None:
    """Full marks for what is right, and each mistake told by its own name with what it earns."""
    told = set()
    for card in cards:
        job = Job(exercise, card)
        assert exercise.confusable(card) == []
        right = {item.name: item.asks.typed(item.key(job)) for item in exercise.items}
        assert all(one.score == one.points for one in mark(right, card, exercise))
        for item in exercise.items:
            for mistake in item.mistakes:
                if (value := mistake.answer(job)) is None:
                    continue
                verdict = item.judge(value, {}, job)
                assert (verdict.mistake, verdict.share) == (mistake.name, mistake.credit), item.name
                told.add((item.name, mistake.name))
    assert told == {(item.name, mistake.name) for item in exercise.items for mistake in item.mistakes}


def test_a_few_cards(exercise, drawn):
    check(exercise, [one.card for one in drawn(exercise, FEW)])


@pytest.mark.long
def test_a_thousand_cards(exercise):
    check(exercise, [exercise.job_card(b"many", f"t{place}") for place in range(MANY)])


def test_answers_that_look_at_no_card_earn_little(exercise, drawn):
    # another card's answers, all right there; and of each choice always the same letter
    jobs = [Job(exercise, one.card) for one in drawn(exercise, FEW)]
    points = sum(item.points for item in exercise.items)
    other = {item.name: item.asks.typed(item.key(jobs[0])) for item in exercise.items}
    earned = [sum(one.score for one in mark(other, job.card, exercise)) for job in jobs[1:]]
    assert fmean(earned) < 0.35 * points
    for place in range(3):
        blind = {item.name: item.choices[place] for item in exercise.items if item.choices}
        earned = [sum(one.score for one in mark(blind, job.card, exercise)) for job in jobs]
        assert fmean(earned) < 0.25 * points
