"""Answers that are judged: lists of names, shares of the marks."""

from warmside.marking.cells import LONGEST_ANSWER
from warmside.marking.exercise import Exercise, Item, Judged, Mistake
from warmside.marking.feedback import summary_cell
from warmside.marking.job_card import Entry, JobCard
from warmside.marking.marks import Outcome, mark
from warmside.marking.verdict import Verdict

NAMES = ("cup", "load", "vent_air")


def judge(names, given, job):
    """Each name earns a third; a letter z spoils it."""
    if given.get("letter") == "z":
        return Verdict(0.0, ("Spoilt.",), "spoilt by a letter")
    return Verdict(len(names) / 3, ("Counted.",))


LETTER = Judged("letter", "A letter", "choice", 1, tuple("az"), lambda letter, given, job: Verdict(9.0, ()))
LIST = Judged("names", "Some names", "names", 4, NAMES, judge)
PLAIN = Item(
    name="plain",
    title="A plain one",
    kind="choice",
    points=1,
    choices=tuple("ab"),
    key=lambda job: "a",
    hint="Look again.",
    mistakes=(Mistake("the other one", "Not that.", lambda job: "b"),),
)
EXERCISE = Exercise("judged", "Judged", (LIST, LETTER, PLAIN), lambda draw: ((Entry("note", "", ""),), {}))
CARD = JobCard("judged", "t1", "AAAA-BBBB", (Entry("note", "Note", "<b>card</b>"),))


def marks(**answers):
    return {one.item: one for one in mark(answers, CARD, EXERCISE)}


def test_all_that_can_be_read_fits_into_an_answer():
    from warmside.diagnosis.readings import READINGS

    assert len(", ".join(READINGS)) < LONGEST_ANSWER


def test_shares_become_marks_and_outcomes():
    assert (marks(names="cup")["names"].score, marks(names="cup")["names"].outcome) == (1.33, Outcome.PARTLY)
    whole = marks(names="cup, load, vent_air")["names"]
    assert (whole.score, whole.outcome) == (4, Outcome.RIGHT)
    assert whole.feedback == ("Understood: cup, load, vent_air.", "Counted.")
    spoilt = marks(names="cup", letter="z")["names"]
    assert (spoilt.score, spoilt.outcome, spoilt.mistake) == (0, Outcome.MISTAKE, "spoilt by a letter")
    assert marks(letter="a")["letter"].score == 1  # never more than there is


def test_what_is_missing_or_not_understood_earns_nothing_and_is_not_judged():
    assert marks()["names"].outcome is Outcome.UNANSWERED
    wrong = marks(names="cupp", letter="z")
    assert wrong["names"].outcome is Outcome.NOT_UNDERSTOOD
    assert "“cupp” was read" in wrong["names"].feedback[0]
    # a letter that isn't understood is none
    assert marks(names="cup", letter="zz")["names"].score == 1.33


def test_judged_and_computed_items_stand_side_by_side():
    both = marks(names="cup", plain="b")
    assert list(both) == ["names", "letter", "plain"]
    assert both["plain"].mistake == "the other one"
    assert EXERCISE.points == 6
    assert EXERCISE.confusable(CARD) == []


def test_the_summary_names_what_is_right_in_part():
    cell = summary_cell(EXERCISE, CARD, mark({"names": "cup"}, CARD, EXERCISE), [])
    assert "right in part" in cell.source
