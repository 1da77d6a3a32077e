"""What several tests share: an exercise, sessions in folders of their own, the marked demonstration."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from helpers import NAME, SECRET
from hypothesis import settings

from warmside.marking.exercise import Exercise, load_exercise
from warmside.session import folder as folders
from warmside.session.folder import Session
from warmside.session.roster import Trainee

# Where a change lands the same examples are drawn each time; elsewhere others, which find more.
settings.register_profile("landing", derandomize=True)
if os.environ.get("WARMSIDE_REQUIRE_ALL"):
    settings.load_profile("landing")


@pytest.fixture(scope="session")
def exercise() -> Exercise:
    return load_exercise(NAME)


@pytest.fixture(scope="session")
def started(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """A session of three, none of them of the invented class; not to be changed."""
    roster = [Trainee("ann", "Ann", "O'Neil, jr", "ann@school.example"), Trainee("ann-b", "Ann", "Bell", "")]
    roster.append(Trainee("zed.9", "Zed", "=1+1", ""))
    return folders.start(tmp_path_factory.mktemp("started") / "class", roster, [NAME], secret=SECRET)


@pytest.fixture
def session(started: Session, tmp_path: Path) -> Session:
    """A copy of the session of three for one test to change."""
    shutil.copytree(started.folder, tmp_path / "class")
    return Session.open(tmp_path / "class")


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The demonstration, run once by the installed command for all tests that only look at it."""
    folder = tmp_path_factory.mktemp("demo") / "session"
    command = [Path(sys.executable).with_name("warmside"), "demo", folder]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stderr
    (folder.parent / "stdout").write_text(run.stdout, encoding="utf-8")
    (folder.parent / "stderr").write_text(run.stderr, encoding="utf-8")
    return Session.open(folder)
