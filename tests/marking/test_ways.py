"""The ways to what is right: one for each item, with the card's own numbers, and it leads there."""

import re
from html.parser import HTMLParser

import pytest
from helpers import NEEDS_BANK

from warmside import project
from warmside.blocks import table
from warmside.errors import InputError
from warmside.marking import feedback
from warmside.marking.exercise import Exercise, Item, Job, load_exercise
from warmside.marking.kinds import Quantity
from warmside.marking.ways import figures, right_answer, told, ways_of

EXERCISES = [
    pytest.param(name, marks=NEEDS_BANK if load_exercise(name).needs_bank else ())
    for name in project.exercise_names()
]
_LAST_NUMBER = re.compile(r"[-+]?[\d,]*\.?\d+ ?(?:[^\d\s][^\d]*?)?$")


@pytest.mark.parametrize("name", EXERCISES)
def test_each_item_has_a_way_that_leads_to_what_is_right(name, some_jobs):
    exercise = load_exercise(name)
    ways = ways_of(exercise)
    assert set(ways) == {item.name for item in exercise.items}
    for job in some_jobs(exercise, 2):
        for item in exercise.items:
            said = ways[item.name](job, {})
            assert said and all(part.strip() for part in said if isinstance(part, str))
            if isinstance(item, Item) and isinstance(item.asks, Quantity):
                answer, _ = item.asks.understand(_LAST_NUMBER.search(said[-1])[0])
                assert item.asks.agrees(answer, item.key(job)), (item.name, said)


@pytest.mark.parametrize("name", EXERCISES)
def test_what_is_right_is_said_and_escaped(name, some_jobs):
    exercise = load_exercise(name)
    job = some_jobs(exercise, 1)[0]
    for asked in exercise.asked:
        cell = feedback.right_cell(asked, job, {})
        assert "What is right" in cell.source
        assert asked.name in cell.id
        if isinstance(asked, Item):
            assert right_answer(asked, job) in cell.source.replace("&#39;", "'")


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag, attributes):
        self.seen.append((tag, dict(attributes).get("scope")))


def test_a_table_has_heads_and_nothing_in_it_is_taken_for_a_page():
    page = table("What was <named>", ("Name", "Card"), (("cup", "<b>card</b>"), ("load", "-")))
    tags = Tags()
    tags.feed(page)
    assert tags.seen.count(("th", "col")) == 2
    assert tags.seen.count(("th", "row")) == 2
    assert ("caption", None) in tags.seen
    assert "&lt;b&gt;card&lt;/b&gt;" in page
    assert "What was &lt;named&gt;" in page


def test_an_exercise_without_ways_says_what_is_right_alone():
    item = Item("volts", "Volts", "voltage", 1, lambda job: 12.0, "?", "2 %")
    exercise = Exercise("small", "Small", (item,), lambda draw: ((), {}))
    with pytest.raises(InputError):
        ways_of(exercise)
    assert right_answer(item, Job(exercise, None)) == "12.0 V"


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.0, "0"), (1234.5, "1,234"), (0.0123456, "0.0123"), (38.0, "38"), (99.96, "100"), (-2.345, "-2.35")],
)
def test_figures(value, said):
    assert figures(value) == said


def test_si_stands_behind_where_it_differs():
    assert told(300.0, "temperature") == "80.3 °F (26.9 °C)"
    assert told(12.0, "voltage") == "12.0 V"
