"""A lesson as HTML: run once without its labs, its code folded away.

``python -m warmside.session.reading.rendering NOTEBOOK PAGE`` writes it, and prints how far it is, a line of
JSON for each step. It is a process of its own, so that what it needs is given back when it is done.
"""

import hashlib
import html
import json
import os
import re
import sys
from collections.abc import Callable, Iterator
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from warmside import kept
from warmside.autograde.system_calls import die_with_parent
from warmside.private_file import write_private
from warmside.session.reading.lessons import lab_called

_LONGEST = 900
"""Time for one cell [s]: the first one of a module may simulate all the cases."""
_IMAGES = {"image/png": "data:image/png;base64,", "image/jpeg": "data:image/jpeg;base64,"}
_ANCHOR = re.compile(r'<a class="anchor-link"[^>]*>.*?</a>')
_MARKS = re.compile(r"<[^>]+>")
_TOO_WIDE = re.compile(r"<table.*?</table>|<p><img [^>]*></p>", re.DOTALL)

PATIENTLY = "--patiently"
"""An option of the command: leave the processor to others."""

Tell = Callable[[int, int, str], None]
"""Takes the part that is done, of how many, and HTML that the part shows meanwhile."""


def kept_page(notebook: Path) -> Path:
    """Return where a lesson's page is kept; its name changes with all that it is made from."""
    made_from = hashlib.sha256(notebook.read_bytes() + _package().encode()).hexdigest()[:16]
    return kept.cache_folder() / "lessons" / f"{notebook.stem}-{made_from}.html"


@cache
def _package() -> str:
    """Return a text that changes with the package and with what renders its lessons."""
    contents = hashlib.sha256()
    for file in sorted(kept.PACKAGE.rglob("*")):
        if file.is_file() and file.suffix in (".py", ".toml", ".npz"):
            contents.update(file.read_bytes())
    with_what = (version(name) for name in ("warmside", "nbconvert", "nbclient", "numpy", "matplotlib"))
    return " ".join((contents.hexdigest(), sys.version, *with_what))


def write_page(notebook: Path, page: Path, tell: Tell) -> None:
    """Run a lesson and write its page, whole or not at all."""
    read = nbformat.read(notebook, as_version=4)
    page.parent.mkdir(parents=True, exist_ok=True)
    for _ in _run(read, notebook.parent, tell):
        write_private(page, as_html(read))  # before the kernel has ended: a reader waits


def _run(notebook: NotebookNode, folder: Path, tell: Tell) -> Iterator[None]:
    """Run a notebook in place without its labs, and yield once while its kernel still runs."""
    code = [at for at, cell in enumerate(notebook.cells) if cell.cell_type == "code" and not lab_called(cell)]
    if not code:
        yield
        return
    from nbclient import NotebookClient

    class Client(NotebookClient):
        def process_message(self, msg: dict[str, Any], cell: NotebookNode, cell_index: int) -> Any:
            if msg["msg_type"] == "update_display_data":  # a bar that moves
                tell(code.index(cell_index), len(code), msg["content"]["data"].get("text/html", ""))
            return super().process_message(msg, cell, cell_index)

    client = Client(notebook, resources={"metadata": {"path": str(folder)}}, timeout=_LONGEST)
    with client.setup_kernel():
        for done, at in enumerate(code):
            tell(done, len(code), "")
            client.execute_cell(notebook.cells[at], at)
        yield


# --- as HTML ----------------------------------------------------------------------------------------------


