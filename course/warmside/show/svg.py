"""Drawing in SVG by hand: a few tags, written as text, quick enough to follow a moving hand."""

import base64
import html
import textwrap
from collections.abc import Iterable, Sequence

from warmside.blocks import as_wide
from warmside.colours import CARD, INK

Point = tuple[float, float]
FONT = 18
"""Smallest letters in a picture 1000 wide [px]; 14 points and more when it is projected."""
_LETTER, _BOLD_LETTER = 0.6, 0.68  # width of a letter over its size: a little more than most texts need


def tag(name: str, content: str = "", /, **attributes: object) -> str:
    """Return a tag; _ in the names of attributes stands for -, numbers are rounded to a tenth."""
    written = "".join(f' {key.replace("_", "-")}="{_text(value)}"' for key, value in attributes.items())
    return f"<{name}{written}>{content}</{name}>" if content else f"<{name}{written}/>"


def _text(value: object) -> str:
    return f"{value:.1f}".removesuffix(".0") if isinstance(value, float) else html.escape(str(value))


def words(text: str, x: float, y: float, /, **attributes: object) -> str:
    """Return a line of text."""
    return tag("text", html.escape(text), x=float(x), y=float(y), **{"font_size": FONT, **attributes})


def broken(text: str, width: float, size: float = FONT, bold: bool = False) -> list[str]:
    """Return a text in lines that are no wider than `width` [px]."""
    return textwrap.wrap(text, int(width / (size * (_BOLD_LETTER if bold else _LETTER))))


def line(points: Iterable[Point], /, **attributes: object) -> str:
    """Return a line through points."""
    placed = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    usual: dict[str, object] = {"fill": "none", "stroke": "#444444", "stroke_width": 3}
    return tag("polyline", points=placed, **usual | attributes)


def box(x: float, y: float, width: float, height: float, /, **attributes: object) -> str:
    """Return a rectangle by its upper left corner."""
    size = {"x": float(x), "y": float(y), "width": float(max(width, 0.0)), "height": float(max(height, 0.0))}
    return tag("rect", **size, **{"fill": "none", "stroke": "#444444", "stroke_width": 2, **attributes})


def dot(x: float, y: float, radius: float, /, **attributes: object) -> str:
    """Return a disc."""
    return tag("circle", cx=float(x), cy=float(y), r=float(radius), **attributes)


def picture(parts: Sequence[str], width: int, height: int, alt: str) -> str:
    """Return a whole picture as HTML, with its alternative text."""
    return tag(
        "svg",
        _DEFINITIONS + "".join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width} {height}",
        role="img",
        aria_label=alt,
        style=f"width:100%;max-width:{width}px;background:{CARD};font-family:DejaVu Sans,Verdana,sans-serif",
        fill=INK,
    )


def as_image(drawn: str, alt: str) -> str:
    """Return a picture as an HTML image, which stays what it is where foreign tags are stripped."""
    data = base64.b64encode(drawn.encode()).decode()
    return as_wide(tag("img", src=f"data:image/svg+xml;base64,{data}", alt=alt, style="width:100%"), 1000)


_DEFINITIONS = (
    '<defs><pattern id="warmside-hatch" width="10" height="10" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="10" height="10" fill="#f3ead7"/>'
    '<line x1="0" y1="0" x2="0" y2="10" stroke="#9a8a66" stroke-width="3"/></pattern>'
    '<marker id="warmside-tip" viewBox="0 0 10 10" refX="6" refY="5" markerWidth="2.6" markerHeight="2.6" '
    'orient="auto-start-reverse"><path d="M0 0 L10 5 L0 10 z"/></marker></defs>'
)
