"""Reading a hand-in as written, where nothing of it needs to be run.

Most trainees type text between quotes. Where all that they typed is plain values, the syntax tree tells what
a kernel would make of them, and none is started. No code of theirs is run here; in any doubt a kernel runs
it, in its box. What is run here, so that each output is what a kernel's would be, is the code that was handed
out: `record` and what shows card and tables, whose locked cells call functions of this package and do nothing
else.
"""

import ast
import io
import os
import sys
import tempfile
import types
import warnings
from collections.abc import Container, Iterator
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import nbformat
from ipykernel.ipkernel import IPythonKernel
from IPython.core.displaypub import CapturingDisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from nbformat import NotebookNode
from traitlets.config import Config

from warmside import BEING_MARKED
from warmside.marking.cells import ANSWER_SUFFIX, grade_id, is_answer
from warmside.marking.job_card import JobCard
from warmside.show.case_pages import CaseOnTheBench

AS_WRITTEN = "Your answers were read as written, without running the notebook."
"""Said on the page of a hand-in that was read so."""

LONGEST_CELL = 2_000
"""What is longer is left to a kernel [characters]."""
MOST_PUT_OUT = 2**18
"""So is what makes the package's own functions put out more than that [characters]."""

_TAKES_TEXTS = ((CaseOnTheBench, "read"),)
_OF_A_LOCKED_CELL = (
    *(ast.Module, ast.ImportFrom, ast.alias, ast.Assign, ast.Expr, ast.Call),
    *(ast.Name, ast.Attribute, ast.Constant, ast.Load, ast.Store),
)


class NeedsKernelError(Exception):
    """A kernel has to run this hand-in; the message says what of it."""


def read_as_written(notebook: NotebookNode, release: NotebookNode, card: JobCard) -> str:
    """Put into a hand-in's cells what a kernel would put out; or say why one is needed, and change nothing.

    Parameters
    ----------
    notebook : NotebookNode
        The hand-in, repaired.
    release : NotebookNode
        The notebook as it was handed out.
    card : JobCard
        The trainee's own.

    Returns
    -------
    str
        What of it needs a kernel; empty where the hand-in was read.
    """
    run = [cell for cell in notebook.cells if cell.cell_type == "code" and cell.source.strip()]
    released = {grade_id(cell): cell for cell in release.cells if grade_id(cell)}
    try:
        with _shell(card) as shell:
            reader = _Reader(shell)
            outputs = [reader.outputs(cell, released.get(grade_id(cell))) for cell in run]
    except Exception as problem:  # whatever it is, a kernel tells the trainee what
        return f"{type(problem).__name__}: {problem}"
    if len(str(outputs)) > MOST_PUT_OUT:
        return "more is put out than usual"
    for count, (cell, put_out) in enumerate(zip(run, outputs, strict=True), start=1):
        cell.outputs, cell.execution_count = put_out, count
    notebook.metadata["language_info"] = nbformat.from_dict(IPythonKernel.language_info)
    return ""


@contextmanager
def _shell(card: JobCard) -> Iterator[InteractiveShell]:
    """Make what a kernel runs cells in, beside the job card alone; all that it shows is kept."""
    if InteractiveShell.initialized():
        raise NeedsKernelError("another shell is at work")
    said = io.StringIO()
    before = os.environ.get(BEING_MARKED)
    with tempfile.TemporaryDirectory(prefix="warmside-") as folder:
        for name, text in card.as_files().items():
            Path(folder, name).write_text(text, encoding="utf-8")
        shell = InteractiveShell.instance(
            config=Config({"HistoryManager": {"enabled": False}}),
            ipython_dir=folder,
            user_module=types.ModuleType("warmside_hand_in"),
        )
        os.environ[BEING_MARKED] = "yes"
        try:
            with chdir(folder), redirect_stdout(said), redirect_stderr(said):
                yield shell
        finally:
            InteractiveShell.clear_instance()
            sys.modules.pop(shell.user_module.__name__, None)
            if before is None:
                del os.environ[BEING_MARKED]
    if said.getvalue():
        raise NeedsKernelError("something is printed")


