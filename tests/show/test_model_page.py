"""The page of what the model can and can't: in step, readable without running, and true."""

import base64
import os
import re
import subprocess
import sys
from collections import Counter

import nbformat
import pytest

from warmside import project
from warmside.data import load, names
from warmside.model.trade_rules import RULES, VERDICTS, judged
from warmside.show import model_page
from warmside.show.model_page import COMPARISONS, SAID, is_in_step, page

PATH = project.root() / "course" / "model.ipynb"
LARGEST = 600e3  # bytes
FEW = 100

pytestmark = pytest.mark.xdist_group("ensemble")


@pytest.fixture(scope="module")
def stored() -> nbformat.NotebookNode:
    return nbformat.read(PATH, as_version=4)


def rows(notebook: nbformat.NotebookNode) -> list[list[str]]:
    """The table of rules, cell by cell."""
    source = next(cell.source for cell in notebook.cells if cell.id == "rules")
    table = [line.strip("| ").split(" | ") for line in source.splitlines() if line.startswith("| ")]
    return table[2:]


def run(*arguments, **environment) -> subprocess.CompletedProcess:
    command = [sys.executable, "-m", "warmside.show.model_page", *arguments]
    return subprocess.run(
        command, capture_output=True, text=True, timeout=600, check=False, env=os.environ | environment
    )


@pytest.mark.full
def test_the_page_in_the_course_says_the_verdicts(stored):
    table = rows(stored)
    assert len(table) == len(RULES)
    for (words, departure, *costs, verdict), (name, rule) in zip(table, RULES.items(), strict=True):
        assert (words, departure) == (rule.words, rule.departure)
        assert verdict == f"**{SAID[judged(FEW)[name].verdict]}**", name
        assert len(costs) == 3


@pytest.mark.full
def test_the_page_in_the_course_is_in_step_but_for_the_costs(stored):
    made = page(FEW)
    assert not is_in_step(stored, made)  # whose costs are over fewer refrigerators
    costs = re.compile(r"-?\d+\.\d\xa0\[.*?\]|(?<=So )\d+(?= were drawn)")
    assert is_in_step(
        *(nbformat.reads(costs.sub("…", nbformat.writes(one)), as_version=4) for one in (stored, made))
    )


@pytest.mark.full
def test_the_page_in_the_course_is_in_step(tmp_path):
    assert run("--check").returncode == 0
    for folder in ("solutions_private", "course"):
        (tmp_path / folder).mkdir()
    root = {"WARMSIDE_ROOT": str(tmp_path)}
    told = run("--check", **root)
    assert told.returncode == 1
    assert "model.ipynb is out of step" in told.stderr
    assert run(**root).returncode == 0
    assert is_in_step(
        nbformat.read(tmp_path / "course" / "model.ipynb", as_version=4), nbformat.read(PATH, as_version=4)
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (r"\*\*comes out\*\*", "**likely**"),
        (r"\d\.\d(?=\xa0\[)", "99.9"),
        (r"\d+ entries", "1 entries"),
        ("fitting: no", "fitting: yes"),
        (r"attachment:numbers\.png", "attachment:other.png"),
    ],
)
def test_a_word_or_a_number_that_differs_is_out_of_step(stored, old, new):
    text, changes = re.subn(old, new, nbformat.writes(stored), count=1)
    assert changes == 1
    assert not is_in_step(nbformat.reads(text, as_version=4), stored)
    assert is_in_step(stored, stored)


def test_a_last_digit_may_fall_either_way(stored):
    text = nbformat.writes(stored)
    cost = re.search(r"(\d\.\d)\xa0\[", text)[1]
    other = f"{float(cost) + 0.1:.1f}\xa0["
    assert is_in_step(nbformat.reads(text.replace(f"{cost}\xa0[", other, 1), as_version=4), stored)


def test_it_is_read_without_running_anything(stored):
    assert PATH.stat().st_size < LARGEST
    assert {cell.cell_type for cell in stored.cells} == {"markdown"}
    shown = Counter(
        file
        for cell in stored.cells
        for file in re.findall(r"!\[[^\]]{40,}\]\(attachment:(.*?)\)", cell.source)
    )
    kept = {
        file: picture["image/png"]
        for cell in stored.cells
        for file, picture in cell.get("attachments", {}).items()
    }
    assert set(shown) == set(kept)
    assert max(shown.values()) == 1
    assert len(shown) == len(COMPARISONS) + 1 >= 9
    assert all(base64.b64decode(data).startswith(b"\x89PNG") for data in kept.values())


def test_each_comparison_says_its_source_and_whether_it_was_in_view(stored):
    text = {cell.source.splitlines()[0]: cell.source for cell in stored.cells}
    for comparison in COMPARISONS:
        source = text[f"### {comparison.title}"]
        assert comparison.source in source
        assert f"**In view when fitting: {'yes' if comparison.was_in_view else 'no'}.**" in source


def test_the_numbers_by_kind_are_those_of_the_tables(stored):
    source = next(cell.source for cell in stored.cells if cell.id == "numbers")
    fields = [field for name in names() for field in load(name).fields.values()]
    assert f"{len(fields)} entries" in source
    for basis, count in Counter(field.basis for field in fields).items():
        assert f"{basis} {count}" in source


def test_what_it_cannot_tell_is_listed_with_a_reason(stored):
    source = next(cell.source for cell in stored.cells if cell.id == "limits")
    untold = {name for name, each in judged(FEW).items() if each.verdict == VERDICTS[-1]}
    assert untold == set(model_page._WHY_NOT)
    for name in untold:
        assert f"- **{RULES[name].words}** ({RULES[name].departure}). {model_page._WHY_NOT[name]}" in source
