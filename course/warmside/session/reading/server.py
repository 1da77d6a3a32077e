"""An extension of JupyterLab's server: the course's map, its lessons as pages, and the labs on them.

``GET /warmside/`` is the map, ``/warmside/NAME.ipynb`` a lesson, ``/warmside/mine/NAME`` leads to a copy of a
lesson or an exercise that may be written in. ``POST /warmside/kept`` keeps what was answered,
``/warmside/back/NAME`` puts a copy back as it was, and over ``/warmside/lab/NAME`` a lab answers its page.
"""

import json
import logging
from pathlib import Path
from typing import Any
from urllib.parse import quote

from jupyter_server.auth.decorator import ws_authenticated
from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.base.websocket import WebSocketMixin
from jupyter_server.extension.application import ExtensionApp
from jupyter_server.utils import url_path_join
from tornado import web
from tornado.websocket import WebSocketClosedError, WebSocketHandler
from traitlets import Bool, Unicode

from warmside.errors import InputError
from warmside.session.reading import pages
from warmside.session.reading.desk import Copies, Progress, progress_file
from warmside.session.reading.lab_processes import Labs, LiveLab
from warmside.session.reading.lessons import Lesson, lessons
from warmside.session.reading.shelf import Shelf

PAGE = "/warmside/"
"""Where the map is."""
_MOST_TOLD = 10_000
"""The longest that a page tells the server at once [bytes]."""
_log = logging.getLogger(__name__)


class Course:
    """What the pages show and what they need for it.

    Parameters
    ----------
    folder : Path
        The course's notebooks.
    exercises : Path
        The exercises as they are released.
    mine : Path
        The folder for the reader's copies.
    present : bool
        Whether the pages are for a wall.
    """

    def __init__(self, folder: Path, exercises: Path, mine: Path, *, present: bool = False) -> None:
        self.folder = folder
        self.present = present
        self.progress = Progress(progress_file(), lessons(folder))
        self.copies = Copies(mine, lessons(folder), exercises)
        self.shelf = Shelf(lessons(folder))
        self.labs = Labs([call for lesson in lessons(folder) for call in lesson.labs])
        self._begun = False

    def lesson(self, file: str) -> Lesson | None:
        """Return a lesson by its file's name, or None."""
        return next((lesson for lesson in lessons(self.folder) if lesson.file == file), None)

    def begin(self) -> None:
        """Begin what takes long, once: loading the labs and making the pages."""
        if not self._begun:
            self._begun = True
            ready = [lesson for lesson in lessons(self.folder) if self.shelf.is_ready(lesson)]
            self.labs.get_ready(warm=[call for lesson in ready for call in lesson.labs])
            self.shelf.make_all()


class _Page(JupyterHandler):
    """A page of ours, for who has the token."""

    @property
    def course(self) -> Course:
        return self.settings["warmside_course"]

    def show(self, page: str) -> None:
        self.set_header("Cache-Control", "no-store")
        self.finish(page)

    def told(self) -> pages.Told:
        """Return what each page of ours is told about the server."""
        return pages.Told(self.base_url, self.xsrf_token.decode(), self.course.present)

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """Say in one sentence what went wrong."""
        problem = kwargs.get("exc_info", (None, None))[1]
        told = isinstance(problem, web.HTTPError) and problem.log_message
        self.show(pages.problem_page(self.told(), told % problem.args if told else "That didn't work."))


class MapHandler(_Page):
    """The course's map."""

    @web.authenticated
    def get(self) -> None:
        course = self.course
        if not self.request.path.endswith("/"):
            self.redirect(url_path_join(self.base_url, PAGE))
            return
        self.show(pages.map_page(self.told(), lessons(course.folder), course.progress, course.copies))

    def on_finish(self) -> None:
        self.course.begin()  # not earlier: the page comes first
        super().on_finish()


class LessonHandler(_Page):
    """A lesson, or how far it is."""

    @web.authenticated
    def get(self, file: str) -> None:
        lesson = self.course.lesson(file)
        if lesson is None:
            raise web.HTTPError(404, f"There is no lesson “{file[:40]}”.")
        shelf = self.course.shelf
        if page := shelf.page(file):
            self.show(pages.lesson_page(self.told(), lesson, page, self._all(), self.course.copies))
            return
        state = shelf.state(file)
        if not state.failed:
            shelf.make_now(file)
        self.show(pages.waiting_page(self.told(), lesson, state))

    def _all(self) -> list[Lesson]:
        return lessons(self.course.folder)

    def on_finish(self) -> None:
        self.course.begin()
        super().on_finish()


class StateHandler(_Page):
    """How far a lesson is that isn't ready."""

    @web.authenticated
    def get(self, file: str) -> None:
        lesson = self.course.lesson(file)
        if lesson is None:
            raise web.HTTPError(404, f"There is no lesson “{file[:40]}”.")
        state = self.course.shelf.state(file)
        ready = self.course.shelf.is_ready(lesson)
        self.finish(
            {"ready": ready, "failed": state.failed, "words": pages.how_far(state), "told": state.told}
        )


