"""Marking that is killed, runs out of disk, or meets another: nothing is lost, nothing half-written."""

import errno
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing, suppress
from pathlib import Path

import nbformat
import psutil
import pytest
from helpers import (
    NAME,
    mark,
    marks_in_gradebook,
    missing_program,
    released_notebook,
    solved_notebook,
    typed_for,
    write_notebook,
)

from warmside.autograde import box
from warmside.errors import InputError
from warmside.session import hand_in, journal, nbgrader_runs, own_process, received, trouble
from warmside.session import mark as marking
from warmside.session.backup import back_up, copies, is_whole
from warmside.session.check import check
from warmside.session.forget import forget
from warmside.session.hand_in import take_in
from warmside.session.journal import State, Task
from warmside.session.mark import mark as mark_tasks
from warmside.session.mark import to_mark
from warmside.session.received import received_hand_ins, settle
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


def hand_in_two(session, folder):
    """Hand in what `solved_by_two` has marks for."""
    sheets = {"ann": solved_notebook(), "zed.9": typed_for(session, "zed.9")}
    take_in(session, [write_notebook(folder / f"{who}_{NAME}.ipynb", sheet) for who, sheet in sheets.items()])


def orphans():
    """Kernels of hand-ins that run for nobody any more."""
    time.sleep(1.0)
    kernels = [p for p in psutil.process_iter(["cmdline"]) if "limited_kernel" in str(p.info["cmdline"])]
    return [kernel for kernel in kernels if not runs_for_a_test(kernel)]


def runs_for_a_test(kernel):
    """Tell whether a test waits for it, or it has ended meanwhile: other tests' kernels come and go."""
    with suppress(psutil.NoSuchProcess):
        for parent in kernel.parents():
            with suppress(psutil.NoSuchProcess):
                if "pytest" in str(parent.cmdline()):
                    return True
    return not kernel.is_running()


@pytest.mark.skipif(os.name != "posix", reason="kills as POSIX knows them")
@pytest.mark.xdist_group("kills")
@pytest.mark.parametrize(
    "kills", [pytest.param(8, marks=pytest.mark.full), pytest.param(50, marks=pytest.mark.long)]
)
def test_kills_change_nothing(session, solved_by_two, tmp_path, kills):
    hand_in_two(session, tmp_path)
    runner = Path(__file__).with_name("crashing_marker.py")
    command = [sys.executable, str(runner), str(session.folder), str(kills), "7"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=500, check=True)
    assert orphans() == []
    struck, *left = map(int, run.stdout.split())
    assert struck == kills
    assert left[0] == 2  # the first kill struck while both were still to mark
    assert mark(session, to_mark(session)) == {}
    assert to_mark(session) == []
    assert marks_in_gradebook(session) == marks_in_gradebook(solved_by_two)
    assert [(row.trainee.id, row.score, row.state) for row in standings(session)] == [
        (row.trainee.id, row.score, row.state) for row in standings(solved_by_two)
    ]
    assert check(session) == []
    assert not list(session.folder.rglob("*.part"))


def test_what_was_begun_is_marked_again(marked):
    task = Task("ann", NAME)
    entry = journal.read(marked, task)
    assert entry.state is State.MARKED
    journal.write(marked, task, journal.Entry(State.BEGUN, entry.hand_in))
    assert standings(marked)[0].state == "not marked"
    assert to_mark(marked) == [task]
    problems = check(marked)
    assert [problem.mended for problem in problems] == [""]
    assert "was begun and not ended" in problems[0].what
    mark(marked, to_mark(marked))
    assert standings(marked)[0].state == "marked"
    assert check(marked) == []


@pytest.mark.parametrize("at", [0, 1, 2, 3, 4])
def test_a_hand_in_is_taken_in_whole_or_not_at_all(session, tmp_path, monkeypatch, at):
    path = write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())
    first = write_notebook(tmp_path / "first" / f"ann_{NAME}.ipynb", released_notebook())
    take_in(session, [first])
    write, written = hand_in.write_private, []

    def full(target, content):
        if len(written) == at:
            raise OSError(errno.ENOSPC, "No space left on device", str(target))
        written.append(target)
        write(target, content)

    for module in (hand_in, received):
        monkeypatch.setattr(module, "write_private", full)
    try:
        take_in(session, [path])
    except OSError as problem:
        assert problem.errno == errno.ENOSPC
    monkeypatch.undo()
    came = len(received_hand_ins(session))
    assert came in (1, 2)
    assert not [p for p in session.folder.rglob(".*") if p.name != ".lock"]
    settle(session)
    counts = session.folder / "submitted" / "ann" / NAME / f"{NAME}.ipynb"
    assert counts.read_bytes() == (path if came == 2 else first).read_bytes()
    assert check(session) == []


