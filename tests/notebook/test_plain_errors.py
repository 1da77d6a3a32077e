"""What a real kernel says of a mistake in a cell of an exercise."""

import pytest
from helpers import SECRET
from nbclient import NotebookClient
from nbformat import v4

LEFT_OF_THE_QUOTES = 'highest_ambient = 96 degF"          "  # for example "96 degF"'
MISTAKES = {
    LEFT_OF_THE_QUOTES: f"and run the cell again: “{LEFT_OF_THE_QUOTES}” can't be read.",
    'cup = "38.5 degF': 'Type an answer between the quotes, such as "20.5 degF" or "a", and run the cell',
    "\n\nverdict = a": '“a” has no value here: type an answer between the quotes, such as "20.5 degF" or',
    'card["cup"]': "The job card has no line “cup”; it has size, thermostat, rated_ambient, food_limit,",
    'heat = card["cup_water"] + card["reading_hour"]': "stopped: Cannot convert from 'ounce' (",
    "def half(x):\n    return x / 0\n\nhalf(3)": "“half(3)” stopped: division by zero (ZeroDivisionError).",
    "from warmside.units import read_quantity\nread_quantity('5,5 h', 'time')": "as in 5.5, and commas",
    "import asyncio\nawait asyncio.sleep(-1, 1 / 0)": "stopped: division by zero",
}


@pytest.fixture(scope="module")
def said(exercise, tmp_path_factory) -> dict[str, str]:
    """What stands under each cell, by its source; each of them fails."""
    folder = tmp_path_factory.mktemp("mistakes")
    for name, text in exercise.job_card(SECRET, "ann").as_files().items():
        (folder / name).write_text(text, encoding="utf-8")
    sources = [
        "from warmside.notebook import my_job_card\ncard = my_job_card()",
        *MISTAKES,
        "after = 1; after",
    ]
    notebook = v4.new_notebook(cells=[v4.new_code_cell(source) for source in sources])
    NotebookClient(notebook, allow_errors=True, resources={"metadata": {"path": str(folder)}}).execute()
    first, *mistaken, last = notebook.cells
    assert (first.outputs, last.outputs[0].output_type) == ([], "execute_result")
    for cell in mistaken:
        assert [output.output_type for output in cell.outputs] == ["error"], cell.source
    return {cell.source: "\n".join(cell.outputs[0].traceback) for cell in mistaken}


@pytest.mark.parametrize("source", MISTAKES)
def test_a_mistake_is_told_in_one_sentence(said, source):
    assert MISTAKES[source] in said[source]
    assert len(said[source].splitlines()) == 1
    assert "Traceback" not in said[source]
