"""What Linux refuses a hand-in, and that what notebooks need still works."""

import platform
import subprocess
import sys

import pytest

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux") or platform.machine() not in ("x86_64", "aarch64"),
    reason="calls are refused on Linux alone",
)
CODE = """
import ctypes, multiprocessing.shared_memory, os, subprocess, sys, threading
from warmside.autograde import system_calls
libc = ctypes.CDLL(None, use_errno=True)
calls = {
    "a file in memory": lambda: libc.memfd_create(b"x", 0),
    "a segment": lambda: libc.shmget(0, 2**20, 0o1600),
    "a queue": lambda: libc.msgget(0, 0o1600),
    "semaphores": lambda: libc.semget(0, 5, 0o1600),
    "a user namespace": lambda: libc.unshare(0x10000000),
    "hiding": lambda: libc.prctl(4, 0, 0, 0, 0),
}
before = [name for name, call in calls.items() if call() == -1]
libc.prctl(4, 1, 0, 0, 0)
system_calls.refuse()
print(*(name for name, call in calls.items() if call() == -1), sep=",")
subprocess.run([sys.executable, "-c", "print('program')"], check=True)
thread = threading.Thread(target=print, args=("thread",), kwargs={"flush": True})
thread.start(); thread.join()
memory = multiprocessing.shared_memory.SharedMemory(create=True, size=9); memory.close(); memory.unlink()
if (child := os.fork()) == 0:
    libc.prctl(3, 0, 0, 0, 0); print("child", flush=True); os._exit(0)
os.waitpid(child, 0)
assert "a file in memory" not in before, before
"""


def test_what_goes_round_the_limits_is_refused_and_the_rest_works():
    run = subprocess.run(
        [sys.executable, "-c", CODE], capture_output=True, text=True, timeout=60, check=False
    )
    assert run.returncode == 0, run.stderr
    refused, *works = run.stdout.split("\n")[:-1]
    assert refused == "a file in memory,a segment,a queue,semaphores,a user namespace,hiding"
    assert works == ["program", "thread", "child"]
