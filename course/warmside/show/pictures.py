"""Figures as pictures with an alternative text, the style they share, and readings as a table.

What draws is imported where it is needed: while a hand-in is marked nothing is drawn.
"""

import base64
import html
import io
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from IPython.display import HTML, display

from warmside import BEING_MARKED
from warmside.blocks import as_wide, table
from warmside.colours import CARD, INK, RULE

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 100
_FEW_COLOURS = 128
STYLE: Any = {
    "font.size": 14,
    "axes.titlesize": 16,
    "axes.titlelocation": "left",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": RULE,
    "figure.facecolor": CARD,
    "axes.facecolor": CARD,
    **dict.fromkeys(("text.color", "axes.labelcolor", "axes.edgecolor", "xtick.color", "ytick.color"), INK),
    "lines.linewidth": 2.5,
    "legend.frameon": False,
    "figure.constrained_layout.w_pad": 0.12,  # inches; so that no caption touches the frame
    "figure.constrained_layout.h_pad": 0.1,
}


@contextmanager
def styled() -> Iterator[None]:
    """Draw in the style of the course."""
    import matplotlib as mpl

    with mpl.rc_context(STYLE):
        yield


def png(figure: "Figure") -> bytes:
    """Return a figure as PNG."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=DOTS_PER_INCH, pil_kwargs={"compress_level": 1})
    return buffer.getvalue()


def small_png(figure: "Figure") -> bytes:
    """Return a figure as PNG of few colours, a quarter as large: for pictures that are kept."""
    from PIL import Image

    buffer = io.BytesIO()
    with Image.open(io.BytesIO(png(figure))) as drawn:
        drawn.convert("RGB").quantize(_FEW_COLOURS).save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def as_html(figure: "Figure", alt: str) -> str:
    """Return a figure as an HTML image that needs no other file."""
    data = base64.b64encode(png(figure)).decode()
    return f'<img src="data:image/png;base64,{data}" alt="{html.escape(alt)}" style="width:100%">'


def as_figure(figure: "Figure", alt: str) -> str:
    """Return the same for a page, where it is as wide as it was drawn if there is room."""
    return as_wide(as_html(figure, alt), round(figure.get_size_inches()[0] * DOTS_PER_INCH))


def show_figure(figure: "Figure", alt: str) -> None:
    """Show a figure in a notebook, with its alternative text."""
    display(HTML(as_figure(figure, alt)))


def show_readings(draw: "Callable[[], Figure]", alt: str, readings: str) -> None:
    """Show readings of a job card: picture, then table; the table alone while a hand-in is marked."""
    if not os.environ.get(BEING_MARKED):
        show_figure(draw(), alt)
    display(HTML(readings))


def readings_table(
    caption: str, columns: Mapping[str, str], rows: Iterable[Mapping[str, str]], empty: str = ""
) -> str:
    """Return readings as an HTML table.

    Parameters
    ----------
    caption : str
        What they are.
    columns : mapping
        Title of each column by its name in the rows, in the order to show.
    rows : iterable of mapping
        The readings by column name.
    empty : str, optional
        What to write where there is none.
    """
    cells = [[row[name] or empty for name in columns] for row in rows]
    return str(table(caption, tuple(columns.values()), cells))
