"""What people do on a page of JupyterLab: open a notebook, run it, type an answer, press a key."""

import os
import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import parse_qs, quote, urlsplit

from playwright.sync_api import Locator, Page, expect

SLOW = 60_000  # ms
KEPT_IN = os.environ.get("WARMSIDE_SCREENSHOTS")
"""The folder that pictures for a person are kept in."""
SMALL = {"width": 640, "height": 400}
"""What a zoom of 200 % leaves of the usual page."""
USUAL = {"width": 1280, "height": 800}


def open_by_path(page: Page, address: str, path: str) -> None:
    """Open a notebook of a server, without the tabs of others."""
    place = urlsplit(address)
    token = parse_qs(place.query)["token"][0]
    page.goto(f"{place.scheme}://{place.netloc}/lab/tree/{quote(path)}?reset&token={token}")
    expect(page.get_by_role("tab", name=f"{Path(path).stem}.ipynb")).to_be_visible(timeout=SLOW)
    page.locator(".jp-Notebook").first.wait_for(timeout=SLOW)
    expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)
    page.get_by_role("tab", name="File Browser").click()  # closed, as it is where nothing was reset


def shut_down_kernels(page: Page) -> None:
    """End the kernels that the page's server runs."""
    page.evaluate("() => window.jupyterapp.serviceManager.sessions.shutdownAll()")


def run_all(page: Page) -> None:
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def keep_both(page: Page, keep: Callable[[Page, str], None], name: str, place: Locator) -> None:
    """Keep pictures of a place at the usual size and at a zoom of 200 %."""
    if not KEPT_IN:
        return
    for size, ending in ((SMALL, "_200"), (USUAL, "")):
        page.set_viewport_size(size)
        place.evaluate("place => place.scrollIntoView({block: 'start'})")
        page.wait_for_timeout(200)  # what the eye sees once the page has come to rest
        keep(page, name + ending)


def answer(page: Page, name: str, text: str) -> None:
    """Type an answer between the quotes of its cell."""
    cell = page.locator(".jp-CodeCell").filter(has_text=re.compile(rf"^\W*{name} = \""))
    cell.locator(".cm-content").click()
    page.keyboard.press("Control+Home")
    for _ in range(len(f'{name} = "')):
        page.keyboard.press("ArrowRight")
    page.keyboard.type(text)


def the_button(page: Page) -> Locator:
    button = page.get_by_role("button", name="Write my hand-in")
    button.wait_for(timeout=SLOW)
    return button


def focus_by_tab(page: Page, button: Locator) -> int:
    """Press Tab until the button has the keyboard; return how often."""
    for presses in range(1, 30):
        page.keyboard.press("Tab")
        if button.evaluate("button => button === document.activeElement"):
            return presses
    raise AssertionError("Tab doesn't come to the button")
