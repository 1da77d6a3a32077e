"""Something published beside what the model makes of it: a picture, and how far apart both are.

The published numbers stand with the pictures as they do in the tests against published values; what the model
makes of them is computed when a picture is drawn. A comparison that somebody had in view when the model was
fitted proves nothing, and says so.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.show.pictures import styled

OURS: Any = {"color": BLUE, "label": "Warmside"}
FORMULA: Any = {"color": RED, "linestyle": "--"}
OTHER: Any = {"color": GREEN, "linestyle": ":"}
POINT: Any = {"color": ORANGE, "markeredgecolor": DARK, "linestyle": "none", "markersize": 10}
RANGE: Any = {"facecolor": "none", "edgecolor": GREEN, "hatch": "//", "linewidth": 1.0}
_SIZE = (8.0, 4.4)  # inches


class Comparison(NamedTuple):
    """Something published beside what the model makes of it.

    Attributes
    ----------
    title, source : str
        What is compared, and who published it.
    was_in_view : bool
        Whether somebody looked at it when the model was fitted.
    why : str
        What that means here.
    alt : str
        What the picture shows, in words.
    draw : callable
        Draws it into a figure and returns a sentence with how far apart both are.
    """

    title: str
    source: str
    was_in_view: bool
    why: str
    alt: str
    draw: Callable[[Figure], str]


def picture(comparison: Comparison) -> tuple[Figure, str]:
    """Return the picture of a comparison, and the sentence that says how far apart both are."""
    with styled():
        figure = Figure(figsize=_SIZE, layout="constrained")
        found = comparison.draw(figure)
        handles = {
            label: handle
            for axes in figure.axes
            for handle, label in zip(*axes.get_legend_handles_labels(), strict=True)
        }
        columns = 2 if len(handles) < 5 else 3
        figure.legend(handles.values(), handles.keys(), loc="outside lower center", ncols=columns)
    return figure, found


def axes_of(figure: Figure, **what: Any) -> Axes:
    """Return a figure's only axes, with what is to be set on them."""
    axes = figure.subplots()
    axes.set(**what)
    return axes


def apart(ours: Any, published: Any) -> str:
    """Say by how much of the published ones ours differ at most.

    Examples
    --------
    >>> apart([1.02, 2.0], [1.0, 2.0])
    'at most 2 %'
    """
    largest = 100.0 * np.abs(np.divide(ours, published) - 1.0).max()
    return f"at most {max(largest, 0.01):.2g} %"


def degrees_apart(ours: Any, published: Any) -> str:
    """Say by how many °F temperatures differ at most, both in kelvins."""
    largest = 1.8 * np.abs(np.subtract(ours, published)).max()
    return "less than 0.01 °F" if largest < 0.005 else f"at most {largest:.2f} °F"


def fahrenheit(kelvins: Any) -> np.ndarray:
    """Return kelvins in °F."""
    return np.asarray(kelvins) * 1.8 - 459.67
