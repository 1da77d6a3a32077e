"""nbgrader's own steps, set up and run from here: release, marking, feedback pages."""

import errno
import io
import logging
import shutil
import sys
import tempfile
from collections.abc import Callable
from contextlib import redirect_stderr
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import quote

import nbformat
from jinja2 import BytecodeCache, Environment
from jinja2.bccache import Bucket
from nbconvert.exporters import HTMLExporter
from nbconvert.preprocessors import CSSHTMLHeaderPreprocessor
from nbgrader import preprocessors as stock
from nbgrader.api import Gradebook
from nbgrader.apps import NbGraderAPI
from nbgrader.coursedir import CourseDirectory
from sqlalchemy.orm import configure_mappers
from traitlets.config import Config

from warmside import project
from warmside.autograde import preprocessors as ours
from warmside.autograde.hand_marks import SaveMarks
from warmside.autograde.run_notebook import RunNotebook
from warmside.errors import InputError
from warmside.marking import practice
from warmside.marking.cells import TEXT_STUB
from warmside.marking.exercise import Job, load_exercise
from warmside.private_file import write_private
from warmside.session import trouble
from warmside.session.feedback_pages import ShowWhatIsRight, TellMarks

_LONGEST_REASON = 300
PRIVATE_FILES = ["*.py"]
"""Files beside a source notebook that go neither into a release nor to where a trainee's kernel runs."""


def configure(c: Config, folder: Path) -> None:
    """Set nbgrader up for the session in `folder`; its nbgrader_config.py calls this."""
    c.CourseDirectory.root = str(folder)
    c.CourseDirectory.db_url = gradebook_url(folder / "gradebook.db")
    c.CourseDirectory.source_directory = str(project.root() / "solutions_private")
    c.CourseDirectory.ignore = [*CourseDirectory.ignore.default(), *PRIVATE_FILES]
    c.Exchange.root = str(folder / "exchange")
    c.SessionPreprocessor.session_folder = str(folder)
    c.KernelManager.transport_encryption = "auto"
    c.ClearSolutions.code_stub = {"python": ""}
    c.ClearSolutions.text_stub = TEXT_STUB
    c.GenerateFeedback.exporter_class = FeedbackExporter
    c.GenerateFeedback.preprocessors = [
        TellMarks,
        ShowWhatIsRight,
        CSSHTMLHeaderPreprocessor,
    ]
    c.FeedbackExporter.template_name = "feedback_page"
    pages = str(resources.files("warmside.show") / "pages")
    c.FeedbackExporter.extra_template_basedirs = c.FeedbackExporter.extra_template_paths = [pages]
    c.Exporter.optimistic_validation = True  # once, at the end of all steps
    c.Autograde.create_student = False
    c.Autograde.sanitize_preprocessors = [
        ours.RepairHandIn,
        stock.ClearOutput,
        stock.DeduplicateIds,
    ]  # no more, as cells and metadata are now the release's, which nbgrader checked when it was made
    c.Autograde.autograde_preprocessors = [
        ours.PlaceJobCard,
        RunNotebook,
        stock.LimitOutput,
        ours.CleanHandIn,
        ours.MarkAnswers,
        SaveMarks,
        stock.AssignLatePenalties,
    ]


def gradebook_url(path: Path) -> str:
    """Return the address of a gradebook, whatever stands in the names of its folders."""
    return f"sqlite:///{quote(str(path))}?timeout={trouble.WAIT}"


class FeedbackExporter(HTMLExporter):
    """Writes the page that a trainee reads; a class of its own, to have settings of its own."""

    def _create_environment(self) -> Environment:
        """Have templates compiled for the first page alone; each page has an exporter of its own."""
        environment = super()._create_environment()
        environment.bytecode_cache = _COMPILED
        return environment


