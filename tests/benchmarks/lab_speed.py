"""How fast the enclosure's lab answers in a browser: from a key press to the new picture.

Run it with ``python tests/benchmarks/lab_speed.py``; it needs Debian's chromium. It presses an arrow key on a
slider a hundred times, each time waiting for the picture, then drags for two seconds and looks how long the
last picture comes after the hand has stopped. Every press asks for a setting that was not solved before.
"""

import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from warmside import project

PRESSES, DRAG_SECONDS = 100, 2.0
OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SLOW = 120_000

# In the page: note when a key goes down, and when the picture has been drawn after it changed.
WATCH = """
() => {
  const picture = document.querySelector('.warmside-lab .warmside-picture');
  window.times = [];
  window.last = 0;
  document.addEventListener('keydown', () => { window.pressed = performance.now(); }, true);
  document.addEventListener('input', () => { window.moved = performance.now(); }, true);
  new MutationObserver(() => requestAnimationFrame(() => {
    window.last = performance.now();
    if (window.pressed) { window.times.push(window.last - window.pressed); window.pressed = 0; }
  })).observe(picture, { childList: true, subtree: true });
}
"""


def measure(page: Page) -> tuple[list[float], float]:
    """Return times from key press to picture, and from the last move of a drag to the last picture [ms]."""
    lab = page.locator(".warmside-lab")
    lab.wait_for(timeout=SLOW)
    page.wait_for_timeout(2000)
    page.evaluate(WATCH)
    behind, sides = (lab.get_by_role("slider", name=re.compile(name)) for name in ("Behind the fins", "Side"))
    for press in range(PRESSES):
        turn, back = divmod(press, 45)
        slider = sides if back == 0 else behind  # on the way back the sides are others, so nothing was solved
        slider.focus()
        slider.press("ArrowLeft" if turn % 2 and slider is behind else "ArrowRight")
        page.wait_for_function(f"window.times.length > {press}", timeout=SLOW)
        page.wait_for_timeout(30)
    times = page.evaluate("window.times")
    box = lab.get_by_role("slider", name=re.compile("Outside")).bounding_box()
    page.mouse.move(box["x"] + 0.2 * box["width"], box["y"] + box["height"] / 2)
    page.mouse.down()
    start = time.monotonic()
    while (passed := time.monotonic() - start) < DRAG_SECONDS:
        share = 0.2 + 0.6 * passed / DRAG_SECONDS
        page.mouse.move(box["x"] + share * box["width"], box["y"] + box["height"] / 2)
    page.mouse.up()
    page.wait_for_timeout(1000)
    return times, page.evaluate("window.last - window.moved")


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
            times, behind = measure(page)
            browser.close()
        finally:
            os.killpg(server.pid, signal.SIGTERM)
            server.wait()
    ordered = sorted(times)
    print(
        f"key press to new picture, {len(times)} presses: median {statistics.median(times):.0f} ms, ", end=""
    )
    print(f"95 % within {ordered[int(0.95 * len(ordered))]:.0f} ms, slowest {ordered[-1]:.0f} ms")
    print(f"behind the hand when a drag ends: {behind:.0f} ms")


if __name__ == "__main__":
    main()
