"""What several tests share: an exercise, sessions in folders of their own, the marked demonstration."""

import os
import pickle
import shutil
import subprocess
import sys
from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock
from helpers import NAME, SECRET, Drawn, mark, solved_notebook, typed_for, write_notebook
from hypothesis import settings

from warmside.marking.exercise import Exercise, Job, load_exercise
from warmside.session import folder as folders
from warmside.session.folder import Session
from warmside.session.hand_in import take_in
from warmside.session.mark import to_mark
from warmside.session.roster import Trainee

# Kernels and commands are started by the hundred, and each would compile the package anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Where a change lands the same examples are drawn each time; elsewhere others, which find more.
settings.register_profile("any machine", deadline=None)  # a busy one isn't a mistake
settings.load_profile("any machine")
settings.register_profile("landing", derandomize=True, deadline=None)
if os.environ.get("WARMSIDE_REQUIRE_ALL"):
    settings.load_profile("landing")


WHOLE = "-n auto --dist loadgroup -m 'not long'"
FIRST = (
    "exercises/test_diagnosis.py",
    "exercises/test_every_exercise.py",
    "hostile class 0",
    "hostile class 1",
    "hostile class 2",
    "hostile class 3",
    "demo",
    "kills",
    "full disk",
    "ensemble",
    "impossible",
    "held-back cases",
    "diagnosis/test_inference.py",
    "diagnosis/test_case_file.py",
    "diagnosis/test_job_sheet.py",
    "life",
    "browser/test_exercises.py",
    "browser/test_modules.py",
)
"""What begins, by its group: it makes the bank, for which others would wait, or takes longest."""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Start three workers for two cores, as four of ten seconds go by in waiting for kernels and browsers."""
    return (os.cpu_count() or 1) * 3 // 2


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep a file's tests on one worker but where they say otherwise, and begin with what takes long.

    Those that look at the demonstration are together, too: it takes a minute that another would wait.
    """
    for item in items:
        if not item.get_closest_marker("xdist_group"):
            together = "demo" if "demo" in getattr(item, "fixturenames", ()) else str(item.path)
            item.add_marker(pytest.mark.xdist_group(together))
    long = {_group(item) for item in items if item.get_closest_marker("full")}
    items.sort(key=lambda item: _turn(_group(item), long))


def _group(item: pytest.Item) -> str:
    marker = item.get_closest_marker("xdist_group")
    assert marker
    return marker.args[0]


def _turn(group: str, long: Collection[str]) -> tuple[bool, int]:
    """Groups are ordered, tests in them not: some share a page, which they go through one after another."""
    first = [at for at, name in enumerate(FIRST) if group.endswith(name)]
    return group not in long, min(first, default=len(FIRST))


LEFT_OUT = pytest.StashKey[int]()


