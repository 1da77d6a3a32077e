"""The button that writes a hand-in."""

from collections.abc import Callable
from importlib.resources import files
from typing import Any

import anywidget
import traitlets


class HandInButton(anywidget.AnyWidget):
    """A button, and what came of pressing it in words.

    The page (hand_in_button.js) saves the notebook first where JupyterLab lets it.

    Parameters
    ----------
    press : callable
        Writes the hand-in and returns what to say of it.
    """

    _esm = files("warmside.notebook").joinpath("hand_in_button.js").read_text("utf-8")
    _css = files("warmside.show").joinpath("lab.css").read_text("utf-8")
    asked = traitlets.Int(0).tag(sync=True)
    answer = traitlets.Dict({"serial": 0, "words": ""}).tag(sync=True)

    def __init__(self, press: Callable[[], str]) -> None:
        self._press = press
        super().__init__()

    @traitlets.observe("asked")
    def _asked(self, change: dict[str, Any]) -> None:
        self.answer = {"serial": change["new"], "words": self._press()}
