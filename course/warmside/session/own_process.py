"""Work on one hand-in in a process of its own, with time and memory of its own.

Whatever a stranger's notebook does to the program that repairs, cleans and shows it, it does to that process
alone: where it takes too long, too much, or the process with it, one hand-in fails and the next one begins.
The process is forked, so that nothing is imported or read anew for each hand-in. Systems that can't fork
(Windows) do the work where they stand.
"""

import gc
import multiprocessing
import os
import signal
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TypeVar

from warmside.autograde.box import Limits, kill_below
from warmside.autograde.system_calls import die_with_parent

CLOCK_TIME = Limits.notebook_time + 60
"""Time for a hand-in, its own run included, on the clock [s]."""
PROCESSOR_TIME = 60
"""Time of a processor for all but its own run [s]."""
MEMORY = 2**30
"""Memory for all but its own run, beyond what the program has already [bytes]."""

_SELDOM = 20_000  # new objects between two looks for what can go

Result = TypeVar("Result")


class CutShortError(Exception):
    """The process was ended before its work; the message says why, in a sentence."""


def in_own_process(work: Callable[[], Result]) -> Result:
    """Do a piece of work in a process of its own and return what it returns.

    Parameters
    ----------
    work : callable
        The work; what it returns must go through a pipe, and it must not raise.

    Raises
    ------
    CutShortError
        If it took too much time or memory, or the process died of something else.

    Examples
    --------
    >>> in_own_process(lambda: 6 * 7)
    42
    """
    if "fork" not in multiprocessing.get_all_start_methods():
        return work()
    fork = multiprocessing.get_context("fork")
    receiver, sender = fork.Pipe(duplex=False)
    process = fork.Process(target=_work, args=(work, sender, os.getpid()))
    process.start()
    sender.close()
    try:
        if not receiver.poll(CLOCK_TIME):
            raise CutShortError(f"Marking it took more than {CLOCK_TIME} s and was stopped.")
        return receiver.recv()
    except EOFError:
        process.join()
        raise CutShortError(_why(process.exitcode or 0)) from None
    finally:
        if process.pid is not None and process.is_alive():
            kill_below(process.pid)
        process.join()
        receiver.close()


def _work(work: Callable[[], Result], sender: Connection, parent: int) -> None:
    die_with_parent(parent)
    signal.signal(signal.SIGINT, lambda *_: None)  # the program that waits is told, and ends this process
    _limit()
    gc.freeze()  # what the program held before needn't be gone through, nor copied for that, again and again
    gc.set_threshold(_SELDOM)
    sender.send(work())


def _limit() -> None:
    """Limit this process; what it starts may lift that up to what it is given itself."""
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_TIME, resource.getrlimit(resource.RLIMIT_CPU)[1]))
    resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
    with suppress(OSError, ValueError):  # where it can't be told how much there is, time alone is limited
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
        most = resource.getrlimit(resource.RLIMIT_AS)[1]
        resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + MEMORY, most))


def _why(status: int) -> str:
    if status == -getattr(signal, "SIGXCPU", 0):
        return f"Marking it took more than {PROCESSOR_TIME} s of a processor and was stopped."
    how = f"signal {-status}" if status < 0 else f"status {status}"
    return f"The process that marked it ended early ({how})."