def as_html(notebook: NotebookNode) -> str:
    """Return a notebook that was run as HTML, without a frame: text, outputs, code folded away.

    A cell that calls a lab is a place for it, ``<div data-lab=...>``. The last picture before it under the
    same heading stands there until the lab is live, and where it never is.
    """
    parts: list[str] = []
    still: int | None = None
    unseen: list[str] = []  # code that shows nothing: it stands with the next that does
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            parts.append(f'<div class="text">{_markdown(cell)}</div>')
            still = None if re.search(r"^#{1,2} ", cell.source, re.MULTILINE) else still
        elif _is_check(cell):
            parts.append(f'<div class="shown">{"".join(map(_output, cell.outputs))}</div>')
        elif cell.cell_type == "code":
            unseen.append(cell.source)
            call = lab_called(cell)
            outputs = "".join(map(_output, cell.outputs))
            if call:
                picture = parts.pop(still) if still is not None else ""
                outputs = _lab_place(call.name, picture)
            elif not outputs:
                continue
            elif "<img" in outputs or "<svg" in outputs:
                still = len(parts)
            parts.append(outputs_with_code(outputs, "\n\n".join(unseen)))
            unseen = []
            still = None if call else still
    return "\n".join(parts)


def _is_check(cell: NotebookNode) -> bool:
    """Tell whether a cell asks the reader; its one line of code teaches nothing."""
    return cell.cell_type == "code" and any("data-check=" in _output(each) for each in cell.outputs)


def _lab_place(name: str, picture: str) -> str:
    return (
        f'<div class="lab-place"><div data-lab="{name}"><p class="coming" role="status">'
        f"The lab is coming …</p></div>{picture}</div>"
    )


def outputs_with_code(outputs: str, code: str) -> str:
    """Return what a cell shows, and below it its code, folded."""
    coloured = _highlighter()(code, "python")
    folded = f'<details class="code"><summary>The code</summary>{coloured}</details>'
    return f'<div class="shown">{outputs}{folded}</div>'


@cache
def _highlighter() -> Callable[[str, str], str]:
    from pygments import highlight
    from pygments.formatters import HtmlFormatter
    from pygments.lexers import get_lexer_by_name

    formatter = HtmlFormatter(cssclass="source", style="default", noclasses=False)
    return lambda code, language: highlight(code, get_lexer_by_name(language), formatter)


def _markdown(cell: NotebookNode) -> str:
    from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath

    renderer = IPythonRenderer(escape=False, attachments=cell.get("attachments", {}))
    made = _ANCHOR.sub("", MarkdownWithMath(renderer=renderer).render(cell.source))
    return _TOO_WIDE.sub(_scrolling, made)


def _scrolling(found: re.Match[str]) -> str:
    """Return a table or a picture in a place that scrolls where it is too wide, which keys reach."""
    name = "Table" if found[0].startswith("<table") else "Picture"
    return f'<div class="wide" tabindex="0" role="group" aria-label="{name}">{found[0]}</div>'


def _output(output: NotebookNode) -> str:
    """Return an output as HTML; the first of what it offers that a page can show."""
    if output.output_type == "stream":
        return f"<pre>{html.escape(output.text)}</pre>"
    if output.output_type == "error":
        raise RuntimeError(output.evalue)
    data = output.data
    if "text/html" in data:
        return f'<div class="output">{data["text/html"]}</div>'
    if "image/svg+xml" in data:
        return f'<div class="output">{data["image/svg+xml"]}</div>'
    for kind, head in _IMAGES.items():
        if kind in data:
            return f'<img src="{head}{data[kind].strip()}" alt="">'
    return f"<pre>{html.escape(data.get('text/plain', ''))}</pre>"


def headings(page: str) -> list[tuple[str, str]]:
    """Return the anchors and words of a page's sections.

    Examples
    --------
    >>> headings('<h2 id="Common-mistakes">Common <em>mistakes</em></h2>')
    [('Common-mistakes', 'Common mistakes')]
    """
    found = re.findall(r'<h2 id="([^"]+)">(.*?)</h2>', page, re.DOTALL)
    return [(anchor, html.unescape(_MARKS.sub("", words))) for anchor, words in found]


def main() -> None:
    """Write a page, as the command line says, and print how far it is."""
    notebook, page = map(Path, sys.argv[1:3])

    def tell(done: int, of: int, told: str) -> None:
        print(json.dumps({"done": done, "of": of, "told": told}), flush=True)

    if PATIENTLY in sys.argv and hasattr(os, "nice"):
        os.nice(10)
    die_with_parent(os.getppid())
    write_page(notebook, page, tell)


if __name__ == "__main__":
    main()