class MineHandler(_Page):
    """The way to a copy that may be written in; it is made where it isn't there."""

    @web.authenticated
    def get(self, name: str) -> None:
        try:
            notebook = self.course.copies.of(name)
        except InputError as problem:
            raise web.HTTPError(404, str(problem)) from None
        self.redirect(url_path_join(self.base_url, "lab/tree", quote(notebook.as_posix())))


class _Told(_Page):
    """What a page tells the server, with the token against requests from elsewhere."""

    def refuse(self, sentence: str) -> None:
        self.set_status(400)
        self.finish({"problem": sentence})


class BackHandler(_Told):
    """Put a copy back as it was."""

    @web.authenticated
    def post(self, name: str) -> None:
        try:
            aside = self.course.copies.put_back(name)
        except InputError as problem:
            self.refuse(str(problem))
        except OSError as problem:
            self.refuse(f"{name} couldn't be put back: {problem.strerror}.")
        else:
            self.finish({"old": aside.as_posix()})


class KeptHandler(_Told):
    """What the reader answered."""

    @web.authenticated
    def get(self) -> None:
        self.finish(self.course.progress.kept)

    @web.authenticated
    def post(self) -> None:
        if len(self.request.body) > _MOST_TOLD:
            return self.refuse("What the page told is too long to be kept.")
        try:
            self.course.progress.keep(json.loads(self.request.body))
        except InputError as problem:
            return self.refuse(str(problem))
        except (ValueError, RecursionError):
            return self.refuse("What the page told can't be read; it must be JSON.")
        except OSError as problem:
            return self.refuse(f"What you answered couldn't be kept: {problem.strerror}.")
        self.finish({})


class FileHandler(_Page):
    """Our own styles and scripts."""

    @web.authenticated
    def get(self, name: str) -> None:
        self.set_header("Content-Type", "text/css" if name.endswith(".css") else "text/javascript")
        self.finish(pages.FILES[name]())


class LabSocket(WebSocketMixin, WebSocketHandler, JupyterHandler):
    """A lab and its page, as long as the page is open."""

    _lab: LiveLab | None = None

    @ws_authenticated
    async def get(self, name: str) -> None:
        if name not in self._labs:
            raise web.HTTPError(404, f"There is no lab “{name[:40]}”.")
        await super().get(name)

    @property
    def _labs(self) -> Labs:
        return self.settings["warmside_course"].labs

    async def open(self, name: str) -> None:
        super().open(name)
        self.set_nodelay(True)
        try:
            self._lab = self._labs.begin(name)
        except InputError as problem:
            self.close(4000, str(problem))
            return
        await self._tell(self._lab.first())

    async def on_message(self, question: str | bytes) -> None:
        if self._lab is not None:
            asked = question if isinstance(question, str) else ""
            await self._tell(self._lab.ask(asked))

    async def _tell(self, answer: Any) -> None:
        try:
            await self.write_message(await answer)
        except (EOFError, OSError):  # its process has ended
            self.close(4000, "The lab has stopped; load the page again.")
        except WebSocketClosedError:
            pass

    def on_close(self) -> None:
        super().on_close()
        if self._lab is not None:
            self._labs.end(self._lab)
            self._lab = None


class LessonPages(ExtensionApp):
    """The extension; `warmside open` names the folders."""

    name = "warmside"
    load_other_extensions = True
    course = Unicode("", help="The folder of the course's notebooks.").tag(config=True)
    exercises = Unicode("", help="The folder of the exercises.").tag(config=True)
    present = Bool(False, help="Large, one step at a time, for a wall.").tag(config=True)

    def initialize_settings(self) -> None:
        """Find the lessons."""
        assert self.serverapp
        mine = Path(self.serverapp.root_dir)
        self._course = Course(Path(self.course), Path(self.exercises), mine, present=self.present)
        self.settings["warmside_course"] = self._course

    def initialize_handlers(self) -> None:
        """Say which address leads where."""
        names = "|".join(map(str, pages.FILES)).replace(".", r"\.")
        self.handlers = [
            (r"/warmside/?", MapHandler),
            (r"/warmside/([^/]+\.ipynb)", LessonHandler),
            (r"/warmside/state/([^/]+\.ipynb)", StateHandler),
            (r"/warmside/mine/([^/]+)", MineHandler),
            (r"/warmside/back/([^/]+)", BackHandler),
            (r"/warmside/kept", KeptHandler),
            (rf"/warmside/({names})", FileHandler),
            (r"/warmside/lab/(\w+)", LabSocket),
        ]

    async def stop_extension(self) -> None:
        """End what is being made."""
        self._course.shelf.end()


def _jupyter_server_extension_points() -> list[dict[str, Any]]:
    return [{"module": __name__, "app": LessonPages}]
