"""The scene of the meter's lab: probes clipped by mouse, key and finger, the knob, and every other handle."""

import re

import pytest
from browser.lab_page import (
    answers_every_hand,
    back_to_the_start,
    fits_a_phone,
    handle,
    keeps_nobody_out,
    looks_right,
    middle,
    predicts_no_longer,
    pull,
    pull_by_finger,
    shown_alone,
)
from playwright.sync_api import Locator, Page, expect

from warmside.show.heater_meter import MeterOnHeater, reading
from warmside.show.meter_because import because
from warmside.show.meter_lab import METER_CONTROLS, heater_meter_lab
from warmside.show.meter_scene import caution, meter_scene
from warmside.show.scene_lab import SceneLab

pytestmark = [pytest.mark.chromium, pytest.mark.full]
PULLS = {  # handle: the way it is pulled [px], and the key that moves it
    "meter": ((0, 0), "ArrowRight"),
    "isolated": ((0, 0), "End"),
    "heater": ((0, 0), "End"),
    "fault": ((0, 0), "End"),
    "shown": ((0, 0), "ArrowRight"),
    "ambient": ((60, 0), "PageUp"),
}


def is_as_the_model_says(lab: Locator, meter_lab: SceneLab, /, **settings: object) -> None:
    """Wait until kernel and page agree; then compare numbers, mark, sentence and care with the model's."""
    there = {}
    controls = {each.name: each for each in METER_CONTROLS}
    for _ in range(100):
        there = {name: float(handle(lab, name).get_attribute("aria-valuenow")) for name in controls}
        known = {
            name: each.shown(getattr(meter_lab.settings, name), meter_lab.system)
            for name, each in controls.items()
        }
        if there == pytest.approx(known) and settings.items() <= vars(meter_lab.settings).items():
            break
        lab.page.wait_for_timeout(50)
    assert there == pytest.approx(known)
    setting, system = meter_lab.settings, meter_lab.system
    assert {name: getattr(setting, name) for name in settings} == settings
    expect(lab.locator("p[role=status]")).to_have_text(because(setting))
    drawn = meter_scene(setting, system)
    number = lab.locator("[data-name=number]")
    expect(number).to_have_text(drawn["number"])  # it counts on to its new value
    texts = {one.get_attribute("data-name"): one.text_content() for one in lab.locator("[data-name]").all()}
    assert texts == {
        "number": reading(setting).text,
        "number_text": reading(setting).text,
        "heat_text": drawn["heat_text"],
        "plate_text": f"of {drawn['plate']:.0f}",
        "food_text": drawn["food_text"],
        "outside_text": drawn["outside_text"],
    }
    assert lab.locator(".warmside-margin b").text_content() == drawn["margin_text"]
    expect(lab.locator(".warmside-sure")).to_have_text(caution(setting))


@pytest.fixture(scope="module")
def scene(chromium):
    """One page with the lab, for all tests of this file."""
    shown = heater_meter_lab()
    with shown_alone(chromium, shown, moving=True) as (page, lab):
        yield page, lab, shown


@pytest.fixture
def at_start(scene) -> tuple[Page, Locator, SceneLab]:
    page, lab, shown = scene
    back_to_the_start(lab)
    return page, lab, shown


def to_point(lab: Locator, probe: Locator, letter: str) -> tuple[float, float]:
    """Return how far a hand goes to clip a probe to a point [px of the page]."""
    box = lab.locator(".warmside-stage").bounding_box()
    scale = box["width"] / 690
    at = lab.evaluate(
        """(lab, letter) => {
          const texts = [...lab.querySelectorAll(".warmside-stage text")];
          const label = texts.findLast((one) => one.textContent === letter); // the knob has an A as well
          return [Number(label.getAttribute("x")) - 9, Number(label.getAttribute("y")) + 7];
        }""",
        letter,
    )
    up = -38 if probe.get_attribute("data-handle") == "red" else 38
    x, y = middle(probe)
    return box["x"] + at[0] * scale - x, box["y"] + (at[1] + up) * scale - y


