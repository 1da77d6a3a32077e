"""A session's life in any order: marks depend on frozen card, counting hand-in and marks by hand alone."""

import os
import shutil
import signal
import time
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import pytest
from helpers import SECRET, answer_cell, locked_cell, mark, released_notebook, write_notebook
from hypothesis import HealthCheck, Phase, note, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from hypothesis.stateful import run_state_machine_as_test as run
from small_heater import ITEMS, KEYS, NAME, write_project

from warmside.autograde import box
from warmside.marking.marks import WAITING, Outcome
from warmside.session import folder as folders
from warmside.session import instructor, journal, nbgrader_runs
from warmside.session.check import check
from warmside.session.folder import Session
from warmside.session.hand_in import take_in
from warmside.session.hand_out import hand_out
from warmside.session.journal import Task
from warmside.session.mark import to_mark
from warmside.session.received import received_hand_ins
from warmside.session.renew import marked, renew
from warmside.session.roster import Trainee
from warmside.session.standing import standings

TRAINEES = ("ann", "bo")
SAME_KEYS = ("first", "redrawn")
VERSIONS = {
    "first": (ITEMS, KEYS),
    "redrawn": (ITEMS.replace("draw.between(110, 125, 0.5)", "draw.between(100, 130, 0.5)"), KEYS),
    "other key": (ITEMS, KEYS.replace('job["volts"] /', '1.1 * job["volts"] /')),
}
"""What an update may leave: another draw changes nothing where cards are frozen, another key is refused."""
WORDS = ("It draws what it should.", "A fuse of 3 A blows.")


@dataclass(frozen=True)
class Typed:
    """What somebody hands in: how amps and fuse are answered ("" for not at all), and the note's words."""

    amps: str
    enough: str
    words: str

    @property
    def answers(self) -> int:
        return sum(map(bool, (self.amps, self.enough, self.words)))

    @property
    def machine(self) -> float:
        """Marks by hand-worked rule: 2 for amps, 1 where turned upside down, 1 for the fuse.

        A fuse follows from the trainee's own amps; turned upside down these are below one, and any fuse does.
        """
        return {"right": 2.0, "turned": 1.0, "": 0.0}[self.amps] + (1.0 if self.enough == "right" else 0.0)


@dataclass
class Theirs:
    """What there should be of one trainee."""

    came: list[Typed] = field(default_factory=list)
    chosen: int | None = None
    since: int = 0  # how many had come when it was chosen
    marked: Typed | None = None
    given: dict[str, float] = field(default_factory=dict)  # by hand, for these words
    kept: dict[str, float] = field(default_factory=dict)  # the same when the gradebook was last copied

    @property
    def counting(self) -> Typed | None:
        """The rule anew: the latest, but for one that is empty, the same again or has fewer answers."""
        if self.chosen is not None:
            return self.came[self.chosen]
        counts: Typed | None = None
        for one in self.came:
            first = counts is None or (one.answers and not counts.answers)
            if first or (one.answers >= counts.answers > 0 and one != counts):
                counts = one
        return counts


@pytest.fixture(scope="module")
def base(tmp_path_factory) -> Path:
    base = tmp_path_factory.mktemp("life")
    for name, (items, keys) in VERSIONS.items():
        (base / name).mkdir()
        write_project(base / name, items, keys)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WARMSIDE_ROOT", str(base / "first"))
        files = nbgrader_runs.release_files(NAME)
        for name in VERSIONS:
            (base / name / "exercises" / NAME).mkdir()
            for file, content in files.items():
                (base / name / "exercises" / NAME / file).write_bytes(content)
        roster = [Trainee(who, who.title(), "", "") for who in TRAINEES]
        hand_out(folders.start(base / "class", roster, [NAME], secret=SECRET))
    return base


