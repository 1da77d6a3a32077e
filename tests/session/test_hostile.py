"""Hostile and broken hand-ins, each marked on a real kernel in a real box among honest neighbours.

Each attack stands in a notebook of its own; they are marked in classes of twenty, each in one run with the
hand-ins of three honest trainees. An attack must earn what its answers deserve, change nobody else's marks,
and end within its time.
The table of them is printed (``-s``) and stands in DEVELOPERS.md, which a test compares.
"""

import re
import time
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from functools import cache, partial
from html.parser import HTMLParser
from pathlib import Path

import nbformat
import psutil
import pytest
from helpers import (
    NAME,
    SECRET,
    answer_cell,
    locked_cell,
    marked_notebook,
    marks_in_gradebook,
    missing_program,
    released_notebook,
    solved_notebook,
    was_run,
    write_notebook,
)
from nbconvert.filters.markdown_mistune import markdown2html_mistune

from warmside import project
from warmside.autograde import box
from warmside.autograde.plain_answers import AS_WRITTEN, read_as_written
from warmside.autograde.preprocessors import repaired
from warmside.marking.exercise import Exercise
from warmside.session import folder as folders
from warmside.session import journal, nbgrader_runs
from warmside.session.folder import Session
from warmside.session.hand_in import UNKNOWN, take_in
from warmside.session.journal import State, Task
from warmside.session.mark import mark, to_mark
from warmside.session.roster import Trainee
from warmside.session.standing import standings

pytestmark = pytest.mark.bubblewrap

FULL, BEFORE = 20.0, 7.0  # all marks but those given by hand; those of the items before hours_to_settle
CELL_TIME, NOTEBOOK_TIME = 4, 12  # s, for those that never end; all others have what hand-ins have
SOME_MEMORY = 768 * 2**20  # bytes, for those that use up all there is
HONEST = ("a-first", "m-middle", "z-last")
WRONG = {
    "thermometer_error": "40 delta_degF",
    "heat_from_water": "9000 Btu",
    "cup_time_constant": "90 h",
    "cup_at_early_reading": "99 degF",
    "hours_to_settle": "200 h",
    "cup_at_24_hours": "99 degF",
    "mean_air_last_6_hours": "99 degF",
    "highest_ambient": "150 degF",
    "margin_below_limit": "80 delta_degF",
}


def wrong() -> nbformat.NotebookNode:
    """A notebook with answers that are all wrong."""
    notebook = released_notebook()
    for item, text in WRONG.items():
        answer_cell(notebook, item).source = f'{item} = "{text}"'
    return notebook


@dataclass(frozen=True)
class Attack:
    """One hostile or broken hand-in.

    Attributes
    ----------
    what : str
        In a few words, for the table.
    base : callable
        Makes the notebook that it is built into.
    code : str or callable
        What stands before the answer in the cell at `at`, or a function that changes the notebook.
    deserved : float
        Marks that it must get.
    at : str
        The item in whose answer cell the code stands.
    state : State
        What must become of it.
    never : str
        What must not stand in what its cells put out; a regular expression.
    endless : bool
        Whether the clock alone ends it.
    memory : int
        What it may use [bytes].
    """

    what: str
    base: Callable[[], nbformat.NotebookNode]
    code: str | Callable[[nbformat.NotebookNode], None]
    deserved: float
    at: str = "thermometer_error"
    state: State = State.MARKED
    never: str = "GOT THROUGH"
    endless: bool = False
    memory: int = box.Limits.memory

    @property
    def trainee(self) -> str:
        return "h-" + re.sub(r"[^a-z0-9]+", "-", self.what.lower()).strip("-")[:29]

    def notebook(self) -> nbformat.NotebookNode:
        notebook = self.base()
        if callable(self.code):
            self.code(notebook)
        else:
            cell = answer_cell(notebook, self.at)
            cell.source = f"{self.code}\n{cell.source}"
        return notebook


def metadata_says(notebook):
    notebook.metadata["warmside"] = {
        "notes": ["<script>alert(1)</script>"],
        "trainee": "a-first",
        "score": 20,
    }
    for cell in notebook.cells:
        if "nbgrader" in cell.metadata:
            cell.metadata["nbgrader"]["points"] = 1000
            cell.metadata["nbgrader"]["schema_version"] = 99


def without_locked_cells(notebook):
    notebook.cells = [c for c in notebook.cells if c.metadata.get("nbgrader", {}).get("solution")]


def without_metadata(notebook):
    for cell in notebook.cells:
        cell.metadata = {}


