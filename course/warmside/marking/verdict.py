"""What an answer earns, and what is said of it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Table:
    """A table that goes with feedback.

    Attributes
    ----------
    caption : str
        What it shows.
    head : tuple of str
        Titles of its columns.
    rows : tuple of tuple of str
        Its lines; the first cell of each names the line.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Verdict:
    """What an answer earns, and what to say of it.

    Attributes
    ----------
    share : float
        Of the marks, 0 to 1.
    feedback : tuple of str
        Sentences for the trainee.
    mistake : str
        The name of the mistake that explains it, or empty.
    carried : bool
        Whether it is right by what the trainee answered earlier alone.
    """

    share: float
    feedback: tuple[str, ...]
    mistake: str = ""
    carried: bool = False
