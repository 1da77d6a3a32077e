"""Starting JupyterLab: tidy for trainees, with nbgrader's formgrader for the instructor."""

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from types import FrameType
from urllib.parse import quote

import nbformat
from jupyterlab_server.workspaces_handler import WorkspacesManager

START = "00_start_here.ipynb"
PRACTICE_FOLDER = "warmside_practice"
_NEWS = "@jupyterlab/apputils-extension:announcements"
_AUTHORING = "@jupyter/nbgrader"
_CONNECTION = "warmside.session.prompt_connection.PromptConnection"


def open_notebooks(folder: Path, *, browser: bool = True) -> int:
    """Open JupyterLab on a folder of notebooks, without tools for authors; return its exit status."""
    first = first_notebook(folder)
    page = f"/lab/tree/{quote(first.name)}" if first else "/lab"
    # so that the button under an exercise can have the notebook saved
    return _run_lab(folder, page, [_NEWS, _AUTHORING], browser, "--LabApp.expose_app_in_browser=True")


def first_notebook(folder: Path) -> Path | None:
    """Return the notebook to start with: the course's first one, or the only one there is."""
    notebooks, start = list(folder.glob("*.ipynb")), folder / START
    return start if start in notebooks else notebooks[0] if len(notebooks) == 1 else None


def practice_copies(exercises: Path, home: Path) -> Path:
    """Copy exercises to where they may be written in, where they aren't yet; return that folder.

    Parameters
    ----------
    exercises : Path
        The project's own, which stay as they are.
    home : Path
        Where the folder of copies lies.
    """
    folder = home / PRACTICE_FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    for source in sorted(path for path in exercises.iterdir() if path.is_dir()):
        if not (folder / source.name).exists():
            with tempfile.TemporaryDirectory(dir=folder, prefix=".") as scratch:
                shutil.copytree(source, Path(scratch) / source.name).rename(folder / source.name)
    (folder / START).write_text(_overview(folder), encoding="utf-8")
    return folder


def _overview(folder: Path) -> str:
    """Return a notebook, as text, that leads to the exercises in a folder."""
    found = sorted(path for path in folder.glob("*/*.ipynb") if path.stem == path.parent.name)
    lines = [f"- [{_heading(path)}]({path.parent.name}/{path.name})" for path in found]
    text = "\n".join([_PRACTICE_TEXT, "", *lines])
    cell = nbformat.v4.new_markdown_cell(text, id="exercises")
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return nbformat.writes(nbformat.v4.new_notebook(cells=[cell], metadata=kernel))


def _heading(path: Path) -> str:
    cells = nbformat.read(path, as_version=4).cells
    return cells[0].source.splitlines()[0].removeprefix("# Exercise: ").capitalize()


_PRACTICE_TEXT = """# Exercises to practise with

These are copies of your own, each with the practice card. All numbers are invented. Click one to open it, and
run its cells from top to bottom with <kbd>Shift</kbd>+<kbd>Enter</kbd>. It says how to answer; `check_mine()`
near its end tells how you did. To begin one anew, delete its folder (the folder sign at the top left lists
them) and open the exercises again."""


def open_formgrader(folder: Path, *, browser: bool = True) -> int:
    """Open nbgrader's formgrader on a session; return its exit status."""
    return _run_lab(folder, "/formgrader", [_NEWS], browser)


def _close_lists(workspaces: Path) -> None:
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
    WorkspacesManager(str(workspaces)).save("default", json.dumps(workspace))


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
        if page.startswith("/lab/tree"):  # else there is nothing to see but the list of files
            _close_lists(workspaces)
        command.append(f"--LabApp.workspaces_dir={workspaces}")
        return _run_until_told(command, folder, environment)


def _run_until_told(command: list[str], folder: Path, environment: dict[str, str]) -> int:
    """Run a program until it ends or this one is told to, which then ends it; return its exit status.

    It is told until it ends: JupyterLab loses a signal that comes while it starts. This one, told twice,
    doesn't wait for it.
    """
    program: subprocess.Popen | None = None
    told: list[int] = []

    def insist() -> None:
        while program is None or program.poll() is None:
            if program is not None:
                program.terminate()
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
