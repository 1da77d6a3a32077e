"""The course's notebooks: they run, they read well, they keep to their form."""

import json
import re
import subprocess
import sys

import nbformat
import pytest
import textstat

from warmside import project

NOTEBOOKS = sorted((project.root() / "course").glob("[0-9]*.ipynb"))
HEADINGS = ("The lab", "Common mistakes", "What we learned", "What this does not say", "Cautions", "Sources")
each = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def cells(path, kind: str) -> list[str]:
    return [cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == kind]


def prose(path) -> str:
    text = "\n\n".join(cells(path, "markdown")).split("## Sources")[0]
    return re.sub(r"<[^>]+>|[#*`>]|^\d+\. |^- ", "", text, flags=re.MULTILINE)


def test_there_is_a_module():
    assert NOTEBOOKS


@pytest.mark.parametrize(
    "path",
    [pytest.param(one, marks=() if one.stem == "02_venting" else pytest.mark.full) for one in NOTEBOOKS],
    ids=lambda path: path.stem,
)
def test_every_cell_runs_and_checked_outputs_agree(path):
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--nbval-lax", "-q", str(path)]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, cwd=path.parent, check=False)
    assert run.returncode == 0, run.stdout


@each
def test_length_and_reading_grade(path):
    text = prose(path)
    assert 800 <= len(text.split()) <= 1800
    assert textstat.flesch_kincaid_grade(text) <= 9


@each
def test_form(path):
    text = "\n".join(cells(path, "markdown"))
    for heading in HEADINGS:
        assert f"## {heading}" in text
    assert "After this module you can" in text
    assert "?" in text.split("\n\n")[1]
    code = cells(path, "code")
    assert max(len(source.splitlines()) for source in code) <= 6
    assert sum("self_check(" in source for source in code) >= 4
    assert "![](" not in text


@each
def test_no_pictures_or_widget_state_are_stored(path):
    notebook = nbformat.read(path, as_version=4)
    assert "widgets" not in notebook.metadata
    assert "data:image" not in path.read_text("utf-8")
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            assert "image/png" not in output.get("data", {})


BRITISH = re.compile(
    r"\b(draught|louvre|colour|neighbour|centre|grey|vapour|catalogue|levelled|labelled|behaviour|odour|"
    r"(milli|centi)?metre|litre|mould|tyre|programme|licence|aluminium|favour|earth-leakage|caravan)s?\b|"
    r"\breckon|set straight|did the way take",
    re.IGNORECASE,
)


def seen_by_readers():
    """Yield what lessons, exercises, cards and self-checks say, by file; names in code are left out."""
    root = project.root()
    for path in sorted([*root.glob("course/*.ipynb"), *root.glob("exercises/*/*.ipynb")]):
        yield path.name, "\n".join(cells(path, "markdown"))
    for path in sorted(root.glob("exercises/*/*card.json")):
        lines = json.loads(path.read_text("utf-8"))["entries"]
        yield str(path), "\n".join(f"{line['label']}: {line['text']}" for line in lines)
    for path in sorted((root / "course/warmside/show/self_checks").glob("*.toml")):
        yield path.name, path.read_text("utf-8")


def test_what_readers_see_is_in_us_spelling_and_words():
    for where, text in seen_by_readers():
        without_names = re.sub(r"`[^`]*`", "", text)
        assert not (found := BRITISH.search(without_names)), f"{where}: {found and found[0]}"