def pytest_deselected(items: list[pytest.Item]) -> None:
    """Count what is left out; where nothing may be, only long forms are."""
    stash = items[0].config.stash
    stash[LEFT_OUT] = stash.get(LEFT_OUT, 0) + len(items)
    wanted = [item.nodeid for item in items if not item.get_closest_marker("long")]
    if wanted and os.environ.get("WARMSIDE_REQUIRE_ALL"):
        raise pytest.UsageError(f"{wanted[0]} and others are left out; give -m 'not long'.")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Let the process that reports know how many this worker left out."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left out"] = session.config.stash.get(LEFT_OUT, 0)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Take over how many a worker left out: all the same, and one that crashed tells nothing."""
    told = getattr(node, "workeroutput", {}).get("left out", 0)
    node.config.stash[LEFT_OUT] = max(told, node.config.stash.get(LEFT_OUT, 0))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how much was left out, and what runs it."""
    if left := terminalreporter.config.stash.get(LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{left} tests were left out; pytest {WHOLE} runs all but the long forms."
        )


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, Callable[[Path], object]], Path]:
    """Have something made by whichever worker of this run comes first; the others wait, and look at it."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base

    def folder_of(name: str, make: Callable[[Path], object]) -> Path:
        folder, made = shared / "made_once" / name, shared / "made_once" / f"{name}.made"
        folder.parent.mkdir(exist_ok=True)
        with FileLock(made.with_suffix(".lock")):
            if not made.exists():
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir()
                make(folder)
                made.touch()
        return folder

    return folder_of


@pytest.fixture(scope="session")
def drawn(made_once: Callable[..., Path]) -> Callable[[Exercise, int], list[Drawn]]:
    """Return the first of one series of job cards for each exercise, whichever worker came to draw them.

    Those from the bank take a second or two each, so the tests of an exercise look at the same ones.
    """
    folder = made_once("cards", lambda folder: None)

    def first(exercise: Exercise, count: int) -> list[Drawn]:
        kept = folder / exercise.name
        with FileLock(kept.with_suffix(".lock")):
            cards = pickle.loads(kept.read_bytes()) if kept.exists() else []
            if len(cards) < count:
                cards += [_draw(exercise, str(number)) for number in range(len(cards), count)]
                kept.write_bytes(pickle.dumps(cards))
        return cards[:count]

    return first


def _draw(exercise: Exercise, trainee: str) -> Drawn:
    """Draw a card of no session, and count how many draws it took."""
    draws = []
    counting = replace(exercise, draw=lambda draw: draws.append(draw) or exercise.draw(draw))
    return Drawn(counting.job_card(b"outside", trainee), len(draws))


@pytest.fixture(scope="session")
def some_jobs(drawn: Callable[..., list[Drawn]]) -> Callable[[Exercise, int], list[Job]]:
    """Return the first jobs of an exercise, on cards of no session that other tests look at as well."""
    return lambda exercise, count: [Job(exercise, one.card) for one in drawn(exercise, count)]


@pytest.fixture(scope="session")
def exercise() -> Exercise:
    return load_exercise(NAME)


@pytest.fixture(scope="session")
def started(made_once: Callable[..., Path]) -> Session:
    """A session of three, none of them of the invented class; not to be changed."""
    roster = [Trainee("ann", "Ann", "O'Neil, jr", "ann@school.example"), Trainee("ann-b", "Ann", "Bell", "")]
    roster.append(Trainee("zed.9", "Zed", "=1+1", ""))

    def start(folder: Path) -> None:
        folders.start(folder / "class", roster, [NAME], secret=SECRET)

    return Session.open(made_once("started", start) / "class")


@pytest.fixture(scope="session")
def solved_by_two(made_once: Callable[..., Path], started: Session) -> Session:
    """The session of three, of whom ann calculated all and zed.9 typed it, marked; not to be changed."""

    def mark_two(folder: Path) -> None:
        session = copied(started, folder / "class")
        sheets = {"ann": solved_notebook(), "zed.9": typed_for(session, "zed.9")}
        names = {who: folder / f"{who}_{NAME}.ipynb" for who in sheets}
        take_in(session, [write_notebook(names[who], sheet) for who, sheet in sheets.items()])
        assert mark(session, to_mark(session)) == {}

    return Session.open(made_once("solved by two", mark_two) / "class")


def copied(session: Session, folder: Path) -> Session:
    shutil.copytree(session.folder, folder)
    return Session.open(folder)


@pytest.fixture
def session(started: Session, tmp_path: Path) -> Session:
    """A copy of the session of three for one test to change."""
    return copied(started, tmp_path / "class")


@pytest.fixture
def marked(solved_by_two: Session, tmp_path: Path) -> Session:
    """A copy of the session of three, two of them marked, for one test to change."""
    return copied(solved_by_two, tmp_path / "class")


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The demonstration, run once by the installed command for all tests that only look at it."""
    folder = tmp_path_factory.mktemp("demo")
    command = [Path(sys.executable).with_name("warmside"), "demo", folder / "session"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stderr
    (folder / "stdout").write_text(run.stdout, encoding="utf-8")
    (folder / "stderr").write_text(run.stderr, encoding="utf-8")
    return Session.open(folder / "session")
