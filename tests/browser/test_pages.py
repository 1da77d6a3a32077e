"""What people see: the formgrader, feedback and report."""

import nbformat
import pytest
from browser.notebook_page import SLOW
from helpers import NAME, answer_cell, mark, solved_notebook, typed_for, write_notebook
from playwright.sync_api import expect

from warmside.session.hand_in import take_in
from warmside.session.mark import to_mark
from warmside.session.report import write_report

pytestmark = [pytest.mark.chromium, pytest.mark.full]


def test_formgrader_shows_and_marks_the_session(page, served, keep, marked, tmp_path):
    take_in(marked, [write_notebook(tmp_path / f"ann-b_{NAME}.ipynb", typed_for(marked, "ann-b"))])
    address = served("session", "open", marked.folder)
    page.goto(address)
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + "/formgrader/manage_submissions/" + NAME)
    row = page.get_by_role("row").filter(has_text="ann-b")
    expect(row).to_be_visible(timeout=SLOW)
    keep(page, "formgrader_submissions")
    row.locator(".autograde a").click()
    page.get_by_role("button", name="OK").or_(page.get_by_role("button", name="Close")).first.click(
        timeout=SLOW
    )
    with marked.gradebook() as gradebook:
        scores = [gradebook.find_submission(NAME, trainee).score for trainee in ("ann", "ann-b", "zed.9")]
    assert scores == [20, 20, 20]
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + f"/formgrader/gradebook/{NAME}/{NAME}")
    expect(page.get_by_text("Submission #1")).to_be_visible(timeout=SLOW)
    page.get_by_text("Submission #1").click()
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible(timeout=SLOW)
    expect(page.get_by_text("That is right.").first).to_be_visible()
    keep(page, "formgrader_submission")


def test_the_formgrader_shows_a_hostile_hand_in_harmlessly(page, served, keep, session, tmp_path):
    hostile = solved_notebook()
    markup = (
        "<script>alert(1)</script><img src='x' onerror='alert(2)'><iframe src='https://elsewhere.example'>"
    )
    hostile.cells.insert(1, nbformat.v4.new_markdown_cell(markup))
    cell = answer_cell(hostile, "verdict")
    cell.source = (
        f"from IPython.display import HTML, Javascript, display\nmarkup = {markup!r}\n"
        "display(HTML(markup)); display(Javascript('alert(3)'))\nverdict = markup"
    )
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", hostile)])
    mark(session, to_mark(session))
    popped, asked = [], []
    page.on("dialog", lambda dialog: (popped.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: asked.append(request.url))
    address = served("session", "open", session.folder)
    page.goto(address)
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + f"/formgrader/gradebook/{NAME}/{NAME}")
    page.get_by_text("Submission #1").click(timeout=SLOW)
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible(timeout=SLOW)
    keep(page, "formgrader_hostile")
    page.goto((session.folder / "feedback" / "ann" / NAME / f"{NAME}.html").as_uri())
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible()
    assert popped == []
    assert not [url for url in asked if "elsewhere.example" in url]


def test_feedback_and_report_need_no_network(page, keep, demo):
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((demo.folder / "feedback" / "t04" / NAME / f"{NAME}.html").as_uri())
    expect(page.get_by_text("ounces taken as pounds").first).to_be_visible()
    keep(page, "feedback")
    page.goto(write_report(demo)[0].as_uri())
    expect(page.get_by_text("This class is invented")).to_be_visible()
    keep(page, "report")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
