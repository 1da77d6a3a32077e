"""Labs of pages, each in a process of its own, forked from one that has everything loaded.

So one reader's lab never waits for another's, whatever a lab does it does to itself, and its memory is given
back when its page is left. Where a system can't fork (Windows) each process loads everything itself.
"""

import asyncio
import gc
import json
import multiprocessing
import os
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any

from warmside.errors import InputError
from warmside.session.reading.lessons import LabCall, make_lab

MOST_LABS = 40
"""How many labs may be live at once."""
_WARM = "WARMSIDE_WARM_LABS"
_FORKED = "forkserver" in multiprocessing.get_all_start_methods()
_processes: Any = multiprocessing.get_context("forkserver" if _FORKED else "spawn")


class Labs:
    """The labs that are live.

    Parameters
    ----------
    calls : sequence of LabCall
        Those that there are.
    """

    def __init__(self, calls: Sequence[LabCall]) -> None:
        self._calls = {call.name: call for call in calls}
        self._live = 0
        # each thread waits for a process, off the server's loop
        self._waiting = ThreadPoolExecutor(2 * MOST_LABS, "lab")

    def __contains__(self, name: object) -> bool:
        return name in self._calls

    def get_ready(self, warm: Sequence[LabCall]) -> None:
        """Start the process that the labs are forked from; have it make some once: they come fast."""
        if not _FORKED:
            return
        from multiprocessing import forkserver

        _processes.set_forkserver_preload(["warmside.session.reading.warm_labs"])
        os.environ[_WARM] = json.dumps([list(self._calls.values()), list(warm)])
        try:
            forkserver.ensure_running()
        finally:
            del os.environ[_WARM]

    def begin(self, name: str) -> "LiveLab":
        """Return a lab that is to begin; it counts as live until `end`.

        Raises
        ------
        InputError
            One sentence, if as many are live as may be.
        """
        if self._live >= MOST_LABS:
            raise InputError(f"{self._live} labs are open; close a page with one, then load this one again.")
        self._live += 1
        return LiveLab(self._waiting, self._calls[name])

    def end(self, lab: "LiveLab") -> None:
        """End a lab and give back what it held."""
        self._live -= 1
        lab.end()


class LiveLab:
    """A lab in its process. Texts of JSON go to and fro; it is asked one question at a time."""

    def __init__(self, waiting: ThreadPoolExecutor, call: LabCall) -> None:
        self._waiting = waiting
        self._pipe, self._other = _processes.Pipe()
        self._process = _processes.Process(target=_answer_all, args=(call, self._other), daemon=True)

    async def first(self) -> str:
        """Start its process and return what it says first: script, style, page and answer."""
        return await self._in_thread(self._start)

    async def ask(self, question: str) -> str:
        """Return the answer to a question; EOFError or OSError where its process has ended."""
        return await self._in_thread(self._exchange, question)

    def end(self) -> None:
        """End its process."""
        self._waiting.submit(self._end)

    async def _in_thread(self, work: Callable[..., str], *arguments: str) -> str:
        return await asyncio.get_running_loop().run_in_executor(self._waiting, work, *arguments)

    def _start(self) -> str:
        self._process.start()
        self._other.close()
        return self._pipe.recv_bytes().decode()

    def _exchange(self, question: str) -> str:
        self._pipe.send_bytes(question.encode())
        return self._pipe.recv_bytes().decode()

    def _end(self) -> None:
        if self._process.pid is not None:
            self._process.kill()  # whoever waits for it hears that it ended
            self._process.join()
        self._pipe.close()


def _answer_all(call: LabCall, pipe: Connection) -> None:
    """Make a lab and answer what its page asks, until the page is left."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server is told, and ends this
    lab = make_lab(call)
    told: list[dict] = []
    lab.send = lambda content, buffers=None: told.append(content)
    page = {"script": lab._esm, "style": lab._css, "page": lab.page, "answer": lab.answer}
    with suppress(EOFError, OSError):
        pipe.send_bytes(json.dumps(page).encode())
        while True:
            try:
                question = json.loads(pipe.recv_bytes())
            except ValueError:  # no page of ours
                question = None
            lab.ask(question)
            message = {"message": told.pop()} if told else {"answer": lab.answer}
            pipe.send_bytes(json.dumps(message).encode())


def warm_up() -> None:
    """In the process that labs are forked from: load all, and make once what `Labs.get_ready` named."""
    known, warm = json.loads(os.environ.pop(_WARM, "[[], []]"))
    for call in (LabCall(*each) for each in known):
        with suppress(Exception):  # whoever opens it is told
            __import__(call.module)
            if list(call) in warm:
                make_lab(call).close()
    gc.collect()
    gc.freeze()  # what is here already stays shared
