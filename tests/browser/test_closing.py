"""The end of an exercise as a trainee sees it: what is recorded, the button, feedback on practice."""

import shutil
import zipfile

import pytest
from browser.notebook_page import SLOW, answer, focus_by_tab, open_by_path, run_all, the_button
from helpers import NAME, mark
from nbgrader_metadata import assert_same_until_marked
from playwright.sync_api import expect

from warmside import project
from warmside.session.folder import Session
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.mark import to_mark

pytestmark = [pytest.mark.chromium, pytest.mark.full]


@pytest.fixture(scope="module")
def desk(started, tmp_path_factory):
    """A folder with the exercise as it was handed out, twice, and to practise with."""
    folder = tmp_path_factory.mktemp("desk")
    session = Session.open(shutil.copytree(started.folder, tmp_path_factory.mktemp("session") / "class"))
    for name in ("saved", "unsaved"):
        zipfile.ZipFile(hand_out(session)[0]).extractall(folder / name)
    shutil.copytree(project.root() / "exercises" / NAME, folder / "practice" / NAME)
    return folder


@pytest.fixture(scope="module")
def address(served_to_all, desk):
    return served_to_all("open", desk)


def test_the_button_saves_and_writes_what_is_taken_in_and_marked(page, address, keep, session, desk):
    pack = desk / "saved" / f"ann_{NAME}"
    open_by_path(page, address, f"{pack.relative_to(desk)}/{NAME}.ipynb")
    answer(page, "which_limit", "c")
    run_all(page)
    button = the_button(page)
    table = page.get_by_role("table").filter(has_text="1 of 12 questions answered")
    expect(table.get_by_role("row").filter(has_text="10. Which sentence is right")).to_contain_text(
        "recorded"
    )
    expect(table.get_by_role("row").filter(has_text="11. Your verdict")).to_contain_text("missing")
    expect(page.get_by_text("your instructor marks it.")).to_be_visible()

    button.scroll_into_view_if_needed()
    keep(page, "closing")
    assert focus_by_tab(page, button) <= 3
    page.keyboard.press("Enter")
    words = page.get_by_text(f"Written: ann_{NAME}.zip")
    expect(words).to_contain_text("11 of 12 questions have no answer", timeout=SLOW)
    expect(page.locator(".jp-mod-editMode")).to_have_count(0)
    expect(page.locator(".jp-mod-dirty")).to_have_count(0)  # nothing asks to be saved again
    keep(page, "closing_written")

    written = pack / f"ann_{NAME}.zip"
    received, refused = take_in(session, [written])
    assert ([one.trainee for one in received], refused) == (["ann"], [])
    assert mark(session, to_mark(session)) == {}
    assert_same_until_marked(session, "ann", NAME)
    with session.gradebook() as gradebook:
        assert gradebook.find_submission(NAME, "ann").score == 1


def test_where_the_page_cannot_save_the_trainee_is_told_to(page, address, desk):
    pack = desk / "unsaved" / f"ann_{NAME}"
    open_by_path(page, address, f"{pack.relative_to(desk)}/{NAME}.ipynb")
    page.evaluate("window.jupyterapp = undefined")  # as in a JupyterLab that `warmside open` did not start
    answer(page, "which_limit", "c")
    run_all(page)
    button = the_button(page)
    button.press("Space")
    expect(
        page.get_by_text("Not written. The saved notebook does not hold your last answer to")
    ).to_contain_text("question 10. Save the notebook (Ctrl+S", timeout=SLOW)
    assert not list(pack.glob("*.zip"))
    button.press("Control+s")
    page.wait_for_function("() => !document.querySelector('.jp-mod-dirty')", timeout=SLOW)
    button.press("Space")
    expect(page.get_by_text(f"Written: ann_{NAME}.zip")).to_be_visible(timeout=SLOW)
    assert (pack / f"ann_{NAME}.zip").is_file()


def test_the_practice_card_is_checked_at_once(page, address, keep, exercise):
    reads = float(exercise.practice_card().entry("ice_reading").text.split()[0])
    open_by_path(page, address, f"practice/{NAME}/{NAME}.ipynb")
    answer(page, "thermometer_error", f"{32 - reads:.1f} degF")
    answer(page, "which_limit", "a")
    run_all(page)
    the_button(page)
    expect(
        page.get_by_text("This looks like a known mistake: sign of the error turned round.")
    ).to_be_visible()
    expect(page.get_by_text("0.5 of 1 marks: a known mistake")).to_be_visible()
    expect(page.get_by_role("paragraph").filter(has_text="Not answered yet:")).to_contain_text(
        "Heat that leaves the water"
    )
    expect(page.get_by_text("Which limit is which: it is the same on every card")).to_be_visible()
    page.get_by_text("This looks like a known mistake").scroll_into_view_if_needed()
    keep(page, "practice_checked")
