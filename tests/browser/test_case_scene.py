"""A case on its living bench: every spot by mouse, key and finger, stop signs, the commit and the debrief."""

import json
import re
from collections.abc import Iterator

import pytest
from browser.conftest import watched
from browser.lab_page import fits_a_phone, keeps_nobody_out, lab_on, looks_right
from playwright.sync_api import Locator, Page, expect
from private_diagnosis import a_case

from warmside.hazards import STOP_SIGNS
from warmside.marking.job_card import JobCard
from warmside.show.case_bench import CaseBench, practice_case_lab
from warmside.show.case_pages import FILE_NAME, CaseOnTheBench, my_case
from warmside.show.case_places import place_of
from warmside.show.sealing import sealed

pytestmark = [pytest.mark.chromium, pytest.mark.full]
LOOK, COMMIT = "Look, smell, listen", "I know enough: commit"
SURE, RIGHT = "Yes, that is my word", "What was right?"
BUILD = "Build: baffle, lining behind, gaps closed, a shield at a vent"


@pytest.fixture
def page(chromium) -> Iterator[Page]:
    """A page that asks nothing of the network."""
    with watched(chromium, touch=True) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        yield page
        assert not [url for url in asked if not url.startswith(("blob:", "data:", "about:"))]


def press(lab: Locator, name: str) -> None:
    lab.get_by_role("button", name=name, exact=True).click()


def spot(lab: Locator, name: str) -> Locator:
    return lab.locator(f"[data-spot={name}]")


def reading(lab: Locator, name: str) -> Locator:
    return lab.locator(f"[data-reading={name}]")


def bench_on(page: Page, heat_source: str = "mains", *stop_signs: str) -> tuple[Locator, CaseBench]:
    bench = CaseBench(CaseOnTheBench(a_case(heat_source, *stop_signs).to_text()))
    return lab_on(page, bench), bench


def by_mouse(lab: Locator, place: str, name: str) -> None:
    spot(lab, place).click()
    if reading(lab, name).is_visible():
        reading(lab, name).click()


def by_finger(lab: Locator, place: str, name: str) -> None:
    spot(lab, place).tap()
    if reading(lab, name).is_visible():
        reading(lab, name).tap()


def by_key(lab: Locator, place: str, name: str) -> None:
    """Go to the spot with arrows from wherever the focus is, open it, go on with Tab."""
    there = spot(lab, place)
    for _ in range(30):
        if there.evaluate("(one) => one === document.activeElement"):
            break
        lab.page.keyboard.press("ArrowDown")
    lab.page.keyboard.press("Enter")
    if not reading(lab, name).is_visible():
        return
    for _ in range(8):
        if reading(lab, name).evaluate("(one) => one === document.activeElement"):
            break
        lab.page.keyboard.press("Tab")
    lab.page.keyboard.press("Enter")


@pytest.mark.parametrize(
    ("take", "heat_source"), [(by_mouse, "mains"), (by_key, "gas"), (by_finger, "battery")]
)
def test_every_reading_is_taken_at_its_spot(page, take, heat_source):
    lab, bench = bench_on(page, heat_source)
    case = a_case(heat_source)
    expect(spot(lab, "freezer")).to_be_disabled()
    press(lab, LOOK)
    expect(lab.locator("p[role=status]")).to_contain_text("Nothing that you see, hear or smell stops the job")
    expect(lab.locator("p[role=status]")).to_be_focused()
    spot(lab, "top").focus()
    spent = 0.0
    for one in bench.page["readings"]:
        name, what = one["name"], one["what"]
        take(lab, one["place"], name)
        spent += one["minutes"]
        expect(lab.locator("p[role=status]")).to_contain_text(f"{what}: {case.value(name)}")
        expect(lab.locator("[data-name=minutes]")).to_have_text(f"{spent:g} min")
        expect(spot(lab, one["place"])).to_contain_text(case.value(name))
        expect(spot(lab, one["place"])).to_be_focused()
    assert set(bench.case.taken) == set(case.names)
    expect(lab.locator(".warmside-log li")).to_have_count(len(case.names))
    expect(lab.locator("[data-read=all]")).to_have_count(lab.locator("[data-spot]").count())
    looks_right(page, lab)
    keeps_nobody_out(page)
    # once more costs nothing
    take(lab, "freezer", "freezer")
    expect(lab.locator("p[role=status]")).to_contain_text("Read before")
    expect(lab.locator("[data-name=minutes]")).to_have_text(f"{spent:g} min")
    fits_a_phone(page, lab)


