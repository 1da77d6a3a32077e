"""Starting JupyterLab: tidy for trainees, with the formgrader for the instructor."""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

_NO_AUTHORING = ["@jupyter/nbgrader", "@jupyterlab/extensionmanager-extension"]


def open_notebooks(folder: Path, *, browser: bool = True) -> int:
    """Open JupyterLab on a folder of notebooks; return its exit status when it ends."""
    with tempfile.TemporaryDirectory(prefix="warmside-lab-") as config:
        disabled = {"disabledExtensions": dict.fromkeys(_NO_AUTHORING, True)}
        labconfig = Path(config) / "labconfig"
        labconfig.mkdir()
        (labconfig / "page_config.json").write_text(json.dumps(disabled), encoding="utf-8")
        return _run_lab(folder, ["--LabApp.default_url=/lab"], browser, {"JUPYTER_CONFIG_DIR": config})


def open_formgrader(folder: Path, *, browser: bool = True, port: int = 8888) -> int:
    """Open nbgrader's formgrader on a session; return its exit status when it ends."""
    options = ["--LabApp.default_url=/formgrader", f"--ServerApp.port={port}"]
    return _run_lab(folder, options, browser, {})


def _run_lab(folder: Path, options: list[str], browser: bool, environment: dict[str, str]) -> int:
    command = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={folder}", *options]
    command += ["--LabApp.news_url=", "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate"]
    command += [] if browser else ["--no-browser"]
    try:
        return subprocess.run(command, cwd=folder, env={**os.environ, **environment}, check=False).returncode
    except KeyboardInterrupt:
        return 0
