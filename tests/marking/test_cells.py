"""What counts of a cell that a stranger's kernel has run."""

import pytest

from warmside.marking.cells import CARD_MIME_TYPE, LONGEST_ANSWER, MIME_TYPE, card_numbers, recorded_answer


def output(payload: object, mime_type: str = MIME_TYPE) -> dict:
    return {"outputs": [{"output_type": "display_data", "data": {mime_type: payload}}]}


@pytest.mark.parametrize(
    "cell",
    [
        {},
        {"outputs": []},
        {"outputs": [{"output_type": "stream", "text": "38.5 degF"}]},
        output("38.5 degF"),
        output(["cup", "38.5 degF"]),
        output({"name": "cup", "text": 38.5}),
        output({"name": "cup", "text": None}),
        output({"name": "cup", "text": ""}),
        output({"name": "cup", "text": "9" * (LONGEST_ANSWER + 1)}),
        output({"name": "other", "text": "38.5 degF"}),
        output({"name": "cup", "text": "38.5 degF"}, "application/json"),
    ],
)
def test_only_a_declared_answer_counts(cell):
    assert recorded_answer(cell, "cup") is None


def test_a_declared_answer_counts():
    assert recorded_answer(output({"name": "cup", "text": "38.5 degF"}), "cup") == "38.5 degF"


def test_a_cards_number_is_a_text():
    assert card_numbers([output({"number": "K7QD-2M4X"}, CARD_MIME_TYPE)]) == {"K7QD-2M4X"}
    assert card_numbers([output({"number": 3}, CARD_MIME_TYPE)]) == set()


def test_the_longest_answer_counts_still():
    text = "9" * LONGEST_ANSWER
    assert recorded_answer(output({"name": "cup", "text": text}), "cup") == text
