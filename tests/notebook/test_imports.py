"""What a trainee's kernel imports: nothing that only marking needs."""

import json
import subprocess
import sys

import pytest
from helpers import released_notebook

from warmside import project
from warmside.session.exercise_check import code_of

NEVER = {"nbgrader", "bleach", "sqlalchemy"}


@pytest.mark.parametrize("name", project.exercise_names())
def test_a_kernel_imports_nothing_of_nbgrader(name, tmp_path):
    # All imports of the notebook, the card shown, and its last cells, on the practice card.
    code = code_of(released_notebook(name))
    lines = [line for cell in code for line in cell.splitlines() if line.startswith(("from ", "import "))]
    end = ["card = my_job_card()", "show_card(card)", "check_mine()", "finish()", "write_hand_in()"]
    end += ["record('card', 'choice', 'ab')", "import json, sys"]
    end.append("print(json.dumps(sorted({module.split('.')[0] for module in sys.modules})))")
    lines.append("from warmside.notebook import write_hand_in")
    for path in (project.root() / "exercises" / name).iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    run = subprocess.run(
        [sys.executable, "-c", "\n".join(lines + end)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    imported = set(json.loads(run.stdout.splitlines()[-1]))
    assert "warmside" in imported
    assert not imported & NEVER
    assert list(tmp_path.glob("practice_*.zip"))
