"""An exercise in JupyterLab: its job card beside the questions, and letters that write an answer."""

import re
import shutil

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.notebook_page import SLOW, open_by_path, run_all, shut_down_kernels, the_button
from helpers import answer_cell, locked_cell
from playwright.sync_api import expect

from warmside import project
from warmside.marking.cells import recorded_answer

pytestmark = [pytest.mark.chromium, pytest.mark.full]


def test_an_answer_is_chosen_by_key_with_the_card_in_view_and_saved_as_if_typed(page, served, tmp_path, keep):
    folder = tmp_path / "venting"
    shutil.copytree(project.root() / "exercises" / "venting", folder)
    before = nbformat.read(folder / "venting.ipynb", as_version=4)
    open_by_path(page, served("open", folder), "venting.ipynb")
    run_all(page)
    button = page.get_by_role("button", name="Job card")
    button.wait_for(timeout=SLOW)
    button.press("Enter")
    card = page.get_by_role("region", name="Job card")
    expect(card.get_by_text("height from lower vent to roof outlet")).to_be_visible()
    the_button(page)  # all have run

    right = page.get_by_role("radio", name=re.compile("^c A column of warm air"))
    right.scroll_into_view_if_needed()
    question = page.locator(".jp-Cell").filter(has=right).bounding_box()
    assert question["x"] + question["width"] <= card.bounding_box()["x"]  # it lies over none
    keep(page, "exercise_letters")
    right.press(" ")
    expect(page.get_by_text("Recorded: choice c.")).to_be_visible()
    expect(right).to_be_focused()
    right.press("ArrowDown")
    expect(page.get_by_text("Recorded: choice d.")).to_be_visible()
    page.keyboard.press("ArrowUp")
    expect(page.get_by_text("Recorded: choice c.")).to_be_visible()
    found = Axe().run(page, context={"include": [[".warmside-beside"], [".warmside-letters"]]})
    assert [
        one["id"] for one in found.response["violations"] if one["impact"] in ("serious", "critical")
    ] == []
    page.keyboard.press("Control+s")
    expect(page.get_by_role("contentinfo")).to_contain_text("Saving completed")

    saved = nbformat.read(folder / "venting.ipynb", as_version=4)
    assert answer_cell(saved, "why_draught").source.startswith('why_draught = "c"  # one letter')
    assert recorded_answer(locked_cell(saved, "why_draught"), "why_draught") == "c"
    assert [cell.metadata.get("nbgrader") for cell in saved.cells] == [
        cell.metadata.get("nbgrader") for cell in before.cells
    ]
    shut_down_kernels(page)
