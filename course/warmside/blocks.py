"""Blocks of HTML for notebooks, which carry their style with them: JupyterLab and every page show the same.

They are made without templates, since kernels that run trainees' notebooks import them. What is ours has a
bar in front; no stranger's words can have one, as cleaning takes all styles out of them.
"""

from collections.abc import Iterable, Sequence
from itertools import zip_longest

from markupsafe import Markup

from warmside.colours import INK, RULE, SOFT

TEXT = "font-size:16px;line-height:1.45"
"""Style of all letters in a block."""
LEAST_WIDTH = 600
"""How narrow a picture of 1000 px may become, before it scrolls [px]."""
_CELL = "text-align:left;vertical-align:top;padding:4px 14px 4px 0"
_HEAD = f"{_CELL};border-bottom:2px solid {SOFT}"
_ROW = f"{_CELL};border-bottom:1px solid {RULE}"
_TABLE = (
    '<div role="group" aria-label="{caption}" tabindex="0" style="overflow-x:auto">'
    '<table{stacked} role="table" style="{text};border-collapse:collapse;margin:8px 0">'
    '<caption style="text-align:left;font-weight:bold;padding:2px 0;color:inherit">{caption}</caption>'
    '{head}<tbody role="rowgroup">{body}</tbody></table></div>'
)


def bar(colour: str, ground: str = "", line: str = "solid") -> str:
    """Return the style of a block of ours: a bar of a colour in front, on a ground of its own if it has one.

    Examples
    --------
    >>> bar("#0072B2").rpartition(";")[2]
    'border-left:8px solid #0072B2'
    """
    on = f";background:{ground};color:{INK}" if ground else ""
    return f"{TEXT};margin:6px 0;padding:6px 14px;break-inside:avoid;border-left:8px {line} {colour}{on}"


def said(text: str, colour: str, sign: str) -> str:
    """Return a line of ours, with a sign besides the colour of its bar.

    Examples
    --------
    >>> print(said("Recorded: 2 h & more.", "#0072B2", "✎").partition(">")[2])
    <b aria-hidden="true">✎</b> Recorded: 2 h &amp; more.</p>
    """
    return Markup('<p style="{}"><b aria-hidden="true">{}</b> {}</p>').format(bar(colour), sign, text)


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Markup:
    """Return a table that scrolls in a place of its own where it is too wide, which keys reach.

    On a phone a page of ours (pages/style.css) has the cells of a row one under another where they are many.

    Parameters
    ----------
    caption : str
        What it shows.
    heads : sequence of str
        Titles of its columns; none where rows are a name and a value.
    rows : iterable of sequence of str
        Its cells; the first is the row's head. Markup stands as it is.

    Examples
    --------
    >>> "<caption" in table("Fuses", ("Fuse", "It carries"), [("panel fuse", "15 A")])
    True
    """
    titles = Markup().join(
        Markup('<th scope="col" role="columnheader" style="{}">{}</th>').format(_HEAD, head) for head in heads
    )
    head = Markup('<thead role="rowgroup"><tr role="row">{}</tr></thead>\n').format(titles) if heads else ""
    body = Markup().join(_row(heads, row) for row in rows)
    stacked = Markup(' class="stacked"') if len(heads) > 2 else ""
    return Markup(_TABLE).format(caption=caption, text=TEXT, head=head, body=body, stacked=stacked)


def _row(heads: Sequence[str], row: Sequence[str]) -> Markup:
    first = Markup('<th scope="row" role="rowheader" style="{}">{}</th>').format(_ROW, row[0])
    others = Markup().join(
        Markup('<td role="cell" data-title="{}" style="{}">{}</td>').format(title, _ROW, cell)
        for title, cell in zip_longest(heads[1:], row[1:], fillvalue="")
    )
    return Markup('<tr role="row">{}{}</tr>\n').format(first, others)


def as_wide(image: str, width: int) -> str:
    """Return an image that fills a page up to its width [px]; where letters would be too small it scrolls."""
    return (
        '<div role="group" aria-label="Picture" tabindex="0" style="overflow-x:auto;margin:12px 0">'
        f'<div style="min-width:{min(width, LEAST_WIDTH)}px;max-width:{width}px">{image}</div></div>'
    )
