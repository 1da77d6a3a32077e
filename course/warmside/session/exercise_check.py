"""The author's check of an exercise: is it solvable, fair, and does each mistake earn its own message?"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from pathlib import Path
from queue import Empty
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Self

import nbformat
from jupyter_client import KernelManager

from warmside import project
from warmside.marking.cells import MIME_TYPE, grade_id
from warmside.marking.exercise import SEPARATION, Asked, Exercise, Job, load_exercise
from warmside.marking.job_card import Draw, JobCard, keyed
from warmside.marking.marks import Outcome, mark

DRAWS, DRAWS_FROM_BANK = 1000, 100
MOST_DRAWS_A_CARD = 3.0
_SECRET = b"check of an exercise"  # of these cards alone: no session's
_CELL_TIME = 60
_ENOUGH_CARDS = 50  # to say that what never happened on them can't happen
_RUN_CELLS = """
def run_cells(cells):
    namespace = {}
    for cell in cells:
        exec(cell, namespace)
"""

_TOLD = 3

Progress = Callable[[int, int], None]


class Kernel:
    """A real kernel that runs a notebook's cells on one job card after the other."""

    def __enter__(self) -> Self:
        """Start it."""
        self._manager = KernelManager(transport_encryption="auto")
        self._manager.start_kernel()
        self._client = self._manager.client()
        self._client.start_channels()
        self._client.wait_for_ready(timeout=_CELL_TIME)
        self._execute(_RUN_CELLS)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End it."""
        self._client.stop_channels()
        self._manager.shutdown_kernel(now=True)

    def run(self, cells: Sequence[str], folder: str | Path) -> dict[str, str | None]:
        """Run cells of code in a folder; return what they recorded, by name.

        Raises
        ------
        RuntimeError
            If a cell stops with an error.
        """
        return self._execute(f"import os; os.chdir({str(folder)!r}); run_cells({list(cells)!r})")

    def silent(self) -> bool:
        """Tell whether nothing that it sent is left unread."""
        try:
            self._client.get_iopub_msg(timeout=0.5)
        except Empty:
            return True
        return False

    def _execute(self, code: str) -> dict[str, str | None]:
        answers = {}

        def keep(message: dict) -> None:
            payload = message["content"].get("data", {}).get(MIME_TYPE)
            if payload:
                answers[payload["name"]] = payload["text"]

        reply = self._client.execute_interactive(code, output_hook=keep, timeout=_CELL_TIME)
        if reply["content"]["status"] != "ok":
            raise RuntimeError(f"{reply['content'].get('ename')}: {reply['content'].get('evalue')}")
        return answers


def code_of(notebook: nbformat.NotebookNode) -> list[str]:
    """Return all code but pictures, which record nothing and take most of the time."""
    return [cell.source for cell in notebook.cells if cell.cell_type == "code" and grade_id(cell) != "log"]


@dataclass
class ItemCheck:
    """What was found about one item.

    Attributes
    ----------
    item : Asked
        Which one.
    full, nothing : int
        Cards on which the solution earned all, and the release as handed out nothing.
    named, arisen : collections.Counter
        By mistake: cards on which it earned its own message, and on which it can happen.
    nearest : float
        The least distance between truth and mistakes on any card, in tolerances; infinite without numbers.
    keys : list
        The right answers, in US units or as letters; empty for judged items.
    """

    item: Asked
    full: int = 0
    nothing: int = 0
    named: Counter = field(default_factory=Counter)
    arisen: Counter = field(default_factory=Counter)
    nearest: float = float("inf")
    keys: list[float | str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The item's name."""
        return self.item.name

    @property
    def spread(self) -> str:
        """The range of the keys as text."""
        return self.item.asks.spread(self.keys) if self.keys else "judged"


@dataclass(frozen=True)
class ExerciseCheck:
    """What was found about an exercise.

    Attributes
    ----------
    exercise : Exercise
        Which.
    cards : int
        Job cards that solution, release and mistakes were tried on.
    items : tuple of ItemCheck
        By item.
    draws, kept : int
        Draws of a job card, and those among them on which truth and mistakes lie apart.
    problems : tuple of str
        What is wrong, in sentences.
    """

    exercise: Exercise
    cards: int
    items: tuple[ItemCheck, ...]
    draws: int
    kept: int
    problems: tuple[str, ...]

    @property
    def draws_a_card(self) -> float:
        """How many draws a card takes on average."""
        return self.draws / self.kept if self.kept else float("inf")


