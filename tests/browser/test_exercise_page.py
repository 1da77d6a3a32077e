"""An exercise in JupyterLab: its job card beside the questions, and choices that write an answer."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.notebook_page import SLOW, open_by_path, run_all, shut_down_kernels, the_button
from helpers import answer_cell, locked_cell
from playwright.sync_api import Page, expect

from warmside import project
from warmside.marking.cells import recorded_answer

pytestmark = [pytest.mark.chromium, pytest.mark.full]


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A copy of the exercise with the most kinds of choices: letters, codes, names, readings."""
    copy = tmp_path_factory.mktemp("exercise") / "diagnosis"
    shutil.copytree(project.root() / "exercises" / "diagnosis", copy)
    return copy


@pytest.fixture(scope="module")
def opened(folder, shared_page, served_to_all) -> Iterator[Page]:
    """It in JupyterLab, all cells run."""
    open_by_path(shared_page, served_to_all("open", folder), "diagnosis.ipynb")
    run_all(shared_page)
    shared_page.get_by_role("button", name="Job card").wait_for(timeout=SLOW)
    the_button(shared_page)  # all have run
    yield shared_page
    shut_down_kernels(shared_page)


def is_recorded(page: Page, said: str) -> None:
    expect(page.get_by_text(f"Recorded: {said}.", exact=False).first).to_be_visible()


def test_an_answer_is_chosen_by_key_with_the_card_in_view(opened, keep):
    page = opened
    page.get_by_role("button", name="Job card").press("Enter")
    card = page.get_by_role("region", name="Job card")
    expect(card.get_by_text("at another refrigerator").first).to_be_visible()
    right = page.get_by_role("radio", name=re.compile("^b No"))
    right.scroll_into_view_if_needed()
    question = page.locator(".jp-Cell").filter(has=right).bounding_box()
    assert question["x"] + question["width"] <= card.bounding_box()["x"]  # it lies over none
    keep(page, "exercise_letters")
    right.press(" ")
    is_recorded(page, "choice b")
    expect(right).to_be_focused()
    right.press("ArrowDown")
    is_recorded(page, "choice c")
    page.keyboard.press("ArrowUp")
    is_recorded(page, "choice b")
    page.get_by_role("button", name="Job card").press("Enter")
    expect(card).to_be_hidden()


def test_readings_codes_and_names_are_chosen_from_lists(opened, keep):
    page = opened
    reading = page.get_by_label("A reading of your case")
    for name in ("cup", "duty"):
        reading.select_option(name)
        page.get_by_role("button", name="Take it").press("Enter")
        expect(page.locator(".jp-OutputArea").get_by_text("min so far").last).to_be_visible()
        expect(reading).to_be_focused()
    is_recorded(page, "cup, duty")
    fault = page.get_by_label("Your answer: fault", exact=True)
    fault.scroll_into_view_if_needed()
    fault.select_option("lv")
    is_recorded(page, "choice lv")
    evidence = page.locator("input[name=warmside-evidence]")
    visible = [one.get_attribute("value") for one in evidence.all() if one.is_visible()]
    assert visible == ["cup", "duty"]  # what was taken, nothing else
    for one in visible:
        page.locator(f"input[name=warmside-evidence][value={one}]").press(" ")
    remedy = page.locator("input[name=warmside-remedy][value=b]")
    remedy.scroll_into_view_if_needed()
    remedy.press(" ")
    is_recorded(page, "b")
    keep(page, "exercise_lists")
    found = Axe().run(page, context={"include": [[".warmside-beside"], [".warmside-letters"]]})
    serious = [one for one in found.response["violations"] if one["impact"] in ("serious", "critical")]
    assert [one["id"] for one in serious] == []


def test_what_was_chosen_is_saved_as_if_typed(opened, folder):
    page = opened
    page.keyboard.press("Control+s")
    expect(page.get_by_role("contentinfo")).to_contain_text("Saving completed")
    saved = nbformat.read(folder / "diagnosis.ipynb", as_version=4)
    written = {
        "readings_taken": 'case.read("cup")\ncase.read("duty")\n',
        "fault": 'fault = "lv"  # one code',
        "evidence": 'evidence = "cup, duty"  # names',
        "unit": 'unit = "b"  # one letter',
        "remedy": 'remedy = "b"  # letters',
    }
    for name, text in written.items():
        assert text in answer_cell(saved, name).source
        locked = locked_cell(saved, name)
        said = {"readings_taken": "cup, duty", "evidence": "cup, duty", "fault": "lv"}
        assert recorded_answer(locked, name) == said.get(name, "b")
    before = nbformat.read(project.root() / "exercises" / "diagnosis" / "diagnosis.ipynb", as_version=4)
    assert [cell.metadata.get("nbgrader") for cell in saved.cells] == [
        cell.metadata.get("nbgrader") for cell in before.cells
    ]
