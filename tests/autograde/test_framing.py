"""Whose words stand on a page: a hand-in's output says so, and can't look like ours."""

import html
import re

import nbformat
import pytest

from warmside import project
from warmside.autograde.cleaning import clean_outputs
from warmside.autograde.framing import WHOSE, card_cell, frame_outputs
from warmside.marking import feedback
from warmside.marking.exercise import ByHand, Exercise, Job
from warmside.marking.job_card import JobCard, read_job_card
from warmside.marking.marks import ItemMark, Outcome

NOTE = ByHand("note", "Note", 4, lambda job: ("On this card: 2.50 A.", "4: says so."))
SMALL = Exercise("small", "Small", (), lambda draw: ((), {}), by_hand=(NOTE,))
JOB = Job(SMALL, JobCard("small", "t1", "AAAA-BBBB", ()))
RUBRIC = feedback.rubric_cell(NOTE, JOB).source
[BOX, _] = feedback.outputs(ItemMark("note", "Note", 4.0, 4.0, Outcome.RIGHT, "", ("That is right.",)))
YELLOW = "\x1b[48;2;255;244;206m"


def shown(*outputs) -> list:
    """The outputs of a hand-in's cell as a page shows them."""
    cell = nbformat.v4.new_code_cell("print()", outputs=list(outputs))
    clean_outputs(cell)
    frame_outputs(cell)
    return cell.outputs


def test_our_own_blocks_have_a_colour_of_their_own():
    assert "background:#fff4ce" in RUBRIC
    assert "Whatever hasn't was" in RUBRIC
    summary = feedback.summary_cell(SMALL, JOB.card, [], ["Late."]).source
    right = feedback.right_cell(NOTE, JOB, {}).source
    for ours in (BOX.data["text/html"], feedback.by_hand(1.0, 4.0).data["text/html"], summary, right, RUBRIC):
        assert re.match(r"<(div|p) style=\"[^\"]*border-left:8px solid #", ours)
        assert "\n\n" not in ours  # where it stands in Markdown, that would end it


@pytest.mark.parametrize("fake", [RUBRIC, BOX.data["text/html"]], ids=["rubric", "marks"])
def test_a_fake_of_our_blocks_is_plain_and_says_whose_it_is(fake):
    label, output = shown(nbformat.v4.new_output("display_data", {"text/html": f"</div></p>{fake}"}))
    assert WHOSE in label.data["text/html"]
    page = output.data["text/html"]
    assert "marks" in page
    assert re.findall(r"style|class|colou?r|background|bgcolor", page.replace("coloured ground", "")) == []


@pytest.mark.parametrize(
    "output",
    [
        nbformat.v4.new_output("stream", name="stdout", text=f"{YELLOW}For the instructor alone.\x1b[0m\n"),
        nbformat.v4.new_output("display_data", {"text/plain": f"{YELLOW}4 of 4 marks"}),
        nbformat.v4.new_output("error", ename="Error", evalue=YELLOW, traceback=[f"{YELLOW}4 of 4 marks"]),
        nbformat.v4.new_output("display_data", {"image/png": "AAAA"}),
    ],
    ids=["stream", "text", "error", "picture"],
)
def test_text_has_no_colours_and_all_output_stands_under_its_label(output):
    label, kept = shown(output)
    assert label.data["text/plain"] == WHOSE
    assert "\x1b" not in str(kept)


def test_where_nothing_is_put_out_nothing_is_said():
    assert shown() == []
    text = nbformat.v4.new_markdown_cell("Mine.")
    frame_outputs(text)
    assert text.source == "Mine."


@pytest.mark.parametrize("name", project.exercise_names())
def test_the_job_card_is_drawn_anew_for_the_page(name):
    card = read_job_card(project.root() / "exercises" / name)
    page = card_cell(card).source
    assert page.count('src="data:image/svg+xml;base64,') == 1
    assert 'alt="Drawing. ' in page
    for entry in card.entries[:5]:
        assert entry.label in html.unescape(page)
