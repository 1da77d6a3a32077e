"""The scene of the cup's lab: the clock by mouse, key and finger, the day that runs, and every handle."""

import re

import pytest
from browser.lab_page import (
    answers_every_hand,
    back_to_the_start,
    fits_a_phone,
    handle,
    keeps_nobody_out,
    looks_right,
    predicts_no_longer,
    pull,
    pull_by_finger,
    shown_alone,
)
from playwright.sync_api import Locator, Page, expect

from warmside.show.cup_because import because, tenths
from warmside.show.cup_lab import CUP_CONTROLS, substance_temperature_lab
from warmside.show.cup_scene import cup_scene
from warmside.show.scene_lab import SceneLab
from warmside.show.substance_temperature import CupTest, day_of, read_test

pytestmark = [pytest.mark.chromium, pytest.mark.full]
HOUR = 3600.0
PULLS = {  # handle: the way it is pulled [px], the key that moves it, and the one that brings it back
    "setting": ((24, 0), "PageUp", "PageDown"),
    "lower_blocked": ((0, 24), "PageUp", "Home"),
    "ambient": ((30, 0), "PageUp", "PageDown"),
    "warm_load": ((0, -40), "ArrowUp", "Home"),
    "cup_mass": ((0, 0), "ArrowRight", "ArrowLeft"),
    "door": ((0, 0), "End", "Home"),
}


def heard(page: Page, lab: Locator, shown: SceneLab) -> None:
    """Wait until the kernel has what the page shows, which it hears when the hand rests."""
    controls = {each.name: each for each in CUP_CONTROLS}
    names = ["reading_time", *PULLS]
    for _ in range(400):
        page.wait_for_timeout(50)
        there = [float(handle(lab, name).get_attribute("aria-valuenow")) for name in names]
        known = [controls[name].shown(getattr(shown.settings, name), shown.system) for name in names]
        if there == pytest.approx(known):
            return
    raise AssertionError(f"The page shows {there}, the kernel has {known}.")


def is_as_the_model_says(lab: Locator, shown: SceneLab, **settings: object) -> None:
    """Wait until kernel and page agree; then compare numbers, mark and sentence with the model's."""
    heard(lab.page, lab, shown)
    test, system = shown.settings, shown.system
    for name, value in settings.items():
        assert getattr(test, name) == value
    expect(lab.locator("p[role=status]")).to_have_text(because(test, system))
    expect(lab.locator(".warmside-range").first).not_to_be_empty()
    drawn = cup_scene(test, system)
    at = drawn["hours"][round(test.reading_time / HOUR * 2)]
    place = round(test.reading_time / 300.0)
    texts = {one.get_attribute("data-name"): one.text_content() for one in lab.locator("[data-name]").all()}
    assert texts == {
        "number": at["number"],
        "water_text": tenths(read_test(test).shown, system),
        "air_text": tenths(drawn["air"][place], system),
        "freezer_text": tenths(drawn["freezer"][place], system),
        "outside_air_text": tenths(drawn["outside_air"][place], system),
    }
    assert lab.locator(".warmside-margin b").text_content() == at["margin_text"]
    assert drawn["air"][place] == pytest.approx(day_of(test).at("air", test.reading_time), abs=1e-3)


def rests_at(lab: Locator, shown: SceneLab, hour: float) -> None:
    expect(handle(lab, "reading_time")).to_have_attribute("aria-valuetext", f"{hour:g} h")
    is_as_the_model_says(lab, shown, reading_time=hour * HOUR)


def hours_of(lab: Locator) -> float:
    return float(handle(lab, "reading_time").get_attribute("aria-valuenow"))


def moves(lab: Locator, wanted: bool) -> None:
    """Let the picture move, or pause it: it costs a core that others want."""
    pause = lab.get_by_role("button", name="Pause what moves")
    if (pause.get_attribute("aria-pressed") == "true") == wanted:
        pause.press("Enter")


@pytest.fixture(scope="module")
def scene(chromium):
    """One page with the lab, for all tests of this file."""
    shown = substance_temperature_lab()
    with shown_alone(chromium, shown, moving=True) as (page, lab):
        yield page, lab, shown


@pytest.fixture
def at_start(scene) -> tuple[Page, Locator, SceneLab]:
    page, lab, shown = scene
    back_to_the_start(lab)
    moves(lab, False)
    expect(lab.get_by_role("button", name="Run the day")).to_be_visible()
    return page, lab, shown