def test_what_takes_care_says_so_before_it_is_taken(page):
    lab, bench = bench_on(page)
    press(lab, LOOK)
    looks_right(page, lab)
    for place in ("fan", "heater", "cup", "top"):
        spot(lab, place).click()
        listed = lab.locator(".warmside-list")
        cautions = {one["caution"] for one in bench.page["readings"] if one["place"] == place} - {""}
        assert cautions
        for caution in cautions:
            expect(listed).to_contain_text(caution)
        looks_right(page, lab)
        keeps_nobody_out(page)
        page.keyboard.press("Escape")
        expect(listed).to_be_hidden()
        expect(spot(lab, place)).to_be_focused()
    assert bench.case.taken == []


@pytest.mark.parametrize("name", ["gas", "wrong_fuse"])
def test_a_stop_sign_is_all_that_shows(page, name):
    sign = STOP_SIGNS[name]
    lab, bench = bench_on(page, "gas" if name == "gas" else "mains", name)
    expect(lab).not_to_contain_text(sign.reported)
    press(lab, LOOK)
    stop = lab.get_by_role("alert").filter(has_text="Stop.")
    for sentence in (sign.reported, *sign.steps, sign.never):
        expect(stop).to_contain_text(sentence)
    assert lab.get_by_role("button").all_inner_texts() == ["I stop here"]
    for hidden in (".warmside-stage", "[data-name=minutes]", ".warmside-case-head"):
        expect(lab.locator(hidden)).to_be_hidden()
    looks_right(page, lab)
    keeps_nobody_out(page)
    fits_a_phone(page, lab)
    press(lab, "I stop here")
    expect(stop).to_contain_text("You commit: the job stops here")
    assert bench.case.committed.stops


def commit_to(lab: Locator, wrong: str, do: str = "") -> None:
    press(lab, COMMIT)
    lab.get_by_label("What is wrong", exact=True).select_option(label=wrong)
    if do:
        lab.get_by_label("What you do", exact=True).select_option(label=do)
    press(lab, "Commit")


def is_on_screen(page: Page, *ones: Locator) -> None:
    size = page.viewport_size
    for one in ones:
        box = one.bounding_box()
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= size["height"], one
        assert box["x"] + box["width"] <= size["width"]


def test_a_case_is_worked_from_the_look_to_the_debrief(page):
    lab, bench = lab_on(page, live := practice_case_lab()), live
    looks_right(page, lab)
    keeps_nobody_out(page)
    press(lab, LOOK)
    for place, name in (("cup", "cup"), ("food", "load"), ("condenser", "fins"), ("vent", "vent_air")):
        by_mouse(lab, place, name)
        expect(lab.locator(".warmside-log li").last).to_contain_text(bench.case.log[-1][1])
    told = lab.locator("p[role=status]")
    commit = lab.get_by_role("button", name=COMMIT)
    is_on_screen(page, lab.locator(".warmside-stage"), lab.locator("[data-name=minutes]"), told, commit)
    expect(lab.locator("[data-name=minutes]")).to_have_text("20 min")

    # nothing is committed before both are chosen, and said once more
    press(lab, COMMIT)
    expect(lab.get_by_label("What is wrong", exact=True)).to_be_focused()
    looks_right(page, lab)
    keeps_nobody_out(page)
    press(lab, "Commit")
    expect(told).to_have_text("Choose first: what is wrong.")
    press(lab, "Back to reading")
    expect(lab.locator(".warmside-log")).to_be_visible()
    commit_to(
        lab,
        "Warm air comes in again at the lower vent",
        "Build: baffle, lining behind, gaps closed, a shield at a vent",
    )
    looks_right(page, lab)
    assert bench.case.committed is None
    press(lab, "Go back")
    press(lab, "Commit")
    press(lab, SURE)
    expect(told).to_contain_text("You commit: Warm air comes in again at the lower vent.")
    assert bench.case.committed.wrong == ("air_again",)
    for one in lab.locator("[data-spot]").all():
        expect(one).to_be_disabled()
    looks_right(page, lab)

    # what was right: bars that keep their look from step to step
    press(lab, RIGHT)
    odds = lab.get_by_role("region", name="What each reading changed")
    expect(odds).to_be_visible(timeout=300_000)  # on a fresh machine the bank is made first
    expect(told).to_contain_text("You named what was wrong.")
    looks_ = "(all) => all.map((one) => [one.className, one.style.getPropertyValue('--bar')])"
    titles = odds.locator("li .warmside-bar-head span")
    was = odds.locator(".warmside-fill").evaluate_all(looks_), titles.all_inner_texts()
    assert len({tuple(one) for one in was[0]}) == len(was[0]) == 6
    steps = bench.answer["debrief"]["steps"]
    for number, step in enumerate(steps):
        expect(odds.locator(".warmside-changed")).to_have_text(step["changed"])
        shown = [f"{round(100 * chance)} %" for chance in step["chances"]]
        expect(odds.locator("li b")).to_have_text(shown)
        assert (odds.locator(".warmside-fill").evaluate_all(looks_), titles.all_inner_texts()) == was
        looks_right(page, lab)
        if number:
            expect(spot(lab, place_of(step["name"]))).to_have_class(re.compile("warmside-now"))
        if number < len(steps) - 1:
            odds.get_by_role("button", name="Next reading").press("Enter")
    is_on_screen(page, odds)
    expect(lab.get_by_role("table", name=re.compile("The re-test on such a day"))).to_be_visible()
    keeps_nobody_out(page)
    for width, height in ((1920, 1080), (900, 900), (640, 400)):
        page.set_viewport_size({"width": width, "height": height})
        looks_right(page, lab)
        wide = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
        assert wide[0] <= wide[1]
    fits_a_phone(page, lab)


