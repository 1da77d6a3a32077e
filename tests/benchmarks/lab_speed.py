"""How fast the enclosure's lab answers in a browser: from a key press to the new picture.

Run it with ``python tests/benchmarks/lab_speed.py``; it needs Debian's chromium. It goes to one slider after
another, as a hand does, and presses an arrow key a hundred times, each time waiting for the picture; then it
drags for two seconds and looks how long after the hand has stopped the last picture comes. No setting was
shown before. A slider that gets the focus has its range solved and drawn ahead of the hand, so it also prints
what a press takes that comes in the same instant as the focus, and a choice from a list that does.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from playwright.sync_api import Locator, Page, expect, sync_playwright

from warmside import project

PRESSES = {"Behind the fins": 45, "Side": 22, "Gap over": 20, "Lower vent": 13}
FROM_ONE_TO_THE_NEXT, BETWEEN_MOVES, DRAG_SECONDS, DRAGS = 300, 12, 2.0, 10  # ms, ms, s
OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SLOW = 120_000

# In the page: note when a key goes down, and when the frame with the changed picture has been painted:
# a message posted before a frame comes in after it.
WATCH = """
() => {
  const picture = document.querySelector('.warmside-lab .warmside-picture');
  window.times = [];
  window.last = 0;
  document.addEventListener('keydown', () => { window.pressed = performance.now(); }, true);
  document.addEventListener('input', () => { window.moved = performance.now(); }, true);
  const painted = new MessageChannel();
  painted.port1.onmessage = () => {
    window.last = performance.now();
    if (window.pressed) { window.times.push(window.last - window.pressed); window.pressed = 0; }
  };
  const paint = () => requestAnimationFrame(() => painted.port2.postMessage(0));
  new MutationObserver(paint).observe(picture, { childList: true, subtree: true });
}
"""


def measure(page: Page) -> tuple[list[float], list[float], list[float], list[float]]:
    """Return times from key press to picture: steady presses, with the focus, in a list; and of drags.

    A drag's is the time from its last move to the last picture; all in ms.
    """
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    page.wait_for_timeout(2000)
    page.evaluate(WATCH)

    def press(control: Locator, key: str) -> float:
        before = page.evaluate("window.times.length")
        control.press(key)
        page.wait_for_function(f"window.times.length > {before}", timeout=SLOW)
        page.wait_for_timeout(30)
        return page.evaluate("window.times.at(-1)")

    steady, focused, listed = [], [], []
    for name, presses in PRESSES.items():
        slider = lab.get_by_role("slider", name=re.compile(name))
        slider.focus()
        page.wait_for_timeout(FROM_ONE_TO_THE_NEXT)
        steady += [press(slider, "ArrowRight") for _ in range(presses)]
        listed.append(press(lab.get_by_role("combobox", name="Fan"), "ArrowDown"))
        focused.append(press(slider, "ArrowLeft"))
        listed.append(press(lab.get_by_role("combobox", name="Fan"), "ArrowUp"))
        focused.append(press(slider, "ArrowLeft"))
    slider = lab.get_by_role("slider", name=re.compile("Outside"))
    behind = [drag(page, slider, *ends) for ends in [(0.2, 0.8), (0.8, 0.2)] * (DRAGS // 2)]
    return steady, focused, listed, behind


def drag(page: Page, slider: Locator, start: float, end: float) -> float:
    """Drag a slider from one share of its width to another; return how long the last picture takes [ms]."""
    slider.scroll_into_view_if_needed()
    page.wait_for_timeout(FROM_ONE_TO_THE_NEXT)
    box = slider.bounding_box()

    def move(share: float) -> None:
        page.mouse.move(box["x"] + share * box["width"], box["y"] + box["height"] / 2)

    move(start)
    page.evaluate("window.dragged = performance.now()")
    page.mouse.down()
    began = time.monotonic()
    while (passed := time.monotonic() - began) < DRAG_SECONDS:
        move(start + (end - start) * passed / DRAG_SECONDS)
        page.wait_for_timeout(BETWEEN_MOVES)
    page.mouse.up()
    page.wait_for_timeout(1000)
    assert page.evaluate("window.last > window.moved && window.moved > window.dragged"), (
        "the drag moved nothing"
    )
    return page.evaluate("window.last - window.moved")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shutil.copy(project.root() / "course" / "02_venting.ipynb", folder)
        command = [Path(sys.executable).with_name("warmside"), "open", folder, "--no-browser"]
        log = Path(folder, "log")
        with log.open("wb") as output:
            server = subprocess.Popen(command, stdout=output, stderr=output, start_new_session=True)
        try:
            while not (
                found := re.search(r"http://(?:localhost|127\.0\.0\.1):\d+/\S*token=\w+", log.read_text())
            ):
                time.sleep(0.2)
            time.sleep(1.0)
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
            page = browser.new_page(viewport={"width": 1400, "height": 1400})
            page.goto(found[0])
            page.locator(".jp-Notebook").first.wait_for(timeout=SLOW)
            expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)
            page.get_by_role("menuitem", name="Run", exact=True).click()
            page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
            steady, focused, listed, behind = measure(page)
            browser.close()
        finally:
            os.killpg(server.pid, signal.SIGTERM)
            server.wait()
    ordered = sorted(steady)
    print(f"key press to new picture, {len(steady)} presses: median {median(steady):.0f} ms, ", end="")
    print(f"95 % within {ordered[int(0.95 * len(ordered))]:.0f} ms, slowest {ordered[-1]:.0f} ms")
    print(f"a press that comes with the focus: median {median(focused):.0f} ms")
    print(f"a choice from a list: median {median(listed):.0f} ms")
    print(f"behind the hand when a drag ends, {len(behind)} drags: median {median(behind):.0f} ms, ", end="")
    print(f"all: {', '.join(f'{one:.0f}' for one in behind)} ms")


if __name__ == "__main__":
    main()