def test_the_day_runs_by_itself_and_stops_where_a_hand_takes_it(scene):
    page, lab, shown = scene
    stop = lab.get_by_role("button", name="Stop the day")
    expect(stop).to_be_visible()  # it runs once when it comes into view
    page.wait_for_function("document.querySelector('[data-handle=reading_time]').ariaValueNow > 3")
    assert 3 < hours_of(lab) < 24
    stop.press("Enter")
    hour = hours_of(lab)
    rests_at(lab, shown, hour)
    lab.get_by_role("button", name="Run the day").click()
    page.wait_for_function(f"document.querySelector('[data-handle=reading_time]').ariaValueNow > {hour + 1}")
    handle(lab, "reading_time").press("Home")
    expect(lab.get_by_role("button", name="Run the day")).to_be_visible()
    rests_at(lab, shown, 0)


def test_a_hand_goes_through_the_day_by_key_mouse_and_finger(at_start):
    page, lab, shown = at_start
    clock, number = handle(lab, "reading_time"), lab.locator("[data-name=number]")
    rests_at(lab, shown, 24)
    looks_right(page, lab)
    keeps_nobody_out(page)
    for _ in range(4):
        clock.press("ArrowLeft")
    expect(number).to_have_text(cup_scene(CupTest())["hours"][44]["number"])  # before the kernel hears of it
    rests_at(lab, shown, 22)
    width = lab.locator(".warmside-stage").bounding_box()["width"] / 690
    pull(page, clock, -272 / 24 * 20 * width, 0)
    rests_at(lab, shown, hours_of(lab))
    assert 1 <= hours_of(lab) <= 3
    expect(lab.locator(".warmside-margin")).to_contain_text("too early")
    pull_by_finger(page, clock, 272 / 24 * 8 * width, 0)
    rests_at(lab, shown, hours_of(lab))
    assert 9 <= hours_of(lab) <= 11
    chart = lab.locator(".warmside-chart")
    pull(page, chart, -60, 0)
    page.wait_for_timeout(100)  # a frame
    rests_at(lab, shown, hours_of(lab))
    box = chart.bounding_box()
    page.mouse.click(box["x"] + 60, box["y"] + 60)
    page.wait_for_function("document.querySelector('[data-handle=reading_time]').ariaValueNow < 3")


def test_a_prediction_is_made_before_the_day_shows_it(at_start):
    page, lab, shown = at_start
    moves(lab, True)
    handle(lab, "door").press("End")
    expect(lab.get_by_role("heading", name="What will the cup read after 24 hours?")).to_be_visible()
    for hidden in ("number", "water_text", "air_text", "freezer_text"):
        expect(lab.locator(f"[data-name={hidden}]")).to_be_hidden()
    expect(lab.locator(".warmside-task")).to_be_hidden()
    looks_right(page, lab)
    fits_a_phone(page, lab)
    keeps_nobody_out(page)
    lab.get_by_role("button", name="The same").click()
    expect(lab.get_by_role("button", name="Stop the day")).to_be_visible()
    expect(lab.locator(".warmside-verdict")).to_be_empty()
    lab.get_by_role("button", name="Stop the day").press("Enter")
    right = "✔ Right, it reads the same after 24 hours"
    expect(lab.locator(".warmside-verdict")).to_contain_text(right, timeout=30_000)
    expect(lab.get_by_role("button", name="Run the day")).to_be_visible()
    expect(lab.locator(".warmside-ghost")).to_contain_text("before: ")
    rests_at(lab, shown, hours_of(lab))
    looks_right(page, lab)


@pytest.mark.parametrize("name", PULLS)
def test_every_handle_answers_key_mouse_and_finger(at_start, name):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    way, there, back = PULLS[name]
    answers_every_hand(page, lab, shown, name, way, there, lambda: is_as_the_model_says(lab, shown))
    handle(lab, name).press(back)
    expect(lab.locator("p[role=status]")).to_have_text(because(CupTest()))


def test_what_is_widest_fits_at_every_size(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    for name in ("setting", "lower_blocked", "warm_load", "cup_mass", "door"):
        handle(lab, name).press("End")
    handle(lab, "reading_time").press("Home")
    lab.get_by_role("button", name="SI units").click()
    is_as_the_model_says(lab, shown, door="left open five minutes")
    looks_right(page, lab)
    page.set_viewport_size({"width": 1920, "height": 1080})
    looks_right(page, lab)
    page.set_viewport_size({"width": 900, "height": 900})
    looks_right(page, lab)
    page.set_viewport_size({"width": 1280, "height": 800})
    fits_a_phone(page, lab)
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    line.fill("Door: off its hinges")
    line.press("Enter")
    expect(lab.locator("p[role=status]")).to_contain_text("“off its hinges” was read; it must be one of")
