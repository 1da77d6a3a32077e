"""The self-checks of a lesson's page: chosen and committed to by keyboard, remembered, and told why."""

import json
from collections.abc import Callable, Iterator
from importlib import resources

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import watched
from browser.notebook_page import SMALL, USUAL
from playwright.sync_api import Locator, Page, expect

from warmside.show.self_check import self_check

pytestmark = pytest.mark.chromium
SCRIPT = (resources.files("warmside.show") / "self_check.js").read_text("utf-8")
ASKED = ("05.air", "02.fan", "04.amps")
PAGE = """<!doctype html><html lang="en"><head><title>A lesson</title>
<style>body { font: 17px/1.5 sans-serif; margin: 1em; }</style></head>
<body><main><h1>A lesson</h1>CHECKS</main></body></html>"""
ENHANCE = """
async ([script, kept]) => {
  window.told = [];
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  window.checks = await import(url);
  checks.enhance(document.body, kept, (id, number) => told.push([id, number]));
}
"""


@pytest.fixture
def lesson(chromium) -> Iterator[Callable[..., Page]]:
    """A page with self-checks as they stand in a lesson's outputs, and what was answered before."""
    with watched(chromium) as page:

        def shown(**kept: int) -> Page:
            page.set_content(PAGE.replace("CHECKS", "".join(self_check(id).data for id in ASKED)))
            page.evaluate(ENHANCE, [SCRIPT, {id.replace("_", "."): number for id, number in kept.items()}])
            return page

        yield shown


def asked(page: Page, id: str) -> Locator:
    return page.locator(f"[data-check='{id}']")


def told(page: Page) -> list:
    return json.loads(page.evaluate("JSON.stringify(told)"))


def nobody_is_kept_out(page: Page) -> None:
    """Nothing that axe finds wanting, and no letters under 16 px."""
    assert Axe().run(page).response["violations"] == []
    sizes = page.locator("[data-check] *").evaluate_all(
        "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))"
    )
    assert min(sizes) >= 16


def test_an_answer_is_chosen_and_committed_to_by_keyboard(lesson, keep):
    page = lesson()
    check = asked(page, "05.air")
    group = check.get_by_role("group", name="You open the door and read 52 °F")
    expect(group.get_by_role("radio")).to_have_count(3)
    keep(page, "self_check_asked")
    nobody_is_kept_out(page)

    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    for _ in range(2):
        page.keyboard.press("ArrowDown")
    expect(group.get_by_role("radio", name="That the refrigerator does not cool")).to_be_checked()
    expect(check.get_by_role("status")).to_be_empty()
    assert told(page) == []
    page.keyboard.press("Tab")
    expect(check.get_by_role("button", name="That's my answer")).to_be_focused()
    page.keyboard.press("Enter")

    said = check.get_by_role("status")
    expect(said).to_be_focused()
    expect(said).to_contain_text("✘ Not quite. What tempts: That is far above any limit. What it")
    assert told(page) == [["05.air", 2]]
    expect(check.get_by_role("radio")).to_have_count(0)
    right = check.locator("details", has_text="Little: read water in a cup instead")
    expect(right.locator("summary")).to_contain_text("✔ right")
    for _ in range(2):
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(right.get_by_text("Air warms within seconds")).to_be_visible()
    expect(check.locator("summary").last).to_contain_text("your answer")
    keep(page, "self_check_answered")
    nobody_is_kept_out(page)
    page.set_viewport_size({**SMALL, "width": 390})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    keep(page, "self_check_390")


def test_nothing_is_right_before_something_is_chosen(lesson):
    page = lesson()
    check = asked(page, "02.fan")
    check.get_by_role("button").press("Enter")
    expect(check.get_by_role("status")).to_have_text("Choose an answer first.")
    expect(check.get_by_role("radio").first).to_be_focused()
    assert told(page) == []
    colours = check.get_by_role("radio").evaluate_all(
        "all => [...new Set(all.map(one => getComputedStyle(one.closest('label')).color))]"
    )
    assert len(colours) == 1
    assert "✔" not in check.inner_text() and "reason" not in check.inner_html()


def test_the_right_answer_is_called_right_and_kept_by_its_number_in_the_table(lesson):
    page = lesson()
    check = asked(page, "02.fan")
    check.get_by_label("It may stand in the way of the draft itself").check()
    check.get_by_role("button").press("Space")
    expect(check.get_by_role("status")).to_contain_text("✔ Yes. Beyond its own free flow")
    assert told(page) == [["02.fan", 1]]


def test_what_was_answered_before_stands_there_and_is_not_asked_again(lesson):
    page = lesson(**{"05_air": 3, "04_amps": 9})
    check = asked(page, "05.air")
    expect(check.get_by_role("status")).to_contain_text("✘ Not quite. What tempts: Warm air is what a warm")
    expect(check.locator("summary").filter(has_text="your answer")).to_contain_text(
        "thermostat is set too high"
    )
    expect(check.get_by_role("button")).to_have_count(0)
    expect(page.locator("body")).to_be_focused()  # nothing took the reader there
    # the number of an answer that there isn't: asked again
    expect(asked(page, "04.amps").get_by_role("radio")).to_have_count(3)
    assert told(page) == []
    page.evaluate("checks.enhance(document.body, {}, () => { throw Error(); })")
    expect(page.get_by_role("button", name="That's my answer")).to_have_count(2)


def test_without_the_script_it_opens_in_two_steps(chromium):
    with chromium.new_context(viewport=USUAL, java_script_enabled=False) as context:
        page = context.new_page()
        page.set_content(PAGE.replace("CHECKS", self_check("05.air").data))
        reason = page.get_by_text("Air warms within seconds")
        page.locator("[data-answer='1'] > summary").click()
        expect(reason).to_be_hidden()
        page.locator("[data-answer='1']").get_by_text("That's my answer: is it right, and why?").click()
        expect(reason).to_be_visible()