def test_a_probe_is_clipped_by_mouse_key_and_finger(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    red, black = handle(lab, "red"), handle(lab, "black")
    is_as_the_model_says(lab, shown, red="F", black="G")
    looks_right(page, lab)
    keeps_nobody_out(page)
    pull(page, red, *to_point(lab, red, "A"))
    is_as_the_model_says(lab, shown, red="A")
    expect(lab.locator(".warmside-in-hand")).to_contain_text("A supply, live")
    pull_by_finger(page, black, *to_point(lab, black, "E"))
    is_as_the_model_says(lab, shown, red="A", black="E")
    looks_right(page, lab)
    expect(lab.locator(".warmside-task")).not_to_contain_text("✔")
    black.press("ArrowRight")
    is_as_the_model_says(lab, shown, black="F")
    expect(lab.locator(".warmside-task")).to_contain_text("✔ 0.22 V of the supply’s 118.9 V")
    red.press("End")
    is_as_the_model_says(lab, shown, red="N")
    # on a heater with one element the arrows pass the points that aren't there
    handle(lab, "heater").press("ArrowRight")
    is_as_the_model_says(lab, shown, heater="mains, one element")
    black.press("ArrowRight")
    black.press("ArrowRight")
    is_as_the_model_says(lab, shown, black="K")
    looks_right(page, lab)


def test_a_prediction_is_made_before_the_meter_shows_it(at_start):
    page, lab, _ = at_start
    predict = lab.get_by_role("button", name="Predict first")
    if predict.get_attribute("aria-pressed") == "false":
        predict.press("Enter")
    handle(lab, "ambient").press("PageUp")  # moves no meter, so that nothing is asked
    expect(lab.locator("[data-name=number]")).to_be_visible()
    lab.get_by_role("button", name="Element 1 open: volts").click()
    expect(lab.get_by_role("heading", name="What will the voltmeter show?")).to_be_visible()
    for hidden in ("number", "number_text", "heat_text", "food_text"):
        expect(lab.locator(f"[data-name={hidden}]")).to_be_hidden()
    looks_right(page, lab)
    fits_a_phone(page, lab)
    keeps_nobody_out(page)
    lab.get_by_role("button", name="In between").click()
    expect(lab.locator(".warmside-verdict")).to_have_text("✘ No: 119.3 V, and the supply gives 119.5 V.")
    handle(lab, "meter").press("ArrowRight")
    expect(lab.get_by_role("heading", name="What will the clamp show?")).to_be_visible()
    lab.get_by_role("button", name="Too little").click()
    expect(lab.locator(".warmside-verdict")).to_have_text("✔ Right: 1.35 A, and 2.67 A in order.")
    expect(handle(lab, "red")).to_be_hidden()
    looks_right(page, lab)
    predict.press("Enter")


def test_live_ohms_are_refused_and_a_mystery_is_told_when_asked(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    lab.get_by_role("button", name="A mystery").click()
    handle(lab, "meter").press("End")
    is_as_the_model_says(lab, shown, meter="ohms", fault="mystery 1")
    expect(lab.locator("[data-name=number]")).to_have_text("–")
    expect(lab.locator(".warmside-margin")).to_contain_text("live")
    expect(lab.locator("p[role=status]")).to_contain_text("never measured on a live circuit")
    expect(lab.locator("[data-name=heat_text]")).to_have_text("? W")
    handle(lab, "isolated").press("Enter")
    is_as_the_model_says(lab, shown, isolated=True)
    handle(lab, "shown").press("Enter")
    is_as_the_model_says(lab, shown, shown=True)
    expect(lab.locator("p[role=status]")).to_contain_text("The joint between B and C has resistance")
    looks_right(page, lab)
    keeps_nobody_out(page)


@pytest.mark.parametrize("name", PULLS)
def test_every_handle_answers_key_mouse_and_finger(at_start, name):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    way, key = PULLS[name]
    answers_every_hand(page, lab, shown, name, way, key, lambda: is_as_the_model_says(lab, shown))
    handle(lab, name).press("Home")
    expect(lab.locator("[data-name=number]")).not_to_be_empty()


def test_what_is_widest_fits_at_every_size(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    wide = {"fault": "leakage to ground", "isolated": True, "meter": "ohms", "red": "H", "black": "N"}
    line.fill(
        "Fault: leakage to ground; State: Off and isolated; Meter: Ohms; Red probe at: H  element 2, live; "
        "Black probe at: N  metal sheath of the heater; Tell me the fault: Yes"
    )
    line.press("Enter")
    lab.get_by_role("button", name="SI units").click()
    is_as_the_model_says(lab, shown, **wide)
    for width, height in ((1280, 800), (1920, 1080), (900, 900)):
        page.set_viewport_size({"width": width, "height": height})
        looks_right(page, lab)
    page.set_viewport_size({"width": 1280, "height": 800})
    fits_a_phone(page, lab)
    assert shown.settings == MeterOnHeater(shown=True, **wide)


def test_no_place_of_a_probe_hides_a_name(at_start):
    page, lab, _ = at_start
    predicts_no_longer(lab)
    for name in ("red", "black"):
        probe = handle(lab, name)
        probe.press("Home")
        for _ in range(13):
            looks_right(page, lab)
            probe.press("ArrowRight")
