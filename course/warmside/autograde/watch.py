"""The watch over a hand-in's processes: its time, and the memory of all of them together."""

import threading
import time

import psutil

from warmside.autograde.box import Box, Limits, kill_below

_MIB = 2**20
_BETWEEN = 0.1  # s from look to look


class Watch:
    """Kills a box that outlives its time, or whose processes and files use too much memory together.

    Parameters
    ----------
    pid : int
        The process to kill, with all below it.
    box : Box
        Its box.
    limits : Limits
        What it may use.

    Attributes
    ----------
    reason : str
        Why it was killed, in a sentence for the trainee; empty where it wasn't.
    """

    def __init__(self, pid: int, box: Box, limits: Limits):
        self.reason = ""
        self._pid, self._box, self._limits = pid, box, limits
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End the watch."""
        self._done.set()
        self._thread.join(timeout=5.0)

    def _look(self) -> None:
        deadline = time.monotonic() + self._limits.notebook_time
        while not self._done.wait(_BETWEEN):
            if time.monotonic() > deadline:
                self.reason = (
                    f"The notebook ran for more than {self._limits.notebook_time} s and was stopped."
                )
            elif self._is_too_large():
                self.reason = (
                    f"The notebook used more than {self._limits.memory // _MIB} MiB and was stopped."
                )
            if self.reason:
                kill_below(self._pid)
                return

    def _is_too_large(self) -> bool:
        """Tell whether it uses too much; what processes share is counted once, which takes longer to tell."""
        room = self._limits.memory - self._box.in_memory()
        return sum(map(_resident, self._processes())) > room < sum(map(_share, self._processes()))

    def _processes(self) -> list[psutil.Process]:
        try:
            process = psutil.Process(self._pid)
            return [process, *process.children(recursive=True)]
        except psutil.Error:
            return []


def _resident(process: psutil.Process) -> int:
    try:
        return process.memory_info().rss
    except psutil.Error:
        return 0


def _share(process: psutil.Process) -> int:
    """Return a process's own memory and its share of what it has together with others [bytes]."""
    try:
        memory = process.memory_full_info()
        return getattr(memory, "pss", memory.uss) + getattr(memory, "swap", 0)
    except psutil.AccessDenied:
        return _resident(process)
    except psutil.Error:
        return 0
