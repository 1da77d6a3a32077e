"""Each module as a trainee has it: opened, run, every control of its lab moved by keyboard."""

import re
import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import watched
from browser.notebook_page import SLOW, SMALL, USUAL, keep_both, open_by_path, run_all, shut_down_kernels
from nbconvert import HTMLExporter
from playwright.sync_api import Locator, TimeoutError, expect

from warmside import project
from warmside.show.because import because
from warmside.show.cup_because import because as cup_because
from warmside.show.enclosure import Enclosure, situation
from warmside.show.heater_meter import MeterOnHeater
from warmside.show.meter_because import because as meter_because
from warmside.show.sealed_unit import SealedUnit
from warmside.show.substance_temperature import CupTest
from warmside.show.unit_because import because as unit_because

pytestmark = [pytest.mark.chromium, pytest.mark.full]
MODULES = sorted(path.stem for path in (project.root() / "course").glob("[0-9]*.ipynb"))
START, CYCLE, VENTING, CLEARANCES, HEAT, CUP, EVERYDAY, DIAGNOSIS = MODULES
ALIKE = (START, CLEARANCES)  # their labs are the one of venting, with fewer or other controls
SCENES = (START, CYCLE, VENTING, CLEARANCES, HEAT, CUP, EVERYDAY)  # whose labs have one
OURS = {"include": [[".jp-RenderedHTMLCommon"]]}  # text and outputs; the page around them is nbconvert's
SERIOUS = ("serious", "critical")
ENOUGH = 3  # of the options of a list
PICTURE = ".warmside-picture, .warmside-stage"
SHOWN = """lab => [...lab.querySelectorAll(
    "p[role=status], .warmside-picture, .warmside-stage, .warmside-chart g"
)].map((one) => one.innerHTML).join("")"""


@pytest.fixture(scope="module")
def copies(tmp_path_factory) -> Path:
    """A folder with a copy of the course's notebooks."""
    folder = tmp_path_factory.mktemp("course")
    for name in MODULES:
        shutil.copy(project.root() / "course" / f"{name}.ipynb", folder)
    return folder


@pytest.fixture(scope="module")
def course(served_to_all, copies) -> str:
    """The address of a server with these."""
    return served_to_all("open", copies)


@pytest.fixture(
    scope="module",
    params=[pytest.param(name, marks=pytest.mark.long if name in ALIKE else ()) for name in MODULES],
)
def module(request, course, shared_page, keep):
    """A module that was opened and run, pictures of its start kept, with its lab in sight."""
    name, page = request.param, shared_page
    open_by_path(page, course, f"{name}.ipynb")
    keep_both(page, keep, f"{name}_start", page.locator(".jp-Notebook h1"))
    run_all(page)
    lab = page.locator(".warmside-lab").first
    lab.wait_for(timeout=3 * SLOW)  # cases may have to be simulated first
    expect(page.locator(".jp-OutputArea-output[data-mime-type*='stderr']")).to_have_count(0)
    expect(words_of(lab)).not_to_be_empty()
    if lab.locator(".warmside-stage").count():
        predict = lab.get_by_role("button", name="Predict first")
        if predict.get_attribute("aria-pressed") == "true":
            predict.press("Enter")  # no longer
        settings = lab.get_by_role("button", name="All settings")
        if settings.get_attribute("aria-pressed") == "false":  # a survey begins with its readings
            settings.press("Enter")
    yield SimpleNamespace(name=name, page=page, lab=lab)
    shut_down_kernels(page)


@pytest.fixture
def lab(module) -> Locator:
    """The lab of a module, as it is at the start."""
    module.page.set_viewport_size(USUAL)
    module.lab.get_by_role("button", name="Back to the start").press("Enter")
    for system in ("SI units", "US units"):  # answers come in order: then the start has come too
        button = module.lab.get_by_role("button", name=system)
        button.press("Enter")
        expect(button).to_have_attribute("aria-pressed", "true", timeout=SLOW)
    return module.lab


