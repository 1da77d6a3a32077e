"""What DEVELOPERS.md and README.md print is what the code in them does."""

import re
import subprocess
import sys

import pytest

from warmside import project
from warmside.data import load
from warmside.model.sizes import SIZES, usual_rating

DEVELOPERS = (project.root() / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (project.root() / "README.md").read_text(encoding="utf-8")

TABLES = dict(
    zip(
        ("the model", "what clearances cost"),
        re.findall(r"```python\n(.*?)```.*?```\n(.*?)```", DEVELOPERS, re.DOTALL),
        strict=True,
    )
)
NUMBER = re.compile(r"-?\d+(?:\.\d+)?|nan|inf")
NAME = 30  # characters before a row's numbers


def worth_of_last_digit(number: str) -> float:
    return 10.0 ** -len(number.partition(".")[2])


@pytest.mark.full
@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_what_its_script_prints(name):
    script, table = TABLES[name]
    assert len(script.splitlines()) <= 15
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    for ours, theirs in zip(run.stdout.splitlines(), table.splitlines(), strict=True):
        assert ours[:NAME] == theirs[:NAME]
        for printed, written in zip(*(NUMBER.findall(line[NAME:]) for line in (ours, theirs)), strict=True):
            off = 1.01 * worth_of_last_digit(written)  # a last digit may fall either way
            assert float(printed) == pytest.approx(float(written), rel=0.0, abs=off, nan_ok=True), ours


@pytest.mark.full
def test_the_readmes_question_to_the_model():
    script = re.search(r"\.venv/bin/python -c '(.*?)'\n", README, re.DOTALL)[1]
    script = "\n".join(line.removeprefix("  ") for line in script.splitlines())
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    rated = load("ratings")["rated_ambient"]
    for line, size in zip(run.stdout.splitlines(), SIZES, strict=True):
        name, correct, half_shut = line.rsplit(maxsplit=2)
        assert name == size
        assert float(correct) > rated[usual_rating(size)] * 1.8 - 459.67
        assert float(half_shut) < float(correct) - 1.0
