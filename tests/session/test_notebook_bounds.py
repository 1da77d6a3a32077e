"""Notebooks that would hold up whoever reads them, found at the door in a moment."""

import json
import time

import pytest

from warmside.errors import InputError
from warmside.session.notebook_bounds import MOST_CELLS, demand_within_bounds

CELL = {"cell_type": "code", "id": "a", "metadata": {}, "source": "", "execution_count": None, "outputs": []}


def notebook(**changes) -> dict:
    return {"nbformat": 4, "nbformat_minor": 4, "metadata": {}, "cells": [], **changes}


def with_cell(**changes) -> dict:
    cell = {key: value for key, value in CELL.items() if key != "id"}
    return notebook(cells=[{**cell, **changes}])


def with_output(**changes) -> dict:
    return with_cell(outputs=[{"output_type": "display_data", "metadata": {}, "data": {}, **changes}])


def nested(levels: int) -> object:
    return json.loads("[" * levels + "]" * levels)


@pytest.mark.parametrize(
    ("hostile", "why"),
    [
        (notebook(metadata={"x": nested(70)}), "nested more than"),
        (notebook(metadata={"x": nested(900)}), "nested more than"),
        (with_output(data={"application/json": nested(300)}), "nested more than"),
        (notebook(metadata={"x": [0] * 3_000_000}), "more than 200,000 values"),
        (with_cell(outputs=[{"output_type": "stream", "name": "stdout", "text": ""}] * 60_000), "values"),
        (with_cell(outputs=[{"output_type": "stream", "name": "stdout", "txt": ""}] * 30_000), "damaged"),
        (with_output(data={f"a/b{number}": 0 for number in range(20_000)}), "damaged"),
        (with_cell(metadata={"tags": [[number] for number in range(20_000)]}), "damaged"),
        (notebook(cells=[CELL] * (MOST_CELLS + 1)), "1,001 cells"),
        (notebook(cells=0), "damaged"),
        (notebook(nbformat=99), "damaged"),
        (notebook(nbformat_minor="4"), "damaged"),
        (
            {"nbformat": 3, "nbformat_minor": 0, "metadata": {}, "worksheets": [{"cells": [{}] * 2_000}]},
            "2,000 cells",
        ),
        ([], "damaged"),
        (7, "damaged"),
    ],
)
def test_what_is_out_of_bounds_is_told_in_a_moment(hostile, why):
    begin = time.process_time()
    with pytest.raises(InputError, match=why):
        demand_within_bounds(hostile)
    assert time.process_time() - begin < 5.0


def test_what_is_within_them_passes():
    demand_within_bounds(notebook(cells=[{**CELL, "id": str(n)} for n in range(99)], nbformat_minor=5))
    demand_within_bounds(with_output(data={"application/json": nested(30)}))
