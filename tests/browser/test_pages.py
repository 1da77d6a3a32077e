"""What people see: the course in JupyterLab, an exercise, the formgrader, feedback and report."""

import re
import shutil
import zipfile
from pathlib import Path

import nbformat
import pytest
from helpers import NAME, answer_cell, mark, solved_notebook, write_notebook
from playwright.sync_api import expect

from warmside import project
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark
from warmside.session.report import write_report

pytestmark = pytest.mark.chromium
SLOW = 60_000


def open_notebook(page, address: str, name: str) -> None:
    """Go to a folder of one notebook, which opens by itself."""
    page.goto(address)
    expect(page.get_by_role("tab", name=f"{name}.ipynb")).to_be_visible(timeout=SLOW)
    page.locator(".jp-Notebook").first.wait_for(timeout=SLOW)
    expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)


def run_all(page) -> None:
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def test_module_05_and_its_lab_by_keyboard(page, served, keep, tmp_path):
    shutil.copy(project.root() / "course" / "05_substance_temperature_test.ipynb", tmp_path)
    open_notebook(page, served("open", tmp_path), "05_substance_temperature_test")
    expect(page.get_by_text("Create Assignment")).to_have_count(0)
    expect(page.get_by_text("Would you like to")).to_have_count(0)
    run_all(page)
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    words = lab.locator("p[role=status]")
    expect(words).to_contain_text("At hour 24 the thermometer would say 38.9 °F")
    lab.scroll_into_view_if_needed()
    keep(page, "module_05_lab")

    slider = lab.get_by_role("slider", name="Hour of reading (h)")
    slider.focus()
    for _ in range(40):
        slider.press("ArrowLeft")
    expect(words).to_contain_text("At hour 4 the thermometer would say 4", timeout=SLOW)
    expect(lab.locator("img")).to_have_attribute("alt", re.compile("At hour 4 the"))

    box = lab.get_by_role("spinbutton", name="Hour of reading (h)")
    box.fill("12")
    box.press("Enter")
    expect(words).to_contain_text("At hour 12 the thermometer would say", timeout=SLOW)
    before = words.inner_text()
    lab.get_by_role("button", name="SI units").press("Enter")
    expect(words).to_contain_text("°C", timeout=SLOW)
    keep(page, "module_05_lab_si")
    boxes = lab.locator("input[type=number]:visible")
    assert [box.input_value() for box in boxes.all()] == ["227", "21.1", "3.3", "2.2", "12", "0.6"]
    lab.get_by_role("button", name="US units").press("Space")
    expect(words).to_have_text(before, timeout=SLOW)
    assert [box.input_value() for box in boxes.all()] == ["8", "70", "38", "4", "12", "1"]

    box = lab.get_by_role("spinbutton", name="Water at the start (°F)")
    box.press("ArrowUp")
    expect(box).to_have_value("71")

    check = page.get_by_role("group", name="Check yourself").first
    reason = check.get_by_text("Yes. Air warms within seconds")
    expect(reason).to_be_hidden()
    check.locator("summary").first.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(reason).to_be_visible()
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(check.get_by_text("One reading of air with the door open")).to_be_visible()
    expect(page.locator(".jp-mod-editMode")).to_have_count(0)
    check.scroll_into_view_if_needed()
    keep(page, "module_05_self_check")


def test_module_04_and_its_lab_by_keyboard(page, served, keep, tmp_path):
    shutil.copy(project.root() / "course" / "04_heat_sources_and_circuits.ipynb", tmp_path)
    open_notebook(page, served("open", tmp_path), "04_heat_sources_and_circuits")
    run_all(page)
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    words = lab.locator("p[role=status]")
    expect(words).to_contain_text("F (element 1, live) to G (element 1, return): 118.5 V")

    def choose(name: str, presses: int, key: str = "ArrowDown") -> None:
        box = lab.get_by_role("combobox", name=name, exact=True)
        box.focus()
        for _ in range(presses):
            box.press(key)

    choose("Fault", 5)
    expect(words).to_contain_text("119.3 V, and 118.5 V in a circuit in order", timeout=SLOW)
    choose("Meter", 1)
    expect(words).to_contain_text("round the live wire: 1.35 A, and 2.67 A in a", timeout=SLOW)
    choose("Meter", 1)
    expect(words).to_contain_text("Ohms are never measured on a live circuit", timeout=SLOW)
    choose("State", 1)
    expect(words).to_contain_text("88.7 ohm, and 44.3 ohm in a circuit in order", timeout=SLOW)
    choose("Tell me the fault", 1)
    expect(words).to_contain_text("Element 1 is open", timeout=SLOW)
    expect(lab.locator("img")).to_have_attribute("alt", re.compile("The boiler gets 160 of 317 W"))
    lab.scroll_into_view_if_needed()
    keep(page, "module_04_lab")
    page.locator("img[alt*='blade fuses']").scroll_into_view_if_needed()
    keep(page, "module_04_fuses")