def test_a_full_disk_stops_marking_with_a_sentence(session, tmp_path, monkeypatch):
    hand_in_two(session, tmp_path)
    autograde = nbgrader_runs.autograde

    def full(folder, exercise, trainee, **options):
        if trainee == "zed.9":
            raise OSError(errno.ENOSPC, "no room")
        return autograde(folder, exercise, trainee, **options)

    monkeypatch.setattr(nbgrader_runs, "autograde", full)
    assert mark(session, to_mark(session)) == {
        Task("zed.9", NAME): "OSError: [Errno 28] no room"
    }  # for it alone
    monkeypatch.setattr(marking, "is_full", lambda session: True)
    with pytest.raises(OSError, match="make room and mark again") as problem:
        mark(session, to_mark(session))
    assert problem.value.errno == errno.ENOSPC
    said = "OSError: [Errno 28] No space left on device; database or disk is full"
    monkeypatch.setattr(nbgrader_runs, "autograde", lambda *of, **options: said)
    assert mark(session, to_mark(session)) == {Task("zed.9", NAME): said}  # words may be a stranger's
    monkeypatch.undo()
    assert to_mark(session) == [Task("zed.9", NAME)]
    assert mark(session, to_mark(session)) == {}
    assert [row.score for row in standings(session)] == [20, None, 20]


def test_a_gradebook_that_is_held_stops_marking_with_a_sentence(session, tmp_path, monkeypatch):
    hand_in_two(session, tmp_path)
    monkeypatch.setattr(trouble, "WAIT", 0.1)
    tasks = to_mark(session)
    with closing(sqlite3.connect(session.folder / "gradebook.db")) as other:
        with pytest.raises(InputError, match="is held by another program"):
            mark_tasks(session, tasks, lambda task: other.execute("BEGIN EXCLUSIVE"), unboxed=True)
        other.rollback()
    assert to_mark(session) == tasks[1:]
    assert check(session) == []


def test_one_that_holds_up_its_marking_fails_by_itself_and_comes_last(session, tmp_path, monkeypatch):
    holding = solved_notebook()
    holding.cells.insert(1, nbformat.v4.new_code_cell("#\n" + "." * 200_000))  # an hour's work to colour
    notebooks = {"ann": holding} | {who: typed_for(session, who) for who in ("ann-b", "zed.9")}
    take_in(session, [write_notebook(tmp_path / f"{who}_{NAME}.ipynb", n) for who, n in notebooks.items()])
    monkeypatch.setattr(own_process, "PROCESSOR_TIME", 6)
    told = "Marking it took more than 6 s of a processor and was stopped."
    assert mark(session, to_mark(session)) == {Task("ann", NAME): told}
    assert journal.read(session, Task("ann", NAME)).why == (told,)
    assert [row.score for row in standings(session)][1:] == [20, 20]
    assert [row.state for row in standings(session)] == ["not marked", "marked", "marked"]
    assert [task.trainee for task in to_mark(session, again=True)] == ["ann-b", "zed.9", "ann"]
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    assert [task.trainee for task in to_mark(session, again=True)] == ["ann", "ann-b", "zed.9"]


@pytest.mark.full
@pytest.mark.bubblewrap
@pytest.mark.xdist_group("full disk")
def test_a_real_full_disk(session, tmp_path):
    """A file system of a few megabytes that fills up, then has room again."""
    if not box.available():
        missing_program("bubblewrap")
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", typed_for(session, "ann"))])
    out = tmp_path / "out"
    out.mkdir()
    warmside = Path(sys.executable).with_name("warmside")
    script = f"""
        cp -a {session.folder} /mnt/class && cd /mnt
        for room in 0 250K 380K; do  # it stops at the copy, at the marks, at the feedback
            dd if=/dev/zero of=filler bs=4096 2>/dev/null
            [ $room = 0 ] || truncate -s -$room filler
            {warmside} session mark class --unboxed --again > {out}/full-$room 2>&1; echo $? >> {out}/statuses
        done
        rm filler
        {warmside} session mark class --unboxed --again > {out}/room 2>&1; echo $? > {out}/status
        {warmside} session check class > {out}/check 2>&1; echo $? >> {out}/status
    """
    small = ["--size", str(8 * 2**20), "--tmpfs", "/mnt"]
    command = ["bwrap", "--dev-bind", "/", "/", *small, "sh", "-c", script]
    subprocess.run(command, check=True, timeout=300)
    statuses = (out / "status").read_text().split()
    assert statuses == ["0", "0"], [path.read_text() for path in sorted(out.iterdir())]
    assert (out / "statuses").read_text().split()[0] == "1"
    for path in sorted(out.glob("full-*")):
        said = path.read_text()
        assert "Traceback" not in said
        assert "No space left on device" in said or said.count("20 of 24") == 1, said
    assert (out / "room").read_text().count("20 of 24") == 1


