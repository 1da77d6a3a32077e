"""The scene of the sealed unit: flows followed, points read and handles moved, by mouse, key and finger."""

import re

import pytest
from browser.conftest import watched
from browser.lab_page import (
    answers_every_hand,
    back_to_the_start,
    fits_a_phone,
    handle,
    keeps_nobody_out,
    lab_on,
    looks_right,
    middle,
    predicts_no_longer,
    pull_by_finger,
    shown_alone,
)
from playwright.sync_api import Locator, Page, expect

from warmside.show.scene_lab import SceneLab
from warmside.show.sealed_unit import FLOWS, POINTS, SITUATIONS, SealedUnit
from warmside.show.unit_because import because
from warmside.show.unit_lab import UNIT_CONTROLS, unit_lab
from warmside.show.unit_scene import unit_scene

pytestmark = [pytest.mark.chromium, pytest.mark.full]  # test_scene.py drives one lab always
PULLS = {  # handle: the way it is pulled [px], and the key that moves it
    "heat": ((0, 40), "ArrowDown"),
    "ambient": ((0, -30), "PageUp"),
    "tilt": ((30, 0), "End"),
    "charge": ((-60, 0), "Home"),
    "setting": ((0, 0), "ArrowLeft"),
}
TOLD = (
    "number",
    "food_text",
    "freezer_text",
    "condensing_text",
    "air_text",
    "absorber_text",
    "boiler_text",
    "outside_text",
    "heat_text",
    "tilt_text",
    "charge_text",
)


def is_as_the_model_says(lab: Locator, unit: SceneLab, /, **settings: object) -> None:
    """Wait until kernel and page agree; then compare numbers, card and sentence with the model's."""
    for _ in range(100):
        there = {
            each.name: float(handle(lab, each.name).get_attribute("aria-valuenow"))
            for each in UNIT_CONTROLS
            if each.name in PULLS
        }
        known = {
            each.name: each.shown(getattr(unit.settings, each.name), unit.system)
            for each in UNIT_CONTROLS
            if each.name in PULLS
        }
        if there == pytest.approx(known) and settings.items() <= vars(unit.settings).items():
            break
        lab.page.wait_for_timeout(50)
    assert there == pytest.approx(known)
    assert {name: getattr(unit.settings, name) for name in settings} == settings
    expect(lab.locator("p[role=status]")).to_have_text(
        re.sub(r"(\d) (?=[°%a-z])", "\\1\u00a0", because(unit.settings, unit.system))
    )
    drawn = unit_scene(unit.settings, unit.system)
    expect(lab.locator("[data-name=number]")).to_have_text(drawn["number"])  # it counts on to its new value
    shown = {one.get_attribute("data-name"): one.text_content() for one in lab.locator("[data-name]").all()}
    assert shown == {name: drawn[name] for name in TOLD}
    card = drawn["cards"][unit.settings.point]
    lines = {one.get_attribute("data-card"): one.text_content() for one in lab.locator("[data-card]").all()}
    assert lines == {"at": card["at"], **{str(k): line for k, line in enumerate(card["lines"])}}
    assert lab.locator(".warmside-margin b").text_content() == drawn["margin_text"]
    expect(lab.locator(".warmside-sure")).to_have_text(drawn["caution"])


def ring(lab: Locator, point: str) -> Locator:
    return lab.locator(f"[data-point={point}]")


def load(lab: Locator, name: str) -> None:
    lab.get_by_role("button", name=name, exact=True).click()


@pytest.fixture(scope="module")
def scene(chromium):
    """One page with the lab, for all tests of this file."""
    shown = unit_lab()
    with shown_alone(chromium, shown) as (page, lab):
        yield page, lab, shown


@pytest.fixture
def at_start(scene) -> tuple[Page, Locator, SceneLab]:
    page, lab, shown = scene
    back_to_the_start(lab)
    return page, lab, shown


