"""What JupyterLab opens on, and that it ends with its command."""

import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import psutil
import pytest
from jupyterlab_server.workspaces_handler import WorkspacesManager

from warmside.session.lab import START, close_lists, first_notebook


def test_a_folder_opens_on_its_first_or_its_only_notebook(tmp_path):
    assert first_notebook(tmp_path) is None
    only = tmp_path / "venting.ipynb"
    only.touch()
    assert first_notebook(tmp_path) == only
    (tmp_path / "01_more.ipynb").touch()
    assert first_notebook(tmp_path) is None
    (tmp_path / START).touch()
    assert first_notebook(tmp_path) == tmp_path / START


def test_its_lists_are_closed_in_the_workspace_that_jupyterlab_opens(tmp_path):
    close_lists(tmp_path)
    restored = WorkspacesManager(str(tmp_path)).load("default")["data"]["layout-restorer:data"]
    assert (restored["left"]["collapsed"], restored["right"]["collapsed"]) == (True, True)


def _heed_signals() -> None:
    for each in (signal.SIGINT, signal.SIGHUP):  # which tests in the background ignore
        signal.signal(each, signal.SIG_DFL)


@pytest.mark.full
@pytest.mark.parametrize("later", [0.0, 1.0])
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_what_it_opened_ends_with_it_in_its_first_moments_too(tmp_path, how, later):
    command = [Path(sys.executable).with_name("warmside"), "open", tmp_path, "--no-browser"]
    with subprocess.Popen(
        command,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=_heed_signals,
    ) as opened:
        process = psutil.Process(opened.pid)
        while not (below := process.children()):
            assert opened.poll() is None
            time.sleep(0.002)
        time.sleep(later)
        opened.send_signal(how)
        try:
            assert opened.wait(timeout=60) == 0
            assert not any(lab.is_running() for lab in below)
        finally:
            for left in (process, *below):
                with suppress(psutil.NoSuchProcess):
                    left.kill()
