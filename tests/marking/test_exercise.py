"""Exercises: which jobs are fair, whose mistake it was, and how their sources are loaded."""

from dataclasses import replace

import pytest

from warmside.errors import InputError
from warmside.marking.exercise import Exercise, Item, Job, Judged, Mistake, load_exercise
from warmside.marking.job_card import Entry, JobCard
from warmside.marking.marks import Outcome, mark
from warmside.marking.verdict import Verdict

CARD = JobCard("small", "t1", "AAAA-BBBB", (Entry("watts", "Watts", "100 W", "power"),))


def watts(*factors: float, name: str = "watts", key=lambda job: job["watts"]) -> Item:
    """An item with a tolerance of one per cent, and a mistake for each factor."""
    mistakes = tuple(
        Mistake(f"times {factor}", "Look.", lambda job, factor=factor: factor * key(job), credit=0.25)
        for factor in factors
    )
    return Item(
        name,
        "Watts",
        "power",
        4,
        key,
        "Hint.",
        "1 %",
        "Invented.",
        mistakes=mistakes,
        could_be=("10 W", "1 kW"),
    )


def small(*items, draw=lambda draw: (CARD.entries, {})) -> Exercise:
    return Exercise("small", "Small", items, draw)


def marked(exercise: Exercise, **answers: str):
    return {one.item: one for one in mark(answers, CARD, exercise)}


def test_a_job_is_fair_where_truth_and_mistakes_lie_three_tolerances_apart():
    # Three tolerances of the larger of two values are 3.093 % of the smaller.
    assert small(watts(1.0305)).confusable(CARD) == [("watts", "the right answer", "times 1.0305")]
    assert small(watts(1.0315)).confusable(CARD) == []
    assert small(watts(2.0, 2.05)).confusable(CARD) == [("watts", "times 2.0", "times 2.05")]
    assert small(watts(2.0, 2.07)).confusable(CARD) == []


def test_an_exercise_without_a_fair_job_gives_up():
    with pytest.raises(RuntimeError, match="1000 draws gave no job card"):
        small(watts(1.01)).job_card(b"x", "t1")


def test_a_mistake_is_named_only_where_no_other_fits():
    two = small(watts(2.0, 2.001, 3.0))
    both = marked(two, watts="200 W")["watts"]
    assert (both.outcome, both.mistake, both.score) == (Outcome.WRONG, "", 0.0)
    assert both.feedback[-1] == "Hint."
    one = marked(two, watts="300 W")["watts"]
    assert (one.outcome, one.mistake, one.score) == (Outcome.MISTAKE, "times 3.0", 1.0)


def test_a_share_of_the_marks_stays_within_bounds():
    def judged(share):
        return small(Judged("j", "J", "choice", 2, ("a",), lambda answer, given, job: Verdict(share, ())))

    scores = {share: marked(judged(share), j="a")["j"].score for share in (-1.0, 0.0, 1 / 3, 1.0, 2.0)}
    assert scores == {-1.0: 0.0, 0.0: 0.0, 1 / 3: 0.67, 1.0: 2.0, 2.0: 2.0}
    assert marked(judged(0.999), j="a")["j"].outcome is Outcome.PARTLY
    assert marked(judged(1.0), j="a")["j"].outcome is Outcome.RIGHT
    assert marked(judged(-1.0), j="a")["j"].outcome is Outcome.WRONG


def test_only_an_earlier_answer_that_was_not_right_carries_on():
    half = watts(2.0, name="half", key=lambda job: job.value("watts") / 2)
    pair = small(watts(2.0), half)
    carried = marked(pair, watts="300 W", half="150 W")["half"]
    assert (carried.outcome, carried.score) == (Outcome.CARRIED, 4.0)
    # Right within the tolerance, so the key itself counts: 100.9 W halved twice over lies 0.9 % off.
    assert marked(pair, watts="100.9 W", half="50.9 W")["half"].outcome is Outcome.WRONG
    assert marked(pair, watts="100.9 W", half="50 W")["half"].outcome is Outcome.RIGHT
    assert marked(pair, half="150 W")["half"].outcome is Outcome.WRONG
    # A mistake is one on the card's numbers, whatever came before.
    assert marked(pair, watts="300 W", half="100 W")["half"].mistake == "times 2.0"
    assert marked(pair, watts="300 W", half="300 W")["half"].outcome is Outcome.WRONG


