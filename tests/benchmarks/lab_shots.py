"""Pictures of the labs with a scene, each in four states, for a person to look at.

Run it with ``python tests/benchmarks/lab_shots.py FOLDER``, or ``FOLDER meter`` for one of them; it
needs Debian's chromium. Each state is taken at 1280 x 800 and, for a wall eight meters away, at 1920 x 1080;
the last one on narrow pages as well.
"""

import shutil
import sys
from pathlib import Path

from playwright.sync_api import Locator, Page, expect, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1]))
from browser.lab_page import lab_on  # the folder of the tests is no package

from warmside.show.case_bench import practice_case_lab
from warmside.show.cup_lab import substance_temperature_lab
from warmside.show.enclosure_lab import enclosure_lab
from warmside.show.meter_lab import heater_meter_lab
from warmside.show.survey_lab import survey_lab
from warmside.show.unit_lab import unit_lab

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


def in_a_slide_out(lab: Locator) -> None:
    press(lab, "In a slide-out")
    press(lab, "All settings")


def still(lab: Locator) -> None:
    press(lab, "❚❚ Stop the day")
    clock = lab.locator("[data-handle=reading_time]")
    clock.press("End")


def early(lab: Locator) -> None:
    lab.locator("[data-handle=reading_time]").press("Home")
    for _ in range(5):
        lab.locator("[data-handle=reading_time]").press("ArrowRight")


def busy_door(lab: Locator) -> None:
    lab.locator("[data-handle=door]").press("End")
    expect(lab.get_by_role("heading", name="What will the cup read")).to_be_visible(timeout=SLOW)


def hot_and_shut(lab: Locator) -> None:
    press(lab, "Show me without a guess")
    press(lab, "Predict first")
    press(lab, "Shut vent, hot")
    press(lab, "SI units")


def knob_to_amps(lab: Locator) -> None:
    press(lab, "Element 1 open: volts")
    press(lab, "Nearly all")
    lab.locator("[data-handle=meter]").press("ArrowRight")
    expect(lab.get_by_role("heading", name="What will the clamp show?")).to_be_visible(timeout=SLOW)


def dead_and_open(lab: Locator) -> None:
    press(lab, "Too little")
    press(lab, "Predict first")
    lab.locator("[data-handle=isolated]").press("ArrowRight")
    lab.locator("[data-handle=meter]").press("End")
    press(lab, "SI units")


def untold(lab: Locator) -> None:
    press(lab, "A mystery")


def read_some(lab: Locator) -> None:
    press(lab, "Look, smell, listen")
    for place, name in (
        ("cup", "cup"),
        ("food", "load"),
        ("condenser", "fins"),
        ("supply", "supply_voltage"),
    ):
        lab.locator(f"[data-spot={place}]").click()
        if lab.locator(f"[data-reading={name}]").is_visible():
            lab.locator(f"[data-reading={name}]").click()
    lab.locator("[data-spot=vent]").click()


def about_to_commit(lab: Locator) -> None:
    lab.locator("[data-reading=vent_air]").click()
    press(lab, "I know enough: commit")
    lab.get_by_label("What is wrong", exact=True).select_option("air_again")
    lab.get_by_label("What you do", exact=True).select_option("build")


def debriefed(lab: Locator) -> None:
    press(lab, "Commit")
    press(lab, "Yes, that is my word")
    press(lab, "What was right?")
    expect(lab.locator(".warmside-odds")).to_be_visible(timeout=SLOW)
    for _ in range(5):
        press(lab, "Next reading")


def follow_hydrogen(lab: Locator) -> None:
    press(lab, "Predict first")
    press(lab, "hydrogen")
    lab.locator("[data-point=food]").press("Enter")


def too_hot(lab: Locator) -> None:
    press(lab, "all flows")
    press(lab, "Air too hot")
    press(lab, "SI units")


def tilted(lab: Locator) -> None:
    press(lab, "Out of level")


def less_heat(lab: Locator) -> None:
    press(lab, "Predict first")
    press(lab, "In order")
    press(lab, "Show me without a guess")
    lab.locator("[data-handle=heat]").press("PageDown")
    expect(lab.get_by_role("heading", name="What will the food do?")).to_be_visible(timeout=SLOW)


LABS = {
    "venting": (
        enclosure_lab,
        {"1_correct": None, "2_prediction": baffle_out, "3_shut": shut_vent, "4_deep": deep_and_open},
    ),
    "survey": (survey_lab, {"1_as_found": None, "2_slide_out": in_a_slide_out}),
    "cup": (
        substance_temperature_lab,
        {"1_day": still, "2_early": early, "3_prediction": busy_door, "4_shut": hot_and_shut},
    ),
    "meter": (
        heater_meter_lab,
        {"1_in_order": None, "2_prediction": knob_to_amps, "3_ohms": dead_and_open, "4_mystery": untold},
    ),
    "case": (
        practice_case_lab,
        {"1_start": None, "2_reading": read_some, "3_commit": about_to_commit, "4_debrief": debriefed},
    ),
    "unit": (
        unit_lab,
        {
            "1_in_order": None,
            "2_hydrogen": follow_hydrogen,
            "3_too_hot": too_hot,
            "4_tilted": tilted,
            "5_prediction": less_heat,
        },
    ),
}


def take(page: Page, folder: Path, name: str, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.wait_for_timeout(MOVING)
    page.screenshot(path=folder / f"{name}_{size[0]}.png")


def main(folder: Path, chosen: str = "") -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=OPTIONS)
        for which, (lab_of, states) in LABS.items():
            if not which.startswith(chosen):
                continue
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.on("pageerror", lambda error: print(error))
            lab = lab_on(page, lab_of())
            for name, comes_to in states.items():
                if comes_to:
                    comes_to(lab)
                if "prediction" not in name and which != "case":
                    expect(lab.locator(".warmside-range")).not_to_be_empty(timeout=SLOW)
                for size in SIZES:
                    take(page, folder, f"{which}_{name}", size)
            for size in NARROW:
                take(page, folder, f"{which}_{name}", size)
            page.close()
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), *sys.argv[2:])