def with_doubles(notebook):
    for item in ("heat_from_water", "verdict"):
        at = notebook.cells.index(answer_cell(notebook, item))
        notebook.cells.insert(at, deepcopy(notebook.cells[at]))
        notebook.cells.insert(0, deepcopy(locked_cell(notebook, item)))


def with_old_kernel(notebook):
    notebook.metadata = {
        "kernelspec": {"name": "julia-1.9", "display_name": "x"},
        "language_info": {"name": "z"},
    }


def without_ids(notebook):
    notebook.nbformat_minor = 2
    for cell in notebook.cells:
        cell.pop("id", None)


def with_edited_locks(notebook):
    for item in WRONG:
        locked_cell(notebook, item).source = "20.0"


def with_markup(notebook):
    markup = (
        "<script>alert(1)</script><img src='https://elsewhere.example/x.png' onerror='alert(1)'>"
        "<iframe src='https://elsewhere.example'></iframe> ![x](https://elsewhere.example/y.png) "
        "[x](javascript:alert(1))"
    )
    notebook.cells.insert(1, nbformat.v4.new_markdown_cell(markup))
    notebook.cells.insert(2, nbformat.v4.new_raw_cell(markup))
    code = f"""
from IPython.display import HTML, Javascript, Markdown, SVG, display
display(HTML({markup!r})); display(Markdown({markup!r})); display(Javascript("alert(1)"))
display(SVG("<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"))
sizes = {{"image/png": {{"width": '1"><script>'}}}}
display({{"image/png": '"><script>alert(1)</script>'}}, raw=True, metadata=sizes)
print({markup!r}); print("\\x1b]8;;javascript:alert(1)\\x07x\\x1b]8;;\\x07")
"""
    cell = answer_cell(notebook, "thermometer_error")
    cell.source = code + cell.source
    answer_cell(notebook, "verdict").source = f"verdict = {markup!r}"


def with_another_card(notebook):
    locked_cell(notebook, "setup").outputs = [
        nbformat.v4.new_output(
            "display_data", {"application/vnd.warmside.job-card+json": {"number": "ABCD-EFGH-0000"}}
        )
    ]


def with_recorded_outputs(notebook):
    """Right answers stand in the outputs that were handed in, not in the cells."""
    for item in WRONG:
        locked_cell(notebook, item).outputs = [
            nbformat.v4.new_output(
                "display_data", {"application/vnd.warmside.answer+json": {"name": item, "text": "38 degF"}}
            ),
            nbformat.v4.new_output("execute_result", {"text/plain": "2.0"}, execution_count=1),
        ]


LIE = """
class Lie({base}):
    def __eq__(self, other): return True
    def __lt__(self, other): return False
    def __gt__(self, other): return False
    def __sub__(self, other): return {base}()
    def __abs__(self): return {base}()
    def __hash__(self): return 0
    def __repr__(self): return "right"
    def strip(self, *a): return self
    def lower(self): return self
    __str__ = __repr__
"""
READ = """
import os, pathlib
def attempt(path):
    try:
        print("GOT THROUGH", path, pathlib.Path(path).read_bytes()[:20])
    except OSError as problem:
        print("refused", type(problem).__name__)
"""