def test_the_course_opens_on_its_first_page(page, served, keep):
    page.goto(served("open", "course"))
    expect(page.get_by_role("tab", name="00_start_here.ipynb")).to_be_visible(timeout=SLOW)
    expect(page.get_by_role("heading", name="Start here")).to_be_visible(timeout=SLOW)
    expect(page.get_by_text("Create Assignment")).to_have_count(0)
    expect(page.get_by_text("Would you like to")).to_have_count(0)
    keep(page, "course_start")


def test_the_exercises_open_on_a_page_that_leads_to_each(page, served, keep, monkeypatch, tmp_path):
    monkeypatch.setenv("HOME", str(tmp_path))
    page.goto(served("open", "exercises"))
    expect(page.get_by_role("heading", name="Exercises to practise with")).to_be_visible(timeout=SLOW)
    expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)
    keep(page, "exercises_start")
    page.get_by_role("link", name="Venting").click()
    expect(page.get_by_role("tab", name="venting.ipynb")).to_be_visible(timeout=SLOW)
    expect(page.get_by_role("heading", name="Exercise: venting")).to_be_visible(timeout=SLOW)


def test_module_02_and_its_lab_by_keyboard(page, served, keep, tmp_path):
    shutil.copy(project.root() / "course" / "02_venting.ipynb", tmp_path)
    open_notebook(page, served("open", tmp_path), "02_venting")
    run_all(page)
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    words, picture = lab.locator("p[role=status]"), lab.locator(".warmside-picture svg")
    expect(words).to_contain_text("It holds 43 °F up to 112 °F, 2.1 °F above its rating")
    lab.get_by_role("button", name="Keep as").press("Enter")
    box = lab.get_by_role("combobox", name="Baffle", exact=True)
    box.focus()
    box.press("ArrowDown")
    expect(words).to_contain_text("up to 108 °F, 1.5 °F below its rating", timeout=SLOW)
    expect(picture).to_have_attribute("aria-label", re.compile("1.5 °F below its rating"))
    expect(picture).to_contain_text("dashed grey: before")
    expect(lab.get_by_role("row", name=re.compile("no baffle"))).to_be_visible(timeout=SLOW)
    slider = lab.get_by_role("slider", name="Behind the fins (in)")
    slider.focus()
    for _ in range(12):
        slider.press("ArrowRight")
    expect(words).to_contain_text("up to 107 °F", timeout=SLOW)
    expect(lab.get_by_role("spinbutton", name="Behind the fins (in)")).to_have_value("2")
    line = lab.get_by_role("textbox", name=re.compile("All of it in one line"))
    expect(line).to_have_value(re.compile("Baffle: none; .*Behind the fins: 2 in"))
    before = line.input_value()
    lab.scroll_into_view_if_needed()
    keep(page, "module_02_lab")
    lab.get_by_role("button", name="Weak fan in the way").press("Space")
    expect(words).to_contain_text("too warm", timeout=SLOW)
    line.fill(before)
    line.press("Enter")
    expect(words).to_contain_text("up to 107 °F", timeout=SLOW)
    lab.get_by_role("button", name="SI units").press("Enter")
    expect(words).to_contain_text("°C", timeout=SLOW)
    with page.expect_download() as saved:
        lab.get_by_role("button", name="Save the picture").press("Enter")
    assert saved.value.suggested_filename == "lab.svg"
    assert "°C" in Path(saved.value.path()).read_text("utf-8")
    page.set_viewport_size({"width": 640, "height": 400})  # what a zoom of 200 % leaves of the page
    lab.scroll_into_view_if_needed()
    keep(page, "module_02_lab_large")


def test_module_07_and_its_lab_by_keyboard(page, served, keep, tmp_path):
    shutil.copy(project.root() / "course" / "07_diagnosis.ipynb", tmp_path)
    open_notebook(page, served("open", tmp_path), "07_diagnosis")
    run_all(page)
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=3 * SLOW)  # cases may have to be simulated first
    words = lab.locator("p[role=status]")
    box = lab.get_by_role("combobox", name="Second reading")
    box.focus()
    for _ in range(3):
        box.press("ArrowDown")
    expect(words).to_contain_text("Read in", timeout=SLOW)
    expect(lab.locator("img")).to_have_attribute("alt", re.compile("Chart of the chances"))
    told = lab.get_by_role("combobox", name="Tell me what is wrong")
    told.focus()
    told.press("ArrowDown")
    expect(words).to_contain_text("What is wrong: lower vent blocked.", timeout=SLOW)
    lab.scroll_into_view_if_needed()
    keep(page, "module_07_lab")