def test_every_point_is_read_by_mouse_key_and_finger(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    is_as_the_model_says(lab, shown, point="freezer")
    looks_right(page, lab)
    keeps_nobody_out(page)
    for place, point in enumerate(POINTS):
        if place % 3 == 0:
            ring(lab, point).click()
        elif place % 3 == 1:
            ring(lab, point).press("Enter")
        else:
            pull_by_finger(page, ring(lab, point), 0, 0)
        is_as_the_model_says(lab, shown, point=point)
        expect(ring(lab, point)).to_have_attribute("aria-pressed", "true")
        looks_right(page, lab)
    card = unit_scene(SealedUnit())["cards"]["boiler"]
    expect(ring(lab, "boiler")).to_have_attribute("aria-label", re.compile(re.escape(card["lines"][0])))
    expect(lab.get_by_role("button", name="Before")).to_be_disabled()  # to look changes nothing


def test_flows_are_followed_one_at_a_time_and_together(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    seen = {}
    chips = lab.get_by_role("group", name="Flow to follow")
    for flow in FLOWS:
        chips.locator(f"[data-flow={flow}]").press("Enter")
        is_as_the_model_says(lab, shown, flow=flow)
        expect(chips.locator("[aria-pressed=true]")).to_have_attribute("data-flow", flow)
        page.wait_for_timeout(50)  # a frame
        seen[flow] = lab.locator("canvas").evaluate("(canvas) => canvas.toDataURL()")
    assert len(set(seen.values())) == len(FLOWS)
    looks_right(page, lab)


def test_a_prediction_is_made_before_the_unit_shows_it(at_start):
    page, lab, _ = at_start
    predict = lab.get_by_role("button", name="Predict first")
    if predict.get_attribute("aria-pressed") == "false":
        predict.press("Enter")
    ring(lab, "condenser").click()  # to read asks nothing
    expect(lab.locator("[data-name=number]")).to_be_visible()
    load(lab, "Air too hot")
    expect(lab.get_by_role("heading", name="What will the food do?")).to_be_visible()
    for name in ("number", "food_text", "condensing_text", "boiler_text"):
        expect(lab.locator(f"[data-name={name}]")).to_be_hidden()
    expect(lab.locator("[data-card=at]")).to_be_hidden()
    expect(ring(lab, "boiler")).to_have_attribute("aria-label", "Boiler")
    looks_right(page, lab)
    fits_a_phone(page, lab)
    keeps_nobody_out(page)
    lab.get_by_role("button", name="Stays the same").click()
    expect(lab.locator(".warmside-verdict")).to_have_text("✘ No, it gets warmer: 34 °F, then 69 °F.")
    predict.press("Enter")
    lab.get_by_role("button", name="Before").press("Enter")
    expect(lab.locator("[data-name=food_text]")).to_have_text("34 °F")


def test_tasks_notice_what_was_done(at_start):
    _, lab, _ = at_start
    predicts_no_longer(lab)
    task = lab.locator(".warmside-task")
    lab.locator("[data-flow=hydrogen]").click()
    ring(lab, "food").click()
    expect(task).to_contain_text("✔ 45 psi of 393 psi: it boils at 17 °F")
    tilt = handle(lab, "tilt")
    tilt.press("End")
    expect(task).to_contain_text("Switch it off until it stands level")
    expect(lab.locator(".warmside-sure")).to_contain_text("a boiler that cooks out of level ruins the unit")


@pytest.mark.parametrize("name", PULLS)
def test_every_handle_answers_key_mouse_and_finger(at_start, name):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    way, key = PULLS[name]
    answers_every_hand(page, lab, shown, name, way, key, lambda: is_as_the_model_says(lab, shown))


@pytest.mark.parametrize("name", SITUATIONS)
def test_no_situation_hides_a_name(at_start, name):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    load(lab, name)
    is_as_the_model_says(
        lab, shown, **{key: getattr(SITUATIONS[name], key) for key in ("heat", "charge", "setting")}
    )
    looks_right(page, lab)
    lab.get_by_role("button", name="SI units").click()
    is_as_the_model_says(lab, shown)
    looks_right(page, lab)


def test_however_it_stands_nothing_lies_over_anything(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    tilt = handle(lab, "tilt")
    for step in range(1, 13):
        tilt.press("ArrowRight")
        expect(tilt).to_have_attribute("aria-valuenow", f"{step / 2:g}")
        is_as_the_model_says(lab, shown)
        looks_right(page, lab)
    boiler = ring(lab, "boiler")
    x, y = middle(boiler)
    boiler.click()
    is_as_the_model_says(lab, shown, point="boiler")
    lab.get_by_role("button", name="Back to the start").click()
    expect(lab.locator("[data-name=tilt_text]")).to_have_text("0°")
    assert abs(middle(boiler)[0] - x) + abs(middle(boiler)[1] - y) > 10  # it turned with the unit


def test_what_is_widest_fits_at_every_size(at_start):
    page, lab, shown = at_start
    predicts_no_longer(lab)
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    line.fill(
        "Heat at the boiler: 130 %; Outside: 120 °F; Out of level: 4 °; Charge, of the usual: 115 %; "
        "Thermostat: middle; Flow to follow: solution; Point to read: Condenser"
    )
    line.press("Enter")
    lab.get_by_role("button", name="SI units").click()
    is_as_the_model_says(lab, shown, point="condenser", flow="solution", setting="middle")
    for width, height in ((1280, 800), (1920, 1080), (900, 900)):
        page.set_viewport_size({"width": width, "height": height})
        looks_right(page, lab)
    page.set_viewport_size({"width": 1280, "height": 800})
    fits_a_phone(page, lab)


@pytest.mark.parametrize("moving", [True, False])
def test_it_moves_unless_less_motion_is_asked_for(chromium, moving):
    with watched(chromium, moving=moving) as page:
        lab = lab_on(page, unit_lab())
        expect(lab.locator("[data-name=number]")).to_have_text("190 Btu/h")
        shots = []
        for _ in range(2):
            page.wait_for_timeout(300)  # what moves would have
            shots.append(lab.locator("canvas").evaluate("(canvas) => canvas.toDataURL()"))
        assert (shots[0] != shots[1]) == moving
