"""What nbgrader knows a cell by, and whether it accepts a notebook."""

import nbformat
from helpers import source_notebook
from nbformat import NotebookNode
from nbgrader.nbgraderformat import MetadataValidator

from warmside.session.folder import Session


def known_cells(notebook: NotebookNode) -> list[dict]:
    """Each cell that nbgrader knows: its metadata and what kind of cell it is, in their order.

    The checksum is left out: a release gets one, and it differs where a trainee wrote.
    """
    marks = [(cell.metadata["nbgrader"], cell) for cell in notebook.cells if "nbgrader" in cell.metadata]
    return [
        {name: value for name, value in mark.items() if name != "checksum"} | {"is": cell.cell_type}
        for mark, cell in marks
    ]


def assert_same_to_nbgrader(notebook: NotebookNode, source: NotebookNode) -> None:
    """Assert that nbgrader knows the same cells in both, and finds nothing wrong."""
    MetadataValidator().validate_nb(notebook)
    assert known_cells(source)
    assert known_cells(notebook) == known_cells(source)


def assert_same_until_marked(session: Session, trainee: str, name: str) -> None:
    """Assert that nbgrader knows the source's cells in a hand-in as it was taken in and as it was marked."""
    for stage in ("submitted", "autograded"):
        path = session.folder / stage / trainee / name / f"{name}.ipynb"
        assert_same_to_nbgrader(nbformat.read(path, as_version=4), source_notebook(name))
