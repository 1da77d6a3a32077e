"""What marking notes in a notebook and its cells, under a key of ours in their metadata."""

from dataclasses import asdict, dataclass, field, fields
from typing import Self

from nbformat import NotebookNode

from warmside.marking.marks import Outcome

_KEY = "warmside"


@dataclass
class _Noted:
    """A record that reads and writes itself; what it doesn't know is left out, what is missing is usual."""

    @classmethod
    def of(cls, part: NotebookNode) -> Self:
        """Return what is noted in a notebook or a cell."""
        kept = part.metadata.get(_KEY, {})
        return cls(**{each.name: kept[each.name] for each in fields(cls) if each.name in kept})

    def note(self, part: NotebookNode) -> None:
        """Note it in a notebook or a cell, in place of what is noted there."""
        part.metadata[_KEY] = asdict(self)


@dataclass
class RunNoted(_Noted):
    """What became of a hand-in as a whole.

    Attributes
    ----------
    notes : list of str
        Sentences for the trainee: what had to be mended, what was left out.
    boxed : bool
        Whether it was run in a box, as far as it was run.
    cut_short : list of str
        Why it didn't run to its end; empty where it did.
    """

    notes: list[str] = field(default_factory=list)
    boxed: bool = True
    cut_short: list[str] = field(default_factory=list)

    def end_early(self, reason: str) -> None:
        """Note that it didn't run to its end, for its trainee and for the journal."""
        self.notes.append(f"{reason} Answers after that could not be recorded.")
        self.cut_short = [reason]


@dataclass
class MarkNoted(_Noted):
    """What became of one answer, noted in its graded cell.

    Attributes
    ----------
    outcome : Outcome
        What became of it.
    mistake : str
        The name of the mistake that explains it, or empty.
    answer : str
        The recorded text, or empty.
    """

    outcome: Outcome = Outcome.UNANSWERED
    mistake: str = ""
    answer: str = ""

    def __post_init__(self) -> None:
        self.outcome = Outcome(self.outcome)


@dataclass
class CellNoted(_Noted):
    """For whom a cell is that marking adds; the template of feedback pages leaves out the instructor's.

    Attributes
    ----------
    instructor_only : bool
        Whether it is for the instructor alone.
    """

    instructor_only: bool = False
