"""Reading a hand-in as written: it gives what a kernel gives, or it leaves the hand-in to one."""

import json
import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from copy import deepcopy
from pathlib import Path

import nbformat
import pytest
from helpers import NAME, answer_cell, locked_cell, released_notebook
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from IPython.core.interactiveshell import InteractiveShell
from jupyter_client.manager import AsyncKernelManager
from jupyter_client.utils import run_sync
from nbclient import NotebookClient
from nbformat import NotebookNode

from warmside import BEING_MARKED, project
from warmside.autograde.plain_answers import LONGEST_CELL, read_as_written
from warmside.autograde.preprocessors import repaired
from warmside.marking.cells import grade_id, recorded_answer
from warmside.marking.exercise import load_exercise
from warmside.marking.job_card import JobCard

WITH_CASE = "diagnosis"
LITERALS = (
    *(
        '"12 Btu"',
        "'38.5 °F'",
        '"""12 h"""',
        'r"a\\b"',
        '"12" " Btu"',
        '""',
        '"  "',
        '"a\\nb"',
        '"¼ in² \\N{BULLET}"',
    ),
    *("7", "-7", "+0.5", "1_000", "0x1F", "1e400", "-1e400", "True", "None", "3.0"),
    *('["cup", "load"]', '("cup", "load")', "[]", '"a", "b"', '[1, "a", None, -2.5]', "(5)"),
)
"""What is read as it stands."""
COMPUTED = (
    *('Q_(12, "Btu")', "card", "1 + 1", "2 * 3", "--5", '-"a"', "not True", "~5", 'f"12 Btu"', '"a" + "b"'),
    *(
        '"%s" % 5',
        "1 if True else 2",
        "lambda: 1",
        "{}",
        '{"a"}',
        "[x for x in 'ab']",
        "(1, (2, 3))",
        "[[1]]",
    ),
    *(
        '[*"ab"]',
        "...",
        'b"a"',
        "2j",
        "1 + 2j",
        '"ab"[0]',
        '"ab".upper()',
        "1 < 2",
        "(y := 5)",
        "__import__('os')",
    ),
    *('"\\ud800"', '"\\d"', "1 is 1", "9" * 5_000, "-" * 1_990 + "1", "(" * 300 + "1" + ")" * 300),
    *('"' + "x" * LONGEST_CELL + '"', "[" + "1," * LONGEST_CELL + "]"),
)
"""What is not: a kernel has to say what comes of it."""
LINES = (
    *("heat_from_water: str = '12 Btu'", "heat_from_water = other = '12 Btu'", "other = '12 Btu'"),
    *("heat_from_water, other = 'a', 'b'", "heat_from_water += '12 Btu'", "card = 5", "record = 5"),
    *(
        "'12 Btu'",
        "12",
        "import os",
        "from warmside.units import Q_",
        "print('a')",
        "%time",
        "!ls",
        "%%bash\nls",
    ),
    *(
        "heat_from_water?",
        "del record",
        "global card",
        "pass",
        "assert True",
        "if True: pass",
        "while True: pass",
    ),
    *("def record(*a): pass", "class Q_: pass", "card.read('cup')", "record('heat_from_water', 'energy')"),
    *(
        "finish()",
        "check_mine()",
        "get_ipython().system('ls')",
        "raise SystemExit",
        "cup_time_constant = '5 h'",
    ),
    *(
        "heat_from_water.x = 5",
        "heat_from_water[0] = 5",
        "exit",
        "await x",
        "heat_from_water = ",
        "\x00",
        "\ud800",
    ),
)
"""Lines that stand in the cell of heat_from_water and are left to a kernel."""


def answered(**sources: str) -> NotebookNode:
    """The released notebook with these cells in place of its answer cells."""
    notebook = released_notebook()
    for item, source in sources.items():
        answer_cell(notebook, item).source = source
    return notebook


def card_of(name: str) -> JobCard:
    return load_exercise(name).practice_card() if name != WITH_CASE else practice_card(name)


def practice_card(name: str) -> JobCard:
    """The practice card as it lies beside the release: to draw it anew takes the bank."""
    from warmside.marking.job_card import read_job_card

    return read_job_card(project.root() / "exercises" / name)


def read(notebook: NotebookNode, name: str = NAME) -> str:
    """Read a hand-in in place after its repair; return why it needs a kernel."""
    release = released_notebook(name)
    notebook.cells, _ = repaired(notebook.cells, release.cells)
    return read_as_written(notebook, release, card_of(name))


class Kernel:
    """A kernel as a hand-in that is marked has it, without its box, for one hand-in after another."""

    def __init__(self, folder: Path):
        self.folder = folder
        self._manager = AsyncKernelManager(transport_encryption="auto")

    def run(self, notebook: NotebookNode, card: JobCard) -> NotebookNode:
        for path in self.folder.iterdir():
            path.unlink()
        for name, text in card.as_files().items():
            (self.folder / name).write_text(text, encoding="utf-8")
        client = NotebookClient(notebook, self._manager, allow_errors=True, record_timing=False)
        environment = os.environ | {BEING_MARKED: "yes"}
        with client.setup_kernel(cwd=str(self.folder), env=environment):
            anew = "get_ipython().reset(); import builtins; builtins.__dict__.pop('x', None)"
            client.kc.execute(anew, silent=True)
            info = client.wait_for_reply(client.kc.kernel_info())
            for index, cell in enumerate(notebook.cells):
                client.execute_cell(cell, index)
        notebook.metadata["language_info"] = nbformat.from_dict(info["content"]["language_info"])
        return notebook

    def end(self) -> None:
        with suppress(RuntimeError):
            run_sync(self._manager.shutdown_kernel)(now=True)


