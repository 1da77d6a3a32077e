"""The trainee's own job card, read and shown."""

import os
from pathlib import Path

from IPython import get_ipython
from IPython.display import display

from warmside import BEING_MARKED
from warmside.marking.cells import CARD_MIME_TYPE
from warmside.marking.job_card import JobCard, read_job_card
from warmside.notebook.plain_errors import tell_errors_plainly


def my_job_card(folder: str | Path = ".") -> JobCard:
    """Read the job card that lies beside the notebook, which tells errors in one sentence from then on.

    Raises
    ------
    InputError
        If there is none, or it can't be read.
    """
    if shell := get_ipython():
        tell_errors_plainly(shell)
    return read_job_card(Path(folder))


def show_card(card: JobCard) -> None:
    """Show a job card, as a table and, where its exercise has one, a drawing.

    Its number is left in the output, so that a hand-in tells which card it used. In JupyterLab it stays one
    click away beside the questions. While a hand-in is marked nothing is drawn, since its page shows no
    drawing.
    """
    marked = bool(os.environ.get(BEING_MARKED))
    page = card._repr_html_()
    if not marked:
        from warmside.show.card_drawing import card_image  # here, for what it imports

        page += card_image(card)
    display(
        {
            CARD_MIME_TYPE: {"number": card.number},
            "text/plain": f"Job card {card.number}",
            "text/html": page,
        },
        raw=True,
    )
    if not marked:
        from warmside.notebook.exercise_page import ExercisePage

        display(ExercisePage(card, page))
