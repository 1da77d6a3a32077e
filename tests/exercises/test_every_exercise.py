"""What holds for every exercise: source scores full marks, release none, and neither it nor a pack holds a
key."""

import json
import re
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from statistics import fmean

import pytest
import textstat
from helpers import NEEDS_BANK, SECRET, answer_cell, cards_for, released_notebook, source_notebook

from warmside import project
from warmside.errors import InputError
from warmside.marking import practice
from warmside.marking.cells import grade_id, is_answer, is_by_hand
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.job_card import keyed
from warmside.marking.marks import IMPOSSIBLE, mark
from warmside.session.exercise_check import Kernel, code_of
from warmside.session.release import out_of_step
from warmside.units import KINDS, si_of

RUN, RUN_FROM_BANK = 50, 20
"""Cards on which notebooks are run."""
DRAWN, DRAWN_FROM_BANK = 300, 24
"""Cards that are drawn, to look at what the draw does."""
ASKED = {"name", "title", "kind", "points", "choices"}


@pytest.fixture(scope="module")
def kernel():
    with Kernel() as kernel:
        yield kernel


EACH = [
    pytest.param(name, marks=NEEDS_BANK if load_exercise(name).needs_bank else ())
    for name in project.exercise_names()
]


@pytest.fixture(scope="module", params=EACH)
def each(request):
    return load_exercise(request.param)


@pytest.fixture(scope="module")
def expected(each):
    return practice.from_data(practice.practice_data(each))


@pytest.fixture(scope="module")
def draws(each, drawn):
    """Many cards, each with how many draws it took."""
    return drawn(each, cards_for(each, DRAWN, DRAWN_FROM_BANK))


@pytest.fixture(scope="module")
def jobs(each, draws, tmp_path_factory):
    """Some of these cards, each with the folder that its files lie in."""
    folder = tmp_path_factory.mktemp("cards")
    made = []
    for card, _ in draws[: cards_for(each, RUN, RUN_FROM_BANK)]:
        place = folder / card.trainee
        place.mkdir()
        for name, text in card.as_files().items():
            (place / name).write_text(text, encoding="utf-8")
        made.append((card, str(place)))
    return made


@pytest.mark.full
def test_source_scores_full_marks_on_every_card(each, kernel, jobs):
    cells = code_of(source_notebook(each.name))
    for card, folder in jobs:
        marks = mark(kernel.run(cells, folder), card, each)
        assert [m for m in marks if m.score < m.points] == []
        assert len(marks) == len(each.items)


@pytest.mark.full
def test_release_scores_zero_on_every_card(each, kernel, jobs):
    cells = code_of(released_notebook(each.name))
    for card, folder in jobs:
        answers = kernel.run(cells, folder)
        assert answers == dict.fromkeys(item.name for item in each.items)
        assert sum(m.score for m in mark(answers, card, each)) == 0


def test_no_private_module_lies_in_a_release(each):
    root = project.root()
    assert list((root / "solutions_private" / each.name).glob("*.py"))
    assert not list((root / "exercises" / each.name).rglob("*.py"))


def test_notebook_and_items_agree(each):
    notebook = source_notebook(each.name)
    graded = {grade_id(c): c for c in notebook.cells if c.metadata["nbgrader"]["grade"]}
    assert list(graded) == [asked.name for asked in each.asked]
    tasks = "".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    for number, asked in enumerate(each.asked, start=1):
        cell = graded[asked.name]
        assert cell.metadata["nbgrader"]["points"] == asked.points
        heading = next(line for line in tasks.split("### ") if line.startswith(f"{number}. "))
        assert f"({asked.points:g} mark" in heading.splitlines()[0]
    for item in each.items:
        assert re.fullmatch(
            rf'record\("{item.name}", "{item.kind}"{choices_of(item)}\)', graded[item.name].source
        )
        assert answer_cell(notebook, item.name).source.startswith(
            (f'{item.name} = "          "  # ', f"{item.name} = case.taken")
        )
    for asked in each.by_hand:
        assert is_by_hand(graded[asked.name])
        assert graded[asked.name].cell_type == "markdown"
        assert asked.rubric(Job(each, each.practice_card()))


def choices_of(item) -> str:
    """How a locked cell gives them: as letters, or out of the case or a catalogue."""
    if not item.choices:
        return ""
    letters = "".join(item.choices)
    from_lists = r', (case\.names|codes\("\w+"\))'
    return f'(, "{letters}"|{from_lists})' if len(letters) == len(item.choices) else from_lists