@pytest.mark.parametrize("wrong", ["Nothing wrong", "A stop sign: the job ends"])
def test_nothing_and_a_stop_can_be_committed_to(page, wrong):
    lab, bench = bench_on(page)
    press(lab, LOOK)
    press(lab, COMMIT)
    lab.get_by_label("What is wrong", exact=True).select_option(label=wrong)
    expect(lab.get_by_label("What else is wrong")).to_be_disabled()
    if wrong == "Nothing wrong":
        lab.get_by_label("What you do", exact=True).select_option(index=1)
    else:
        expect(lab.get_by_label("What you do", exact=True)).to_be_disabled()
    press(lab, "Commit")
    press(lab, SURE)
    expect(lab.locator("p[role=status]")).to_contain_text("You commit")
    assert bench.case.committed.stops == (wrong != "Nothing wrong")


def test_a_case_that_is_marked_shows_no_debrief(page):
    card = JobCard("diagnosis", "t1", "AAAA-BBBB", (), {FILE_NAME: a_case().to_text()})
    lab = lab_on(page, CaseBench(my_case(card)))
    press(lab, LOOK)
    spot(lab, "freezer").click()
    expect(lab).to_contain_text('case.read("freezer")')
    commit_to(lab, "Fan dead", "See to the fan")
    press(lab, SURE)
    expect(lab.locator("p[role=status]")).to_contain_text("Your instructor marks it.")
    expect(lab.get_by_role("button", name=RIGHT)).to_be_hidden()


def test_a_reading_without_a_place_stands_in_a_plain_list(page):
    whole = json.loads(a_case().to_text())
    new = {"name": "humidity", "what": "Humidity of the air", "minutes": 2, "caution": ""}
    whole["readings"].append({**new, "sealed": sealed("40 %", whole["case"], "humidity")})
    lab = lab_on(page, CaseBench(CaseOnTheBench(json.dumps(whole))))
    press(lab, LOOK)
    lab.get_by_role("button", name="Humidity of the air").click()
    expect(lab.locator("p[role=status]")).to_contain_text("Humidity of the air: 40 %")
    looks_right(page, lab)


def test_minutes_count_on_and_a_ring_shows_where_but_not_where_nothing_is_to_move(chromium, page):
    still = lab_on(page, CaseBench(CaseOnTheBench(a_case().to_text())))
    press(still, LOOK)
    spot(still, "freezer").click()
    expect(still.locator("[data-name=minutes]")).to_have_text("5 min")
    expect(still.locator(".warmside-ring")).to_have_count(0)
    with watched(chromium, moving=True) as lively:
        lab = lab_on(lively, CaseBench(CaseOnTheBench(a_case().to_text())))
        press(lab, LOOK)
        lab.evaluate(
            """(lab) => {
              lab.seen = [];
              const note = () => lab.seen.push(lab.querySelector("[data-name=minutes]").textContent);
              new MutationObserver(note).observe(lab, { subtree: true, childList: true });
            }"""
        )
        spot(lab, "freezer").click()
        expect(lab.locator(".warmside-ring")).to_have_count(1)
        expect(lab.locator(".warmside-ring")).to_have_count(0)
        expect(lab.locator("[data-name=minutes]")).to_have_text("5 min")
        assert {"1 min", "2 min", "3 min", "4 min"} & set(lab.evaluate("(lab) => lab.seen"))
