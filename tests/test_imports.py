"""The package's rooms: imports run one way and in no circle, and no module grows past what one can read."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from warmside import project

ROOT = project.root()
MOST_LINES = 400
TABLES = {
    "diagnosis/fault_table.py": "one entry for each fault: its own words, effect and severities",
    "diagnosis/readings.py": "one entry for each reading: its errors, choices and what it is called",
}
"""Modules that may be longer, since they are tables to look things up in, and what they list."""
SOURCES = {
    str(path.relative_to(folder)): path
    for folder in (ROOT / "course" / "warmside", ROOT / "solutions_private")
    for path in sorted(folder.rglob("*.py"))
}


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Hold the package in a folder against the rules of pyproject.toml."""
    command = [Path(sys.executable).with_name("lint-imports"), ROOT / "pyproject.toml", "--no-cache"]
    return subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder), "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


def test_imports_run_one_way_and_in_no_circle():
    done = lint(ROOT / "course")
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("module", "added", "told"),
    [
        (
            "model/level.py",
            "def late():\n    import warmside.show.svg\n",
            "warmside.model.level -> warmside.show.svg",
        ),
        ("errors.py", "import warmside.colours\n", "warmside.errors -> warmside.colours"),
        (
            "show/svg.py",
            "import warmside.show.enclosure_picture\n",
            "No cycles are allowed in warmside.show.",
        ),
        ("elsewhere/__init__.py", "", "warmside.elsewhere"),
    ],
    ids=["a late arrow back", "out of the lowest", "a circle in a room", "a room without a place"],
)
def test_the_rules_bite(module, added, told, tmp_path):
    shutil.copytree(ROOT / "course" / "warmside", tmp_path / "warmside")
    untouched = lint(tmp_path).stdout
    path = tmp_path / "warmside" / module
    path.parent.mkdir(exist_ok=True)
    with path.open("a", encoding="utf-8") as file:
        file.write(added)
    done = lint(tmp_path)
    assert done.returncode != 0
    assert told in done.stdout + done.stderr
    assert told not in untouched


def test_every_table_is_there():
    assert TABLES.keys() <= SOURCES.keys()


@pytest.mark.parametrize("name", sorted(SOURCES.keys() - TABLES.keys()))
def test_no_module_is_too_long(name):
    lines = len(SOURCES[name].read_text("utf-8").splitlines())
    assert lines <= MOST_LINES, f"{name} has {lines} lines; split it, or name it among the tables"
