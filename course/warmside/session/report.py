"""The report on a session: one page for people, one CSV for machines, lines for the terminal."""

import csv
import io
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from jinja2 import Environment, PackageLoader

from warmside.marking.exercise import Asked, ByHand, Exercise
from warmside.marking.feedback import SIGNS
from warmside.marking.marks import WAITING, Outcome
from warmside.private_file import write_private
from warmside.session.folder import Session
from warmside.session.found_notebooks import Refused
from warmside.session.hand_in import left_alone
from warmside.session.roster import Trainee
from warmside.session.standing import Standing, standings

_PAGES = Environment(
    loader=PackageLoader("warmside.show", "pages"), autoescape=True, trim_blocks=True, lstrip_blocks=True
)
_PAGES.filters["g"] = "{:g}".format
_PAGES.filters["percent"] = "{:.0%}".format
_ITEM_COLUMNS = ["item", "score", "points", "outcome", "mistake"]


@dataclass(frozen=True)
class ItemSummary:
    """What the class made of one item.

    Attributes
    ----------
    item : Asked or ByHand
        Which one.
    marked : int
        How many hand-ins were marked.
    share : float or None
        Marks earned as a share of those possible; None while one waits to be marked by hand.
    outcomes : dict of Outcome to int
        How often each outcome occurred.
    mistakes : list of (str, int)
        Mistakes by name, the most frequent first.
    """

    item: Asked | ByHand
    marked: int
    share: float | None
    outcomes: dict[Outcome, int]
    mistakes: list[tuple[str, int]]


def summarise(exercise: Exercise, rows: list[Standing]) -> list[ItemSummary]:
    """Return what the class made of each item of an exercise."""
    marked = [row for row in rows if row.exercise.name == exercise.name and row.items]
    summaries = []
    for index, item in enumerate(exercise.asked):
        of_item = [row.items[index] for row in marked]
        waits = any(standing.outcome in WAITING for standing in of_item)
        possible = 0.0 if waits else sum(standing.points for standing in of_item)
        mistakes = Counter(standing.mistake for standing in of_item if standing.mistake)
        summaries.append(
            ItemSummary(
                item=item,
                marked=len(of_item),
                share=sum(standing.score for standing in of_item) / possible if possible else None,
                outcomes=dict(Counter(standing.outcome for standing in of_item)),
                mistakes=mistakes.most_common(),
            )
        )
    return summaries


def write_report(session: Session, *, ids_only: bool = False) -> tuple[Path, Path]:
    """Write the page and the CSV, with names or with ids alone; return where they lie."""
    folder = session.folder / "report"
    folder.mkdir(exist_ok=True)
    rows = standings(session)
    if ids_only:
        rows = [replace(row, trainee=Trainee(row.trainee.id, "", "", "")) for row in rows]
    page, table = folder / "index.html", folder / "marks.csv"
    write_private(page, report_page(session, rows, [] if ids_only else left_alone(session)))
    write_private(table, marks_csv(rows))
    return page, table


def report_page(session: Session, rows: list[Standing], left: Sequence[tuple[str, Refused]] = ()) -> str:
    """Return the report as HTML; `left` is what was left alone, and when."""
    sections = [
        (exercise, [row for row in rows if row.exercise.name == exercise.name], summarise(exercise, rows))
        for exercise in session.exercises()
    ]
    return _PAGES.get_template("report.html").render(
        session=session,
        due=session.due(),
        sections=sections,
        signs=SIGNS,
        outcomes=list(Outcome),
        unboxed=[row for row in rows if not row.boxed],
        left_alone=left,
        waiting=WAITING,
        when=lambda text: f"{datetime.fromisoformat(text).astimezone():%Y-%m-%d %H:%M}",
    )


def marks_csv(rows: list[Standing]) -> str:
    """Return marks as CSV, one line for each trainee and item, all fields quoted."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_ALL)
    writer.writerow(
        ["trainee", "first name", "last name", "exercise", "handed in", "late", "state", *_ITEM_COLUMNS]
    )
    for row in rows:
        trainee = row.trainee
        who = [plain(trainee.id), plain(trainee.first_name), plain(trainee.last_name), row.exercise.name]
        when = [row.counting.at if row.counting else "", "yes" if row.late else "no", row.state]
        for item in row.items:
            score = "" if item.outcome in WAITING else f"{item.score:g}"
            result = [item.name, score, f"{item.points:g}", item.outcome.value, item.mistake]
            writer.writerow(who + when + result)
        if not row.items:
            writer.writerow(who + when + [""] * len(_ITEM_COLUMNS))
    return text.getvalue()


def marks_lines(rows: list[Standing]) -> Iterator[str]:
    """Yield marks as lines for a terminal, one for each trainee and exercise."""
    width = max((len(row.trainee.full_name) for row in rows), default=0)
    for row in rows:
        marks = "      –" if row.score is None else f"{row.score:5g} of {row.points:g}"
        waiting = f"  ({row.waiting:g} wait)" if row.waiting else ""
        late = "  late" if row.late else ""
        name = _isolated(row.trainee.full_name.ljust(width))
        yield f"{row.trainee.id:6} {name}  {marks:12} {row.exercise.name}  {row.state}{waiting}{late}"
        for sentence in row.to_look_at:
            yield f"       look at this: {sentence}"


def _isolated(name: str) -> str:
    """Return a name that, where it runs from right to left, leaves the rest of its line in order."""
    runs_left = any(unicodedata.bidirectional(char) in ("R", "AL") for char in name)
    return f"\u2068{name}\u2069" if runs_left else name


def plain(text: str) -> str:
    """Return a text that a spreadsheet won't take for a formula."""
    begins = unicodedata.normalize("NFKC", text.lstrip()[:1])  # full-width signs begin a formula, too
    return "'" + text if begins in ("=", "+", "-", "@") or text[:1] in ("\t", "\r", "\n") else text
