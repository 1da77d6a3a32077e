"""Exported pages of the course, looked through by axe-core: nothing serious of ours."""

from pathlib import Path

import nbformat
import pytest
from axe_playwright_python.sync_playwright import Axe
from nbclient import NotebookClient
from nbconvert import HTMLExporter

from warmside import project

pytestmark = pytest.mark.chromium
NOTEBOOKS = sorted((project.root() / "course").glob("[0-9]*.ipynb"))
OURS = {"include": [[".jp-RenderedHTMLCommon"]]}  # text and outputs; the page around them is nbconvert's
SERIOUS = ("serious", "critical")


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_nothing_serious_in_an_exported_module(page, keep, tmp_path, path: Path):
    notebook = nbformat.read(path, as_version=4)
    where = {"metadata": {"path": str(path.parent)}}
    # with the state of widgets in it the page would ask the network for what draws them
    NotebookClient(notebook, timeout=300, resources=where, store_widget_state=False).execute()
    exporter = HTMLExporter(embed_images=False)
    exporter.mathjax_url = exporter.require_js_url = exporter.jquery_url = ""
    exported = tmp_path / f"{path.stem}.html"
    exported.write_text(exporter.from_notebook_node(notebook)[0], encoding="utf-8")
    page.goto(exported.as_uri(), wait_until="domcontentloaded")
    page.wait_for_timeout(1000)
    keep(page, f"exported_{path.stem}")
    found = Axe().run(page, context=OURS).response["violations"]
    serious = [one for one in found if one["impact"] in SERIOUS]
    told = [
        (one["id"], node["html"][:120], node["failureSummary"][:200])
        for one in serious
        for node in one["nodes"]
    ]
    assert told == []
