"""Blocks of HTML for notebooks, which carry their style with them: JupyterLab and every page show the same.

They are made without templates, since kernels that run trainees' notebooks import them. What is ours has a
bar in front; no stranger's words can have one, as cleaning takes all styles out of them.
"""

from collections.abc import Iterable, Sequence

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
    '<table style="{text};border-collapse:collapse;margin:8px 0">'
    '<caption style="text-align:left;font-weight:bold;padding:2px 0">{caption}</caption>'
    "{head}<tbody>{body}</tbody></table></div>"
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
    titles = Markup().join(_cell("th", "col", _HEAD, head) for head in heads)
    body = Markup().join(
        Markup("<tr>{}{}</tr>\n").format(
            _cell("th", "row", _ROW, row[0]), Markup().join(_cell("td", "", _ROW, cell) for cell in row[1:])
        )
        for row in rows
    )
    head = Markup("<thead><tr>{}</tr></thead>\n").format(titles) if heads else ""
    return Markup(_TABLE).format(caption=caption, text=TEXT, head=head, body=body)


def _cell(name: str, scope: str, style: str, text: str) -> Markup:
    of = Markup(' scope="{}"').format(scope) if scope else ""
    return Markup('<{0}{1} style="{2}">{3}</{0}>').format(name, of, style, text)


def as_wide(image: str, width: int) -> str:
    """Return an image that fills a page up to its width [px]; where letters would be too small it scrolls."""
    return (
        '<div role="group" aria-label="Picture" tabindex="0" style="overflow-x:auto;margin:12px 0">'
        f'<div style="min-width:{min(width, LEAST_WIDTH)}px;max-width:{width}px">{image}</div></div>'
    )