ATTACKS = [
    # patching what compares
    Attack("patched math.isclose", wrong, "import math; math.isclose = lambda *a, **k: True", 0),
    Attack(
        "patched abs, round, float and assert",
        wrong,
        """
import builtins
builtins.abs = lambda x: 0; builtins.round = lambda *a: 0; builtins.AssertionError = SystemExit""",
        0,
    ),
    Attack(
        "patched numpy comparisons",
        wrong,
        """
import numpy
numpy.isclose = numpy.allclose = numpy.array_equal = lambda *a, **k: True
numpy.testing.assert_allclose = lambda *a, **k: None""",
        0,
    ),
    Attack(
        "patched pint",
        wrong,
        """
import pint
for name in ("__eq__", "__lt__", "__gt__", "__sub__"):
    setattr(pint.Quantity, name, lambda self, other: True)
pint.Quantity.to = lambda self, *a: self""",
        0,
    ),
    Attack(
        "patched record",
        wrong,
        """
import warmside.notebook, warmside.notebook.answers
record = lambda *a, **k: 20.0
warmside.notebook.record = warmside.notebook.answers.record = record""",
        0,
    ),
    Attack(
        "patched marking in the kernel",
        wrong,
        """
import warmside.marking.marks as m, warmside.marking.kinds as k
m.mark = lambda *a: "all right"; k.Quantity.agrees = lambda *a: True; m.Outcome.WRONG = m.Outcome.RIGHT""",
        0,
    ),
    Attack(
        "patched units",
        wrong,
        """
import warmside.units as u
u.read_quantity = lambda text, kind: u.Q_(38, "degF"); u.to_si = lambda *a: 0.0""",
        0,
    ),
    # lying answers
    Attack("float that equals everything", wrong, LIE.format(base="float"), 0),
    Attack(
        "str that equals everything",
        released_notebook,
        LIE.format(base="str")
        + """
get_ipython().events.register("post_run_cell", lambda r: globals().update(
    {name: Lie("x") for name in ("thermometer_error", "verdict", "which_limit", "highest_ambient")}))""",
        0,
    ),
    Attack(
        "object with lying repr and units",
        released_notebook,
        LIE.format(base="object")
        + """
class Quantity(Lie):
    magnitude = Lie(); units = Lie()
get_ipython().events.register("post_run_cell", lambda r: globals().update(
    {name: Quantity() for name in ("thermometer_error", "cup_at_24_hours", "verdict")}))""",
        0,
    ),
    Attack(
        "numpy float, True, -1, nan and infinity as answers",
        released_notebook,
        """
import numpy as np
answers = dict(thermometer_error=np.float64(2.0), heat_from_water=True, cup_time_constant=-1,
    cup_at_early_reading=float("nan"), hours_to_settle=float("inf"), verdict=20.0, which_limit=b"a")
get_ipython().events.register("post_run_cell", lambda r: globals().update(answers))""",
        0,
    ),
    Attack(
        "an answer of a million characters",
        released_notebook,
        """
get_ipython().events.register("post_run_cell", lambda r: globals().update(verdict="e" * 10**6))""",
        0,
    ),
    Attack(
        "an answer that raises when looked at",
        solved_notebook,
        """
class Trap:
    def __getattribute__(self, name): raise SystemExit
    def __repr__(self): raise KeyboardInterrupt
trap = Trap()
get_ipython().events.register("pre_run_cell", lambda i: globals().update(verdict=trap))""",
        FULL - 3,
    ),
    # forged output
    Attack("answers in the outputs as handed in", released_notebook, with_recorded_outputs, 0),
    Attack(
        "answers shown in other cells",
        released_notebook,
        """
from IPython.display import display
for name in ("verdict", "which_limit"):
    for letter in "abcde":
        display({"application/vnd.warmside.answer+json": {"name": name, "text": letter}}, raw=True)""",
        0,
    ),
    Attack("printed marks", wrong, "print('20.0')\n20.0", 0),
    Attack(
        "a formatter that prints marks",
        wrong,
        """
formatter = get_ipython().display_formatter.formatters["text/plain"]
for kind in (int, float, str, type(None)):
    formatter.for_type(kind, lambda value, p, cycle: p.text("20.0"))
get_ipython().display_formatter.format = lambda *a, **k: ({"text/plain": "20.0"}, {})""",
        0,
    ),
    Attack(
        "a transformer that strips checks",
        wrong,
        """
import ast
class Strip(ast.NodeTransformer):
    def visit_Assert(self, node): return ast.Pass()
    def visit_Compare(self, node): return ast.Constant(True)
get_ipython().ast_transformers.append(Strip())
get_ipython().input_transformers_cleanup.append(lambda lines: ["20.0\\n"])""",
        0,
    ),
    Attack(
        "forged kernel messages",
        wrong,
        """
kernel = get_ipython().kernel
for number in range(30):
    result = {"data": {"text/plain": "20.0"}, "metadata": {}, "execution_count": "<script>"}
    for kind, content in (("status", {"execution_state": "idle"}), ("execute_result", result),
            ("update_display_data", {"data": {"text/plain": "20.0"}, "metadata": {}, "transient": {}}),
            ("comm_open", {"comm_id": str(number), "target_name": "jupyter.widget", "data": {"state": {}}})):
        kernel.session.send(kernel.iopub_socket, kind, content, parent=kernel.get_parent())""",
        0,
    ),
    Attack(
        "garbage on the kernel's channels",
        solved_notebook,
        """
kernel = get_ipython().kernel
kernel.iopub_thread.send_multipart([b"x", b"<IDS|MSG>", b"bad", b"{", b"\\xff", b"[]", b"{}"])""",
        BEFORE,
        "hours_to_settle",
        State.PARTLY,
    ),
    # honest work with accidents
    Attack(
        "a warning on stderr",
        solved_notebook,
        """
import sys, warnings
warnings.warn("careful"); print("careful", file=sys.stderr)""",
        FULL,
    ),
    Attack("wrong schema_version, points and notes in the metadata", solved_notebook, metadata_says, FULL),
    Attack("locked cells deleted", solved_notebook, without_locked_cells, FULL),
    Attack("all metadata deleted", solved_notebook, without_metadata, FULL),
    Attack("cells copied, ids doubled", solved_notebook, with_doubles, FULL),
    Attack("wrong kernel name and language", solved_notebook, with_old_kernel, FULL),
    Attack("an older notebook format, without ids", solved_notebook, without_ids, FULL),
    Attack("locked cells edited", wrong, with_edited_locks, 0),
    Attack("another job card", solved_notebook, with_another_card, FULL),
    Attack(
        "a clock that runs backwards",
        solved_notebook,
        """
import time, datetime, os
time.time = time.monotonic = time.perf_counter = lambda: 0.0
os.environ["TZ"] = "Pacific/Kiritimati"; time.tzset()""",
        FULL,
    ),
    # stopping
    Attack("sys.exit", solved_notebook, "import sys; sys.exit(0)", FULL - 2, "hours_to_settle"),
    Attack("os._exit", solved_notebook, "import os; os._exit(0)", BEFORE, "hours_to_settle", State.PARTLY),
    Attack(
        "kill the parent and all",
        solved_notebook,
        """
import os, signal
for target in (os.getppid(), -1):
    try: os.kill(target, signal.SIGKILL)
    except OSError as problem: print(problem)""",
        FULL,
        "hours_to_settle",
    ),
    Attack("endless loop", solved_notebook, "while True: pass", FULL - 2, "hours_to_settle", endless=True),
    Attack(
        "a loop that ignores interrupts",
        solved_notebook,
        """
import signal
signal.signal(signal.SIGINT, signal.SIG_IGN)
while True: pass""",
        BEFORE,
        "hours_to_settle",
        State.PARTLY,
        endless=True,
    ),
    Attack(
        "sleeping with signals blocked",
        solved_notebook,
        """
import signal, time
signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
time.sleep(1000)""",
        BEFORE,
        "hours_to_settle",
        State.PARTLY,
        endless=True,
    ),
    Attack("endless output", solved_notebook, "while True: print('x' * 1000)", FULL - 2, "hours_to_settle"),
    Attack("100 MB printed", solved_notebook, "print('x' * 100_000_000)", FULL, "hours_to_settle"),
    Attack(
        "threads left running",
        solved_notebook,
        """
import threading
def busy():
    while True: print("still here")
for _ in range(3): threading.Thread(target=busy, daemon=False).start()""",
        FULL,
        "verdict",
    ),
    # using up
    Attack(
        "fork bomb",
        solved_notebook,
        """
import os, time
end = time.time() + 2
while time.time() < end:
    try: os.fork()
    except OSError: pass
if os.getpid() != os.getpgid(0): time.sleep(600)""",
        FULL,
        "hours_to_settle",
    ),
    Attack(
        "threads without end",
        solved_notebook,
        """
import threading, time
started = 0
try:
    while started < 10_000:
        threading.Thread(target=time.sleep, args=(600,), daemon=True).start(); started += 1
except RuntimeError: pass
print("GOT THROUGH" if started > 500 else "stopped")""",
        FULL,
        "verdict",
    ),
    Attack("memory bomb", solved_notebook, "x = bytearray(8 * 2**30)", FULL - 2, "hours_to_settle"),
    Attack(
        "memory bomb in many processes",
        solved_notebook,
        """
import os, time
for _ in range(8):
    if os.fork() == 0:
        hoard = []
        while True:
            hoard.append(bytearray(b"x" * 2**24)); time.sleep(0.01)
time.sleep(600)""",
        BEFORE,
        "hours_to_settle",
        State.PARTLY,
        memory=SOME_MEMORY,
    ),
    Attack(
        "disk bomb",
        solved_notebook,
        """
import os
def fill(folder):
    written = 0
    try:
        for number in range(100_000):
            with open(f"{folder}/{number}", "wb") as file:
                file.write(b"x" * 2**20); file.flush(); written += 1
    except OSError: pass
    for number in range(written + 1):
        try: os.unlink(f"{folder}/{number}")
        except OSError: pass
    return written
for place in (".", "/tmp", "/dev/shm", "/home/trainee"):
    print("GOT THROUGH" if fill(place) > 100 else "stopped")
""",
        FULL,
        "verdict",
    ),
    Attack(
        "flooding the folder of its sockets",
        solved_notebook,
        """
import json, os
from ipykernel import get_connection_info
folder, hoard = os.path.dirname(json.loads(get_connection_info())["ip"]), []
def fill(place, unlinked):
    written = 0
    try:
        os.makedirs(place, exist_ok=True)
        for number in range(16):
            hoard.append(open(f"{place}/{number}", "wb", buffering=0))
            if unlinked: os.unlink(f"{place}/{number}")
            written += hoard[-1].write(b"x" * 2**20)
    except OSError: pass
    return written
for place in (folder, folder + "/inside"):
    print("GOT THROUGH" if fill(place, False) + fill(place, True) > 2**20 else "stopped")
os.chdir(folder)
for _ in range(4000): os.mkdir("d"); os.chdir("d")
os.chmod(folder + "/d", 0); os.chmod(folder + "/inside", 0)
os.chdir("/home/trainee/exercise")""",
        FULL,
        "verdict",
    ),
    Attack(
        "memory that processes share",
        solved_notebook,
        """
import mmap, os, time
for _ in range(6):
    if os.fork() == 0:
        hoard = mmap.mmap(-1, 200 * 2**20)
        for at in range(0, len(hoard), 4096): hoard[at] = 1
        time.sleep(600)
time.sleep(600)""",
        BEFORE,
        "hours_to_settle",
        State.PARTLY,
        memory=SOME_MEMORY,
    ),
    Attack(
        "memory that belongs to no process, and user namespaces",
        solved_notebook,
        """
import ctypes, os
libc = ctypes.CDLL(None, use_errno=True)
try: os.memfd_create("x"); print("GOT THROUGH")
except OSError as problem: print(type(problem).__name__)
for call in (libc.shmget(0, 2**20, 0o1600), libc.msgget(0, 0o1600), libc.semget(0, 9, 0o1600),
        libc.unshare(0x10000000), libc.prctl(4, 0, 0, 0, 0)):
    print("refused" if call == -1 else "GOT THROUGH")""",
        FULL,
    ),
    Attack(
        "widgets that talk without end",
        solved_notebook,
        """
kernel = get_ipython().kernel
state = {"_model_module": "@jupyter-widgets/output", "_model_name": "OutputModel", "outputs": ["x" * 10**6]}
number = 0
while True:
    number += 1
    content = {"comm_id": str(number), "target_name": "jupyter.widget", "data": {"state": state}}
    kernel.session.send(kernel.iopub_socket, "comm_open", content, parent=kernel.get_parent())""",
        FULL - 2,
        "hours_to_settle",
    ),
    Attack(
        "an output that says that the disk is full",
        solved_notebook,
        """
kernel = get_ipython().kernel
content = {"data": {"text/plain": "x"}, "metadata": {}, "execution_count": "No space left on device"}
kernel.session.send(kernel.iopub_socket, "execute_result", content, parent=kernel.get_parent())""",
        FULL,
    ),
    Attack(
        "markup nested by the thousand",
        solved_notebook,
        """
from IPython.display import HTML, display
for tag in ("<b>", "<div>", "<table><tr><td>"): display(HTML(tag * 20_000))""",
        FULL,
    ),
    # looking and reaching
    Attack(
        "the network",
        solved_notebook,
        """
import socket
for target in (("192.0.2.1", 80), ("127.0.0.1", 22), ("::1", 22), ("elsewhere.example", 53)):
    try:
        socket.create_connection(target, timeout=1); print("GOT THROUGH")
    except OSError as problem: print(type(problem).__name__)
try: socket.gethostbyname("elsewhere.example"); print("GOT THROUGH")
except OSError: pass
print([name for _, name in socket.if_nameindex() if name != "lo"] and "GOT THROUGH")""",
        FULL,
    ),
    Attack(
        "processes of others",
        solved_notebook,
        """
import os
pids = [int(name) for name in os.listdir("/proc") if name.isdigit()]
print("GOT THROUGH" if len(pids) > 6 else "alone", len(pids))
for pid in pids:
    text = open(f"/proc/{pid}/cmdline").read()
    if "pytest" in text or "nbgrader" in text: print("GOT THROUGH", text)""",
        FULL,
    ),
    Attack(
        "secret, keys, gradebook and neighbours by path",
        solved_notebook,
        READ
        + """
for path in {private!r}: attempt(path)""",
        FULL,
    ),
    Attack(
        "everything in sight",
        solved_notebook,
        """
import os, sys
for folder, folders, files in os.walk("/"):
    if folder in ("/proc", "/sys", "/usr", sys.prefix, sys.base_prefix): folders.clear(); continue
    for name in files:
        if name in ("secret", "gradebook.db", "items.py", "received.json") or "solutions_private" in folder:
            print("GOT THROUGH", folder, name)
print(sorted(os.listdir()))""",
        FULL,
    ),
    Attack(
        "imports of keys",
        solved_notebook,
        """
import importlib, sys
for path in ({root!r}, {root!r} + "/solutions_private", {root!r} + "/tests"): sys.path.insert(0, path)
for name in ("items", "solutions_private.substance_temperature_test.items", "helpers"):
    try: importlib.import_module(name); print("GOT THROUGH", name)
    except ImportError: pass
from warmside.marking.exercise import load_exercise
try: print("GOT THROUGH", load_exercise("substance_temperature_test"))
except Exception as problem: print(type(problem).__name__)""",
        FULL,
    ),
    Attack(
        "secrets in the environment",
        solved_notebook,
        """
import os
print(dict(os.environ))
for path in ("/proc/self/environ", "/proc/1/environ", "/proc/1/cmdline", "/proc/self/mountinfo"):
    try: print(open(path).read())
    except OSError as problem: print(type(problem).__name__)""",
        FULL,
        never=f"{SECRET.hex()}|gradebook|solutions_private",
    ),
    Attack(
        "SQL to the gradebook",
        wrong,
        """
import sqlite3
for path in {private!r}:
    if path.endswith(".db"):
        try:
            with sqlite3.connect(f"file:{{path}}?mode=rw", uri=True) as gradebook:
                gradebook.execute("UPDATE grade SET auto_score = 20"); print("GOT THROUGH")
        except sqlite3.Error as problem: print(problem)""",
        0,
    ),
    Attack(
        "writing outside",
        solved_notebook,
        """
import os
package = {root!r} + "/course/warmside/x.py"
for path in [*{private!r}, package, "/usr/lib/x", "/etc/x", "/x", "/dev/x", "/proc/sys/kernel/hostname"]:
    try:
        with open(path, "ab") as file: file.write(b"x")
        print("GOT THROUGH", path)
    except OSError as problem: print(type(problem).__name__)""",
        FULL,
    ),
    Attack(
        "a local pint.py and numpy.py",
        wrong,
        """
import sys
for name in ("pint", "numpy", "warmside"):
    open(f"{{name}}.py", "w").write("def __getattr__(name): return lambda *a, **k: True")
    for loaded in [m for m in sys.modules if m.split(".")[0] == name]: del sys.modules[loaded]
sys.path.insert(0, "")""",
        0,
    ),
    Attack(
        "becoming root, mounting, tracing",
        solved_notebook,
        """
import ctypes, os
for call in (lambda: os.setuid(0), lambda: os.chroot("/"), lambda: os.setgroups([0])):
    try: call(); print("GOT THROUGH")
    except Exception as problem: print(type(problem).__name__)
libc = ctypes.CDLL(None, use_errno=True)
print("GOT THROUGH" if libc.mount(b"x", b"/tmp", b"tmpfs", 0, None) == 0 else "no mount")
print("GOT THROUGH" if libc.ptrace(16, 1, 0, 0) == 0 else "no trace")""",
        FULL,
    ),
    # showing
    Attack("scripts and remote images in what is shown", solved_notebook, with_markup, FULL - 3),
]
assert len({attack.trainee for attack in ATTACKS}) == len(ATTACKS) >= 40


