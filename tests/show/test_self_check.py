"""The self-checks: what is asked, in which order, where in a lesson, and what is said to each answer."""

import html
import re
import tomllib
from collections import Counter
from importlib import resources
from xml.etree import ElementTree

import nbformat
import pytest
import textstat

from warmside import project
from warmside.errors import InputError
from warmside.hazards import STOP_SIGNS
from warmside.show.self_check import Check, checks, self_check

NOTEBOOKS = {path.stem[:2]: path for path in (project.root() / "course").glob("[0-9]*.ipynb")}
CHECKS = {check.id: check for module in NOTEBOOKS for check in checks(module)}
CLOSING = {"Common mistakes", "What we learned", "What this does not say", "Cautions", "Sources"}
"""Headings that tell again what was asked before."""
ASKS = re.compile(r'self_check\("([\w.]+)"\)$')
CHANCE = 1 / 3
each_check = pytest.mark.parametrize("check", CHECKS.values(), ids=list(CHECKS))
each_module = pytest.mark.parametrize("module", sorted(NOTEBOOKS))


def right(check: Check) -> int:
    """Where the right answer is shown, from 0."""
    (place,) = (at for at, answer in enumerate(check.answers) if answer.right)
    return place


def sections(module: str) -> dict[str, list[str]]:
    """What stands below each heading of a lesson: "…" for text or an output, and each check's id."""
    found: dict[str, list[str]] = {}
    for cell in nbformat.read(NOTEBOOKS[module], as_version=4).cells:
        asked = ASKS.search(cell.source) if cell.cell_type == "code" else None
        for line in [f"?{asked[1]}"] if asked else cell.source.splitlines():
            if cell.cell_type == "markdown" and line.startswith("## "):
                found[line[3:]] = []
            elif found and line.strip():
                found[[*found][-1]].append(line.removeprefix("?") if asked else "…")
    return found


# --- questions and answers --------------------------------------------------------------------------------


@each_check
def test_an_answer_has_its_reason_and_a_wrong_one_says_why_it_tempts(check):
    assert check.question.endswith("?")
    assert len(check.answers) == 3
    assert sorted(answer.number for answer in check.answers) == [1, 2, 3]
    assert len({answer.text for answer in check.answers}) == 3
    for answer in check.answers:
        assert answer.right == (answer.number == 1)
        assert answer.why.endswith(".") and len(answer.why) >= 20
        assert bool(answer.tempts) != answer.right
        if answer.tempts:
            assert (
                answer.tempts[-1] in ".?" and f"{answer.tempts} What it misses: {answer.why}" in answer.reason
            )


@each_check
def test_answers_are_about_as_long_as_each_other(check):
    lengths = [len(answer.text) for answer in check.answers]
    assert max(lengths) - min(lengths) <= 10


def test_neither_place_nor_length_gives_the_right_one_away():
    """Who always takes the same place, or the longest or the shortest, is no better off than by chance."""
    places = Counter(right(check) for check in CHECKS.values())
    longest = shortest = 0
    for check in CHECKS.values():
        lengths = [len(answer.text) for answer in check.answers]
        its, *others = lengths[right(check)], *lengths[: right(check)], *lengths[right(check) + 1 :]
        longest, shortest = longest + (its > max(others)), shortest + (its < min(others))
    for often in (*places.values(), longest, shortest):
        assert CHANCE - 0.1 < often / len(CHECKS) < CHANCE + 0.07


@each_module
def test_in_no_lesson_one_place_is_the_right_one_mostly_or_never(module):
    places = Counter(right(check) for check in checks(module))
    assert len(places) == 3
    assert max(places.values()) <= 0.6 * len(checks(module))


def test_the_order_is_an_id_s_own_and_stays_when_others_come():
    """What a reader's file holds stands for the same answer in another year."""
    shown = {id: [answer.number for answer in CHECKS[id].answers] for id in ("05.air", "02.fan")}
    assert shown == {"05.air": [3, 1, 2], "02.fan": [1, 3, 2]}
    assert len({tuple(answer.number for answer in check.answers) for check in CHECKS.values()}) == 6


