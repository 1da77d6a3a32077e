"""Marks by hand in nbgrader's own formgrader: the rubric is there, marks and a comment are kept."""

import pytest
from browser.notebook_page import SLOW
from helpers import SECRET, mark, typed_for, write_notebook
from playwright.sync_api import expect

from warmside.marking.cells import grade_id
from warmside.marking.exercise import Job, load_exercise
from warmside.session import folder as folders
from warmside.session.hand_in import take_in
from warmside.session.mark import to_mark
from warmside.session.roster import Trainee

pytestmark = [pytest.mark.chromium, pytest.mark.full]
EXERCISE = "heat_sources_and_circuits"


def test_a_person_reads_the_rubric_and_gives_marks(page, served, keep, tmp_path):
    session = folders.start(tmp_path / "class", [Trainee("ann", "Ann", "", "")], [EXERCISE], secret=SECRET)
    notebook = typed_for(session, "ann", EXERCISE)
    next(c for c in notebook.cells if grade_id(c) == "customer_note").source = "Your heater is open."
    take_in(session, [write_notebook(tmp_path / f"ann_{EXERCISE}.ipynb", notebook)])
    assert mark(session, to_mark(session)) == {}

    address = served("session", "open", session.folder)
    page.goto(address)
    page.goto(
        address.split("/formgrader")[0].split("/lab")[0] + f"/formgrader/gradebook/{EXERCISE}/{EXERCISE}"
    )
    page.get_by_text("Submission #1").click()
    exercise = load_exercise(EXERCISE)
    (asked,) = exercise.by_hand
    expect(page.get_by_text("For the instructor alone").first).to_be_visible(timeout=SLOW)
    for sentence in asked.rubric(Job(exercise, exercise.job_card(SECRET, "ann"))):
        expect(page.get_by_text(sentence)).to_be_visible()
    expect(page.get_by_text("Your heater is open.")).to_be_visible()

    score = page.locator(f"input.score#{asked.name}")
    score.scroll_into_view_if_needed()
    keep(page, "formgrader_by_hand")
    with page.expect_response(lambda said: said.request.method == "PUT" and "/api/grade/" in said.url):
        score.fill("3")
        score.press("Tab")
    expect(page.locator(".score-saved").last).to_be_visible(timeout=SLOW)
    keep(page, "formgrader_marked_by_hand")
    with session.gradebook() as gradebook:
        grade = gradebook.find_grade(asked.name, EXERCISE, EXERCISE, "ann")
        assert (grade.manual_score, grade.needs_manual_grade) == (3.0, False)
