"""What several tests share: an exercise, sessions in folders of their own, the marked demonstration."""

from pathlib import Path

import pytest
from helpers import NAME, SECRET

from warmside.marking.exercise import Exercise, load_exercise
from warmside.session import demonstration
from warmside.session import folder as folders
from warmside.session.folder import Session
from warmside.session.mark import mark, to_mark
from warmside.session.roster import Trainee


@pytest.fixture(scope="session")
def exercise() -> Exercise:
    return load_exercise(NAME)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A fresh session of three, none of them of the invented class."""
    roster = [Trainee("ann", "Ann", "O'Neil, jr", "ann@school.example"), Trainee("ann-b", "Ann", "Bell", "")]
    roster.append(Trainee("zed.9", "Zed", "=1+1", ""))
    return folders.start(tmp_path / "class", roster, [NAME], secret=SECRET)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The demonstration, marked once for all tests that only look at it."""
    made = demonstration.start(tmp_path_factory.mktemp("demo") / "session")
    received, refused = demonstration.hand_in(made)
    assert (len(received), refused) == (13, [])
    assert mark(made, to_mark(made)) == {}
    return made