@pytest.fixture(scope="module")
def kernel(tmp_path_factory) -> Iterator[Kernel]:
    one = Kernel(tmp_path_factory.mktemp("kernel"))
    yield one
    one.end()


def assert_as_by_kernel(kernel: Kernel, notebook: NotebookNode, name: str = NAME) -> bool:
    """Assert that a hand-in that is read is what a kernel makes of it; tell whether it was read."""
    release, before = released_notebook(name), deepcopy(notebook)
    notebook.cells, _ = repaired(notebook.cells, release.cells)
    by_kernel = deepcopy(notebook)
    if read_as_written(notebook, release, card_of(name)):
        before.cells, _ = repaired(before.cells, release.cells)
        assert notebook == before  # as it was
        return False
    kernel.run(by_kernel, card_of(name))
    assert json.loads(nbformat.writes(notebook)) == json.loads(nbformat.writes(by_kernel))
    return True


def test_every_literal_is_recorded_as_by_a_kernel(kernel):
    items = [item.name for item in load_exercise(NAME).items]
    for at in range(0, len(LITERALS), len(items)):
        some = dict(zip(items, LITERALS[at:], strict=False))
        notebook = answered(**{item: f"{item} = {literal}  # so" for item, literal in some.items()})
        assert assert_as_by_kernel(kernel, notebook), some
        assert any(recorded_answer(locked_cell(notebook, item), item) for item in some)


def test_what_is_untouched_empty_or_a_comment_is_read_as_by_a_kernel(kernel):
    notebook = released_notebook()
    blank = ("", " \n", "# nothing\n", "\n\n# nothing")
    for item, source in zip(load_exercise(NAME).items, blank, strict=False):
        answer_cell(notebook, item.name).source = source
    for source in blank:
        notebook.cells.insert(3, nbformat.v4.new_code_cell(source))
        notebook.cells.insert(3, nbformat.v4.new_markdown_cell("my *notes*"))
    assert assert_as_by_kernel(kernel, notebook)


@pytest.mark.parametrize("value", COMPUTED, ids=lambda value: value[:20])
def test_what_is_computed_needs_a_kernel(value):
    notebook = answered(heat_from_water=f"heat_from_water = {value}")
    before = deepcopy(notebook.cells)
    assert read(notebook)
    assert [cell.source for cell in notebook.cells] == [cell.source for cell in before]
    assert not any(cell.get("outputs") for cell in notebook.cells)


@pytest.mark.parametrize("line", LINES, ids=lambda line: ascii(line[:20]))
def test_any_other_line_needs_a_kernel(line):
    assert read(answered(heat_from_water=line))
    assert read(answered(heat_from_water=f'heat_from_water = "12 Btu"\n{line}'))
    extra = released_notebook()
    extra.cells.insert(2, nbformat.v4.new_code_cell(line))
    assert read(extra)


def with_a_locked_cell(change: Callable[[NotebookNode], object]) -> str:
    """Read a hand-in whose locked cell was changed after its repair."""
    notebook, release = released_notebook(), released_notebook()
    change(locked_cell(notebook, "heat_from_water"))
    return read_as_written(notebook, release, card_of(NAME))


def test_a_locked_cell_that_is_another_needs_a_kernel():
    assert with_a_locked_cell(lambda cell: None) == ""
    assert with_a_locked_cell(lambda cell: cell.update(source='record("heat_from_water", "power")'))
    assert with_a_locked_cell(lambda cell: cell.update(source=cell.source + " "))
    assert with_a_locked_cell(lambda cell: cell.metadata.update(tags=["skip-execution"]))
    assert with_a_locked_cell(lambda cell: cell.metadata.nbgrader.update(grade_id="heat_from_water_answer"))
    assert with_a_locked_cell(lambda cell: cell.metadata.pop("nbgrader"))


@pytest.mark.parametrize(
    "source",
    [
        *(
            "import os",
            "from os import path",
            "eval(heat_from_water)",
            "print(card)",
            "open('x')",
            "card.__class__",
        ),
        *(
            "show_card(heat_from_water)",
            "exit()",
            "card",
            "my_job_card() + 1",
            "for x in 'a': pass",
            "card[0]",
        ),
        *("exec('')", "found = eval('5')", "found = heat_from_water", "found = card.__class__"),
        *("get_ipython()", "!ls", "(lambda: 1)()", "record('heat_from_water', f'energy')"),
    ],
)
def test_locked_cells_of_another_kind_are_left_to_a_kernel(source):
    """An exercise of one's own may run anything there, on what a trainee wrote."""
    notebook = released_notebook()
    locked_cell(notebook, "heat_from_water").source = source
    assert read_as_written(notebook, deepcopy(notebook), card_of(NAME))