@each_module
def test_ids_are_names_that_do_not_shift(module):
    table = tomllib.loads(
        (resources.files("warmside.show") / "self_checks" / f"{module}.toml").read_text("utf-8")
    )
    assert [check.id for check in checks(module)] == [f"{module}.{name}" for name in table]
    for name in table:
        assert re.fullmatch(r"[a-z]+(_[a-z]+)*", name)


@each_module
def test_it_is_plainly_said(module):
    said = " ".join(
        f"{check.question} {answer.text}. {answer.reason}"
        for check in checks(module)
        for answer in check.answers
    )
    assert textstat.flesch_kincaid_grade(said) <= 9
    assert not re.search(r"draught|louvre|baffle plate", said)


def test_a_check_that_is_not_there_is_told_in_a_sentence():
    with pytest.raises(InputError, match="no self-checks for module “5”"):
        checks("5")
    with pytest.raises(InputError, match=r"no self-check “05\.water”; module 05 has 05\.air, 05\.wait"):
        self_check("05.water")


@pytest.mark.parametrize(
    ("id", "sign"),
    [
        ("00.gas_smell", "gas"),
        ("00.ammonia", "ammonia"),
        ("04.blown", "tripped"),
        ("04.yellow", "flame"),
        ("07.wrong_fuse", "wrong_fuse"),
    ],
)
def test_at_a_stop_sign_it_is_said_who_goes_on(id, sign):
    """As the table of hazards has it."""
    who = re.search(r"licensed electrician|qualified (gas|appliance) technician", STOP_SIGNS[sign].goes_on)
    assert who and any(who[0] in answer.why for answer in CHECKS[id].answers)


# --- in the lessons ---------------------------------------------------------------------------------------


@each_module
def test_every_heading_asks(module):
    for heading, within in sections(module).items():
        asked = [one for one in within if one in CHECKS]
        assert bool(asked) != (heading in CLOSING), heading


@each_module
def test_all_checks_stand_in_the_lesson_once_and_in_order(module):
    asked = [one for within in sections(module).values() for one in within if one in CHECKS]
    assert asked == [check.id for check in checks(module)]


@each_module
def test_most_headings_ask_before_they_tell(module):
    """First a question, then the paragraph; but where it needs an example or a lab's words to ask about."""
    first = {heading: within[0] in CHECKS for heading, within in sections(module).items() if within}
    later = {heading for heading, asks in first.items() if not asks and not heading.startswith("The lab")}
    assert later - CLOSING <= {
        "What does a fault cost?",
        "What should the meter show?",
        "How does a reading move the odds?",
    }


# --- as plain HTML ----------------------------------------------------------------------------------------


@each_check
def test_what_is_right_is_two_steps_away_and_colourless_until_then(check):
    group = ElementTree.fromstring(self_check(check.id).data)
    assert (group.get("role"), group.get("data-check")) == ("group", check.id)
    assert group.findtext("p/b") == check.question
    answers = group.findall("details")
    assert [int(answer.get("data-answer")) for answer in answers] == [one.number for one in check.answers]
    for answer, shown in zip(check.answers, answers, strict=True):
        assert "open" not in shown.attrib and shown.findtext("summary") == answer.text
        (inner,) = shown.findall("details")
        assert "open" not in inner.attrib
        assert inner.findtext("summary") == "That's my answer: is it right, and why?"
        said = "".join(inner.find("p").itertext())
        assert answer.reason in said
        assert ("Yes." in said, "Not quite." in said) == (answer.right, not answer.right)
        (reason,) = inner.findall(".//*[@data-reason]")
        assert (reason.get("data-reason") == "right") == answer.right
        for part in shown.iter():
            assert "#" not in part.get("style", "") or part in inner.findall("p")


def test_what_is_written_is_shown_as_it_is():
    check = next(check for check in CHECKS.values() if "'" in check.answers[0].text + check.question)
    assert check.question in html.unescape(self_check(check.id).data)