@pytest.fixture
def other(session):
    """Another process that works on the session until its input ends."""
    script = (
        "import pathlib, sys; from warmside.session.folder import Session\n"
        "with Session.open(pathlib.Path(sys.argv[1])).alone():\n"
        "    print('ready', flush=True); sys.stdin.read()"
    )
    command = [sys.executable, "-c", script, str(session.folder)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout.readline() == "ready\n"
        yield process
        process.kill()


def test_two_at_once(session, tmp_path, other):
    path = write_notebook(tmp_path / f"ann_{NAME}.ipynb", released_notebook())
    for work in (lambda: mark(session, to_mark(session)), lambda: take_in(session, [path])):
        with pytest.raises(InputError, match="Another command is at work on"):
            work()
    assert received_hand_ins(session) == []
    other.communicate()
    assert take_in(session, [path])[1] == []
    assert mark(session, to_mark(session)) == {}


def test_a_lock_of_one_that_was_killed_holds_nobody(session, tmp_path, other):
    other.kill()
    other.wait()
    assert take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", released_notebook())])[1] == []


def test_a_damaged_gradebook_is_put_back(marked):
    before = marks_in_gradebook(marked)
    back_up(marked)
    gradebook = marked.folder / "gradebook.db"
    content = bytearray(gradebook.read_bytes())
    content[4096:60_000] = b"\xff" * (60_000 - 4096)
    gradebook.write_bytes(content)
    assert not is_whole(gradebook)
    assert [problem.mended for problem in check(marked)] == [""]
    (mended,) = check(marked, restore=True)
    assert "It was put back from" in mended.mended
    assert (marked.folder / "gradebook.db.damaged").read_bytes() == content
    assert marks_in_gradebook(marked) == before
    assert check(marked) == []


def test_an_older_copy_is_brought_up_to_date_by_marking(marked):
    before = marks_in_gradebook(marked)
    assert len(copies(marked)) == 1  # from before marking
    (marked.folder / "gradebook.db").unlink()
    problems = check(marked, restore=True)
    assert len(problems) == 3  # the gradebook, and the marks of two
    assert all(problem.mended for problem in problems)
    assert to_mark(marked) == [Task("ann", NAME), Task("zed.9", NAME)]
    mark(marked, to_mark(marked))
    assert marks_in_gradebook(marked) == before


def test_a_gradebook_without_a_copy_is_told(session):
    (session.folder / "gradebook.db").write_bytes(b"no gradebook")
    (problem,) = check(session, restore=True)
    assert problem.mended == ""
    assert "there is no whole copy" in problem.what


def test_changed_hand_ins_and_marks_are_found(marked):
    (original,) = (marked.folder / "hand_ins" / "ann" / NAME).glob(f"*/{NAME}.ipynb")
    counting = marked.folder / "submitted" / "zed.9" / NAME / f"{NAME}.ipynb"
    counting.write_text("changed")
    with marked.gradebook() as gradebook:
        gradebook.find_grade("verdict", NAME, NAME, "zed.9").auto_score = 1.0
        gradebook.db.commit()
    original.write_bytes(original.read_bytes() + b" ")
    marked.folder.chmod(0o755)
    found = " ".join(problem.what for problem in check(marked))
    for words in ("can be read by others", "its hash differs", "isn't the one that counts", "doesn't agree"):
        assert words in found
    mended = check(marked, restore=True)
    assert [problem.what for problem in mended if not problem.mended] == [
        problem.what for problem in mended if "hash differs" in problem.what
    ]
    mark(marked, to_mark(marked))
    assert [row.score for row in standings(marked)] == [20, None, 20]
    assert marked.folder.stat().st_mode & 0o777 == 0o700


def test_what_a_killed_copy_left_goes_with_the_next_and_with_forgetting(session):
    whole = back_up(session)
    left = [whole.with_name(f"gradebook-20270101T000000.000000Z.part{more}") for more in ("", "-journal")]
    for path in left:
        path.write_bytes(whole.read_bytes()[:5000])
    back_up(session)
    assert not any(path.exists() for path in left)
    left[0].write_bytes(whole.read_bytes()[:5000])
    forget(session, "ann")
    assert not left[0].exists()
    assert whole.exists()


def test_twenty_copies_are_kept(session):
    for _ in range(23):
        back_up(session)
        time.sleep(0.002)
    assert len(copies(session)) == 20
    assert all(is_whole(copy) for copy in copies(session))
    assert shutil.disk_usage(session.folder).free > 0