def only(name: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("module", [name], indirect=True)


def words_of(lab: Locator) -> Locator:
    return lab.locator("p[role=status]")


def control(lab: Locator, role: str, name: str) -> Locator:
    return lab.get_by_role(role, name=name, exact=True)


def edges(place: Locator) -> tuple[float, float]:
    """Top and bottom of a place on the page [px]."""
    box = place.bounding_box()
    return box["y"], box["y"] + box["height"]


def choose(lab: Locator, name: str, presses: int) -> None:
    box = control(lab, "combobox", name)
    box.focus()
    for _ in range(presses):
        box.press("ArrowDown")


def test_every_control_answers_the_keyboard(module, lab, keep):
    page = module.page
    keep_both(page, keep, f"{module.name}_lab", lab)
    moved: set[str] = set()

    def answers(box: Locator, key: str) -> bool:
        """Press a key on a control; tell whether what is shown changes."""
        before = lab.evaluate(SHOWN)
        box.press(key)
        changed = f"([lab, before]) => ({SHOWN})(lab) !== before"
        try:
            page.wait_for_function(changed, arg=[lab.element_handle(), before], timeout=6000)
        except TimeoutError:
            return False
        return True

    def move_sliders() -> None:
        for name in lab.locator(".warmside-row:visible:has(input) label").all_inner_texts():
            if name not in moved:
                slider = control(lab, "slider", name)
                assert answers(slider, "ArrowRight") or answers(slider, "ArrowLeft"), name
                expect(control(lab, "spinbutton", name)).to_have_value(slider.input_value())
                moved.add(name)

    move_sliders()
    for name in lab.locator(".warmside-row:visible:has(select) label").all_inner_texts():
        box = control(lab, "combobox", name)
        others = min(box.locator("option").count() - 1, ENOUGH)
        answered = []
        for key in ["ArrowUp"] * box.evaluate("box => box.selectedIndex") + ["ArrowDown"] * others:
            answered.append(answers(box, key))
            move_sliders()
        assert any(answered), name  # not each: a meter may show the same with another fault
        moved.add(name)
    panel = lab.locator(".warmside-controls:not([hidden])")
    assert moved == set(panel.locator("label").all_text_contents())


def test_picture_and_control_are_in_view_together(module, lab):
    picture, page_part = lab.locator(PICTURE), module.page.locator(".jp-WindowedPanel-outer")
    lab.evaluate("lab => lab.scrollIntoView({block: 'start'})")
    controls = lab.locator(".warmside-row:visible :is([type=range], select)")
    for box in (controls.first, controls.last):
        box.focus()
        module.page.wait_for_timeout(100)
        top, bottom = edges(page_part)
        for seen in (picture, words_of(lab), box) if module.name in SCENES else (picture, box):
            above, below = edges(seen)
            assert top - 1 <= above < below <= bottom + 1
        if module.name not in SCENES:  # there they stand beside it
            assert edges(picture)[1] <= edges(box)[0] + 1


def test_at_a_zoom_of_200_percent_controls_fit_and_the_picture_can_be_read(module, lab):
    module.page.set_viewport_size(SMALL)
    left, width = lab.bounding_box()["x"], lab.bounding_box()["width"]
    for box in lab.locator(".warmside-row:visible :is(input, select), button:visible").all():
        box.scroll_into_view_if_needed()  # on a phone the row of situations scrolls
        place = box.bounding_box()
        assert left <= place["x"] and place["x"] + place["width"] <= left + width + 1
        assert place["width"] >= 44  # wide enough to be hit and read
    widest = ".warmside-picture > *, .warmside-stage"
    assert lab.locator(widest).bounding_box()["width"] >= 560  # letters of half size, twice


def test_nothing_serious_in_an_exported_module(module, copies, chromium, keep, tmp_path):
    """Saved as it was run, exported, and looked through by axe-core."""
    path = copies / f"{module.name}.ipynb"
    module.page.evaluate("async () => { await window.jupyterapp.commands.execute('docmanager:save') }")
    notebook = nbformat.read(path, as_version=4)
    assert any(cell.get("outputs") for cell in notebook.cells)
    notebook.metadata.pop("widgets", None)  # with it the page would ask the network for what draws them
    exporter = HTMLExporter(embed_images=False)
    exporter.mathjax_url = exporter.require_js_url = exporter.jquery_url = ""
    exported = tmp_path / f"{module.name}.html"
    exported.write_text(exporter.from_notebook_node(notebook)[0], encoding="utf-8")
    with watched(chromium) as page:
        page.goto(exported.as_uri(), wait_until="domcontentloaded")
        page.wait_for_timeout(1000)
        keep(page, f"exported_{module.name}")
        found = Axe().run(page, context=OURS).response["violations"]
    told = [
        (one["id"], node["html"][:120], node["failureSummary"][:200])
        for one in found
        if one["impact"] in SERIOUS
        for node in one["nodes"]
    ]
    assert told == []


@only(CUP)
def test_the_cup_is_read_at_another_hour_and_in_other_units(module, lab):
    words, boxes = words_of(lab), lab.locator("input[type=number]:visible")
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    expect(words).to_have_text(cup_because(CupTest()), timeout=SLOW)
    slider = control(lab, "slider", "Hour of reading (h)")
    slider.focus()
    for _ in range(40):
        slider.press("ArrowLeft")
    early = CupTest(reading_time=4 * 3600.0)
    expect(words).to_have_text(cup_because(early), timeout=SLOW)
    expect(line).to_have_value(re.compile("Hour of reading: 4 h"), timeout=SLOW)  # the kernel has heard of it

    box = control(lab, "spinbutton", "Hour of reading (h)")
    box.fill("12")
    box.press("Enter")
    late = CupTest(reading_time=12 * 3600.0)
    expect(words).to_have_text(cup_because(late), timeout=SLOW)
    lab.get_by_role("button", name="SI units").press("Enter")
    expect(words).to_have_text(cup_because(late, "SI"), timeout=SLOW)
    shown = ["12", "21", "0", "0", "3.4", "2.2", "32", "5", "0"]
    assert [box.input_value() for box in boxes.all()] == shown
    lab.get_by_role("button", name="US units").press("Space")
    expect(words).to_have_text(cup_because(late), timeout=SLOW)
    shown = ["12", "70", "0", "0", "38", "4", "90", "10", "0"]
    assert [box.input_value() for box in boxes.all()] == shown

    box = control(lab, "spinbutton", "Water at the start (°F)")
    box.press("ArrowUp")
    expect(box).to_have_value("71")


@only(CUP)
def test_a_self_check_gives_its_reasons_by_keyboard(module, keep):
    page = module.page
    check = page.get_by_role("group", name="Check yourself").first
    reason = check.get_by_text("Yes. Air warms within seconds")
    expect(reason).to_be_hidden()
    check.locator("[data-answer='1'] > summary").focus()
    page.keyboard.press("Enter")
    expect(reason).to_be_hidden()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(reason).to_be_visible()
    check.locator("[data-answer='3'] > summary").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(check.get_by_text("One reading of air with the door open")).to_be_visible()
    expect(page.locator(".jp-mod-editMode")).to_have_count(0)
    keep_both(page, keep, "self_check", check)


@only(CYCLE)
def test_the_unit_is_read_and_runs_short_of_cold(module, lab, keep):
    words, number = words_of(lab), lab.locator("[data-name=number]")
    start = SealedUnit()
    expect(words).to_have_text(unit_because(start), timeout=SLOW)
    expect(lab.locator("[data-card=at]")).to_have_text("2 °F", timeout=SLOW)
    expect(lab.locator(".warmside-range")).not_to_be_empty(timeout=SLOW)  # the hand has rested
    lab.locator("[data-point=condenser]").press("Enter")
    expect(lab.locator("[data-card=at]")).to_have_text("143 °F", timeout=15_000)
    slider = control(lab, "slider", "Heat at the boiler (%)")
    slider.focus()
    for _ in range(8):
        slider.press("ArrowLeft")
    expect(words).to_have_text(unit_because(replace(start, heat=0.6)), timeout=SLOW)
    expect(number).to_have_text("106 Btu/h", timeout=SLOW)
    expect(lab.locator(".warmside-ghost")).to_have_text("before: 190 Btu/h")
    keep_both(module.page, keep, "unit_lab_short_of_heat", lab)


@only(HEAT)
def test_the_meter_finds_an_open_element(module, lab, keep):
    words, meter = words_of(lab), MeterOnHeater()
    expect(words).to_have_text(meter_because(meter), timeout=SLOW)
    changes = {"fault": "element 1 open", "meter": "amps"}
    choose(lab, "Fault", 5)
    choose(lab, "Meter", 1)
    expect(words).to_have_text(meter_because(replace(meter, **changes)), timeout=SLOW)
    expect(lab.locator("[data-name=number]")).to_have_text("1.35 A", timeout=SLOW)
    choose(lab, "Meter", 1)
    expect(words).to_contain_text("ohms are never measured on a live circuit", timeout=SLOW)
    choose(lab, "State", 1)
    expect(lab.locator("[data-name=number]")).to_have_text("88.7 ohm", timeout=SLOW)
    choose(lab, "Tell me the fault", 1)
    expect(words).to_contain_text("the boiler gets 160 of 317 W", timeout=SLOW)
    keep(module.page, "meter_lab_told")
    keep_both(module.page, keep, "fuses", module.page.locator("img[alt*='blade fuses']"))


@only(VENTING)
def test_the_enclosure_is_changed_compared_loaded_and_saved(module, lab, keep):
    words, number = words_of(lab), lab.locator("[data-name=number]")
    start = Enclosure()
    expect(words).to_have_text(because(start), timeout=SLOW)
    choose(lab, "Baffle", 1)
    expect(words).to_have_text(because(replace(start, baffle=False)), timeout=SLOW)
    expect(number).to_have_text("111 °F")
    expect(lab.locator(".warmside-ghost")).to_have_text("before: 112 °F")
    expect(lab.get_by_role("row", name=re.compile("no baffle"))).to_be_visible(timeout=SLOW)
    lab.get_by_role("button", name="Before").press("Enter")
    expect(words).to_have_text(because(start))
    slider = control(lab, "slider", "Behind the fins (in)")
    slider.focus()
    for _ in range(12):
        slider.press("ArrowRight")
    deep = replace(start, baffle=False, rear_gap=2 * 0.0254)
    expect(words).to_have_text(because(deep), timeout=SLOW)
    expect(control(lab, "spinbutton", "Behind the fins (in)")).to_have_value("2")
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    expect(line).to_have_value(re.compile("Baffle: none; .*Behind the fins: 2 in"))
    before = line.input_value()
    keep_both(module.page, keep, "enclosure_lab_compared", lab)
    keep_both(module.page, keep, "enclosure_lab_table", lab.locator("table"))
    lab.get_by_role("button", name="Weak fan in the way").press("Space")
    expect(words).to_have_text(because(situation("Weak fan in the way")), timeout=SLOW)
    expect(line).not_to_have_value(before, timeout=SLOW)
    line.fill(before)
    line.press("Enter")
    expect(words).to_have_text(because(deep), timeout=SLOW)
    choose(lab, "Thermostat", 1)
    expect(words).to_have_text(because(replace(deep, full_demand=True)), timeout=SLOW)
    keep_both(module.page, keep, "enclosure_lab_full_demand", lab)
    lab.get_by_role("button", name="SI units").press("Enter")
    expect(number).to_contain_text("°C", timeout=SLOW)
    with module.page.expect_download() as saved:
        lab.get_by_role("button", name="Save the picture").press("Enter")
    assert saved.value.suggested_filename == "lab.png"
    assert Path(saved.value.path()).read_bytes().startswith(b"\x89PNG")


@only(VENTING)
def test_what_was_drawn_ahead_of_the_hand_is_what_the_model_says(module, lab):
    """A hand goes from control to control faster than the kernel hears of it; nothing of it is lost."""
    words, page = words_of(lab), module.page
    slider, fan = control(lab, "slider", "Behind the fins (in)"), control(lab, "combobox", "Fan")
    slider.focus()
    page.wait_for_timeout(2000)  # all its views are made
    start = Enclosure()
    for _ in range(3):
        before = lab.evaluate(SHOWN)
        slider.press("ArrowRight")
        page.evaluate("() => new Promise(requestAnimationFrame)")
        assert lab.evaluate(SHOWN) != before  # in the next frame
    inches = float(slider.input_value())
    expect(words).to_have_text(because(replace(start, rear_gap=inches * 0.0254)))
    fan.press("ArrowDown")
    expect(words).to_have_text(because(replace(start, rear_gap=inches * 0.0254, fan="weak")), timeout=SLOW)
    control(lab, "slider", "Outside, mean of the day (°F)").press("ArrowRight")
    hotter = replace(start, rear_gap=inches * 0.0254, fan="weak", ambient=(103 - 32) / 1.8 + 273.15)
    expect(words).to_have_text(because(hotter), timeout=SLOW)
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    expect(line).to_have_value(re.compile(f"Behind the fins: {inches:g} in.*Fan: weak.*day: 103 °F"))


@only(DIAGNOSIS)
def test_readings_move_the_odds_and_the_answer_is_told(module, lab, keep):
    words = words_of(lab)
    choose(lab, "Second reading", 3)
    expect(words).to_contain_text("Read in", timeout=SLOW)
    expect(lab.locator("img")).to_have_attribute("alt", re.compile("Chart of the chances"))
    choose(lab, "Tell me what is wrong", 1)
    expect(words).to_contain_text("What is wrong: lower vent blocked.", timeout=SLOW)
    keep_both(module.page, keep, "diagnosis_lab_told", lab)


@only(DIAGNOSIS)
def test_a_case_is_worked_by_keyboard(module, keep):
    """JupyterLab has commands of its own for Enter, arrows and Escape."""
    bench = module.page.locator(".warmside-case")
    bench.get_by_role("button", name="Look, smell, listen").press("Enter")
    words = words_of(bench)
    expect(words).to_contain_text("Nothing that you see, hear or smell stops the job.", timeout=SLOW)
    spot = bench.locator("[data-spot=cup]")
    spot.press("Enter")
    module.page.keyboard.press("Escape")
    expect(spot).to_be_focused()
    spot.press("Enter")
    bench.locator("[data-reading=cup]").press("Enter")
    expect(words).to_contain_text("Cup of water in the food compartment, after a day: ", timeout=SLOW)
    expect(bench.locator("[data-name=minutes]")).to_have_text("10 min")
    expect(module.page.locator(".jp-mod-editMode")).to_have_count(0)
    keep_both(module.page, keep, "diagnosis_case", bench)