def life_of(base: Path) -> type[RuleBasedStateMachine]:
    numbers = count()

    class Life(RuleBasedStateMachine):
        def __init__(self) -> None:
            super().__init__()
            self.patch = pytest.MonkeyPatch()
            self.version = "first"
            self.theirs = {who: Theirs() for who in TRAINEES}

        @initialize()
        def begin(self) -> None:
            self.place = base / f"run {next(numbers)}"
            shutil.copytree(base / "class", self.place / "class")
            self.update("first")
            self.session = Session.open(self.place / "class")

        def teardown(self) -> None:
            self.patch.undo()
            if hasattr(self, "place"):
                shutil.rmtree(self.place)

        # --- what people do -------------------------------------------------------------------------------

        @rule(
            who=st.sampled_from(TRAINEES),
            amps=st.sampled_from(["right", "turned", "right", ""]),
            enough=st.sampled_from(["right", "wrong", ""]),
            words=st.sampled_from([*WORDS, ""]),
        )
        def hand_in(self, who: str, amps: str, enough: str, words: str) -> None:
            typed = Typed(amps, enough, words)
            path = write_notebook(
                self.place / f"{len(self.theirs[who].came)}" / f"{who}_{NAME}.ipynb", self.book(who, typed)
            )
            received, refused = take_in(self.session, [path])
            if typed in self.theirs[who].came:  # the same file, bit for bit
                assert (received, len(refused)) == ([], 1)
            else:
                assert (len(received), refused) == (1, [])
                self.theirs[who].came.append(typed)

        @precondition(lambda self: any(one.came for one in self.theirs.values()))
        @rule(data=st.data())
        def choose(self, data) -> None:
            who = data.draw(st.sampled_from([who for who, one in self.theirs.items() if one.came]))
            one = self.theirs[who]
            which = data.draw(st.integers(0, len(one.came)))
            instructor.choose(self.session, who, NAME, str(which) if which else instructor.BY_RULE)
            one.chosen = which - 1 if which else None

        @rule(version=st.sampled_from(list(VERSIONS)))
        def update(self, version: str) -> None:
            self.version = version
            self.patch.setenv("WARMSIDE_ROOT", str(base / version))

        @precondition(lambda self: any(one.marked for one in self.theirs.values()))
        @rule(points=st.sampled_from([0.5, 1.0, 2.0]), data=st.data())
        def give_by_hand(self, points: float, data) -> None:
            who = data.draw(st.sampled_from([who for who, one in self.theirs.items() if one.marked]))
            one = self.theirs[who]
            with self.session.gradebook() as gradebook:
                grade = gradebook.find_grade("note", NAME, NAME, who)
                grade.manual_score, grade.needs_manual_grade = points, False
                gradebook.db.commit()
            one.given[one.marked.words] = points

        # --- what commands do -----------------------------------------------------------------------------

        @rule()
        def hand_out_again(self) -> None:
            hand_out(self.session)

        @rule(again=st.booleans())
        def mark(self, again: bool) -> None:
            tasks = to_mark(self.session, again=again)
            self.copied()
            failed = mark(self.session, tasks)
            if self.version in SAME_KEYS:
                assert failed == {}
                self.all_marked()
            else:
                assert set(failed) == set(tasks)
                assert all("another version of Warmside" in reason for reason in failed.values())

        @precondition(lambda self: self.version in SAME_KEYS and to_mark(self.session))
        @rule(after=st.sampled_from([0.1, 0.7, 1.5]))
        def mark_is_killed(self, after: float) -> None:
            self.copied()
            child = os.fork()
            if child == 0:
                os.setsid()
                nothing = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nothing, 1)
                os.dup2(nothing, 2)
                mark(self.session, to_mark(self.session))
                os._exit(0)
            time.sleep(after)
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            assert mark(self.session, to_mark(self.session)) == {}
            self.all_marked()

        @precondition(lambda self: any(one.marked for one in self.theirs.values()))
        @rule()
        def renew_pages(self) -> None:
            if self.version in SAME_KEYS:
                assert renew(self.session, marked(self.session)) == {}

        @precondition(lambda self: (self.session.folder / "backups").is_dir() and self.version in SAME_KEYS)
        @rule()
        def restore_a_damaged_gradebook(self) -> None:
            (self.session.folder / "gradebook.db").write_bytes(b"damaged")
            assert all(problem.mended for problem in check(self.session, restore=True))
            for one in self.theirs.values():
                one.given = dict(one.kept)
            assert mark(self.session, to_mark(self.session)) == {}
            self.all_marked()

        # --- what holds -----------------------------------------------------------------------------------

        @invariant()
        def nothing_is_lost_and_what_counts_counts(self) -> None:
            there = received_hand_ins(self.session)
            assert len(there) == sum(len(one.came) for one in self.theirs.values())
            for who, one in self.theirs.items():
                places = sorted((self.session.folder / "hand_ins" / who / NAME).glob(f"*/{NAME}.ipynb"))
                assert [place.read_text("utf-8") for place in places] == [
                    self.text(who, typed) for typed in one.came
                ]
                counts = self.session.folder / "submitted" / who / NAME / f"{NAME}.ipynb"
                wanted = one.counting
                assert counts.exists() == (wanted is not None)
                assert wanted is None or counts.read_text("utf-8") == self.text(who, wanted)

        @invariant()
        def marks_are_those_of_what_was_marked(self) -> None:
            if self.version not in SAME_KEYS:
                return
            for row in standings(self.session):
                one = self.theirs[row.trainee.id]
                note(f"{row.trainee.id}: {row.state}, {row.score}, {one}")
                if one.marked is None:
                    assert row.score is None
                    continue
                by_hand = one.given.get(one.marked.words)
                assert row.score == one.marked.machine + (by_hand or 0.0)
                became = next(item.outcome for item in row.items if item.name == "note")
                assert (became is Outcome.BY_HAND) == (by_hand is not None)
                if by_hand is None and one.marked.words:
                    assert became in WAITING
                assert row.newer == (one.marked != one.counting)

        @invariant()
        def the_journal_explains_it(self) -> None:
            if self.version not in SAME_KEYS:
                return
            assert check(self.session) == []
            for who, one in self.theirs.items():
                entry = journal.read(self.session, Task(who, NAME))
                assert one.marked is None or (entry is not None and entry.ended)
            assert not list(self.session.folder.rglob("*.part"))

        # --- helpers --------------------------------------------------------------------------------------

        def copied(self) -> None:
            for one in self.theirs.values():
                one.kept = dict(one.given)

        def all_marked(self) -> None:
            for one in self.theirs.values():
                one.marked = one.counting

        def book(self, who: str, typed: Typed):
            card = self.session.frozen_card(self.session.exercises()[0], who).card
            notebook = released_notebook(NAME)
            amps = card.si("volts") / card.si("ohms")
            if typed.amps:
                shown = amps if typed.amps == "right" else 1.0 / amps
                answer_cell(notebook, "amps").source = f'amps = "{shown:.4f} A"'
            if typed.enough:
                right = "a" if (1.0 / amps if typed.amps == "turned" else amps) < 3.0 else "b"
                wrong = "b" if right == "a" else "a"
                answer_cell(
                    notebook, "enough"
                ).source = f'enough = "{right if typed.enough == "right" else wrong}"'
            if typed.words:
                locked_cell(notebook, "note").source = typed.words
            return notebook

        def text(self, who: str, typed: Typed) -> str:
            return write_notebook(self.place / "compared.ipynb", self.book(who, typed)).read_text("utf-8")

    return Life


@pytest.mark.skipif(os.name != "posix", reason="kills as POSIX knows them")
@pytest.mark.xdist_group("life")
@pytest.mark.parametrize(
    ("lives", "steps"),
    [pytest.param(4, 15, marks=pytest.mark.full), pytest.param(40, 30, marks=pytest.mark.long)],
)
def test_marks_follow_from_card_counting_hand_in_and_hand_marks(base, lives, steps):
    assert box.available()
    run(
        life_of(base),
        settings=settings(
            max_examples=lives,
            stateful_step_count=steps,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
