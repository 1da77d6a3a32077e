"""The course's map and a lesson in a browser: a click, a lab that answers, an answer that stays."""

import re
import shutil
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import watched
from browser.notebook_page import SLOW, USUAL, shut_down_kernels
from helpers import locked_cell
from playwright.sync_api import Locator, Page, expect

from warmside import project
from warmside.marking.cells import recorded_answer
from warmside.session.lab import PRACTICE_FOLDER

pytestmark = pytest.mark.chromium
SIZES = {"1280": USUAL, "1920": {"width": 1920, "height": 1080}, "390": {"width": 390, "height": 800}}


@pytest.fixture(scope="module")
def home(tmp_path_factory) -> Path:
    """Where the reader's own lies."""
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def serve(served_to_all: Callable[..., str], home, tmp_path_factory) -> Iterator[Callable[..., str]]:
    """Open a course of one lesson and its exercise, for a reader who was never here; returns the address."""
    folder = tmp_path_factory.mktemp("project")
    (folder / "solutions_private").mkdir()
    (folder / "course").mkdir()
    for name in ("02_venting.ipynb", "model.ipynb"):
        shutil.copy(project.root() / "course" / name, folder / "course")
    shutil.copytree(project.root() / "exercises" / "venting", folder / "exercises" / "venting")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WARMSIDE_ROOT", str(folder))
        patch.setenv("HOME", str(home))
        patch.setenv("XDG_DATA_HOME", str(home / "data"))
        patch.setenv("XDG_CACHE_HOME", str(home / "cache"))
        yield served_to_all


@pytest.fixture(scope="module")
def course(serve) -> str:
    """The address of its map."""
    return serve("open")


@pytest.fixture
def at_map(chromium, course) -> Iterator[Page]:
    """The map, at 1280 x 800; nothing may be asked for elsewhere."""
    with watched(chromium) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(course)
        yield page
        ours = f"http://{urlsplit(course).netloc}/"
        assert [url for url in asked if not url.startswith((ours, "blob:", "data:"))] == []


def the_lesson(page: Page) -> Locator:
    """Click the lesson on the map; return its lab once it is live."""
    page.get_by_role("link", name="02 Venting: how the heat gets out").first.click()
    lab = page.locator("[data-live] .warmside-lab")
    lab.wait_for(timeout=3 * SLOW)  # the first time, the page goes on by itself
    return lab


def keeps_nobody_out(page: Page) -> None:
    """Axe has nothing serious to say."""
    found = Axe().run(page).response["violations"]
    serious = [one for one in found if one["impact"] in ("serious", "critical")]
    assert [(one["id"], one["nodes"][0]["html"][:90]) for one in serious] == []


