"""Telling a stranger's output from our own words, on every page that people read.

What is ours has a ground or a bar of its own colour, which no stranger's words can have: cleaning takes all
styles out of markup, and colours are taken out of text here. And above a stranger's output, always, stands
whose it is, since a picture can look like anything.
"""

import re

import nbformat
from nbformat import NotebookNode

from warmside.blocks import bar
from warmside.colours import SOFT
from warmside.marking.job_card import JobCard
from warmside.show.card_drawing import card_image

WHOSE = "Put out by this notebook's own code, not by your instructor or by Warmside's marking:"
_COLOURS = re.compile(r"\x1b\[[0-9;:]*m")  # in text for terminals, which a page shows as such
_LABEL = f'<p style="{bar(SOFT, line="dotted")}">{WHOSE}</p>'


def frame_outputs(cell: NotebookNode) -> None:
    """Say above a code cell's outputs, in place, whose they are; its outputs are clean."""
    if cell.cell_type == "code" and cell.outputs:
        for output in cell.outputs:
            _take_colours_out(output)
        label = nbformat.v4.new_output("display_data", {"text/html": _LABEL, "text/plain": WHOSE})
        cell.outputs = [label, *cell.outputs]


def _take_colours_out(output: NotebookNode) -> None:
    if output.output_type == "stream":
        output.text = _COLOURS.sub("", output.text)
    elif output.output_type == "error":
        output.ename, output.evalue = (_COLOURS.sub("", text) for text in (output.ename, output.evalue))
        output.traceback = [_COLOURS.sub("", line) for line in output.traceback]
    elif "text/plain" in output.data:
        output.data["text/plain"] = _COLOURS.sub("", output.data["text/plain"])


def card_cell(card: JobCard) -> NotebookNode:
    """Return the cell that shows a job card as it was handed out, with its drawing: from no hand-in."""
    page = f"{card._repr_html_()}\n{card_image(card)}"
    return nbformat.v4.new_markdown_cell(page, id="warmside-card")
