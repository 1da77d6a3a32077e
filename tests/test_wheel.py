"""The wheel that trainees install: the package with its pages, and no solutions."""

import subprocess
import sys
import zipfile

from warmside import project


def test_the_wheel_holds_the_package_alone(tmp_path):
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "-q",
        "-w",
        tmp_path,
    ]
    run = subprocess.run([*command, project.root()], capture_output=True, text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stderr
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        text = "".join(archive.read(name).decode("utf-8", "replace") for name in names)
    assert {name.split("/")[0].split("-")[0] for name in names} == {"warmside"}
    assert "BEGIN SOLUTION" not in text
    assert "EXERCISE = Exercise(" not in text
    for name in ("how_to.html", "report.html", "feedback_page/index.html.j2"):
        assert f"warmside/show/pages/{name}" in names
    assert {
        "warmside/show/self_checks/05.toml",
        "warmside/show/self_check.js",
        "warmside/show/present.js",
    } <= set(names)
    assert "warmside/notebook/hand_in_button.js" in names
