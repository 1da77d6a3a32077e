"""Work in a process of its own: what it returns, and how it ends where it takes too much."""

import os
import signal
import subprocess
import sys
import time

import psutil
import pytest

from warmside.session import own_process
from warmside.session.own_process import CutShortError, in_own_process

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="systems without fork work where they stand")


def test_it_returns_what_the_work_returns_from_another_process():
    assert in_own_process(lambda: ("done", os.getpid()))[0] == "done"
    assert in_own_process(os.getpid) != os.getpid()


def busy():
    while True:
        pass


def hungry():
    try:
        return len(bytes(2 * own_process.MEMORY))
    except MemoryError:
        return "refused"


def test_time_is_limited_by_the_clock_and_by_the_processor(monkeypatch):
    before = psutil.Process().children()
    monkeypatch.setattr(own_process, "PROCESSOR_TIME", 1)
    with pytest.raises(CutShortError, match="more than 1 s of a processor and was stopped"):
        in_own_process(busy)
    monkeypatch.setattr(own_process, "CLOCK_TIME", 1)
    with pytest.raises(CutShortError, match="more than 1 s and was stopped"):
        in_own_process(lambda: time.sleep(600))
    left = [child for child in psutil.Process().children() if child not in before]
    assert not [child for child in left if child.status() != psutil.STATUS_ZOMBIE]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="others don't hold a limit on memory")
def test_memory_is_limited(monkeypatch):
    monkeypatch.setattr(own_process, "MEMORY", 2**27)
    assert in_own_process(hungry) == "refused"


@pytest.mark.parametrize(
    ("end", "told"),
    [(lambda: os._exit(3), "status 3"), (lambda: os.kill(os.getpid(), signal.SIGKILL), "signal 9")],
)
def test_a_process_that_dies_is_told(end, told):
    with pytest.raises(CutShortError, match=f"ended early .{told}"):
        in_own_process(end)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="others go on to the end of a hand-in")
def test_it_ends_with_the_program_that_waits_for_it():
    script = (
        "import os, time\nfrom warmside.session.own_process import in_own_process\n"
        "in_own_process(lambda: (print(os.getpid(), flush=True), time.sleep(600)))"
    )
    with subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True) as program:
        child = psutil.Process(int(program.stdout.readline()))
        program.kill()
        psutil.wait_procs([child], timeout=10)
        assert not child.is_running() or child.status() == psutil.STATUS_ZOMBIE
