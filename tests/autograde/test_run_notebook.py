"""Running a notebook: what of its kernel's messages is kept."""

import nbformat

from warmside.autograde import box
from warmside.autograde.run_notebook import RunNotebook


def run(folder, *sources: str) -> tuple[RunNotebook, list]:
    place = folder / "autograded" / "ann" / "exercise"
    place.mkdir(parents=True)
    runner = RunNotebook(unboxed=not box.available())
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source) for source in sources])
    notebook, _ = runner.preprocess(notebook, {"metadata": {"path": str(place)}, "nbgrader": {}})
    return runner, [cell.outputs for cell in notebook.cells]


TALK = """
import ipywidgets
box = ipywidgets.Output()
with box: print("inside")
box.outputs = [{"output_type": "stream", "name": "stdout", "text": "x" * 10**6}]
"""
COUNT = """
kernel = get_ipython().kernel
content = {"data": {"text/plain": "x"}, "metadata": {}, "execution_count": "many"}
sent = kernel.session.send(kernel.iopub_socket, "execute_result", content, parent=kernel.get_parent())
"""


def test_what_widgets_say_is_dropped_and_a_count_is_a_number(tmp_path):
    runner, (talked, counted, said) = run(tmp_path, TALK, COUNT, "print(1)")
    assert (runner.comm_objects, runner.widget_state) == ({}, {})
    assert "x" * 10**6 not in str(talked)
    assert [output.execution_count for output in counted] == [None]
    assert [output.text for output in said] == ["1\n"]
