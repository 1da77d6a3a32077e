"""Starting JupyterLab: tidy for trainees, with the course's pages, or with nbgrader's formgrader."""

import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from types import FrameType
from urllib.parse import quote

PAGE = "/warmside/"
"""Where the course's map is."""
START = "00_start_here.ipynb"
PRACTICE_FOLDER = "warmside_practice"
_NEWS = "@jupyterlab/apputils-extension:announcements"
_NOTEBOOK_7 = "@jupyter-notebook/lab-extension"
_AUTHORING = "@jupyter/nbgrader"
_UNUSED = (
    "notebook",
    "nbgrader.server_extensions.assignment_list",
    "nbgrader.server_extensions.course_list",
    "nbgrader.server_extensions.formgrader",
    "nbgrader.server_extensions.validate_assignment",
)
"""What JupyterLab's server would load for authors: memory, and a part of the time until the map is there."""
_WORKSPACE = "default-37a8.jupyterlab-workspace"
"""The file in which JupyterLab keeps the workspace called "default"; the library that knows takes 30 MB."""
_PATIENCE = 5.0
"""Time for JupyterLab to end its kernels and itself [s]."""
_SAVES = "--LabApp.expose_app_in_browser=True"  # so that the button under an exercise can have it saved
_PAGES = "warmside.session.reading.server"
_CONNECTION = "warmside.session.prompt_connection.PromptConnection"


def open_course(
    course: Path, exercises: Path, home: Path, *, browser: bool = True, present: bool = False
) -> int:
    """Open the course's map, lessons as pages, exercises and notebooks in copies; return the exit status.

    Parameters
    ----------
    course, exercises : Path
        The project's own, which are only read.
    home : Path
        Where the folder of the reader's copies lies.
    browser : bool, optional
        Whether to open the browser.
    present : bool, optional
        Whether the pages are for a wall: large, one step at a time.
    """
    mine = home / PRACTICE_FOLDER
    mine.mkdir(parents=True, exist_ok=True)
    pages = [f"--LessonPages.course={course}", f"--LessonPages.exercises={exercises}"]
    pages += ["--LessonPages.present=True"] if present else []
    extensions = {_PAGES: True, **dict.fromkeys(_UNUSED, False)}
    load = [f"--ServerApp.jpserver_extensions={name}={wanted}" for name, wanted in extensions.items()]
    return _run_lab(mine, PAGE, [_NEWS, _AUTHORING, _NOTEBOOK_7], browser, _SAVES, *load, *pages)


def open_notebooks(folder: Path, *, browser: bool = True) -> int:
    """Open JupyterLab on a folder of notebooks, without tools for authors; return its exit status."""
    first = first_notebook(folder)
    page = f"/lab/tree/{quote(first.name)}" if first else "/lab"
    return _run_lab(folder, page, [_NEWS, _AUTHORING], browser, _SAVES)


def first_notebook(folder: Path) -> Path | None:
    """Return the notebook to start with: the course's first one, or the only one there is."""
    notebooks, start = list(folder.glob("*.ipynb")), folder / START
    return start if start in notebooks else notebooks[0] if len(notebooks) == 1 else None


def open_formgrader(folder: Path, *, browser: bool = True) -> int:
    """Open nbgrader's formgrader on a session; return its exit status."""
    return _run_lab(folder, "/formgrader", [_NEWS], browser)


def close_lists(workspaces: Path) -> None:
    """Have JupyterLab start with its lists at the sides closed, so that the notebook has the width."""
    closed = {"collapsed": True, "visible": True, "widgets": []}
    layout = {
        "main": {"dock": {"type": "tab-area", "currentIndex": 0, "widgets": []}},
        "down": {"collapsed": True, "size": 0, "widgets": []},
        "left": closed,
        "right": closed,
        "relativeSizes": [0, 1, 0],
    }
    workspace = {"data": {"layout-restorer:data": layout}, "metadata": {"id": "default"}}
    (workspaces / _WORKSPACE).write_text(json.dumps(workspace), encoding="utf-8")


def _run_lab(folder: Path, page: str, disabled: list[str], browser: bool, *options: str) -> int:
    """Run JupyterLab until it ends, without the `disabled` extensions and without a word to the network."""
    command = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={folder}"]
    command += [f"--LabApp.default_url={page}", f"--ServerApp.default_url={page}"]
    command += ["--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate"]
    command += [f"--ServerApp.kernel_websocket_connection_class={_CONNECTION}", *options]
    command += [] if browser else ["--no-browser"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    with tempfile.TemporaryDirectory(prefix="warmside-lab-") as settings:
        settings_folder = Path(settings, "labconfig")
        settings_folder.mkdir()
        config = {"disabledExtensions": dict.fromkeys(disabled, True)}
        (settings_folder / "page_config.json").write_text(json.dumps(config), encoding="utf-8")
        environment = {**os.environ, "JUPYTER_CONFIG_DIR": settings}
        workspaces = Path(settings, "workspaces")  # no tabs of another day
        workspaces.mkdir()
        if page not in ("/lab", "/formgrader"):  # else there is nothing to see but the list of files
            close_lists(workspaces)
        command.append(f"--LabApp.workspaces_dir={workspaces}")
        return _run_until_told(command, folder, environment)


def _run_until_told(command: list[str], folder: Path, environment: dict[str, str]) -> int:
    """Run a program until it ends or this one is told to, which then ends it; return its exit status.

    It is told until it ends: JupyterLab loses a signal that comes while it starts. Where it has not ended
    after `_PATIENCE`, or this one is told twice, it is killed: at times a thread of its own, which waits
    for work for ever, keeps it. Its kernels and labs end with it.
    """
    program: subprocess.Popen | None = None
    told: list[int] = []

    def insist() -> None:
        latest = time.monotonic() + _PATIENCE
        while program is None or program.poll() is None:
            if program is not None:
                program.terminate() if time.monotonic() < latest else program.kill()
            time.sleep(0.5)

    def end(number: int, frame: FrameType | None) -> None:
        told.append(number)
        if len(told) == 1:
            threading.Thread(target=insist, daemon=True).start()
        elif program is not None:
            program.kill()

    signals = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
    heeded = [each for each in signals if signal.getsignal(each) is not signal.SIG_IGN]  # others by nohup
    before = {each: signal.signal(each, end) for each in heeded}
    try:
        program = subprocess.Popen(command, cwd=folder, env=environment)
        status = program.wait()
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
    return 0 if told else status