def test_nothing_is_left_behind(capsys):
    before, folder = dict(os.environ), os.getcwd()
    assert read(released_notebook()) == ""
    assert read(answered(heat_from_water="heat_from_water = Q_(1, 'Btu')"))
    assert (dict(os.environ), os.getcwd()) == (before, folder)
    assert not InteractiveShell.initialized()
    assert capsys.readouterr() == ("", "")


def test_in_a_notebook_of_ones_own_a_kernel_is_used():
    shell = InteractiveShell.instance()
    try:
        assert read(released_notebook())
        assert InteractiveShell.instance() is shell
    finally:
        InteractiveShell.clear_instance()
        shell.history_manager.end_session()


CASE_LINES = (
    *('case.read("cup")', 'case.read("Load", "cup")', 'case.read("no such")', "case.read()", 'case.read("")'),
    *('readings_taken = "cup, load"', 'readings_taken = ["cup", "load"]', "readings_taken = case.taken"),
)
"""What trainees write where readings are taken."""
NO_CASE_LINES = (
    *("case.read(cup)", "case.read(5)", 'case.read(*"ab")', 'case.read(names="cup")', 'case.commit("lv")'),
    *('case._read("cup")', "case.names", "readings_taken = case.names", 'case.show("a")', "case.readings"),
    *('case.taken.append("cup")', "case = 5", 'card.read("cup")', 'case.read("a")[0]', "case.read"),
)


def with_readings(lines: Iterable[str]) -> NotebookNode:
    notebook = released_notebook(WITH_CASE)
    cell = answer_cell(notebook, "readings_taken")
    cell.source = "\n".join([cell.source, *lines])
    return notebook


def test_readings_of_a_case_are_taken_as_by_a_kernel(kernel):
    for lines in ([], CASE_LINES[:5], CASE_LINES):
        assert assert_as_by_kernel(kernel, with_readings(lines), WITH_CASE), lines


def test_what_else_is_done_with_a_case_needs_a_kernel():
    assert read(with_readings([]), WITH_CASE) == ""
    for line in NO_CASE_LINES:
        assert read(with_readings([line]), WITH_CASE), line


def test_one_that_puts_out_a_lot_needs_a_kernel():
    """A kernel's output is cut short where it is too much, and the page says so."""
    assert read(with_readings(["case.read(" + '"x",' * 400 + ")"]), WITH_CASE)


texts = st.text(max_size=20) | st.from_regex(
    r"-?[0-9]{1,4}([.,][0-9]{1,3})? ?(degF|°F|Btu|h|in²|W|a|b)?", fullmatch=True
)
numbers = st.integers() | st.floats()
values = st.one_of(texts, numbers, st.booleans(), st.none())
literals = st.one_of(values, st.lists(values, max_size=4), st.lists(values, max_size=4).map(tuple))


def written(value: object) -> str:
    """A value as somebody types it; what has no such form as what looks most like it."""
    return repr(value).replace("inf", "1e999").replace("nan", "'nan'")


def cells(item: str, case_lines: bool) -> st.SearchStrategy[str | None]:
    """What may stand in an answer cell; None for what was handed out."""
    assigned = literals.map(lambda value: f"{item} = {written(value)}")
    lines = [
        assigned,
        st.just("# a note"),
        st.just(""),
        st.sampled_from(["  ", "x = 5", "12", f"{item} = 6 * 7"]),
    ]
    if case_lines:
        lines += [st.sampled_from(CASE_LINES), st.just("readings_taken = case.taken")]
    usual = st.one_of(st.none(), assigned, assigned, assigned.map(lambda line: f"{line}  # so"))
    return usual | st.lists(st.one_of(lines), max_size=3).map("\n".join)


@st.composite
def hand_ins(draw: st.DrawFn) -> tuple[str, NotebookNode]:
    name = draw(st.sampled_from([*project.exercise_names()]))
    notebook = released_notebook(name)
    for cell in notebook.cells:
        item = (grade_id(cell) or "").removesuffix("_answer")
        if cell.cell_type == "code" and cell.metadata.nbgrader.solution:
            source = draw(cells(item, item == "readings_taken"))
            cell.source = cell.source if source is None else source
    if draw(st.integers(0, 9)) == 9:
        at = draw(st.integers(0, len(notebook.cells) - 1))
        del notebook.cells[at]
    return name, notebook


def compare_many(kernel: Kernel, count: int) -> None:
    ways = []

    @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(hand_ins())
    def compare(one: tuple[str, NotebookNode]) -> None:
        name, notebook = one
        ways.append(assert_as_by_kernel(kernel, notebook, name))

    compare()
    assert sum(ways) > count / 10, f"{sum(ways)} of {len(ways)} were read"


@pytest.mark.full
def test_some_generated_hand_ins_are_read_as_by_a_kernel(kernel):
    compare_many(kernel, 40)


@pytest.mark.long
def test_a_thousand_generated_hand_ins_are_read_as_by_a_kernel(kernel):
    compare_many(kernel, 1_000)