def test_there_are_items_and_reasons_enough(each):
    assert len(each.items) >= 8
    for item in each.items:
        if not item.paths(Job(each, each.practice_card())):
            assert item.choices
            continue
        assert len(item.mistakes) >= 2
        assert len({mistake.name for mistake in item.mistakes}) == len(item.mistakes)
        assert all(mistake.next_step and 0 <= mistake.credit < 1 for mistake in item.mistakes)
        assert item.hint
        assert (item.tolerance and item.why) or item.choices


def test_a_log_is_shown_and_something_is_read_off_it(each, drawn):
    # Its file is all that differs between the two cards; a key that hangs on it is read off the chart.
    one, other = (card for card, _ in drawn(each, 2))
    logs = [name for name in one.files if name.endswith(".csv")]
    assert logs
    [shown] = [cell.source for cell in released_notebook(each.name).cells if grade_id(cell) == "log"]
    assert re.fullmatch(r"from warmside\.show\.\w+ import (show_\w+)\n\n\1\(card\)", shown)
    mixed = replace(one, files=one.files | {name: other.files[name] for name in logs})
    assert [
        item.name for item in each.items if item.paths(Job(each, one))[:1] != item.paths(Job(each, mixed))[:1]
    ]


@pytest.mark.full
def test_hardly_a_draw_is_thrown_away(draws):
    # That truth and mistakes lie apart on every card is what `job_card` sees to; here that it doesn't do so
    # by picking a few odd jobs out of many.
    assert sum(taken for _, taken in draws) < 3 * len(draws)
    assert len({(card.entries, *card.files.items()) for card, _ in draws}) == len(draws)


@pytest.mark.full
def test_one_card_is_as_hard_as_another(each, draws):
    # What somebody earns who falls into a listed mistake at each question, each as likely as the others, is
    # within 3 % of the marks on all cards. Of a choice that hangs on the card no letter is right much more
    # often than the others.
    items = [item for item in each.items if item.mistakes]
    earned, letters = [], {item.name: Counter() for item in items if item.choices}
    for card, _ in draws:
        job = Job(each, card)
        credits = [[one.credit for one in item.mistakes if one.answer(job) is not None] for item in items]
        assert all(len(one) >= 2 for one in credits)
        earned.append(sum(item.points * fmean(one) for item, one in zip(items, credits, strict=True)))
        for name, counted in letters.items():
            counted[each.item(name).key(job)] += 1
    assert max(earned) - min(earned) <= 0.03 * sum(item.points for item in items)
    for counted in letters.values():
        assert max(counted.values()) <= 1.5 * len(draws) / len(counted)


ABSURD = ["0", "-1", "-400", "500", "1e-30", "1e30"]


@pytest.mark.filterwarnings("ignore:overflow", "ignore:divide by zero", "ignore:invalid value")
@pytest.mark.parametrize("number", ABSURD)
def test_an_absurd_answer_costs_its_own_marks_and_stops_nothing(each, number):
    # What follows from absurd answers, worked out without a slip, earns nothing unless it is true; what
    # follows from one that could stand on another card may.
    job = Job(each, each.practice_card())
    right = {item.name: item.constants(job) for item in each.items if item.paths(job)}
    own = {}
    for name, expected in right.items():
        item = each.item(name)
        if item.kind in KINDS and not expected["follows"]:
            with suppress(InputError):  # what is below a vacuum isn't understood at all
                own[name], _ = item.asks.understand(f"{number} {KINDS[item.kind].us}")
        elif expected["follows"]:
            with suppress(ArithmeticError, ValueError):
                own[name] = item.key(Job(each, job.card, own))
    answers = {name: each.item(name).asks.typed(value) for name, value in own.items()}
    marks = {m.item: m for m in mark(answers, job.card, each)}
    assert len(marks) == len(each.items)
    true = {name for name, value in own.items() if each.item(name).asks.agrees(value, right[name]["answer"])}
    possible = {name for name, value in own.items() if name not in true and each.item(name).carries(value)}
    for name in own.keys() - true:
        if not marks[name].mistake and not possible & set(right[name]["follows"]):
            assert marks[name].score == 0, name


def test_what_carries_on_has_bounds_that_hold_each_card_and_are_no_wider_than_they_need(each, drawn):
    # Of a magnitude the bounds lie within ten times of what stands on some card, of what may have either
    # sign or is a temperature within 60 °F.
    jobs = [Job(each, one.card) for one in drawn(each, 24)]
    followed = {
        name for job in jobs for item in each.items for name in item.constants(job).get("follows", ())
    }
    assert followed
    for name in followed:
        item = each.item(name)
        if item.kind not in KINDS:
            continue
        keys = [item.key(job) for job in jobs]
        assert all(item.carries(key) for key in keys), name
        lowest, highest = (si_of(end, item.kind) for end in item.could_be)
        if "temperature" in item.kind:
            assert lowest > min(keys) - 60 / 1.8 and highest < max(keys) + 60 / 1.8, name
        else:
            assert lowest > 0 and min(keys) / 10 < lowest and highest < 10 * max(keys), name