def check_exercise(name: str, cards: int = 100, progress: Progress = lambda done, of: None) -> ExerciseCheck:
    """Try an exercise out on many job cards.

    Parameters
    ----------
    name : str
        The exercise.
    cards : int
        How many job cards.
    progress : callable, optional
        Called with steps done and steps in all.
    """
    exercise = load_exercise(name)
    draws = DRAWS_FROM_BANK if exercise.needs_bank else DRAWS
    steps, done, kept = cards + draws, 0, 0
    close: Counter = Counter()
    for number in range(draws):
        entries, files = exercise.draw(Draw(keyed(_SECRET, "draw", str(number))))
        pairs = exercise.confusable(JobCard(name, "nobody", "", entries, files))
        close.update(pairs)
        kept += not pairs
        progress(done := done + 1, steps)
    items = tuple(ItemCheck(item) for item in exercise.items)
    stopped: list[str] = []
    if kept:
        source, release = (_code(folder, name) for folder in ("solutions_private", "exercises"))
        with Kernel() as kernel:
            for number in range(cards):
                card = exercise.job_card(_SECRET, f"card{number}")
                try:
                    _try_notebooks(kernel, source, release, card, exercise, items)
                except RuntimeError as problem:
                    stopped.append(f"On card {number} a cell stopped with {problem}.")
                _try_mistakes(card, exercise, items)
                progress(done := done + 1, steps)
    found = ExerciseCheck(exercise, cards if kept else 0, items, draws, kept, ())
    return replace(found, problems=(*stopped[:_TOLD], *_unfair(found, close), *_problems(found)))


def _code(folder: str, name: str) -> list[str]:
    path = project.root() / folder / name / f"{name}.ipynb"
    return code_of(nbformat.read(path, as_version=4))


def _try_notebooks(
    kernel: Kernel,
    source: Sequence[str],
    release: Sequence[str],
    card: JobCard,
    exercise: Exercise,
    items: Sequence[ItemCheck],
) -> None:
    with TemporaryDirectory() as folder:
        for name, text in card.as_files().items():
            Path(folder, name).write_text(text, encoding="utf-8")
        solved, untouched = (mark(kernel.run(cells, folder), card, exercise) for cells in (source, release))
    for item, best, least in zip(items, solved, untouched, strict=True):
        item.full += best.score == best.points
        item.nothing += least.score == 0


def _try_mistakes(card: JobCard, exercise: Exercise, items: Sequence[ItemCheck]) -> None:
    job = Job(exercise, card)
    for item, found in zip(exercise.items, items, strict=True):
        paths = item.paths(job)
        for mistake, value in paths[1:]:
            answers = {item.name: item.asks.typed(value)}
            (said,) = [m for m in mark(answers, card, exercise) if m.item == item.name]
            found.arisen[mistake] += 1
            found.named[mistake] += (said.outcome, said.mistake) == (Outcome.MISTAKE, mistake)
        values = [value for _, value in paths]
        found.keys += map(item.asks.shown, values[:1])
        apart = [item.asks.apart(one, other) for one, other in combinations(values, 2)]
        found.nearest = min([found.nearest, *apart])


def _unfair(found: ExerciseCheck, close: Counter) -> list[str]:
    """Say which pairs of truth and mistakes have too many draws thrown away."""
    if found.draws_a_card < MOST_DRAWS_A_CARD:
        return []
    said = [f"A job card takes {found.draws_a_card:.2f} draws; under {MOST_DRAWS_A_CARD:g} would be fair."]
    return said + [
        f"{item}: “{one}” and “{other}” lie too close on {count} of {found.draws} draws."
        for (item, one, other), count in close.most_common(_TOLD)
    ]


def _problems(found: ExerciseCheck) -> list[str]:
    said = []
    for item in found.items:
        if item.full < found.cards:
            said.append(f"{item.name}: the solution earns full marks on {item.full} of {found.cards} cards.")
        if item.nothing < found.cards:
            short = found.cards - item.nothing
            said.append(
                f"{item.name}: the release as handed out earns marks on {short} of {found.cards} cards."
            )
        for mistake in item.item.mistakes:
            named, arisen = item.named[mistake.name], item.arisen[mistake.name]
            if not arisen and found.cards >= _ENOUGH_CARDS:
                said.append(f"{item.name}: the mistake “{mistake.name}” can't happen on any of the cards.")
            elif named < arisen:
                said.append(
                    f"{item.name}: “{mistake.name}” earns its own message on {named} of {arisen} cards."
                )
        if item.nearest <= SEPARATION:
            said.append(f"{item.name}: truth and mistakes lie only {item.nearest:.1f} tolerances apart.")
        if len(set(item.keys)) == 1 and not item.item.asks.may_repeat and found.cards > 1:
            said.append(f"{item.name}: the right answer is the same on every card.")
    return said


def as_text(found: ExerciseCheck) -> str:
    """Return what was found as a table, one line for each item."""
    rows = [("item", "full", "zero", "mistakes", "nearest", "right answers: least … middle … most")]
    for item in found.items:
        earned = sum(item.named[name] == count for name, count in item.arisen.items())
        mistakes = f"{earned} of {len(item.arisen)}" if item.keys else "–"
        nearest = f"{item.nearest:.1f}" if item.nearest < float("inf") else "–"
        rows.append((item.name, f"{item.full}", f"{item.nothing}", mistakes, nearest, item.spread))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(map(str.ljust, row, widths)).rstrip() for row in rows]
    return "\n".join(
        [
            f"{found.exercise.title}, tried on {found.cards} job cards",
            "full, zero: cards on which the solution earns full marks, and the release none",
            "mistakes: those that earn their own message on each card where they can happen",
            "nearest: the least distance of truth and mistakes, in tolerances",
            *lines,
            f"{found.draws} draws, {found.kept} of them fair: {found.draws_a_card:.2f} draws for a job card.",
        ]
    )
