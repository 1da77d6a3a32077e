"""What stands on an exercise's page besides its cells: the card in view, letters to choose from."""

from importlib.resources import files

import anywidget
import traitlets

_HERE = files("warmside.notebook")


class ExercisePage(anywidget.AnyWidget):
    """The job card one click away, and radio buttons that write an answer into its cell.

    The page (exercise_page.js) writes through JupyterLab's own document, so that what is chosen is saved,
    recorded and marked as if it had been typed.

    Parameters
    ----------
    card : str
        The job card as HTML.
    """

    _esm = _HERE.joinpath("exercise_page.js").read_text("utf-8")
    _css = _HERE.joinpath("exercise_page.css").read_text("utf-8")
    card = traitlets.Unicode().tag(sync=True)

    def __init__(self, card: str) -> None:
        super().__init__(card=card)