def test_a_decision_that_hangs_on_earlier_answers_says_what_is_true(each, drawn):
    # So that it earns half where it follows from wrong ones. Fuses are chosen, too, though by a number.
    jobs = [Job(each, one.card) for one in drawn(each, 24)]
    for item in each.items:
        follows = any(item.constants(job).get("follows") for job in jobs)
        if follows and (item.kind not in KINDS or item.name == "fuse_rating"):
            for job in jobs:
                for answer in item.choices or [9 * item.key(job), 0.1 * item.key(job)]:
                    said = item.decides(job, answer)
                    assert said.endswith(".") and not re.search(r"\d", said), item.name
        else:
            assert not getattr(item, "decides", None)


@pytest.mark.full
def test_exercises_is_what_the_source_generates(each):
    assert out_of_step(each.name) == []


def test_release_holds_no_solution(each):
    released = released_notebook(each.name)
    text = "\n".join(cell.source for cell in released.cells)
    assert "SOLUTION" not in text
    for cell in filter(is_answer, source_notebook(each.name).cells):
        begins, ends = (cell.source.index(f"### {edge} SOLUTION") for edge in ("BEGIN", "END"))
        lines = [line.strip() for line in cell.source[begins:ends].splitlines()[1:]]
        assert any(lines)
        assert [line for line in lines if line and line in text] == []
    files = {path.name for path in (project.root() / "exercises" / each.name).iterdir()}
    card = each.practice_card()
    with_it = each.with_practice(Job(each, card))
    assert files == {f"{each.name}.ipynb", practice.FILE_NAME, *card.as_files(), *with_it}
    for one in json.loads((project.root() / "exercises" / each.name / practice.FILE_NAME).read_text())[
        "items"
    ]:
        assert set(one) <= {"verdicts", "answer", "tolerance", "hint", "follows", "mistakes", *ASKED}


def test_what_practice_expects_is_of_the_practice_card_alone(each, expected, drawn):
    # No session's card is drawn for it, and none of it is right everywhere.
    job = Job(expected.exercise, each.practice_card())
    for item in expected.exercise.items:
        if paths := item.paths(job):
            right = {item.asks.typed(paths[0][1])}
        else:
            single = [one for one in item.asks.possible() if len(one) == 1]
            right = {item.asks.typed(one) for one in single if item.judge(one, {}, job).share}
        for answer in right:
            assert any(
                one.item == item.name and one.score < item.points
                for card, _ in drawn(each, 24)
                for one in mark({item.name: answer}, card, each)
            ), item.name
    assert expected.card_number == each.practice_card().number


def test_practice_is_marked_as_marking_marks(each, expected):
    card = each.practice_card()
    assert len(expected.exercise.items) + len(expected.left) == len(each.asked)
    assert len(expected.exercise.items) >= len(each.items) / 2
    job = Job(each, card)
    assert practice.mark_practice({}, card, expected)
    for item in expected.exercise.items:
        for _, value in each.item(item.name).paths(job):
            answers = {item.name: item.asks.typed(value)}
            (here,) = [m for m in practice.mark_practice(answers, card, expected) if m.item == item.name]
            (there,) = [m for m in mark(answers, card, each) if m.item == item.name]
            # what rests on it isn't known to constants, and is told where it is marked
            there = replace(there, feedback=tuple(one for one in there.feedback if one != IMPOSSIBLE))
            assert replace(here, feedback=here.feedback[: len(there.feedback)]) == there


def test_practice_card_is_no_trainees_card(each):
    path = project.root() / "exercises" / each.name / "job_card.json"
    practice = json.loads(path.read_text("utf-8"))
    assert practice["trainee"] == "practice"
    assert keyed(SECRET, "x") != keyed(b"practice", "x")
    assert each.job_card(SECRET, "practice").entries != each.practice_card().entries


def test_text_is_plain_invented_and_begins_and_ends_with_cautions(each):
    texts = [cell.source for cell in released_notebook(each.name).cells if cell.cell_type == "markdown"]
    assert "Alder Fen Training Yard" in texts[0]
    assert "invented" in texts[0]
    assert "licensed" in texts[-1]
    prose = "\n\n".join(line for text in texts for line in text.splitlines() if not line.startswith("|"))
    assert textstat.flesch_kincaid_grade(prose.replace("*", "").replace("#", "").replace("`", "")) <= 9


def test_no_message_is_lost(kernel):
    assert kernel.silent()
