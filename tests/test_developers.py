"""What DEVELOPERS.md and README.md print is what the code in them does."""

import re
import subprocess
import sys

import pytest

from warmside import project
from warmside.data import load

DEVELOPERS = (project.root() / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (project.root() / "README.md").read_text(encoding="utf-8")


TABLES = re.findall(r"```python\n(.*?)```.*?```\n(.*?)```", DEVELOPERS, re.DOTALL)


@pytest.mark.parametrize(("script", "table"), TABLES, ids=lambda text: f"{len(text.splitlines())} lines")
def test_the_models_tables(script, table):
    assert len(script.splitlines()) <= 15
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    printed, written = run.stdout.splitlines(), table.splitlines()
    assert len(printed) == len(written) >= 11
    for ours, theirs in zip(printed, written, strict=True):
        assert ours[:30] == theirs[:30]
        numbers = [[float(number) for number in line[30:].split()] for line in (ours, theirs)]
        assert numbers[0] == pytest.approx(
            numbers[1], abs=1.01, nan_ok=True
        )  # a last digit may fall either way
        assert numbers[0][-1] == pytest.approx(numbers[1][-1], abs=0.11, nan_ok=True)


def test_the_table_of_what_clearances_cost():
    section = DEVELOPERS.partition("### What clearances cost\n")[2]
    script, table = re.search(r"```python\n(.*?)```.*?```\n(.*?)```", section, re.DOTALL).groups()
    assert len(script.splitlines()) <= 15
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    printed, written = run.stdout.splitlines(), table.splitlines()
    assert len(printed) == len(written) == 16
    for ours, theirs in zip(printed, written, strict=True):
        assert ours[:30] == theirs[:30]
        numbers = [[float(number) for number in line[30:].split()] for line in (ours, theirs)]
        assert numbers[0] == pytest.approx(numbers[1], abs=0.11)


def test_the_readmes_question_to_the_model():
    script = re.search(r"\.venv/bin/python -c '(.*?)'\n", README, re.DOTALL)[1]
    script = "\n".join(line.removeprefix("  ") for line in script.splitlines())
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    rated = load("ratings")["rated_ambient"]
    for line, size in zip(run.stdout.splitlines(), rated, strict=True):
        name, correct, half_shut = line.split()
        assert name == size
        assert float(correct) > rated[size] * 1.8 - 459.67
        assert float(half_shut) < float(correct) - 1.0