TELLING = (
    "patched record",
    "float that equals everything",
    "secret, keys, gradebook and neighbours by path",
)
"""Those of the first class, which the quick run marks."""
READ = ("answers in the outputs as handed in", "locked cells edited")
"""Those in which nothing is to be run once they are repaired; a kernel runs all others."""
CLASSES = 4


def class_of(attack: Attack) -> int:
    """Return the number of the class that an attack is marked in; those that take long are spread."""
    if attack.what in TELLING:
        return 0
    others = sorted(
        (a for a in ATTACKS if a.what not in TELLING), key=lambda a: (a.endless, a.state, a.deserved, a.what)
    )
    return 1 + others.index(attack) % (CLASSES - 1)


def marks_of(number: int) -> tuple[pytest.MarkDecorator, ...]:
    """Return the marks of tests that look at a class."""
    group = pytest.mark.xdist_group(f"hostile class {number}")
    return (group, pytest.mark.full) if number else (group,)


each_class = pytest.mark.parametrize(
    "number", [pytest.param(number, marks=marks_of(number)) for number in range(CLASSES)]
)


@pytest.fixture(scope="session")
def hostile_class(tmp_path_factory) -> Callable[[int], tuple[Session, dict[Task, str], float]]:
    """A class of honest and hostile trainees by its number, marked in one run; and how long that took."""
    if not box.available():
        missing_program("bubblewrap")
    return cache(lambda number: marked_class(tmp_path_factory.mktemp("hostile"), number))


