"""Pictures of the venting lab in four states, for a person to look at.

Run it with ``python tests/benchmarks/lab_shots.py FOLDER``; it needs Debian's chromium. Each state is taken
at 1280 x 800 and, for a wall eight meters away, at 1920 x 1080; the last one on narrow pages as well.
"""

import shutil
import sys
from pathlib import Path

from playwright.sync_api import Locator, Page, expect, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1]))
from browser.lab_page import lab_on  # the folder of the tests is no package

from warmside.show.enclosure_lab import enclosure_lab

OPTIONS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
SIZES = (1280, 800), (1920, 1080)
NARROW = (850, 800), (390, 844)
SLOW, MOVING = 60_000, 1500  # ms; until the air has come all the way


def press(lab: Locator, name: str) -> None:
    lab.get_by_role("button", name=name, exact=True).press("Enter")


def baffle_out(lab: Locator) -> None:
    lab.locator("[data-handle=baffle_gap]").press("Enter")
    expect(lab.get_by_role("heading", name="What will the food do?")).to_be_visible(timeout=SLOW)


def shut_vent(lab: Locator) -> None:
    press(lab, "Show me without a guess")
    press(lab, "Predict first")
    press(lab, "Blocked lower vent")


def deep_and_open(lab: Locator) -> None:
    press(lab, "Too deep")
    lab.locator("[data-handle=pocket_open]").press("Enter")
    lab.locator("[data-handle=ambient]").press("PageUp")
    press(lab, "SI units")


STATES = {
    "1_correct": lambda lab: None,
    "2_prediction": baffle_out,
    "3_shut": shut_vent,
    "4_deep": deep_and_open,
}


def take(page: Page, folder: Path, name: str, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.wait_for_timeout(MOVING)
    page.screenshot(path=folder / f"{name}_{size[0]}.png")


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        lab = lab_on(page, enclosure_lab())
        for name, comes_to in STATES.items():
            comes_to(lab)
            if name != "2_prediction":
                expect(lab.locator(".warmside-range")).not_to_be_empty(timeout=SLOW)
            for size in SIZES:
                take(page, folder, name, size)
        for size in NARROW:
            take(page, folder, name, size)
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
