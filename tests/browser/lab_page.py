"""A lab's page in a browser without a server: script and answers are real, the wire is a function.

And what a hand does there, and what anybody may expect of how it looks.
"""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from browser.conftest import watched
from playwright.sync_api import Browser, Locator, Page, expect

from warmside.show.lab import Lab

_LAB = {"include": [["#lab"]]}
_LOOKS = Path(__file__).with_name("looks.js").read_text("utf-8")
_LEAST, _LEAST_ON_A_PHONE = 15.9, 13.9  # px; of letters
_PHONE = {"width": 390, "height": 844}
_PAGE = """<!doctype html><html lang="en"><head><title>A lab</title>
<style>body { margin: 0; } h1 { position: absolute; clip-path: inset(50%); } STYLE</style></head>
<body><main><h1>A lab</h1><div id="lab"></div></main></body></html>"""
_START = """
async ([script, page, answer]) => {
  const heard = { "change:answer": [], "msg:custom": [] };
  const state = { page, answer };
  const model = {
    get: (name) => state[name],
    on: (event, does) => heard[event].push(does),
    send: async (question) => {
      const [next, messages] = JSON.parse(await window.askLab(JSON.stringify(question)));
      for (const message of messages) for (const does of heard["msg:custom"]) does(message);
      if (!next) return;
      state.answer = next;
      for (const does of heard["change:answer"]) does();
    },
  };
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  const { default: widget } = await import(url);
  widget.render({ model, el: document.getElementById("lab") });
}
"""


def lab_on(page: Page, lab: Lab) -> Locator:
    """Show a lab on a page, and answer what it asks; return where it is."""
    messages: list[Any] = []
    lab.send = lambda content, buffers=None: messages.append(content)

    def answered(question: str) -> str:
        messages.clear()
        asked = json.loads(question)
        lab.ask(asked)
        return json.dumps([None if "ahead" in asked else lab.answer, messages])

    page.expose_function("askLab", answered)
    page.set_content(_PAGE.replace("STYLE", lab._css))
    page.evaluate(_START, [lab._esm, lab.page, lab.answer])
    return page.locator("#lab")


@contextmanager
def shown_alone(chromium: Browser, lab: Lab, *, moving: bool = False) -> Iterator[tuple[Page, Locator]]:
    """A page with a lab, for all tests of a file; nothing may be asked of the network."""
    with watched(chromium, moving=moving) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        yield page, lab_on(page, lab)
        assert not [url for url in asked if not url.startswith(("blob:", "data:", "about:"))]


def back_to_the_start(lab: Locator) -> None:
    lab.get_by_role("button", name="Back to the start").click()
    lab.get_by_role("button", name="US units").click()
    expect(lab.get_by_role("button", name="US units")).to_have_attribute("aria-pressed", "true")


def predicts_no_longer(lab: Locator) -> None:
    predict = lab.get_by_role("button", name="Predict first")
    if predict.get_attribute("aria-pressed") == "true":
        predict.press("Enter")


def answers_every_hand(
    page: Page,
    lab: Locator,
    shown: Any,
    name: str,
    way: tuple[float, float],
    key: str,
    agrees: Callable[[], None],
) -> None:
    """Move a handle by mouse, by finger and by key; each time page and model must agree."""
    one, usual = handle(lab, name), getattr(shown.settings, name)
    for hand in (pull, pull_by_finger):
        was = one.get_attribute("aria-valuetext")
        hand(page, one, *way)
        expect(one).not_to_have_attribute("aria-valuetext", was)
        agrees()
        assert getattr(shown.settings, name) != usual
        lab.get_by_role("button", name="Back to the start").click()
        expect(one).to_have_attribute("aria-valuetext", was)
    one.press(key)
    agrees()
    assert getattr(shown.settings, name) != usual
    expect(lab.locator(".warmside-in-hand")).to_contain_text(one.get_attribute("aria-valuetext"))


def handle(lab: Locator, name: str) -> Locator:
    return lab.locator(f"[data-handle={name}]")


def middle(place: Locator) -> tuple[float, float]:
    box = place.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def pull(page: Page, place: Locator, across: float, down: float) -> None:
    """Pull with a mouse, in steps, as a hand does."""
    x, y = middle(place)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 11):
        page.mouse.move(x + across * step / 10, y + down * step / 10)
    page.mouse.up()


def pull_by_finger(page: Page, place: Locator, across: float, down: float) -> None:
    finger = page.context.new_cdp_session(page)
    x, y = middle(place)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        places = [{"x": at_x, "y": at_y} for at_x, at_y in points]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    touch("touchStart", (x, y))
    for step in range(1, 11):
        touch("touchMove", (x + across * step / 10, y + down * step / 10))
    touch("touchEnd")


def looks_right(page: Page, lab: Locator, least: float = _LEAST) -> None:
    """Nothing lies over anything, and all can be read."""
    page.wait_for_timeout(50)  # a frame
    assert lab.evaluate(_LOOKS, least) == {"over": [], "small": []}


def keeps_nobody_out(page: Page) -> None:
    """Axe has nothing serious to say."""
    found = Axe().run(page, context=_LAB).response["violations"]
    assert [
        (one["id"], one["nodes"][0]["html"][:90]) for one in found if one["impact"] in ("serious", "critical")
    ] == []


def fits_a_phone(page: Page, lab: Locator) -> None:
    """Nothing scrolls sideways but the picture in its frame, and the letters can be read."""
    before = page.viewport_size
    page.set_viewport_size(_PHONE)
    page.wait_for_timeout(300)
    wide = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
    for button in lab.get_by_role("group", name="Part of the picture to see").get_by_role("button").all():
        button.click()
        page.wait_for_timeout(50)
    looks_right(page, lab, _LEAST_ON_A_PHONE)
    page.set_viewport_size(before)
    page.wait_for_timeout(100)
