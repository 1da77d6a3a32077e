"""Any sequence of hand-ins, decisions and kills: nothing is lost, what counts follows from what is noted."""

import hashlib
import shutil
from contextlib import suppress
from datetime import UTC, datetime, timedelta

import nbformat
import pytest
from helpers import NAME, answer_cell, released_notebook
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.session import decisions, hand_in, instructor, received
from warmside.session.check import check
from warmside.session.folder import Session
from warmside.session.received import hand_ins_of, received_hand_ins, settle

BEGAN = datetime(2027, 3, 13, 9, tzinfo=UTC)
ITEMS = ("verdict", "which_limit", "heat_from_water")
STEPS = st.one_of(
    st.tuples(st.just("hand in"), st.sampled_from(["ann", "ann-b", "zed.9/ann"]), st.integers(0, 3)),
    st.tuples(st.just("assign"), st.sampled_from(["ann", "zed.9"]), st.integers(0, 3)),
    st.tuples(st.just("choose"), st.sampled_from(["ann", "zed.9"]), st.sampled_from(["1", "2", "usual"])),
    st.tuples(st.just("release"), st.booleans(), st.none()),
)


class Killed(BaseException):
    """Stands for a process that ends at once."""


def notebook(answers: int, number: int) -> bytes:
    written = released_notebook()
    for item in ITEMS[:answers]:
        answer_cell(written, item).source = f'{item} = "{number % 3}"'
    return nbformat.writes(written).encode()


def take(session, step, number, folder):
    kind, who, value = step
    with suppress(InputError):  # nothing is there to choose from, or it is the very same file
        if kind == "choose":
            instructor.choose(session, who, NAME, value)
        elif kind == "release":
            instructor.release(session, released=who)
        else:
            name = "scan.ipynb" if kind == "assign" else f"{who}_{NAME}.ipynb"
            path = folder / str(number) / name
            path.parent.mkdir(parents=True)
            path.write_bytes(notebook(value, number))
            trainee = who if kind == "assign" else ""
            given = path if kind == "assign" else folder / str(number)
            at = BEGAN + timedelta(minutes=number)
            hand_in.take_in(session, [given], at=at, trainee=trainee)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.tuples(STEPS, st.sampled_from([None, None, 0, 1, 2, 3])), min_size=4, max_size=9))
def test_nothing_is_lost_and_all_is_explained(started, tmp_path_factory, steps):
    folder = tmp_path_factory.mktemp("any")
    shutil.copytree(started.folder, folder / "class")
    session = Session.open(folder / "class")
    came: set[str] = set()
    for number, (step, writes) in enumerate(steps):
        made = decisions.noted(session.folder)
        with pytest.MonkeyPatch.context() as patch:
            write, left = received.write_private, [writes]

            def once(path, content, write=write, left=left):
                if left[0] == 0:
                    raise Killed
                left[0] = left[0] and left[0] - 1
                write(path, content)

            for module in (hand_in, received, decisions):
                patch.setattr(module, "write_private", once)
            with suppress(Killed):
                take(session, step, number, folder)
        settle(session)
        there = {one.sha256 for one in received_hand_ins(session)}
        assert came <= there
        came = there
        assert decisions.noted(session.folder)[: len(made)] == made
        assert check(session) == []
        for trainee in ("ann", "ann-b", "zed.9"):
            counting = hand_ins_of(session, trainee, NAME).counting
            path = session.folder / "submitted" / trainee / NAME / f"{NAME}.ipynb"
            assert path.exists() == (counting is not None)
            if counting:
                assert hashlib.sha256(path.read_bytes()).hexdigest() == counting.sha256