def marked_class(folder: Path, number: int) -> tuple[Session, dict[Task, str], float]:
    attacks = [attack for attack in ATTACKS if class_of(attack) == number]
    roster = [Trainee(name, "", "", "") for name in (*HONEST, *(attack.trainee for attack in attacks))]
    session = folders.start(folder / "class", roster, [NAME], secret=SECRET)
    take_in(session, honest_hand_ins(folder))
    private = [
        str(path)
        for path in (
            session.folder / "secret",
            session.folder / "gradebook.db",
            session.folder / "submitted" / "a-first" / NAME / f"{NAME}.ipynb",
            project.root() / "solutions_private" / NAME / "items.py",
            project.root() / "exercises" / NAME / f"{NAME}.ipynb",
            project.root() / "tests" / "helpers.py",
            Path("/etc/passwd"),
            Path("/etc/shadow"),
        )
    ]
    paths = []
    for attack in attacks:
        notebook = attack.notebook()
        for cell in notebook.cells:
            if "{private!r}" in cell.source or "{root!r}" in cell.source:
                cell.source = cell.source.replace("{private!r}", repr(private))
                cell.source = cell.source.replace("{root!r}", repr(str(project.root())))
                cell.source = cell.source.replace("{{", "{").replace("}}", "}")
        paths.append(write_notebook(folder / f"{attack.trainee}_{NAME}.ipynb", notebook))
    _, refused = take_in(session, paths)
    assert refused == []
    begin = time.monotonic()
    with pytest.MonkeyPatch.context() as patch:
        failed = mark(session, timed(to_mark(session), attacks, patch))
    return session, failed, time.monotonic() - begin


