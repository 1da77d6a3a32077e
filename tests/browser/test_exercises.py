"""Each exercise from job card to hand-in, as a trainee does it with the keyboard, up to its marks."""

import re
import zipfile

import nbformat
import pytest
from browser.notebook_page import (
    SLOW,
    answer,
    focus_by_tab,
    keep_both,
    open_by_path,
    run_all,
    shut_down_kernels,
    the_button,
)
from helpers import SECRET, locked_cell, mark, part_of
from nbgrader_metadata import assert_same_until_marked
from playwright.sync_api import expect

from warmside.marking.cells import recorded_answer
from warmside.marking.exercise import Job, load_exercise
from warmside.session import folder as folders
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark
from warmside.session.roster import Trainee

pytestmark = [pytest.mark.chromium, pytest.mark.full]
TYPED = {
    "absorption_cycle": {"setting": "", "ammonia_part": "34 psi"},
    "clearances": {"plan_flaw": "", "louver_area": "70 in²"},
    "diagnosis": {},
    "heat_sources_and_circuits": {"first_step": "c", "heater_resistance": "44 ohm"},
    "venting": {"why_draught": "c", "draught": "0.0025 in w.c."},
}
"""What is typed; the first is right on every card, or is left open and comes from ann's. One more exercise:
test_closing.py."""
REPORT = "The baffle is missing. Fit one, then run the same test again."


@pytest.fixture(scope="module")
def class_of_one(tmp_path_factory):
    place = tmp_path_factory.mktemp("session") / "class"
    return folders.start(place, [Trainee("ann", "Ann", "", "")], list(TYPED), secret=SECRET)


@pytest.fixture(scope="module")
def desk(class_of_one, tmp_path_factory):
    """The folder in which a trainee unpacked what was handed out."""
    folder = tmp_path_factory.mktemp("desk")
    zipfile.ZipFile(hand_out(class_of_one)[0]).extractall(folder)
    return folder


@pytest.fixture(scope="module")
def address(served_to_all, desk):
    return served_to_all("open", desk)


def typed_by_ann(session, name: str) -> dict[str, str]:
    exercise = load_exercise(name)
    job = Job(exercise, session.frozen_card(exercise, "ann").card)
    if name == "diagnosis":
        return {"stop_sign": part_of("diagnosis", "stops").sign_of(job)}
    return {item: text or job.value(item) for item, text in TYPED[name].items()}


def take_a_reading(page) -> None:
    page.locator(".jp-CodeCell .cm-content").filter(has_text="readings_taken = case.taken").click()
    page.keyboard.press("Control+End")
    page.keyboard.type('case.read("load")\n')


def write_by_hand(page) -> None:
    """Write into the cell for text: two clicks show its source, one more puts the cursor there."""
    cell = page.locator(".jp-MarkdownCell").filter(has_text="Double-click here")
    cell.dblclick()
    cell = page.locator(".jp-MarkdownCell.jp-mod-active")
    cell.locator(".cm-content").click()
    page.keyboard.press("Control+a")
    page.keyboard.type(REPORT)
    page.keyboard.press("Shift+Enter")
    expect(page.get_by_role("paragraph").filter(has_text=REPORT)).to_be_visible()


@pytest.mark.parametrize("name", TYPED)
def test_from_job_card_to_marks(shared_page, address, desk, class_of_one, keep, name):
    page, folder, typed = shared_page, desk / f"ann_{name}", typed_by_ann(class_of_one, name)
    open_by_path(page, address, f"{folder.name}/{name}.ipynb")
    expect(page.get_by_role("heading", name="Exercise: ")).to_be_visible(timeout=SLOW)
    keep_both(page, keep, f"{name}_start", page.locator(".jp-Notebook h1"))
    write_by_hand(page)
    for item, text in typed.items():
        answer(page, item, text)
    if name == "diagnosis":
        take_a_reading(page)
    run_all(page)
    button = the_button(page)
    table = page.get_by_role("table").filter(has_text="questions answered")
    expect(table.locator("tbody tr", has_text="recorded")).to_have_count(len(typed) + (name == "diagnosis"))
    keep_both(page, keep, f"{name}_job_card", page.locator(".jp-CodeCell").first)
    keep_both(page, keep, f"{name}_chart", page.get_by_role("img", name=re.compile("(Line|Strip) chart")))
    keep_both(page, keep, f"{name}_closing", table)
    assert focus_by_tab(page, button) <= 3
    page.keyboard.press("Enter")
    expect(page.get_by_text(f"Written: ann_{name}.zip")).to_be_visible(timeout=SLOW)
    expect(table.locator("tbody tr", has_text="written")).to_have_count(1)  # the text, now that it is saved
    keep(page, f"{name}_written")
    shut_down_kernels(page)

    written = folder / f"ann_{name}.zip"
    saved = nbformat.reads(zipfile.ZipFile(written).read(f"ann_{name}/{name}.ipynb"), as_version=4)
    assert {item: recorded_answer(locked_cell(saved, item), item) for item in typed} == typed
    assert REPORT in [cell.source for cell in saved.cells]

    received, refused = take_in(class_of_one, [written])
    assert ([(one.trainee, one.exercise) for one in received], refused) == ([("ann", name)], [])
    assert mark(class_of_one, to_mark(class_of_one)) == {}
    assert_same_until_marked(class_of_one, "ann", name)
    with class_of_one.gradebook() as gradebook:
        grades = {
            grade.name: (grade.auto_score, grade.max_score)
            for grade in gradebook.find_submission_notebook(name, name, "ann").grades
        }
    earned, points = grades[next(iter(typed))]
    assert earned == points > 0