class _Compiled(BytecodeCache):
    """Keeps compiled templates while this process runs."""

    def __init__(self) -> None:
        self._kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Put into `bucket` what is kept under its key; the bucket looks whether it's of the same source."""
        if bucket.key in self._kept:
            bucket.bytecode_from_string(self._kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what `bucket` holds."""
        self._kept[bucket.key] = bucket.bytecode_to_string()


_COMPILED = _Compiled()


def api(folder: Path) -> NbGraderAPI:
    """Return nbgrader's programming interface for the session in `folder`."""
    config = Config()
    configure(config, folder)
    return NbGraderAPI(config=config)


@cache
def _empty_gradebook() -> bytes:
    with tempfile.TemporaryDirectory(prefix="warmside-") as scratch:
        path = Path(scratch) / "gradebook.db"
        Gradebook(gradebook_url(path)).close()
        return path.read_bytes()


def make_gradebook(folder: Path) -> None:
    """Put an empty gradebook into `folder`; nbgrader runs another program for each that it makes itself."""
    (folder / "gradebook.db").write_bytes(_empty_gradebook())


def generate_release(folder: Path, exercise: str) -> None:
    """Make the release of an exercise in the session's folder and enter it in the gradebook."""
    nbgrader = api(folder)
    if problem := _done(nbgrader, lambda: nbgrader.generate_assignment(exercise)):
        raise RuntimeError(f"making the release of {exercise} failed: {problem}")


def autograde(folder: Path, exercise: str, trainee: str, *, unboxed: bool = False) -> str:
    """Run and mark one hand-in, in a box unless told otherwise; return an empty text, or what went wrong.

    Raises
    ------
    OSError
        If the disk is full.
    HeldError
        If another program holds the gradebook.
    """
    nbgrader = api(folder)
    nbgrader.config.RunNotebook.unboxed = unboxed
    return _done(nbgrader, lambda: nbgrader.autograde(exercise, trainee, create=False))


def make_ready(folder: Path) -> None:
    """Read and compile what every hand-in needs, so that processes forked from this one don't."""
    configure_mappers()
    marks = {"nbgrader": {"score": 0, "max_score": 0}}
    for path in (folder / "release").glob("*/*.ipynb"):
        release = nbformat.read(path, as_version=4)
        ours.not_here(release.cells)
        FeedbackExporter(config=api(folder).config).from_notebook_node(release, marks)


def generate_feedback(folder: Path, exercise: str, trainee: str) -> str:
    """Write the feedback page of one marked hand-in, whole or not at all; return and raise as `autograde`
    does.
    """
    nbgrader, page = api(folder), f"{exercise}.html"
    with tempfile.TemporaryDirectory(prefix="warmside-") as scratch:
        nbgrader.coursedir.feedback_directory = scratch
        if reason := _done(nbgrader, lambda: nbgrader.generate_feedback(exercise, trainee)):
            return reason
        place = folder / "feedback" / trainee / exercise
        place.mkdir(parents=True, exist_ok=True)
        write_private(place / page, (Path(scratch) / trainee / exercise / page).read_bytes())
    return ""


def release_files(exercise: str) -> dict[str, bytes]:
    """Return the files of an exercise as trainees get them with the practice card, by name."""
    scratch = Path(tempfile.mkdtemp(prefix="warmside-release-"))
    try:
        make_gradebook(scratch)
        generate_release(scratch, exercise)
        files = {path.name: path.read_bytes() for path in (scratch / "release" / exercise).iterdir()}
    finally:
        shutil.rmtree(scratch)
    loaded = load_exercise(exercise)
    card = loaded.practice_card()
    texts = card.as_files() | dict(loaded.with_practice(Job(loaded, card)))
    texts[practice.FILE_NAME] = practice.as_text(practice.practice_data(loaded))
    return files | {name: text.encode() for name, text in texts.items()}


class _Stopped(logging.Handler):
    """Keeps what stopped a step of nbgrader, which logs that, and raises something else."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.by: BaseException | None = None

    def emit(self, record: logging.LogRecord) -> None:
        """Keep the error that is being dealt with."""
        self.by = self.by or sys.exc_info()[1]


def _done(nbgrader: NbGraderAPI, step: Callable[[], dict[str, Any]]) -> str:
    """Do a step; return an empty text, or what went wrong with it; raise what isn't this hand-in's doing."""
    stopped = _Stopped()
    nbgrader.log.addHandler(stopped)
    try:
        with redirect_stderr(io.StringIO()):  # tracebacks that nbgrader prints besides logging them
            result = step()
    finally:
        nbgrader.log.removeHandler(stopped)
    if result["success"]:
        return ""
    if stopped.by is None:
        return _last_line(result)
    if trouble.is_full(stopped.by):
        raise OSError(errno.ENOSPC, "No space left on device") from stopped.by
    if trouble.is_held(stopped.by):
        raise trouble.held(Path(nbgrader.coursedir.root) / "gradebook.db") from stopped.by
    return reason(stopped.by)


def reason(problem: BaseException) -> str:
    """Return what went wrong with a hand-in, in a line."""
    if isinstance(problem, MemoryError):
        return "It takes more memory than there is for marking it."
    if isinstance(problem, RecursionError):
        return "It is nested too deeply to be marked."
    if isinstance(problem, InputError):
        return str(problem)
    lines = str(problem).strip().splitlines() or [""]
    return f"{type(problem).__name__}: {lines[0]}"[:_LONGEST_REASON]


def _last_line(result: dict[str, Any]) -> str:
    lines = [line for key in ("error", "log") for line in result.get(key, "").splitlines() if line.strip()]
    return (lines or ["no reason given"])[-1].strip()[:_LONGEST_REASON]