class _Reader:
    """Goes through a hand-in's code cells as a kernel would."""

    def __init__(self, shell: InteractiveShell) -> None:
        self._shell = shell
        self._screen = shell.display_pub = CapturingDisplayPublisher()
        self._ours: set[str] = set()  # names that locked cells gave a value

    def outputs(self, cell: NotebookNode, released: NotebookNode | None) -> list[NotebookNode]:
        """Return what a cell puts out, and give names the values that it assigns."""
        shown: list[dict[str, Any]] = []
        self._screen.outputs = shown
        if cell.metadata.get("tags"):
            raise NeedsKernelError("a cell has tags")
        tree = self._tree(cell.source)
        if released is None:
            self._read(tree, "", ())
        elif is_answer(released):
            untouched = [ast.dump(line) for line in self._tree(released.source).body]
            self._read(tree, str(grade_id(cell)).removesuffix(ANSWER_SUFFIX), untouched)
        elif cell.source == released.source:
            self._run(tree)
            self._ours |= _bound(tree)
        else:
            raise NeedsKernelError("a locked cell is another")
        return [_output(**one) for one in shown]

    def _tree(self, source: str) -> ast.Module:
        """Return the syntax tree of what a kernel takes a cell for."""
        if len(source) > LONGEST_CELL:
            raise NeedsKernelError("a cell is long")
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a kernel would show them
            return ast.parse(self._shell.transform_cell(source))

    def _read(self, tree: ast.Module, own: str, untouched: Container[str]) -> None:
        """Do what a trainee's cell says: give its own answer a value, and take readings of a case."""
        for line in tree.body:
            if ast.dump(line) in untouched:
                self._run(ast.Module([line], []))
                continue
            match line:
                case ast.Assign([ast.Name(name)], value) if name == own and name not in self._ours:
                    self._shell.user_ns[name] = _plain(value)
                case ast.Expr(ast.Call(ast.Attribute(ast.Name(name), method), texts, [])):
                    of = self._shell.user_ns.get(name)
                    if (type(of), method) not in _TAKES_TEXTS:
                        raise NeedsKernelError(f"{name}.{method} is called")
                    getattr(of, method)(*map(_text, texts))
                case _:
                    raise NeedsKernelError(f"{type(line).__name__} in a cell")

    def _run(self, tree: ast.Module) -> None:
        """Run code that was handed out, if it does nothing but call what it has from this package."""
        known = self._ours | _bound(tree)
        for node in ast.walk(tree):
            match node:
                case ast.ImportFrom(module) if (module or "").partition(".")[0] != "warmside":
                    raise NeedsKernelError(f"{module} in a locked cell")
                case ast.Name(name) if name not in known:
                    raise NeedsKernelError(f"{name} in a locked cell")
                case ast.Attribute(attr=name) if name.startswith("_"):
                    raise NeedsKernelError(f"{name} in a locked cell")
                case _ if not isinstance(node, _OF_A_LOCKED_CELL):
                    raise NeedsKernelError(f"{type(node).__name__} in a locked cell")
        for line in tree.body:
            code = ast.Expression(line.value) if isinstance(line, ast.Expr) else ast.Module([line], [])
            mode = "eval" if isinstance(line, ast.Expr) else "exec"
            if eval(compile(code, "<handed out>", mode), self._shell.user_ns) is not None:
                raise NeedsKernelError("a locked cell has a value")


def _bound(tree: ast.Module) -> set[str]:
    """Return the names that code gives a value."""
    nodes = list(ast.walk(tree))
    imported = {node.asname or node.name for node in nodes if isinstance(node, ast.alias)}
    return imported | {
        node.id for node in nodes if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
    }


def _output(data: dict, metadata: dict | None, transient: dict | None, update: bool) -> NotebookNode:
    if metadata or transient or update:
        raise NeedsKernelError("an output is one that changes")
    return nbformat.v4.new_output("display_data", nbformat.from_dict(data))


def _plain(value: ast.expr) -> Any:
    """Return a text, a number with or without its sign, nothing, or a list of such."""
    match value:
        case ast.List(parts):
            return [_single(part) for part in parts]
        case ast.Tuple(parts):
            return tuple(_single(part) for part in parts)
        case _:
            return _single(value)


def _single(value: ast.expr) -> str | float | None:
    match value:
        case ast.Constant(str()):
            return _text(value)
        case ast.Constant(None | bool() | int() | float() as plain):
            return plain
        case ast.UnaryOp(ast.USub() | ast.UAdd() as sign, ast.Constant(int() | float() as number)):
            return -number if isinstance(sign, ast.USub) else +number
        case _:
            raise NeedsKernelError(f"{type(value).__name__} as an answer")


def _text(value: ast.expr) -> str:
    if not (isinstance(value, ast.Constant) and isinstance(value.value, str)):
        raise NeedsKernelError(f"{type(value).__name__} as a text")
    value.value.encode()  # half a pair of surrogates goes through no kernel's channels as it is
    return value.value
