"""The scene of the venting lab: every way of pulling the baffle, and what then stands on the page."""

import re

import pytest
from browser.conftest import watched
from browser.lab_page import fits_a_phone, handle, keeps_nobody_out, lab_on, looks_right, pull, pull_by_finger
from playwright.sync_api import Locator, expect

from warmside.show.because import because
from warmside.show.enclosure import Enclosure
from warmside.show.enclosure_lab import enclosure_lab
from warmside.show.enclosure_scene import enclosure_scene
from warmside.show.scene_lab import SceneLab

pytestmark = pytest.mark.chromium


def is_as_the_model_says(lab: Locator, shown: SceneLab, **settings: object) -> None:
    """Wait until the page shows what is set, and compare every number and the sentence with the model's."""
    expect(lab.locator(".warmside-range").first).not_to_be_empty()  # the hand has rested: the kernel knows
    for name, value in settings.items():
        assert getattr(shown.settings, name) == value
    says = enclosure_scene(shown.settings, shown.system)
    expect(lab.locator("p[role=status]")).to_have_text(because(shown.settings, shown.system))
    named = lab.locator(".warmside-stage [data-name]").all()
    texts = {one.get_attribute("data-name"): one.text_content() for one in named}
    number = lab.locator("[data-name=number]").inner_text()
    assert " ".join(number.split()) == says["number"]
    outside = texts.pop("outside_text")
    assert outside.replace(".0", "") == says["outside_text"]
    for name, text in texts.items():
        assert says[name] in text, name
    assert {"food_text", "below_text", "through_text", "flow_text"} <= texts.keys()


@pytest.mark.full
def test_the_baffle_is_pulled_by_mouse_key_and_finger(chromium):
    with watched(chromium, moving=True) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        shown = enclosure_lab()
        lab = lab_on(page, shown)
        baffle, words = handle(lab, "baffle_gap"), lab.locator("p[role=status]")
        is_as_the_model_says(lab, shown)
        looks_right(page, lab)

        # by mouse, with a prediction first: until it is made, nothing that the model says is to be seen
        pull(page, baffle, 2, 70)
        expect(lab.get_by_role("heading", name="What will the food do?")).to_be_visible()
        expect(words).to_be_hidden()
        expect(lab.locator("[data-name=food_text]")).to_be_hidden()
        expect(lab.locator("[data-name=number]")).to_be_hidden()
        looks_right(page, lab)
        keeps_nobody_out(page)
        lab.get_by_role("button", name="Gets warmer").click()
        expect(lab.locator(".warmside-verdict")).to_have_text(
            re.compile("No, it stays the same. What moved is the limit")
        )
        is_as_the_model_says(lab, shown, baffle=False)
        expect(baffle).to_have_attribute("aria-valuetext", "taken out")
        expect(lab.locator(".warmside-ghost")).to_have_text("before: 112 °F")
        looks_right(page, lab)
        lab.get_by_role("button", name="Predict first").press("Enter")

        # by key: in again, and step by step
        baffle.press("Enter")
        is_as_the_model_says(lab, shown, baffle=True)
        for _ in range(4):
            baffle.press("ArrowRight")
        is_as_the_model_says(lab, shown, baffle_gap=pytest.approx(0.6 * 0.0254))
        expect(baffle).to_have_attribute("aria-valuetext", "0.6 in")
        expect(lab.locator(".warmside-in-hand")).to_contain_text("from 0.25 to 1.5 in")
        baffle.press("Home")
        expect(baffle).to_have_attribute("aria-valuenow", "0.25")

        # by finger: further off, then out
        pull_by_finger(page, baffle, 20, 0)
        is_as_the_model_says(lab, shown, baffle=True)
        assert 0.3 * 0.0254 < shown.settings.baffle_gap < 1.5 * 0.0254
        pull_by_finger(page, baffle, 0, 70)
        is_as_the_model_says(lab, shown, baffle=False)

        # what is widest and highest still fits
        for name, key in (
            ("rear_gap", "End"),
            ("lower_blocked", "PageUp"),
            ("top_gap", "End"),
            ("side_gap", "End"),
            ("fan", "End"),
        ):
            handle(lab, name).press(key)
        is_as_the_model_says(lab, shown, fan="strong")
        looks_right(page, lab)
        lab.get_by_role("button", name="Hot afternoon").click()
        lab.get_by_role("button", name="SI units").click()
        is_as_the_model_says(lab, shown, swing=pytest.approx(8.33, abs=0.1))
        looks_right(page, lab)
        keeps_nobody_out(page)
        lab.get_by_role("button", name="Back to the start").click()
        lab.get_by_role("button", name="US units").click()
        is_as_the_model_says(lab, shown)
        assert shown.settings == Enclosure()
        fits_a_phone(page, lab)
        assert not [url for url in asked if not url.startswith(("blob:", "data:", "about:"))]
