"""The job card as a trainee sees it, and what stays of it in a marked notebook."""

import html
import re

import nbformat
import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from warmside.autograde.cleaning import clean_outputs
from warmside.marking.cells import card_numbers
from warmside.notebook.job_card import show_card
from warmside.show.card_drawing import alt_text


@pytest.fixture(autouse=True, scope="module")
def shell():
    """Displays are only captured where there is a shell."""
    InteractiveShell.instance()
    yield
    InteractiveShell.clear_instance()


def test_card_number_is_left_in_the_output(exercise):
    card = exercise.practice_card()
    with capture_output() as captured:
        show_card(card)
    assert card_numbers([{"outputs": [{"data": captured.outputs[0].data}]}]) == {card.number}
    page = captured.outputs[0].data["text/html"]
    assert page.index("<table") < page.index("<img")


def test_of_a_cards_drawing_its_text_stays_in_a_marked_notebook(exercise):
    card = exercise.practice_card()
    with capture_output() as captured:
        show_card(card)
    shown = nbformat.v4.new_output("display_data", captured.outputs[0].data)
    cell = nbformat.v4.new_code_cell("show_card(card)", outputs=[shown])
    clean_outputs(cell)
    page = cell.outputs[0].data["text/html"]
    drawing = page[page.index("<img") :]
    assert alt_text(card) in html.unescape(drawing)
    assert re.sub("<[^>]*>", "", drawing).strip() == ""
