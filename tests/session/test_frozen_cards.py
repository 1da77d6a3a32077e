"""A session across a change of its exercise: what was handed out is what is marked."""

import json
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from helpers import (
    SECRET,
    answer_cell,
    mark,
    marked_notebook,
    outcomes,
    released_notebook,
    solved_notebook,
    write_notebook,
)
from small_heater import ITEMS, KEYS, NAME, write_project

from warmside.errors import InputError
from warmside.marking.exercise import Exercise, load_exercise
from warmside.marking.frozen_card import path_of
from warmside.marking.job_card import Entry, JobCard
from warmside.marking.marks import Outcome
from warmside.session import folder as folders
from warmside.session import journal, nbgrader_runs
from warmside.session.check import check
from warmside.session.folder import Session
from warmside.session.hand_in import UNKNOWN, take_in
from warmside.session.hand_out import hand_out
from warmside.session.journal import State, Task
from warmside.session.mark import to_mark
from warmside.session.roster import Trainee
from warmside.session.standing import standings

DRAWN = "volts, ohms = draw.between(110, 125, 0.5), draw.between(30, 50, 0.5)"
REDRAWN = "ohms, volts = draw.between(20, 60, 0.5), draw.between(100, 130, 0.5)"
REFUSED = "was handed out by another version of Warmside"


@dataclass(frozen=True)
class Projects:
    """The project as it was at hand-out, and as updates left it."""

    base: Path
    patch: pytest.MonkeyPatch

    def use(self, name: str) -> Exercise:
        """Go on with one of them, as after an update."""
        self.patch.setenv("WARMSIDE_ROOT", str(self.base / name))
        return load_exercise(NAME)


@pytest.fixture(scope="module")
def written(tmp_path_factory) -> Path:
    base = tmp_path_factory.mktemp("projects")
    for name, items, keys in (
        ("first", ITEMS, KEYS),
        ("redrawn", ITEMS.replace(DRAWN, REDRAWN), KEYS),
        ("other key", ITEMS, KEYS.replace('job["volts"] /', '1.1 * job["volts"] /')),
        ("other points", ITEMS.replace("points=2", "points=3"), KEYS),
        ("other item", ITEMS.replace('name="enough"', 'name="plenty"'), KEYS),
        (
            "other line",
            ITEMS.replace('"ohms", "Ohms', '"resistance", "Ohms'),
            KEYS.replace("ohms", "resistance"),
        ),
    ):
        (base / name).mkdir()
        write_project(base / name, items, keys)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WARMSIDE_ROOT", str(base / "first"))
        files = nbgrader_runs.release_files(NAME)
        for name in ("first", "redrawn"):
            released = base / name / "exercises" / NAME
            released.mkdir()
            for file, content in files.items():
                (released / file).write_bytes(content)
        roster = [Trainee(who, who.title(), "", "") for who in ("ann", "bo")]
        hand_out(folders.start(base / "class", roster, [NAME], secret=SECRET))
    return base


@pytest.fixture
def projects(written) -> Iterator[Projects]:
    with pytest.MonkeyPatch.context() as patch:
        projects = Projects(written, patch)
        projects.use("first")
        yield projects


@pytest.fixture
def session(projects, tmp_path) -> Session:
    """A session of two, handed out."""
    shutil.copytree(projects.base / "class", tmp_path / "class")
    return Session.open(tmp_path / "class")


def pack(session: Session, trainee: str) -> dict[str, bytes]:
    with zipfile.ZipFile(session.folder / "hand_outs" / f"{trainee}.zip") as archive:
        return {Path(name).name: archive.read(name) for name in archive.namelist()}


