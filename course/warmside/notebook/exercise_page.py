"""What stands on an exercise's page besides its cells: the card in view, and what can be chosen."""

import json
from importlib.resources import files

import anywidget
import traitlets

from warmside.marking.job_card import JobCard

_HERE = files("warmside.notebook")


class ExercisePage(anywidget.AnyWidget):
    """The job card one click away, and lists to choose from that write an answer into its cell.

    The page (exercise_page.js) writes through JupyterLab's own document, so that what is chosen is saved,
    recorded and marked as if it had been typed.

    Parameters
    ----------
    card : JobCard
        The trainee's; a case that belongs to it has lists to choose from.
    html : str
        The job card as HTML.
    """

    _esm = _HERE.joinpath("exercise_page.js").read_text("utf-8")
    _css = _HERE.joinpath("exercise_page.css").read_text("utf-8")
    card = traitlets.Unicode().tag(sync=True)
    lists = traitlets.Dict().tag(sync=True)

    def __init__(self, card: JobCard, html: str) -> None:
        super().__init__(card=html, lists=_lists_of(card))


def _lists_of(card: JobCard) -> dict[str, list[list[str]]]:
    """Return what can be chosen, by the name of its list: what is typed, and what it means."""
    from warmside.show.case_pages import FILE_NAME

    if FILE_NAME not in card.files:
        return {}
    from warmside.show.choices import LISTS  # the diagnosis' catalogue, which no other exercise needs

    lists = {name: [[one.code, one.title] for one in listed.values()] for name, (_, listed) in LISTS.items()}
    readings = json.loads(card.files[FILE_NAME])["readings"]
    return {**lists, "case": [[one["name"], one["what"]] for one in readings]}
