"""The scene of a day of use: each of its handles by mouse, finger and key, a prediction, and how it looks."""

import pytest
from browser.lab_page import (
    answers_every_hand,
    back_to_the_start,
    fits_a_phone,
    handle,
    keeps_nobody_out,
    looks_right,
    predicts_no_longer,
    shown_alone,
)
from playwright.sync_api import Locator, Page, expect

from warmside.show.scene_lab import SceneLab
from warmside.show.use_because import QUIET, because
from warmside.show.use_lab import DAYS, USE_CONTROLS, day_of_use_lab
from warmside.show.use_scene import use_scene

pytestmark = [pytest.mark.chromium, pytest.mark.full]
PULLS = {  # handle: the way it is pulled [px], and the key that moves it
    "setting": ((24, 0), "PageUp"),
    "sensor_error": ((-24, 0), "ArrowRight"),
    "warm_load": ((0, -40), "ArrowUp"),
    "ambient": ((30, 0), "PageUp"),
    "door": ((0, 0), "End"),
    "defrost": ((0, 0), "End"),
}


@pytest.fixture(scope="module")
def scene(chromium):
    """One page with the lab, for all tests of this file."""
    shown = day_of_use_lab()
    with shown_alone(chromium, shown) as (page, lab):
        yield page, lab, shown


@pytest.fixture
def at_start(scene) -> tuple[Page, Locator, SceneLab]:
    back_to_the_start(scene[1])
    return scene


def heard(lab: Locator, shown: SceneLab) -> None:
    """Wait until the kernel has what the page shows, which it hears when the hand rests."""
    controls = {each.name: each for each in USE_CONTROLS}
    for _ in range(400):
        lab.page.wait_for_timeout(50)
        there = [float(handle(lab, name).get_attribute("aria-valuenow")) for name in PULLS]
        known = [controls[name].shown(getattr(shown.settings, name), shown.system) for name in PULLS]
        if there == pytest.approx(known):
            return
    raise AssertionError(f"The page shows {there}, the kernel has {known}.")


def is_as_the_model_says(lab: Locator, shown: SceneLab) -> None:
    """Wait until kernel and page agree; then compare number, mark and sentence with the model's."""
    heard(lab, shown)
    expect(lab.locator("p[role=status]")).to_have_text(because(shown.settings, shown.system))
    at = use_scene(shown.settings, shown.system)["hours"][-1]
    expect(lab.locator("[data-name=number]")).to_have_text(at["number"])
    expect(lab.locator(".warmside-margin b")).to_have_text(at["margin_text"])


def test_a_prediction_comes_before_what_the_day_shows(at_start):
    page, lab, _ = at_start
    looks_right(page, lab)
    keeps_nobody_out(page)
    handle(lab, "door").press("End")
    expect(lab.get_by_role("heading", name="At its worst hour, how will the cup be?")).to_be_visible()
    expect(lab.locator("[data-name=number]")).to_be_hidden()
    looks_right(page, lab)
    fits_a_phone(page, lab)
    lab.get_by_role("button", name="Warmer").click()
    right = "✔ Right, it gets warmer: it was 36.2 °F to 38.1 °F over the day"
    expect(lab.locator(".warmside-verdict")).to_contain_text(right, timeout=30_000)


@pytest.mark.parametrize("name", PULLS)
def test_every_handle_answers_key_mouse_and_finger(at_start, name):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    way, key = PULLS[name]
    answers_every_hand(page, lab, shown, name, way, key, lambda: is_as_the_model_says(lab, shown))
    back_to_the_start(lab)
    expect(lab.locator("p[role=status]")).to_have_text(because(QUIET))


def test_a_load_can_be_cooled_before(at_start):
    _, lab, shown = at_start
    predicts_no_longer(lab)
    expect(handle(lab, "load_cooled")).to_be_hidden()
    lab.get_by_role("button", name="Warm shopping").click()
    expect(lab.locator("p[role=status]")).to_have_text(because(DAYS["Warm shopping"]))
    expect(lab.locator(".warmside-margin b")).to_have_text("✘ throw it out")
    expect(lab.locator(".warmside-task-says")).to_contain_text("10.8 hours above 40 °F", timeout=30_000)
    handle(lab, "load_cooled").press("Enter")
    expect(lab.locator("p[role=status]")).to_have_text(because(DAYS["Cooled shopping"]))
    expect(lab.locator(".warmside-margin b")).to_have_text("✔ kept")
    assert shown.settings == DAYS["Cooled shopping"]


def test_what_is_widest_fits_at_every_size(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    for name in ("setting", "sensor_error", "warm_load", "door", "defrost"):
        handle(lab, name).press("End")
    lab.get_by_role("button", name="SI units").click()
    is_as_the_model_says(lab, shown)
    looks_right(page, lab)
    for width, height in ((1920, 1080), (900, 900), (1280, 800)):
        page.set_viewport_size({"width": width, "height": height})
        looks_right(page, lab)
    fits_a_phone(page, lab)
    keeps_nobody_out(page)
