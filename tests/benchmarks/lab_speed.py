"""How fast the labs with a scene answer in a browser, and what their moving pictures cost.

Run it with ``python tests/benchmarks/lab_speed.py``, or ``lab_speed.py cup`` for one of them; it needs
Debian's chromium. It goes to one handle after another, as a hand does, and presses an arrow key some seventy
times or more, each time waiting for the picture. It grabs each handle and pulls, and looks when the first new
number is painted. It drags for two seconds and looks how long after the hand has stopped the last one comes.
No setting was shown before. A handle that a hand comes near has its range solved and made ahead, so it also
prints what a press takes that comes in the same instant as the focus, and a choice from a list that does.
Last, it times the script of each frame: while a day runs, of air that moves, and with a change every two
seconds.
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
from typing import NamedTuple

from playwright.sync_api import Locator, Page, expect, sync_playwright

from warmside import project


class Measured(NamedTuple):
    """A lab whose times are taken.

    Its module, how often a key is pressed on each handle, px of pull on each, the handle that is moved every
    two seconds, the one that is dragged along, the list beside, and the situation to start from.
    """

    module: str
    presses: dict[str, int]
    grabbed: dict[str, tuple[int, int]]
    moved: str
    dragged: str
    listed: str
    start: str


LABS = {
    "venting": Measured(
        "02_venting.ipynb",
        {"rear_gap": 45, "side_gap": 22, "top_gap": 20, "lower_blocked": 13},
        {"rear_gap": (9, 0), "ambient": (14, 0), "side_gap": (12, 0), "lower_blocked": (0, 12)},
        "lower_blocked",
        "ambient",
        "Fan",
        "Correct",
    ),
    "cup": Measured(
        "05_substance_temperature_test.ipynb",
        {"reading_time": 15, "ambient": 20, "setting": 20, "lower_blocked": 13},
        {"reading_time": (-24, 0), "ambient": (14, 0), "setting": (10, 0), "lower_blocked": (0, 12)},
        "reading_time",
        "reading_time",
        "Door",
        "By practice",
    ),
    "unit": Measured(
        "01_absorption_cycle.ipynb",
        {"heat": 12, "ambient": 18, "tilt": 11, "charge": 10},
        {"heat": (0, -12), "ambient": (0, -14), "tilt": (12, 0), "charge": (-14, 0)},
        "heat",
        "ambient",
        "Thermostat",
        "In order",
    ),
}
NEAR, FROM_ONE_TO_THE_NEXT, BETWEEN_MOVES, DRAG_SECONDS, DRAGS = 250, 300, 12, 2.0, 10  # ms, ms, ms, s
WATCHED = 6.0  # s of frames
LOADED = 4000  # ms until a situation is there, and what a hand may come to next
GRABS = 3  # of each handle, there and back
OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SLOW = 120_000

# Before the page's own scripts: note how long each callback of a frame runs.
FRAMES = """
window.frames_ = [];
const request = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = (callback) => request((time) => {
  const began = performance.now();
  callback(time);
  window.frames_.push(performance.now() - began);
});
"""
# In the page: note when a key goes down or a pointer moves, and when the frame with the changed picture has
# been painted: a message posted before a frame comes in after it.
WATCH = """
() => {
  window.times = [];
  window.last = 0;
  const began = () => { window.pressed = performance.now(); };
  document.addEventListener('keydown', began, true);
  document.addEventListener('change', began, true);
  document.addEventListener('pointermove', (event) => {
    window.moved = performance.now();
    if (event.buttons) window.pulled ||= window.moved;
  }, true);
  const painted = new MessageChannel();
  painted.port1.onmessage = () => {
    window.last = performance.now();
    if (window.pressed) { window.times.push(window.last - window.pressed); window.pressed = 0; }
    if (window.pulled && !window.grabbed) window.grabbed = window.last - window.pulled;
  };
  const paint = () => requestAnimationFrame(() => painted.port2.postMessage(0));
  const stage = document.querySelector('.warmside-stage');
  new MutationObserver(paint).observe(stage, { attributes: true, childList: true, subtree: true });
}
"""


def handle(page: Page, name: str) -> Locator:
    return page.locator(f".warmside-lab [data-handle={name}]")


def middle(place: Locator) -> tuple[float, float]:
    box = place.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def measure(page: Page, of: Measured) -> tuple[list[float], list[float], list[float]]:
    """Return times from key press to picture: steady presses, with the focus, and in a list [ms]."""
    lab = page.locator(".warmside-lab")

    def press(control: Locator, key: str) -> float:
        before = page.evaluate("window.times.length")
        control.press(key)
        page.wait_for_function(f"window.times.length > {before}", timeout=SLOW)
        page.wait_for_timeout(30)
        return page.evaluate("window.times.at(-1)")

    lab.get_by_role("button", name="All settings").click()
    steady, focused, listed = [], [], []
    for name, presses in of.presses.items():
        place = handle(page, name)
        place.focus()
        page.wait_for_timeout(FROM_ONE_TO_THE_NEXT)
        steady += [
            press(place, "ArrowLeft" if name == "reading_time" else "ArrowRight") for _ in range(presses)
        ]
        listed.append(press(lab.get_by_role("combobox", name=of.listed), "ArrowDown"))
        focused.append(press(place, "ArrowLeft"))
        listed.append(press(lab.get_by_role("combobox", name=of.listed), "ArrowUp"))
        focused.append(press(place, "ArrowLeft"))
    return steady, focused, listed


def grab(page: Page, name: str, across: float, down: float) -> float:
    """Come near a handle, grab it and pull; return how long the first new picture takes [ms]."""
    x, y = middle(handle(page, name))
    page.mouse.move(x - 4, y)
    page.wait_for_timeout(NEAR)
    page.evaluate("window.pulled = window.grabbed = 0")
    page.mouse.down()
    page.mouse.move(x - 4 + across, y + down)
    page.wait_for_function("window.grabbed > 0", timeout=SLOW)
    page.mouse.up()
    page.wait_for_timeout(FROM_ONE_TO_THE_NEXT)
    return page.evaluate("window.grabbed")


def drag(page: Page, name: str, start: float, end: float) -> float:
    """Drag a handle along by some px; return how long the last picture takes [ms]."""
    x, y = middle(handle(page, name))
    page.mouse.move(x, y)
    page.wait_for_timeout(FROM_ONE_TO_THE_NEXT)
    page.mouse.down()
    began = time.monotonic()
    while (passed := time.monotonic() - began) < DRAG_SECONDS:
        page.mouse.move(x + start + (end - start) * passed / DRAG_SECONDS, y)
        page.wait_for_timeout(BETWEEN_MOVES)
    behind = page.evaluate("window.moved")
    page.wait_for_timeout(500)
    last = page.evaluate("window.last")
    page.mouse.up()
    page.wait_for_timeout(500)
    return max(last - behind, 0.0)


def frames(page: Page, changes: str = "") -> list[float]:
    """Return how long the script of each frame runs for some seconds [ms]."""
    page.evaluate("window.frames_.length = 0")
    for number in range(round(WATCHED / 2.0)):
        if changes:
            handle(page, changes).press("ArrowUp" if number % 2 else "ArrowDown")
        page.wait_for_timeout(2000)
    return page.evaluate("window.frames_")


def told(name: str, times: list[float], digits: int = 0) -> None:
    ordered = sorted(times)
    print(f"{name}, {len(times)}: median {median(times):.{digits}f} ms, 95 % within ", end="")
    print(f"{ordered[int(0.95 * len(ordered))]:.{digits}f} ms, slowest {ordered[-1]:.{digits}f} ms")


def main(chosen: str = "") -> None:
    for name, of in LABS.items():
        if name.startswith(chosen):
            print(f"--- {of.module}")
            times_of(of)


def times_of(of: Measured) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shutil.copy(project.root() / "course" / of.module, folder)
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
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.add_init_script(FRAMES)
            page.goto(found[0])
            page.locator(".jp-Notebook").first.wait_for(timeout=SLOW)
            expect(page.get_by_role("contentinfo")).to_contain_text("Idle", timeout=SLOW)
            page.get_by_role("menuitem", name="Run", exact=True).click()
            page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
            lab = page.locator(".warmside-lab")
            lab.wait_for(timeout=SLOW)
            lab.get_by_role("button", name="Predict first").click()
            lab.evaluate("lab => lab.scrollIntoView({block: 'start'})")
            page.wait_for_timeout(3000)
            page.evaluate(WATCH)
            runs = lab.locator(".warmside-run")
            day: list[float] = []
            if runs.count():
                if "Run" in runs.inner_text():
                    runs.press("Enter")
                day = frames(page)
                runs.press("Enter")
            alone = frames(page)
            changing = frames(page, of.moved)
            steady, focused, listed = measure(page, of)
            lab.get_by_role("button", name=of.start).click()
            page.wait_for_timeout(LOADED)
            there_and_back = [1, -1] * GRABS
            grabs = [
                grab(page, name, turn * across, turn * down)
                for turn in there_and_back
                for name, (across, down) in of.grabbed.items()
            ]
            behind = [drag(page, of.dragged, *ends) for ends in [(0, -60), (0, 60)] * (DRAGS // 2)]
            browser.close()
        finally:
            os.killpg(server.pid, signal.SIGTERM)
            server.wait()
    told("key press to new picture", steady)
    told("a press that comes with the focus", focused)
    told("a choice from a list", listed)
    told("a pull after a grab, to the first new number", grabs)
    told("behind the hand when a drag ends", behind)
    if day:
        told("script of a frame, the day runs", day, digits=1)
    told("script of a frame, air alone", alone, digits=1)
    told("script of a frame, a change every 2 s", changing, digits=1)


if __name__ == "__main__":
    main(*sys.argv[1:])
