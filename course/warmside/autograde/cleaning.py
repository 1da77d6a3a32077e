"""Making a stranger's output fit to show: text, tables and pictures, no script and nothing from elsewhere."""

import re
from collections.abc import Callable

import nbformat
import nh3
from nbformat import NotebookNode

_TABLE = {"caption", "table", "tbody", "td", "tfoot", "th", "thead", "tr"}
_WORDS = {"b", "br", "code", "em", "i", "li", "ol", "p", "pre", "strong", "sub", "sup", "ul"}
_TAGS = {*_TABLE, *_WORDS, "img", "blockquote", "div", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "span"}
_ATTRIBUTES = {"td": {"colspan", "rowspan"}, "th": {"colspan", "rowspan", "scope"}, "img": {"alt", "src"}}
_TAG = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9]*)")
_NEVER_OPEN = {"area", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}
_DEEPEST = 1_000  # a long table whose rows are never closed may have that many
_PICTURES = ("image/png", "image/jpeg")
_BASE64 = re.compile(r"[A-Za-z0-9+/=\s]*")
_PICTURE_INSIDE = re.compile(r"data:image/(png|jpeg);base64,[A-Za-z0-9+/=]*")


def clean_outputs(cell: NotebookNode) -> None:
    """Keep of a code cell's outputs what is fit to show, in place."""
    if cell.cell_type != "code":
        return
    cell.execution_count = cell.execution_count if type(cell.get("execution_count")) is int else None
    cell.outputs = [fit for output in cell.outputs if (fit := _fit(output)) is not None]


def verbatim(text: str) -> str:
    """Return markdown that shows a text as it was typed, whatever stands in it."""
    return "\n".join("    " + line for line in text.expandtabs(4).splitlines()) or "    "


def _fit(output: NotebookNode) -> NotebookNode | None:
    kind = output.output_type
    if kind == "stream":
        name = "stderr" if output.get("name") == "stderr" else "stdout"
        return nbformat.v4.new_output("stream", name=name, text=_text(output.get("text")))
    if kind == "error":
        lines = output.get("traceback")
        return nbformat.v4.new_output(
            "error",
            ename=_text(output.get("ename"))[:200],
            evalue=_text(output.get("evalue"))[:2000],
            traceback=[_text(line) for line in lines] if isinstance(lines, list) else [],
        )
    data = {
        mime: _CLEAN[mime](_text(value)) for mime, value in output.get("data", {}).items() if mime in _CLEAN
    }
    data = {mime: value for mime, value in data.items() if value is not None}
    return nbformat.v4.new_output("display_data", data) if data else None


def _text(value: object) -> str:
    if isinstance(value, list):
        return "".join(part for part in value if isinstance(part, str))
    return value if isinstance(value, str) else ""


def _html(text: str) -> str | None:
    if _depth(text) > _DEEPEST:
        return None
    return nh3.clean(
        text,
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        attribute_filter=_fit_attribute,
        url_schemes={"data"},
        link_rel=None,
    )


def _depth(text: str) -> int:
    """Return how many tags are open at once at most; parsers' time grows with its square."""
    depth = deepest = 0
    for tag in _TAG.finditer(text):
        if tag[2].lower() not in _NEVER_OPEN:
            depth = max(depth - 1, 0) if tag[1] else depth + 1
            deepest = max(deepest, depth)
    return deepest


def _fit_attribute(tag: str, name: str, value: str) -> str | None:
    """Return what an attribute may keep: of addresses, pictures alone that bring their own bytes."""
    return value if name != "src" or _PICTURE_INSIDE.fullmatch(value) else None


def _picture(text: str) -> str | None:
    return text if _BASE64.fullmatch(text) else None


_CLEAN: dict[str, Callable[[str], str | None]] = {
    "text/plain": str,
    "text/html": _html,
    **dict.fromkeys(_PICTURES, _picture),
}
