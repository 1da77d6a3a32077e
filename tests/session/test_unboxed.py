"""Where no box can be made: marking says so; with --unboxed limits still hold and the report is stamped."""

import os

import pytest
from click.testing import CliRunner
from helpers import NAME, answer_cell, marked_notebook, solved_notebook, write_notebook

from warmside.autograde import box
from warmside.cli import main
from warmside.errors import InputError
from warmside.session import nbgrader_runs
from warmside.session.hand_in import take_in
from warmside.session.mark import mark, to_mark
from warmside.session.report import write_report
from warmside.session.standing import standings

pytestmark = pytest.mark.full  # many hand-ins on real kernels


@pytest.fixture
def no_box(monkeypatch):
    monkeypatch.setattr(box, "why_not", lambda: "bubblewrap is not installed")


def test_without_a_box_nothing_is_run(session, tmp_path, no_box):
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    with pytest.raises(InputError, match="Hand-ins are run in boxes, and bubblewrap is not installed"):
        mark(session, to_mark(session))
    assert not (session.folder / "autograded").exists()
    said = CliRunner().invoke(main, ["session", "mark", str(session.folder)])
    assert said.exit_code == 2
    assert "say --unboxed" in said.output


def test_the_preprocessor_refuses_by_itself(session, tmp_path, no_box, monkeypatch):
    """So that plain nbgrader can't run a hand-in without a box either."""
    from warmside.autograde import run_notebook

    monkeypatch.setattr(run_notebook, "why_not", lambda: "bubblewrap is not installed")
    take_in(session, [write_notebook(tmp_path / f"ann_{NAME}.ipynb", solved_notebook())])
    reason = nbgrader_runs.autograde(session.folder, NAME, "ann")
    assert "To run them without one, say --unboxed" in reason


def test_unboxed_runs_within_limits_and_is_stamped(session, tmp_path, no_box, monkeypatch):
    greedy, endless = solved_notebook(), solved_notebook()
    cell = answer_cell(greedy, "hours_to_settle")
    cell.source = "x = bytearray(8 * 2**30)\n" + cell.source
    cell = answer_cell(endless, "hours_to_settle")
    cell.source = "while True: print('x' * 10_000)\n" + cell.source
    sheets = {"ann": solved_notebook(), "ann-b": greedy, "zed.9": endless}
    take_in(
        session, [write_notebook(tmp_path / f"{who}_{NAME}.ipynb", sheet) for who, sheet in sheets.items()]
    )
    configure = nbgrader_runs.configure

    def impatient(c, folder):
        configure(c, folder)
        c.RunNotebook.timeout = 10
        c.RunNotebook.notebook_time = 120

    monkeypatch.setattr(nbgrader_runs, "configure", impatient)
    assert mark(session, to_mark(session), unboxed=True) == {}
    rows = standings(session)
    limited = os.name == "posix"
    assert [row.score for row in rows] == [20, 18 if limited else rows[1].score, 18]
    assert [row.boxed for row in rows] == [False] * 3
    page = write_report(session)[0].read_text("utf-8")
    assert "Run without a box:" in page
    assert "More than 1 MiB of output" in marked_notebook(session, "zed.9").cells[0].source


def test_boxed_reports_carry_no_stamp(demo):
    from warmside.session.report import report_page

    rows = standings(demo)
    stamped = "Run without a box:" in report_page(demo, rows)
    assert stamped == (not box.available())