def write_pack(session: Session, trainee: str, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(session.folder / "hand_outs" / f"{trainee}.zip", "w") as archive:
        for name, content in files.items():
            archive.writestr(f"{trainee}_{NAME}/{name}", content)


def card_in_pack(session: Session, trainee: str) -> JobCard:
    said = json.loads(pack(session, trainee)["job_card.json"])
    return JobCard(NAME, trainee, said["number"], tuple(Entry(**entry) for entry in said["entries"]))


def typed(session: Session, trainee: str, *, turned: bool = False):
    """A notebook with numbers worked out by hand on the card of the pack, which stay as they are."""
    card, notebook = card_in_pack(session, trainee), released_notebook(NAME)
    amps = card.si("volts") / card.si("ohms")
    answer_cell(notebook, "amps").source = f'amps = "{1.0 / amps if turned else amps:.4f} A"'
    answer_cell(notebook, "enough").source = f'enough = "{"a" if amps < 3.0 else "b"}"'
    return notebook


def hand_in(session: Session, tmp_path: Path, **notebooks) -> None:
    for trainee, notebook in notebooks.items():
        received, refused = take_in(session, [write_notebook(tmp_path / f"{trainee}_{NAME}.ipynb", notebook)])
        assert (len(received), refused) == (1, [])


def as_from_before(session: Session) -> None:
    """Turn a session into one that was started when no cards were kept and numbers covered no content."""
    shutil.rmtree(session.folder / "cards")
    settings = session.folder / "session.toml"
    settings.write_text(settings.read_text("utf-8").replace("format = 2", "format = 1"), "utf-8")
    for trainee in ("ann", "bo"):
        files = pack(session, trainee)
        number = card_in_pack(session, trainee).number.encode()
        write_pack(
            session, trainee, {name: text.replace(number, b"OLDN-UMBR") for name, text in files.items()}
        )


@pytest.mark.full
def test_marks_and_number_are_those_of_the_hand_out(projects, session, tmp_path):
    first = projects.use("first")
    before = {who: first.job_card(SECRET, who) for who in ("ann", "bo")}
    now = projects.use("redrawn")
    for who, card in before.items():  # it is a real change
        other = now.job_card(SECRET, who)
        assert other.number != card.number
        assert abs(other.si("volts") / other.si("ohms") - card.si("volts") / card.si("ohms")) > 0.1
    hand_in(session, tmp_path, ann=typed(session, "ann"), bo=typed(session, "bo", turned=True))
    assert mark(session, to_mark(session)) == {}
    assert outcomes(session, "ann", NAME) == {"amps": Outcome.RIGHT, "enough": Outcome.RIGHT}
    assert outcomes(session, "bo", NAME) == {"amps": Outcome.MISTAKE, "enough": Outcome.RIGHT}
    assert {row.trainee.id: row.score for row in standings(session)} == {"ann": 3.0, "bo": 2.0}
    for who, card in before.items():
        shown = "".join(json.dumps(cell) for cell in marked_notebook(session, who, NAME).cells)
        assert card.number in shown
        assert now.job_card(SECRET, who).number not in shown
        assert "with another job card than yours" not in shown
    assert check(session) == []


def test_handing_out_again_after_a_change_gives_the_same_packs(projects, session):
    before = {who: pack(session, who) for who in ("ann", "bo")}
    projects.use("redrawn")
    hand_out(session)
    assert {who: pack(session, who) for who in before} == before


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ("other key", "would mark amps"),
        ("other points", "would mark amps otherwise"),
        ("other item", "would mark enough, plenty otherwise"),
        ("other line", "would mark amps, enough, note otherwise"),
    ],
)
def test_what_would_be_marked_otherwise_is_refused(projects, session, tmp_path, changed, named):
    hand_in(session, tmp_path, ann=solved_notebook(NAME))
    projects.use(changed)
    task = Task("ann", NAME)
    failed = mark(session, [task])
    assert REFUSED in failed[task]
    assert named in failed[task]
    assert failed[task].endswith("Go on with the version that it began with.")
    assert journal.read(session, task) == journal.Entry(
        State.NOT, journal.digest(session, task), (failed[task],)
    )
    assert [problem.what for problem in check(session)] == [
        failed[task],
        failed[task].replace("ann's", "bo's"),
    ]
    # nbgrader's own command and the formgrader's button come by here
    assert named in nbgrader_runs.autograde(session.folder, NAME, "ann", unboxed=True)
    assert not (session.folder / "autograded" / "ann").exists() or not list(
        (session.folder / "autograded" / "ann").rglob("*.ipynb")
    )


@pytest.mark.parametrize("changed", ["other points", "other item"])
def test_nothing_is_told_or_handed_out_with_other_questions(projects, session, changed):
    projects.use(changed)
    for work in (standings, hand_out):
        with pytest.raises(
            InputError, match=r"released by another version of Warmside, with other questions"
        ):
            work(session)