def test_what_no_card_leads_to_carries_nothing_on_and_is_told():
    half = watts(2.0, name="half", key=lambda job: job.value("watts") / 2)
    pair = small(watts(2.0), half)
    for typed, follows in (("9 W", "4.5 W"), ("0 W", "0 W"), ("-400 W", "-200 W"), ("1.1 kW", "550 W")):
        marks = marked(pair, watts=typed, half=follows)
        assert marks["half"].score == 0
        assert "No card of this exercise leads to such a value" in marks["watts"].feedback[-1]
        assert "No card" not in " ".join(marks["half"].feedback)  # nothing is worked out from it
        assert marked(pair, watts=typed, half="50 W")["half"].outcome is Outcome.RIGHT
    assert marked(pair, watts="10 W", half="5 W")["half"].outcome is Outcome.CARRIED
    # Without bounds nothing is carried on at all.
    bare = small(replace(watts(2.0), could_be=()), half)
    assert marked(bare, watts="300 W", half="150 W")["half"].outcome is Outcome.WRONG


def test_a_decision_that_follows_from_a_wrong_value_earns_half_and_hears_what_is_true():
    def enough(job):
        return "a" if job.value("watts") < 200.0 else "b"

    decision = Item(
        "enough",
        "Enough",
        "choice",
        2,
        enough,
        "Hint.",
        choices=tuple("ab"),
        decides=lambda job, answer: f"In truth it is {enough(job)}, and not {answer}.",
    )
    pair = small(watts(2.0), decision)
    followed = marked(pair, watts="300 W", enough="b")["enough"]
    assert (followed.outcome, followed.score) == (Outcome.PARTLY, 1.0)
    assert followed.feedback[-1] == "In truth it is a, and not b."
    assert marked(pair, watts="300 W", enough="a")["enough"].outcome is Outcome.RIGHT
    assert marked(pair, watts="100 W", enough="b")["enough"].score == 0
    assert marked(pair, watts="9 kW", enough="b")["enough"].score == 0


def test_a_judged_answer_sees_all_that_was_understood():
    seen = {}

    def judge(answer, given, job):
        seen.update(given)
        return Verdict(1.0, ())

    letter = Judged("letter", "L", "choice", 1, tuple("ab"), judge)
    other = Judged("other", "O", "choice", 1, tuple("ab"), judge)
    marked(small(letter, other, watts(2.0)), letter="a", other="z", watts="1 kW")
    assert seen == {"letter": "a", "watts": 1000.0}
    with pytest.raises(TypeError, match="letter is judged"):
        Job(small(letter), CARD).value("letter")


def test_what_a_key_is_computed_from_is_noted():
    half = watts(2.0, name="half", key=lambda job: job.value("watts") / 2)
    quarter = watts(name="quarter", key=lambda job: job.value("half") / 2)
    job = Job(small(watts(2.0), half, quarter), CARD)
    assert half.constants(job)["follows"] == ["watts"]
    assert quarter.constants(job)["follows"] == ["half", "watts"]
    assert watts(2.0).constants(job)["follows"] == []


SOURCE = """
from warmside.marking.exercise import Exercise
from . import words
EXERCISE = Exercise("twin", words.TITLE, (), lambda draw: ((), {}))
"""


def test_exercises_of_one_name_in_two_projects_are_told_apart(tmp_path, monkeypatch):
    for title in ("one", "other"):
        folder = tmp_path / title / "solutions_private" / "twin"
        folder.mkdir(parents=True)
        (folder / "items.py").write_text(SOURCE)
        (folder / "words.py").write_text(f"TITLE = {title!r}")
    for title in ("one", "other", "one"):
        monkeypatch.setenv("WARMSIDE_ROOT", str(tmp_path / title))
        assert load_exercise("twin").title == title
    monkeypatch.setenv("WARMSIDE_ROOT", str(tmp_path))
    with pytest.raises(InputError):
        load_exercise("twin")
