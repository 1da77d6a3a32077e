"""Rendered lessons: made in the background, one after another, and at once where a reader waits for one."""

import json
import logging
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import IO, NamedTuple

from warmside.kept import UNUSED_DAYS
from warmside.session.reading.lessons import Lesson
from warmside.session.reading.rendering import PATIENTLY, kept_page

_AT_FIRST = 3
"""Time left to the reader's own first wish [s]."""
_log = logging.getLogger(__name__)


class State(NamedTuple):
    """How far a lesson is: parts done, of how many, HTML that the part shows; or that it failed."""

    done: int = 0
    of: int = 0
    told: str = ""
    failed: bool = False


class _Maker(NamedTuple):
    process: subprocess.Popen
    patient: bool


class Shelf:
    """The lessons' pages.

    Parameters
    ----------
    lessons : sequence of Lesson
        Those that there are.
    """

    def __init__(self, lessons: Sequence[Lesson]) -> None:
        self._lessons = {lesson.file: lesson for lesson in lessons}
        self._states: dict[str, State] = {}
        self._makers: dict[str, _Maker] = {}
        self._lock = threading.Lock()
        self._ended = False

    def page(self, file: str) -> str | None:
        """Return a lesson's page without its frame; None where it isn't ready."""
        kept = kept_page(self._lessons[file].path)
        with suppress(OSError):
            page = kept.read_text("utf-8")
            os.utime(kept)
            return page
        return None

    def is_ready(self, lesson: Lesson) -> bool:
        """Tell whether a lesson's page is there."""
        return kept_page(lesson.path).is_file()

    def state(self, file: str) -> State:
        """Return how far a lesson is that isn't ready."""
        return self._states.get(file, State())

    def make_all(self) -> None:
        """Make what isn't there in the background, one after another, at the pace that others leave."""
        threading.Thread(target=self._make_all, daemon=True).start()

    def make_now(self, file: str) -> None:
        """Make a lesson that a reader waits for; nothing where that goes on already or failed."""
        if not self._states.get(file, State()).failed:
            threading.Thread(target=self._make, args=(file, False), daemon=True).start()

    def end(self) -> None:
        """End what is being made."""
        with self._lock:
            self._ended = True
            for maker in self._makers.values():
                maker.process.terminate()

    def _make_all(self) -> None:
        time.sleep(_AT_FIRST)
        for file, lesson in self._lessons.items():
            if not self.is_ready(lesson):
                self._make(file, patient=True)
        _remove_unused(kept_page(lesson.path) for lesson in self._lessons.values())

    def _make(self, file: str, patient: bool) -> None:
        """Make a lesson's page, and wait until it is there; a reader's wish ends what goes at leisure."""
        with self._lock:
            before = self._makers.get(file)
            if self._ended or (before and (patient or not before.patient)):
                return
            errors = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115
            maker = _Maker(_started(self._lessons[file].path, patient, errors), patient)
            self._makers[file] = maker
            if before:
                before.process.terminate()
        assert maker.process.stdout
        for line in maker.process.stdout:
            self._states[file] = State(**json.loads(line))
        failed = maker.process.wait() != 0
        with self._lock:
            if self._makers.get(file) is not maker:  # a reader wanted it at once: another makes it
                return
            del self._makers[file]
            if failed and not self._ended:
                self._states[file] = State(failed=True)
                errors.seek(0)
                _log.error("The page of %s couldn't be made:\n%s", file, errors.read())
        errors.close()


def _started(notebook: Path, patient: bool, errors: IO[str]) -> subprocess.Popen:
    command = [sys.executable, "-P", "-m", "warmside.session.reading.rendering"]
    command += [str(notebook), str(kept_page(notebook))]
    return subprocess.Popen(
        [*command, PATIENTLY] if patient else command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=errors,
        text=True,
    )


def _remove_unused(pages: Iterable[Path]) -> None:
    """Remove what was made of other versions of these and not read for long."""
    oldest = time.time() - UNUSED_DAYS * 24 * 3600
    for page in pages:
        for other in page.parent.glob(f"{page.stem.rpartition('-')[0]}-*.html"):
            with suppress(OSError):  # another process may be as far
                if other.stat().st_mtime < oldest:
                    other.unlink()
