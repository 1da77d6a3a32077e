"""The course's page of tables: complete, and in step with the tables."""

import os
import subprocess
import sys
from collections import Counter

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
    assert "| 0.25 in (6.35 mm), 0.5 in (12.7 mm) |" in cells["limits"]


DECIDING = {
    "cartridge_ratings": "fuses",
    "continuous_share": "fuses",
    "gauge_fuse": "wire",
    "usual_drop": "heaters",
    "element_tolerance": "heaters",
}
"""Numbers from memory that keys of exercises, or the check of a circuit, rest on."""


def test_what_is_from_memory_and_decides_is_said():
    said = " ".join(page().cells[0].source.split())
    assert "nothing is decided" not in said
    for name, table in DECIDING.items():
        assert data.load(table).fields[name].basis == "from memory", name
    for words in ("sizes of fuses", "125 %", "largest fuse for a wire", "the 5 %", "element's ohms"):
        assert words in said
    assert data.load("fuses").number("continuous_share") == 1 / 1.25
    assert data.load("heaters").in_column("usual_drop", "mains") == 0.05


def test_the_readme_counts_what_the_numbers_are():
    fields = [field for name in data.names() for field in data.load(name).fields.values()]
    counted = Counter(field.basis for field in fields)
    said = " ".join((project.root() / "README.md").read_text("utf-8").split())
    for words in (
        f"Of its {len(fields)} numbers and texts",
        f"{counted[data.PUBLISHED]} are published",
        f"{counted['common practice, no source']} are common practice without a source",
        f"{counted['calibrated here']} were calibrated here",
        f"{counted['from memory']} are from memory",
        f"{counted['invented']} are invented",
    ):
        assert words in said, f"the README should say: {words}"


def test_the_page_is_text_alone():
    assert {cell.cell_type for cell in nbformat.read(PATH, as_version=4).cells} == {"markdown"}
