"""What JupyterLab opens on, and that it ends with its command."""

import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import psutil
import pytest

from warmside.session.lab import START, first_notebook


def test_a_folder_opens_on_its_first_or_its_only_notebook(tmp_path):
    assert first_notebook(tmp_path) is None
    only = tmp_path / "venting.ipynb"
    only.touch()
    assert first_notebook(tmp_path) == only
    (tmp_path / "01_more.ipynb").touch()
    assert first_notebook(tmp_path) is None
    (tmp_path / START).touch()
    assert first_notebook(tmp_path) == tmp_path / START


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
