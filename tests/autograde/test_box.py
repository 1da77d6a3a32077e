"""The box itself: what it shows and what it hides."""

import subprocess
import sys
from pathlib import Path

import pytest
from helpers import missing_program

from warmside.autograde import box
from warmside.autograde.box import Box, Limits

pytestmark = pytest.mark.bubblewrap


def said_inside(code: str, **options) -> str:
    if not box.available():
        missing_program("bubblewrap")
    made = Box(options.pop("files", ()), Limits(), walls=True, **options)
    try:
        command = made.command()
        walls = command[: command.index(sys.executable)]
        run = subprocess.run([*walls, sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
        assert run.returncode == 0, run.stderr
        return run.stdout
    finally:
        made.remove()


def test_its_files_are_there_and_read_only(tmp_path):
    (tmp_path / "job_card.json").write_text("{}")
    code = "import os; print(os.listdir(), os.access('job_card.json', os.W_OK), os.access('.', os.W_OK))"
    said = said_inside(code, files=[tmp_path / "job_card.json"])
    assert said.split() == ["['job_card.json']", "False", "True"]


def test_what_lies_inside_what_it_sees_can_be_hidden():
    inside = Path(sys.prefix) / "bin"
    code = f"import os; print(len(os.listdir({str(inside)!r})))"
    assert int(said_inside(code)) > 3
    assert int(said_inside(code.replace("bin", "share"), hidden=[Path(sys.prefix) / "share"])) == 0


def test_no_key_is_part_of_what_it_sees():
    code = (
        "import os, warmside; print(os.listdir(os.path.join(os.path.dirname(warmside.__file__), '..', '..')))"
    )
    assert "solutions_private" not in said_inside(code)


def test_a_box_leaves_nothing_behind_and_sweeps_up_after_the_killed(tmp_path, monkeypatch):
    monkeypatch.setattr(box.tempfile, "tempdir", str(tmp_path))
    made = Box([], Limits(), walls=False)
    assert list(tmp_path.iterdir()) == [made.folder]
    (tmp_path / "warmside-box-999999999-x").mkdir()
    (tmp_path / "warmside-box-of-somebody").mkdir()
    box.sweep()
    assert {path.name for path in tmp_path.iterdir()} == {made.folder.name, "warmside-box-of-somebody"}
    made.remove()
    assert {path.name for path in tmp_path.iterdir()} == {"warmside-box-of-somebody"}


def test_a_deep_and_shut_folder_is_removed(tmp_path, monkeypatch):
    monkeypatch.setattr(box.tempfile, "tempdir", str(tmp_path))
    script = "import os\nfor _ in range(4000): os.mkdir('d'); os.chdir('d')\nos.chmod('../../d', 0)"
    made = [Box((), Limits(), walls=False) for _ in range(2)]
    for one in made:
        subprocess.run([sys.executable, "-c", script], cwd=one.sockets, check=True)
    made[0].remove()
    made[1].folder.rename(tmp_path / "warmside-box-999999999-x")
    box.sweep()
    assert not list(tmp_path.iterdir())


FILL = """
import os, sys, time
hoard = [open(f"/tmp/{number}", "wb", buffering=0) for number in range(99)]
hoard[0].write(b"x" * 2**22); os.unlink("/tmp/0")
print("full", flush=True); sys.stdin.read()
"""


def test_what_lies_in_its_memory_is_counted_and_nothing_lies_on_the_disk():
    if not box.available():
        missing_program("bubblewrap")
    made = Box((), Limits(), walls=True)
    try:
        command = made.command()
        command = [*command[: command.index(sys.executable)], sys.executable, "-c", FILL]
        with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as inside:
            assert inside.stdout.readline() == "full\n"
            made.enter(inside.pid)
            assert 2**22 + 98 * 2**10 <= made.in_memory() < 2**23
            (made.sockets / "from outside").touch()  # which would stand in the folder, were it on the disk
            assert {path.name for path in made.folder.iterdir()} == {"run", "work"}
            inside.communicate()
        assert not made.sockets.exists()
    finally:
        made.remove()


def test_a_control_group_that_does_not_hold_is_not_believed(tmp_path, monkeypatch):
    promises = tmp_path / "systemd-run"
    promises.write_text('#!/bin/sh\nwhile [ "$1" != -- ]; do shift; done\nshift\nexec "$@"\n')
    promises.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=":")
    box.control_group.cache_clear()
    assert box.control_group(Limits(memory=2**26)) == ()
    box.control_group.cache_clear()