def test_a_click_on_the_map_opens_a_lesson_whose_lab_answers_a_key(at_map, keep):
    page = at_map
    expect(page.get_by_text("Begin here")).to_be_visible()
    keeps_nobody_out(page)
    lab = the_lesson(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Venting: how the heat gets out")
    expect(page.get_by_text("0.0032 in w.c. (0.803 Pa)")).to_be_visible()  # an output
    expect(page.get_by_text("stack_pressure(height")).to_be_hidden()  # code, until it is wanted
    page.get_by_text("The code", exact=True).first.click()
    expect(page.get_by_text("stack_pressure").first).to_be_visible()
    lab.get_by_role("button", name="Predict first").press("Enter")
    lab.locator("[data-handle=baffle_gap]").press("Enter")
    expect(lab.locator(".warmside-ghost")).to_have_text(re.compile("before: 112 °F"))
    keeps_nobody_out(page)
    for name, size in SIZES.items():
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        keep(page, f"lesson_page_{name}")
    page.get_by_role("link", name="‹ The map").click()
    for name, size in SIZES.items():
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        keep(page, f"map_{name}")


def test_the_map_leads_back_to_where_one_was(at_map):
    page = at_map
    the_lesson(page)
    page.get_by_role("navigation", name="On this page").get_by_text("What if the day is mild?").click()
    with page.expect_response("**/warmside/kept"):
        pass
    page.get_by_role("link", name="‹ The map").click()
    page.get_by_text("Go on where you were").click()
    expect(page.get_by_role("heading", name="What if the day is mild?")).to_be_in_viewport()


def test_an_answer_stays_when_the_page_is_loaded_again(at_map):
    page = at_map
    the_lesson(page)
    check = page.locator("[data-check]").first
    check.get_by_role("radio").first.check()
    with page.expect_response("**/warmside/kept"):
        check.get_by_role("button").click()
    said = check.get_by_role("status").inner_text()
    page.reload()
    expect(check.get_by_role("status")).to_have_text(said)
    expect(check.get_by_role("radio")).to_have_count(0)
    page.get_by_role("link", name="‹ The map").click()
    expect(page.get_by_text(re.compile(r"^1 of \d+ answered$"))).to_be_visible()


@pytest.mark.full
def test_an_exercise_is_put_back_as_it_was_by_one_click(at_map, home):
    page = at_map
    with page.expect_popup() as opened:
        page.get_by_role("link", name="Exercise not begun").click()
    exercise = opened.value
    exercise.locator(".jp-Notebook").wait_for(timeout=SLOW)
    exercise.close()
    copy = home / PRACTICE_FOLDER / "venting" / "venting.ipynb"
    as_it_was = copy.read_bytes()
    copy.write_bytes(as_it_was.replace(b'"cells"', b'"cells" '))
    page.reload()
    expect(page.get_by_role("link", name="Exercise begun")).to_be_visible()
    asked = []
    page.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.get_by_role("button", name="Put it back as it was").click()
    expect(page.get_by_role("link", name="Exercise not begun")).to_be_visible()
    assert len(asked) == 1
    assert copy.read_bytes() == as_it_was
    assert len(list(copy.parent.parent.glob("venting until *"))) == 1


class Hand:
    """Clicks and presses keys beside the answers, and counts them."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def click(self, place: Locator) -> None:
        place.click()
        self.count += 1

    def press(self, key: str) -> None:
        self.page.keyboard.press(key)
        self.count += 1


def scroll_to(place: Locator, step: int = 400) -> None:
    """Turn the wheel until a cell is there: JupyterLab keeps those alone that are near."""
    place.page.mouse.move(500, 400)
    for _ in range(100):
        if place.count():
            break
        place.page.mouse.wheel(0, step)
        place.page.wait_for_timeout(50)
    place.scroll_into_view_if_needed()


@pytest.mark.full
def test_who_never_coded_gets_from_the_map_to_a_hand_in_with_few_clicks(at_map, home, keep):
    begins = Hand(at_map)
    with at_map.expect_popup() as opened:
        begins.click(at_map.get_by_role("link", name="Exercise not begun"))
    page, hand = opened.value, Hand(opened.value)
    expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)

    def run_all() -> None:
        for item in ("Run", "Run All Cells"):
            hand.click(page.get_by_role("menuitem", name=item, exact=True))

    run_all()
    button = page.get_by_role("button", name="Write my hand-in")
    button.wait_for(timeout=SLOW)
    hand.click(page.get_by_role("button", name="Job card"))
    page.locator(".jp-WindowedPanel-outer").evaluate(
        "panel => panel.scrollTo(0, 0)"
    )  # by the wheel, as below
    notebook = nbformat.read(home / PRACTICE_FOLDER / "venting" / "venting.ipynb", as_version=4)
    typed = {}
    for cell in notebook.cells:
        name, _, example = cell.source.partition(' = "          "  # ')
        if not example:
            continue
        *_, typed[name], _ = example.split('"')
        place = page.locator(
            ".jp-CodeCell", has=page.locator(".cm-content", has_text=re.compile(rf'^{name} = "'))
        )
        scroll_to(place)
        if example.startswith("one letter"):
            hand.click(place.locator(f"input[value={typed[name]}]"))
            expect(page.get_by_text(f"Recorded: choice {typed[name]}.").last).to_be_visible()
        else:
            hand.click(
                place.locator(".cm-line span").filter(has_text=re.compile('^"')).first
            )  # between the quotes
            page.keyboard.type(typed[name])
    assert len(typed) == 14
    run_all()
    button.wait_for(timeout=SLOW)
    text = page.locator(".jp-MarkdownCell").filter(has_text="Double-click here")
    scroll_to(text, -400)
    text.dblclick()
    hand.count += 2
    hand.click(page.locator(".jp-MarkdownCell.jp-mod-active .cm-content"))
    hand.press("Control+a")
    page.keyboard.type("The baffle is missing.")
    hand.press("Shift+Enter")
    hand.click(button)
    expect(page.get_by_text("Written: practice_venting.zip")).to_be_visible(timeout=SLOW)
    keep(page, "walk_written")
    shut_down_kernels(page)
    page.close()
    written = home / PRACTICE_FOLDER / "venting" / "practice_venting.zip"
    saved = nbformat.reads(zipfile.ZipFile(written).read("practice_venting/venting.ipynb"), as_version=4)
    assert {name: recorded_answer(locked_cell(saved, name), name) for name in typed} == typed
    assert begins.count + hand.count < 30  # 26 when this was written


@pytest.mark.full
def test_on_a_wall_a_lesson_goes_step_by_step_and_is_large(chromium, serve, keep):
    with watched(chromium) as page:
        page.set_viewport_size(SIZES["1920"])
        page.goto(serve("open", "--present"))
        page.locator("#l02 a.t").click()
        told = page.get_by_role("navigation", name="Steps").get_by_role("status")
        expect(told).to_have_text(re.compile(r"Step 1 of \d+"), timeout=3 * SLOW)
        expect(page.get_by_role("heading", level=2)).to_have_count(0)
        letters = page.locator(".text p").first.evaluate(
            "one => parseFloat(getComputedStyle(one).fontSize) * one.currentCSSZoom"
        )
        assert letters >= 30  # on a wall three meters wide, from eight meters: 15 minutes of arc
        page.keyboard.press("PageDown")
        expect(told).to_have_text(re.compile("Step 2 of"))
        expect(page.get_by_role("heading", level=2)).to_have_text("What drives the air?")
        page.keyboard.press("ArrowLeft")
        expect(told).to_have_text(re.compile("Step 1 of"))
        keep(page, "wall_text")
        page.goto(page.url + "#The-lab:-change-the-enclosure")
        lab = page.locator("[data-live] .warmside-lab")
        lab.wait_for(state="attached", timeout=SLOW)
        while not lab.is_visible():
            page.get_by_role("button", name="Next ›").click()
        stage = lab.locator("svg").first.bounding_box()
        bar = page.get_by_role("navigation", name="Steps").bounding_box()
        assert stage["y"] + stage["height"] <= bar["y"]
        lab.get_by_role("button", name="Predict first").click()
        at = lab.locator("[data-handle=baffle_gap]").bounding_box()
        x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 60, y, steps=4)
        page.mouse.up()
        expect(lab.locator(".warmside-ghost")).to_have_text(re.compile("before: 112 °F"))
        keep(page, "wall_lab")
