"""The course's page of tables: complete, and in step with the tables."""

import os
import subprocess
import sys

import nbformat
import pytest

from warmside import data, project
from warmside.data.page import page

PATH = project.root() / "course" / "tables.ipynb"


def run(*arguments, **environment) -> subprocess.CompletedProcess:
    command = [sys.executable, "-m", "warmside.data", *arguments]
    return subprocess.run(
        command, capture_output=True, text=True, timeout=60, check=False, env=os.environ | environment
    )


def test_the_page_in_the_course_is_in_step():
    checked = run("--check")
    assert checked.returncode == 0, checked.stderr


@pytest.mark.full
def test_a_page_out_of_step_is_told_and_written_anew(tmp_path):
    (tmp_path / "solutions_private").mkdir()
    (tmp_path / "course").mkdir()
    written = tmp_path / "course" / "tables.ipynb"
    root = {"WARMSIDE_ROOT": str(tmp_path)}
    assert run("--check", **root).returncode == 1
    assert not written.exists()
    assert run(**root).returncode == 0
    assert written.read_text("utf-8") == PATH.read_text("utf-8")
    assert run("--check", **root).returncode == 0
    written.write_text(written.read_text("utf-8").replace("43 °F", "44 °F"), encoding="utf-8")
    told = run("--check", **root)
    assert told.returncode == 1
    assert "tables.ipynb is out of step" in told.stderr


def test_a_folder_that_is_no_clone_is_bad_input(tmp_path):
    told = run("--check", WARMSIDE_ROOT=str(tmp_path))
    assert told.returncode == 2
    assert "holds no folder" in told.stderr
    assert "Traceback" not in told.stderr


def test_every_field_is_listed_with_its_source():
    cells = {cell.id: cell.source for cell in page().cells}
    for name in data.names():
        lines = cells[name].splitlines()
        for field in data.load(name).fields.values():
            row = next(line for line in lines if f"(`{field.name}`)" in line)
            assert row.endswith(f"| {field.source} |")
            assert field.meaning in row


def test_rows_show_values_in_both_systems():
    cells = {cell.id: cell.source for cell in page().cells}
    assert "| 43 °F (6.1 °C) | 43 °F (6.1 °C) | 43 °F (6.1 °C) |" in cells["ratings"]
    assert "| 22 bara (319 psia) |" in cells["cabinets"]
    assert "| 0.8, 0.62, 0.41 |" in cells["louvres"]
    assert "| Quantity | six cu ft | eight cu ft | eighteen cu ft | Source |" in cells["cabinets"]
    assert "| Quantity | mains | battery | Source |" in cells["heaters"]
    assert "| 0.25 in (6.35 mm), 0.5 in (12.7 mm) |" in cells["limits"]


def test_the_page_is_text_alone():
    assert {cell.cell_type for cell in nbformat.read(PATH, as_version=4).cells} == {"markdown"}