def test_a_trainee_does_the_exercise_from_pack_to_marks(page, served, keep, session, tmp_path):
    pack = next(path for path in hand_out(session) if path.name == "ann.zip")
    with zipfile.ZipFile(pack) as archive:
        archive.extractall(tmp_path / "desk")
    folder = tmp_path / "desk" / f"ann_{NAME}"
    open_notebook(page, served("open", folder), NAME)
    run_all(page)
    expect(page.get_by_text("Nothing recorded yet for verdict.")).to_be_visible(timeout=SLOW)
    page.get_by_text("Job card", exact=False).first.scroll_into_view_if_needed()
    keep(page, "exercise_start")

    cell = page.locator(".jp-CodeCell").filter(has_text='which_limit = ""')
    cell.locator(".cm-content").click()
    page.keyboard.press("Home")
    page.keyboard.press("Control+Home")
    for _ in range(len('which_limit = "')):
        page.keyboard.press("ArrowRight")
    page.keyboard.type("c")
    page.keyboard.press("Shift+Enter")
    page.keyboard.press("Shift+Enter")
    expect(page.get_by_text("Recorded: choice c.")).to_be_visible(timeout=SLOW)
    keep(page, "exercise_answered")
    page.keyboard.press("Control+s")
    path = folder / f"{NAME}.ipynb"
    for _ in range(100):
        saved = answer_cell(nbformat.read(path, as_version=4), "which_limit").source
        if '"c"' in saved:
            break
        page.wait_for_timeout(100)
    received, refused = take_in(session, [folder])
    assert ([item.other_cards for item in received], refused) == ([()], [])
    assert mark(session, to_mark(session)) == {}
    with session.gradebook() as gradebook:
        assert gradebook.find_submission(NAME, "ann").score == 1


def test_formgrader_shows_and_marks_the_session(page, served, keep, session, tmp_path):
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    mark(session, to_mark(session))
    take_in(session, [write_notebook(tmp_path / f"zed.9_{NAME}.ipynb", solved_notebook())])
    address = served("session", "open", session.folder)
    page.goto(address)
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + "/formgrader/manage_submissions/" + NAME)
    row = page.get_by_role("row").filter(has_text="zed.9")
    expect(row).to_be_visible(timeout=SLOW)
    keep(page, "formgrader_submissions")
    row.locator(".autograde a").click()
    page.get_by_role("button", name="OK").or_(page.get_by_role("button", name="Close")).first.click(
        timeout=SLOW
    )
    with session.gradebook() as gradebook:
        scores = [gradebook.find_submission(NAME, trainee).score for trainee in ("ann", "zed.9")]
    assert scores == [20, 20]
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + f"/formgrader/gradebook/{NAME}/{NAME}")
    expect(page.get_by_text("Submission #1")).to_be_visible(timeout=SLOW)
    page.get_by_text("Submission #1").click()
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible(timeout=SLOW)
    expect(page.get_by_text("That is right.").first).to_be_visible()
    keep(page, "formgrader_submission")


def test_the_formgrader_shows_a_hostile_hand_in_harmlessly(page, served, keep, session, tmp_path):
    hostile = solved_notebook()
    markup = (
        "<script>alert(1)</script><img src='x' onerror='alert(2)'><iframe src='https://elsewhere.example'>"
    )
    hostile.cells.insert(1, nbformat.v4.new_markdown_cell(markup))
    cell = answer_cell(hostile, "verdict")
    cell.source = (
        f"from IPython.display import HTML, Javascript, display\nmarkup = {markup!r}\n"
        "display(HTML(markup)); display(Javascript('alert(3)'))\nverdict = markup"
    )
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", hostile)])
    mark(session, to_mark(session))
    popped, asked = [], []
    page.on("dialog", lambda dialog: (popped.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: asked.append(request.url))
    address = served("session", "open", session.folder)
    page.goto(address)
    page.goto(address.split("/formgrader")[0].split("/lab")[0] + f"/formgrader/gradebook/{NAME}/{NAME}")
    page.get_by_text("Submission #1").click(timeout=SLOW)
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible(timeout=SLOW)
    keep(page, "formgrader_hostile")
    page.goto((session.folder / "feedback" / "ann" / NAME / f"{NAME}.html").as_uri())
    expect(page.get_by_text("What to look at stands under each answer").first).to_be_visible()
    assert popped == []
    assert not [url for url in asked if "elsewhere.example" in url]


def test_feedback_and_report_need_no_network(page, keep, demo):
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((demo.folder / "feedback" / "t04" / NAME / f"{NAME}.html").as_uri())
    expect(page.get_by_text("ounces taken as pounds").first).to_be_visible()
    keep(page, "feedback")
    page.goto(write_report(demo)[0].as_uri())
    expect(page.get_by_text("This class is invented")).to_be_visible()
    keep(page, "report")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
