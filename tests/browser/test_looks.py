"""How the pages of our own look: read by keys, on a phone, on paper, by somebody who sees no colours."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import watched
from helpers import NAME
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output
from jinja2 import Environment, PackageLoader
from playwright.sync_api import Browser, Page

from warmside import project
from warmside.diagnosis.job_sheet import job_sheet
from warmside.diagnosis.readings_file import read_job
from warmside.session.folder import Session
from warmside.session.hand_out import exercise_files
from warmside.session.report import write_report
from warmside.show.case_pages import open_case
from warmside.show.job_sheet_page import job_sheet_page

pytestmark = [pytest.mark.chromium, pytest.mark.full]
PHONE, NARROW = {"width": 390, "height": 800}, {"width": 360, "height": 800}
_PAGES = Environment(loader=PackageLoader("warmside.show", "pages"), autoescape=True)
_JOB = """[refrigerator]
who = "owner"
size = "8 cu ft"
heat_source = "gas"
ambient = "96 °F"
running = "24 h"
[stop_signs]
{signs}
[readings]
cup = "52 °F"
freezer = "24 °F"
vent_air = "99 °F"
condenser_air = "121 °F"
top_air = "112 °F"
side_level = "1 deg"
"""


def a_job_sheet(folder: Path, **signs: str) -> str:
    file = folder / "readings.toml"
    file.write_text(
        _JOB.format(signs="\n".join(f'{name} = "{said}"' for name, said in signs.items())), "utf-8"
    )
    return job_sheet_page(job_sheet(read_job(file)))


def a_case() -> str:
    """What somebody sees of the practice case until its debrief, on a page of ours."""
    bench = open_case(project.root() / "exercises" / "diagnosis" / "case_file.json")
    InteractiveShell.instance()
    with capture_output() as captured:
        bench.show()
        bench.look()
        bench.read(*bench.names[:3])
        bench.commit("charge lost", "j")
        bench.debrief()
    InteractiveShell.clear_instance()
    shown = "\n".join(output.data["text/html"] for output in captured.outputs)
    assert "Debrief" in shown
    around = '{% extends "page.html" %}{% block main %}<h1>A case</h1>{{ shown|safe }}{% endblock %}'
    return _PAGES.from_string(around).render(shown=shown)


@pytest.fixture(scope="module")
def pages(demo: Session, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Every page that is a file of its own, by name."""
    folder = tmp_path_factory.mktemp("pages")
    [exercise], trainee = demo.exercises(), demo.trainees()[0]
    [how_to] = [
        content
        for name, content in exercise_files(demo, trainee, exercise, demo.due()).items()
        if name.endswith("how_to.html")
    ]
    written = {
        "how_to": how_to.decode(),
        "job_sheet": a_job_sheet(folder),
        "stop": a_job_sheet(folder, gas="yes"),
        "case": a_case(),
    }
    for name, text in written.items():
        (folder / f"{name}.html").write_text(text, "utf-8")
    return {
        "report": write_report(demo)[0],
        "feedback": demo.folder / "feedback" / "t04" / NAME / f"{NAME}.html",
        **{name: folder / f"{name}.html" for name in written},
    }


NAMES = ("report", "feedback", "how_to", "job_sheet", "stop", "case")
each = pytest.mark.parametrize("name", NAMES)


@pytest.fixture(scope="module")
def shared(chromium: Browser) -> Iterator[Page]:
    with watched(chromium) as page:
        yield page


SCROLLS = 'one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX === "auto"'


def those(page: Page, condition: str) -> list[str]:
    """Return the beginnings of all elements of which something is true."""
    chosen = f"[...document.querySelectorAll('main *')].filter(one => {condition})"
    return page.evaluate(f"() => {chosen}.map(one => one.outerHTML.slice(0, 80))")


@each
def test_nobody_is_kept_out(shared, pages, keep, name):
    """Axe finds nothing wanting, wide or narrow, and no letters are under 16 px."""
    for size in ({"width": 1280, "height": 800}, NARROW):
        shared.set_viewport_size(size)
        shared.goto(pages[name].as_uri())
        keep(shared, f"looks_{name}_{size['width']}")
        found = Axe().run(shared).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == []
        small = those(
            shared,
            "one.checkVisibility() && parseFloat(getComputedStyle(one).fontSize) < 15.5"
            " && [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim())",
        )
        assert small == []


@each
@pytest.mark.parametrize("size", [PHONE, NARROW], ids=["390", "360"])
def test_a_phone_never_scrolls_sideways_and_keys_reach_what_does(shared, pages, name, size):
    shared.set_viewport_size(size)
    shared.goto(pages[name].as_uri())
    assert shared.evaluate("document.documentElement.scrollWidth") <= size["width"]
    out_of_reach = those(shared, f"{SCROLLS} && one.tabIndex < 0")
    assert out_of_reach == []


def test_a_phone_shows_each_caution_of_a_job_sheet_under_its_reading(shared, pages):
    shared.set_viewport_size(NARROW)
    shared.goto(pages["job_sheet"].as_uri())
    cautions = [one for one in shared.locator("td[data-title=Caution]").all() if one.inner_text().strip()]
    assert cautions
    for one in cautions:
        box = one.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= NARROW["width"]
        head = one.locator("xpath=../th").bounding_box()
        assert box["y"] >= head["y"] + head["height"] - 1


@pytest.mark.parametrize("name", ["feedback", "job_sheet"])
def test_a_phone_shows_pictures_so_large_that_they_can_be_read(shared, pages, name):
    shared.set_viewport_size(NARROW)
    shared.goto(pages[name].as_uri())
    widths = [one.bounding_box()["width"] for one in shared.locator("main img").all()]
    assert widths
    assert min(widths) >= 600


@each
def test_paper_cuts_nothing_off(shared, pages, keep, name):
    """As wide as a letter between its margins, nothing on it is wider, and it is printed whole."""
    shared.set_viewport_size({"width": 700, "height": 900})
    shared.goto(pages[name].as_uri())
    shared.emulate_media(media="print")
    wide = those(shared, "one.getBoundingClientRect().right > innerWidth + 1")
    cut = those(shared, SCROLLS)
    titles = shared.locator("thead").first
    head = titles.evaluate("one => getComputedStyle(one).display") if titles.count() else "table-header-group"
    shared.emulate_media(media="screen")
    assert (wide, cut, head) == ([], [], "table-header-group")