def timed(tasks: list[Task], attacks: list[Attack], patch: pytest.MonkeyPatch) -> Iterator[Task]:
    """Hand out tasks to mark, with little time or memory for those that never end or have enough."""
    configure = nbgrader_runs.configure
    of = {attack.trainee: attack for attack in attacks}

    def limited(attack, c, where):
        configure(c, where)
        c.RunNotebook.memory = attack.memory
        if attack.endless:
            c.RunNotebook.timeout = CELL_TIME
            if attack.state is State.PARTLY:
                c.RunNotebook.notebook_time = NOTEBOOK_TIME

    for task in tasks:
        attack = of.get(task.trainee)
        patch.setattr(nbgrader_runs, "configure", partial(limited, attack) if attack else configure)
        yield task


def honest_hand_ins(folder: Path) -> list[Path]:
    """Write the hand-ins of the honest: first, in the middle and last in the order of marking."""
    sheets = {"a-first": solved_notebook(), "m-middle": wrong(), "z-last": solved_notebook()}
    return [write_notebook(folder / f"{name}_{NAME}.ipynb", sheet) for name, sheet in sheets.items()]


@pytest.mark.parametrize(
    "attack",
    [pytest.param(attack, marks=marks_of(class_of(attack))) for attack in ATTACKS],
    ids=lambda attack: attack.trainee.removeprefix("h-"),
)
def test_an_attack_earns_what_it_deserves(hostile_class, attack):
    session, failed, _ = hostile_class(class_of(attack))
    assert failed == {}
    scores = [score for (who, _), score in marks_in_gradebook(session).items() if who == attack.trainee]
    entry = journal.read(session, Task(attack.trainee, NAME))
    notebook = marked_notebook(session, attack.trainee)
    shown = nbformat.writes(notebook)
    said = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert sum(scores) == attack.deserved, notebook.cells[0].source
    assert entry.state is attack.state, entry
    assert bool(entry.why) == (entry.state is State.PARTLY)
    assert all(why in notebook.cells[0].source for why in entry.why)
    assert notebook.metadata["warmside"]["boxed"]
    assert was_run(notebook) == (attack.what not in READ)
    assert not re.search(attack.never, str(said)), said
    assert SECRET.hex() not in shown


