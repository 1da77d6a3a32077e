"""A lab that can't show some of what is set: it says so on its picture, and goes on answering."""

import nbformat
import pytest
from browser.notebook_page import SLOW, keep_both, open_by_path, run_all
from playwright.sync_api import expect

from warmside.show.lab import NO_VIEW

pytestmark = [pytest.mark.chromium, pytest.mark.full]
LAB = """
from dataclasses import dataclass
from warmside.show import svg
from warmside.show.lab import Lab, Scale, Slider

@dataclass(frozen=True)
class Gap:
    width: float = 0.0

def drawn(gap, system):
    if gap.width > 0.0025:
        raise ZeroDivisionError("an author's mistake")
    disc = svg.dot(500, 300, 100 + 1e4 * gap.width)
    return svg.picture([disc], 1000, 600, f"A disc for {1000 * gap.width:.0f} mm")

marks = Scale("millimeter", "mm", 0, 20, 1)
control = Slider("width", "Gap", "length", marks, marks)
Lab(Gap(), (control,), drawn, lambda gap, system: f"{1000 * gap.width:.0f} mm wide"{AHEAD})
"""


LABS = {"asked": "", "ahead": ", prepare=list"}
"""Whether views are asked for one by one or drawn ahead of the hand, and how a lab is told."""


@pytest.fixture(scope="module")
def address(served_to_all, tmp_path_factory):
    """A server with a notebook for each lab."""
    folder = tmp_path_factory.mktemp("course")
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    for name, ahead in LABS.items():
        cell = nbformat.v4.new_code_cell(LAB.replace("{AHEAD}", ahead))
        nbformat.write(nbformat.v4.new_notebook(cells=[cell], metadata=kernel), folder / f"{name}.ipynb")
    return served_to_all("open", folder)


@pytest.mark.parametrize("name", LABS)
def test_a_lab_that_raises_says_so_and_goes_on(address, page, keep, name):
    open_by_path(page, address, f"{name}.ipynb")
    run_all(page)
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    words, told = lab.locator("p[role=status]"), lab.get_by_role("alert")
    slider = lab.get_by_role("slider", name="Gap (mm)")

    slider.focus()
    for _ in range(2):
        slider.press("ArrowRight")
    expect(words).to_have_text("2 mm wide", timeout=SLOW)
    height = lab.locator(".warmside-picture").bounding_box()["height"]
    for _ in range(10):
        slider.press("ArrowRight")
        expect(told).to_have_text(NO_VIEW, timeout=SLOW)
        page.wait_for_timeout(100)  # so that each is a question of its own
    expect(words).to_be_empty()
    expect(lab.locator("svg")).to_have_count(0)
    line = lab.get_by_role("textbox", name="All of it in one line")
    expect(line).to_have_value("Gap: 12 mm", timeout=SLOW)  # the kernel has followed
    assert lab.locator(".warmside-picture").bounding_box()["height"] == pytest.approx(height, abs=2)
    keep_both(page, keep, f"lab_that_raises_{name}", lab)
    expect(page.locator(".jp-OutputArea-output[data-mime-type*='stderr']")).to_have_count(0)

    for _ in range(11):
        slider.press("ArrowLeft")
    expect(words).to_have_text("1 mm wide", timeout=SLOW)
    expect(lab.get_by_role("img", name="A disc for 1 mm")).to_be_visible()
    expect(told).to_have_count(0)
    slider.press("End")
    expect(told).to_have_text(NO_VIEW, timeout=SLOW)
    lab.get_by_role("button", name="Back to the start").press("Enter")
    expect(words).to_have_text("0 mm wide", timeout=SLOW)
