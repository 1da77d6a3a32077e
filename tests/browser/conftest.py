"""A real browser on pages that our own commands serve."""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psutil
import pytest
from browser.notebook_page import KEPT_IN, USUAL
from helpers import missing_program
from playwright.sync_api import Browser, Page, expect, sync_playwright

expect.set_options(timeout=20_000)  # ms; there are more workers than cores
OPTIONS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
HARMLESS = re.compile(
    # nbgrader's formgrader wants MathJax from the network; no exercise has formulas, so it does without.
    r"MathJax is not defined|Failed to load resource: .*/mathjax/"
    # Chromium's way to say that a size changed twice before it was drawn.
    r"|ResizeObserver loop"
    # A kernel that is told to end may tear the last message of its stderr in two.
    r"|Kernel message validation error: .*stream\.stderr"
)


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put together all tests of a module of the course, so that it is opened and run once."""
    places = [at for at, item in enumerate(items) if {"module", "shared_page"} <= set(_fixtures(item))]
    together = sorted((items[at] for at in places), key=lambda item: item.callspec.params["module"])
    for at, item in zip(places, together, strict=True):
        items[at] = item


def _fixtures(item: pytest.Item) -> Sequence[str]:
    return getattr(item, "fixturenames", ())


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    program = shutil.which("chromium")
    if program is None:
        missing_program("chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=OPTIONS)
        yield browser
        browser.close()


@contextmanager
def watched(chromium: Browser, *, moving: bool = False, touch: bool = False) -> Iterator[Page]:
    """A page that fails its test when a script on it fails or its console tells of an error.

    What moves costs a core that others want, so it stands still unless it is to be looked at.
    """
    motion = None if moving else "reduce"
    context = chromium.new_context(viewport=USUAL, reduced_motion=motion, has_touch=touch)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on(
        "console",
        lambda said: errors.append(f"{said.text} ({said.location['url']})") if said.type == "error" else None,
    )
    yield page
    context.close()
    assert not [error for error in errors if not HARMLESS.search(error)]


@pytest.fixture
def page(chromium: Browser, served: Callable[..., str]) -> Iterator[Page]:
    """A page, closed before what it shows is no longer served."""
    with watched(chromium) as page:
        yield page


@pytest.fixture(scope="module")
def shared_page(chromium: Browser, served_to_all: Callable[..., str]) -> Iterator[Page]:
    """One page for the tests of a file that look at the same notebook."""
    with watched(chromium) as page:
        yield page


def _answers(address: str) -> bool:
    """Tell whether a server accepts connections yet; it prints its address a little before it does."""
    place = urlsplit(address)
    try:
        socket.create_connection((place.hostname, place.port), timeout=1).close()
    except OSError:
        return False
    return True


def _runs(process: psutil.Process) -> bool:
    """Tell whether a process still runs; one that has ended may wait for long until it is taken note of."""
    try:
        return process.is_running() and process.status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


@contextmanager
def _serving(folder: Path) -> Iterator[Callable[..., str]]:
    """Run our commands that serve pages, their words kept in `folder`."""
    running: list[subprocess.Popen] = []

    def serve(*arguments: object) -> str:
        log = folder / "server.log"
        command = [Path(sys.executable).with_name("warmside"), *map(str, arguments), "--no-browser"]
        with log.open("wb") as output:
            process = subprocess.Popen(command, stdout=output, stderr=output, start_new_session=True)
        running.append(process)
        for _ in range(600):
            found = re.search(r"http://(?:localhost|127\.0\.0\.1):\d+/\S*token=\w+", log.read_text("utf-8"))
            if found and _answers(found[0]):
                return found[0]
            assert process.poll() is None, log.read_text("utf-8")
            time.sleep(0.1)
        raise AssertionError(log.read_text("utf-8"))

    try:
        yield serve
    finally:
        for process in running:
            command = psutil.Process(process.pid)
            group = [command, *command.children(recursive=True)]
            os.killpg(process.pid, signal.SIGTERM)
            # a server that is told to end while it still begins may miss it
            for _ in range(100):
                if not any(map(_runs, group)):
                    break
                time.sleep(0.1)
            for left in filter(_runs, group):
                left.kill()
            process.wait(timeout=30)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Callable[..., str]]:
    """Run one of our commands that serve pages; returns the address it prints."""
    with _serving(tmp_path) as serve:
        yield serve


@pytest.fixture(scope="module")
def served_to_all(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., str]]:
    """The same for all tests of a file."""
    with _serving(tmp_path_factory.mktemp("served")) as serve:
        yield serve


@pytest.fixture(scope="session")
def keep() -> Callable[[Page, str], None]:
    """Keep a screenshot, for a person, in the folder that WARMSIDE_SCREENSHOTS names; none without it."""

    def take(page: Page, name: str) -> None:
        if KEPT_IN:
            page.screenshot(path=Path(KEPT_IN) / f"{name}.png")

    return take