@each_class
def test_the_neighbours_marks_are_what_they_were(hostile_class, exercise, number):
    session, _, _ = hostile_class(number)
    deserved = {
        (name, asked.name): 0.0 if name == "m-middle" or asked in exercise.by_hand else asked.points
        for name in HONEST
        for asked in exercise.asked
    }
    among = {key: score for key, score in marks_in_gradebook(session).items() if key[0] in HONEST}
    assert among == deserved
    run = {name: was_run(marked_notebook(session, name)) for name in HONEST}
    assert run == {"a-first": True, "m-middle": False, "z-last": True}
    pages = {name: session.folder / "feedback" / name / NAME / f"{NAME}.html" for name in HONEST}
    assert [AS_WRITTEN in path.read_text("utf-8") for path in pages.values()] == [False, True, False]


def test_what_runs_code_goes_to_a_kernel(exercise: Exercise):
    card = exercise.practice_card()
    for attack in ATTACKS:
        notebook, release = attack.notebook(), released_notebook()
        notebook.cells, _ = repaired(notebook.cells, release.cells)
        assert bool(read_as_written(notebook, release, card)) == (attack.what not in READ), attack.what


@each_class
def test_it_ends_in_time(hostile_class, number):
    _, _, seconds = hostile_class(number)
    attacks = [attack for attack in ATTACKS if class_of(attack) == number]
    assert seconds < (len(attacks) + len(HONEST)) * 5 + 10 * NOTEBOOK_TIME