@pytest.mark.full
def test_marks_that_there_are_stay_where_another_version_refuses(projects, session, tmp_path):
    hand_in(session, tmp_path, ann=typed(session, "ann"))
    assert mark(session, to_mark(session)) == {}
    before = [(row.score, row.state) for row in standings(session)]
    projects.use("other key")
    assert mark(session, to_mark(session, again=True)).keys() == {Task("ann", NAME)}
    assert [(row.score, row.state) for row in standings(session)] == before


def test_check_tells_a_card_that_was_tampered_with(session):
    path = path_of(session.folder, NAME, "ann")
    path.write_text(path.read_text("utf-8").replace("ohm", "Ω"), "utf-8")
    (problem,) = check(session)
    assert str(path) in problem.what
    assert "isn't the job card that was handed out any more" in problem.what


def test_check_tells_a_pack_with_another_card(projects, session):
    files = pack(session, "ann")
    assert check(session) == []
    write_pack(session, "ann", files | {"job_card.json": pack(session, "bo")["job_card.json"]})
    (problem,) = check(session)
    assert "The pack of ann holds another job card" in problem.what
    hand_out(session)
    assert check(session) == []
    (session.folder / "hand_outs" / "ann.zip").write_bytes(b"PK")
    (problem,) = check(session)
    assert "ann.zip is damaged" in problem.what


def test_no_pack_holds_what_is_expected(projects, session):
    kept = json.loads(path_of(session.folder, NAME, "ann").read_text("utf-8"))
    answers = [one["answer"] for one in kept["expected"].values() if "answer" in one]
    assert len(answers) == 2
    files = pack(session, "ann")
    assert set(files) == {f"{NAME}.ipynb", "job_card.json", "how_to.html"}
    everything = b"".join(files.values()).decode()
    assert f"{answers[0]:.4f}"[:5] not in everything
    for hidden in ("expected", 'seal"', "turned upside down", SECRET.hex()):
        assert hidden not in everything
    for other in ("bo", "ann"):
        assert path_of(session.folder, NAME, other).stat().st_mode & 0o077 == 0


def test_one_who_joined_later_has_a_card_from_then_on(projects, session):
    with session.gradebook() as gradebook:
        gradebook.add_student("cy", first_name="Cy")
    exercise = projects.use("redrawn")
    card = session.frozen_card(exercise, "cy").card
    assert card == exercise.job_card(SECRET, "cy")
    assert session.frozen_card(projects.use("first"), "cy").card == card
    hand_out(session)
    assert card_in_pack(session, "cy") == card


def test_whose_card_it_is_is_told_across_a_change(projects, session, tmp_path):
    projects.use("redrawn")
    theirs = pack(session, "bo")["job_card.json"]
    folder = tmp_path / f"ann_{NAME}"
    notebook = write_notebook(folder / f"{NAME}.ipynb", released_notebook(NAME))
    for card, others in (
        (theirs, ("bo",)),
        (theirs.replace(b" V", b"0 V"), (UNKNOWN,)),
        (pack(session, "ann")["job_card.json"], ()),
    ):
        (folder / "job_card.json").write_bytes(card)
        notebook.write_bytes(notebook.read_bytes() + b"\n")  # the very same file is taken once
        assert take_in(session, [folder])[0][0].other_cards == others


def test_a_session_from_before_goes_on_with_the_cards_of_its_packs(projects, session, tmp_path):
    exercise = projects.use("first")
    as_from_before(session)
    session = Session.open(session.folder)
    hand_in(session, tmp_path, ann=released_notebook(NAME))
    drawn = exercise.job_card(SECRET, "ann")
    assert session.frozen_card(exercise, "ann").card == replace(drawn, number="OLDN-UMBR")
    assert check(session) == []


def test_a_session_from_before_is_refused_where_its_cards_would_be_others(projects, session, tmp_path):
    as_from_before(session)
    projects.use("redrawn")
    hand_in(session, tmp_path, ann=solved_notebook(NAME))
    (failed,) = mark(session, to_mark(session)).values()
    assert failed == (
        f"ann's job card for {NAME} was handed out by a version of Warmside that drew other numbers than "
        "this one. Go on with the version that it began with."
    )
    assert not (session.folder / "cards").exists()
    assert failed in [problem.what for problem in check(session)]
