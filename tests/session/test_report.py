"""The report: page and CSV."""

import csv
import io
import re

import pytest
from helpers import NAME, points_by_machine

from warmside.marking.marks import Outcome
from warmside.session.report import marks_csv, plain, report_page, summarise, write_report
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_csv_quotes_every_field_and_names_every_item(demo, exercise):
    text = marks_csv(standings(demo))
    assert all(line.startswith('"') and line.endswith('"') for line in text.splitlines())
    rows = rows_of(text)
    assert len(rows) == 12 * len(exercise.asked)
    scores = [float(row["score"]) for row in rows if row["trainee"] == "t01" and row["score"]]
    assert (len(scores), sum(scores)) == (len(exercise.items), points_by_machine(exercise))
    assert {row["late"] for row in rows if row["trainee"] == "t10"} == {"yes"}


def test_one_not_handed_in_has_a_line_of_its_own(session):
    rows = rows_of(marks_csv(standings(session)))
    assert [row["state"] for row in rows] == ["not handed in"] * 3
    assert rows[0]["last name"] == "O'Neil, jr"


def test_no_field_is_taken_for_a_formula(session):
    rows = rows_of(marks_csv(standings(session)))
    assert rows[2]["last name"] == "'=1+1"
    risky = ("+1", "-1", "@x", " =1", "\n=1", "\uff1d1", "\uff0b1", "\uff0d1", "\uff201")
    assert [plain(text) for text in (*risky, "a=b", "")] == [*("'" + text for text in risky), "a=b", ""]


def test_page_tells_marks_mistakes_and_hand_ins(demo, exercise):
    page = report_page(demo, standings(demo))
    assert "This class is invented" in page
    assert "12 of 12 handed in" in page
    for item in exercise.asked:
        assert item.title in page
    assert "ounces taken as pounds" in page
    assert "Made with another job card" in page
    assert re.search(r"t11.*?\bt01\b", page, re.DOTALL)
    assert page.count("(late)") == 1


def test_summaries_count_what_the_rows_hold(demo, exercise):
    rows = standings(demo)
    for index, summary in enumerate(summarise(exercise, rows)):
        outcomes = [row.items[index].outcome for row in rows]
        assert summary.marked == 12
        assert sum(summary.outcomes.values()) == 12
        assert all(outcomes.count(outcome) == count for outcome, count in summary.outcomes.items())
        waits = Outcome.WAITS in summary.outcomes
        assert summary.share is None if waits else 0 < summary.share < 1


def test_files_are_private_and_free_of_the_network(demo):
    page, table = write_report(demo)
    assert page.stat().st_mode & 0o077 == 0
    assert table.stat().st_mode & 0o077 == 0
    assert not re.search(r"(src|href)=[\"']https?:", page.read_text("utf-8"))


def test_names_in_other_scripts_and_markup_are_text(tmp_path):
    from warmside.session import folder as folders
    from warmside.session.roster import Trainee

    roster = [Trainee("t1", "<b>Bo</b>", "שרה", ""), Trainee("t2", "🙂", '"x", y', "")]
    made = folders.start(tmp_path / "x", roster, [NAME])
    page = report_page(made, standings(made))
    assert "&lt;b&gt;Bo&lt;/b&gt; שרה" in page
    assert [row["last name"] for row in rows_of(marks_csv(standings(made)))] == ["שרה", '"x", y']