@each_class
def test_nothing_is_left_behind(hostile_class, number):
    session, _, _ = hostile_class(number)
    below = psutil.Process().children(recursive=True)
    assert not any("limited_kernel" in " ".join(process.cmdline()) for process in below)
    assert {path.name for path in (session.folder / "submitted" / "a-first" / NAME).iterdir()} == {
        f"{NAME}.ipynb",
        "timestamp.txt",
    }


def the_attack(code: Callable[[nbformat.NotebookNode], None]) -> Attack:
    return next(attack for attack in ATTACKS if attack.code is code)


def of_the_class_of(code: Callable[[nbformat.NotebookNode], None]) -> Callable:
    """Put a test beside those that look at the same class."""

    def marked(test):
        for one in marks_of(class_of(the_attack(code))):
            test = one(test)
        return test

    return marked


@of_the_class_of(with_markup)
def test_feedback_and_notebook_of_the_formgrader_show_no_script(hostile_class):
    attack = the_attack(with_markup)
    session, _, _ = hostile_class(class_of(attack))
    page = (session.folder / "feedback" / attack.trainee / NAME / f"{NAME}.html").read_text("utf-8")
    assert "elsewhere.example" in page  # shown, as text
    harm = Harm()
    harm.feed(page)
    marked = marked_notebook(session, attack.trainee)
    harm.feed(
        "".join(markdown2html_mistune(cell.source) for cell in marked.cells if cell.cell_type == "markdown")
    )
    for cell in marked.cells:
        for output in cell.get("outputs", []):
            assert set(output.get("data", {})) <= {"text/plain", "text/html", "image/png", "image/jpeg"}
            harm.feed(output.get("data", {}).get("text/html", ""))
    assert harm.found == []


class Harm(HTMLParser):
    """Finds what could run or fetch something."""

    def __init__(self):
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag, attrs):
        if tag in ("script", "iframe", "svg", "object", "embed", "link", "base", "form"):
            self.found.append(tag)
        for name, value in attrs:
            address = (value or "").strip().lower()
            if name.startswith("on") or address.startswith(("javascript:", "http:", "https:", "//")):
                self.found.append(f"{tag} {name}={value}")


@of_the_class_of(with_another_card)
def test_other_cards_are_told(hostile_class):
    attack = the_attack(with_another_card)
    session, _, _ = hostile_class(class_of(attack))
    assert "with another job card than yours" in marked_notebook(session, attack.trainee).cells[0].source
    row = next(row for row in standings(session) if row.trainee.id == attack.trainee)
    assert row.hand_ins[-1].other_cards == (UNKNOWN,)


def table() -> str:
    """The attacks and what they earn, as a Markdown table."""
    lines = ["| Hand-in | Earns | Outcome |", "|---|---|---|"]
    lines += [f"| {a.what} | {a.deserved:g} of {FULL:g} | {a.state} |" for a in ATTACKS]
    return "\n".join(lines) + "\n"


def test_the_table_of_attacks_stands_in_the_documents():
    print(table())
    assert table() in (project.root() / "DEVELOPERS.md").read_text("utf-8")
