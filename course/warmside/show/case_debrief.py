"""What is said after a commit: what was right, on which readings, and what a wrong call costs."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import NamedTuple

from jinja2 import Environment

from warmside.blocks import bar, table
from warmside.colours import BLUE
from warmside.diagnosis.evidence import evidence
from warmside.diagnosis.fault import REMEDIES
from warmside.diagnosis.faults import FAULTS, NONE, Label, condemns, title_of
from warmside.diagnosis.leading import Proof
from warmside.diagnosis.readings import READINGS, Readings
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.hazards import StopSign
from warmside.show.case_commit import Commit
from warmside.show.case_odds import Odds, odds
from warmside.show.sealing import DEBRIEF_NAME, opened, sealed

Rows = tuple[tuple[str, ...], ...]
Table = tuple[str, tuple[str, ...], Rows]
"""Caption, heads, rows."""

HEADS = ("Reading", "It shows", "Minutes so far", "Likeliest then", "Chance of what is right")
_PAGE = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(
    """<div style="{{ bar }}">
<p><b>Debrief</b> (invented case, chances of a teaching model)</p>
{% for sentence in said %}<p>{{ sentence }}</p>{% endfor %}
{% for caption, heads, rows in tables %}{{ table(caption, heads, rows) }}{% endfor %}</div>"""
)


@dataclass(frozen=True)
class Debrief:
    """What whoever made a case hands out after the commit.

    Attributes
    ----------
    labels : tuple of Label
        What was wrong: one label, or those of a tie.
    needed : tuple of str
        Readings that no proof of it does without.
    performs : bool
        Whether these alone prove it.
    minutes : float
        What the cheapest way takes.
    how_decided : str
        What makes the cheapest readings decide it.
    cheapest_way, wrong_calls, retest : tuple of tuple of str
        Rows of the tables that are shown.
    """

    labels: tuple[Label, ...]
    needed: tuple[str, ...]
    performs: bool
    minutes: float
    how_decided: str
    cheapest_way: Rows
    wrong_calls: Rows
    retest: Rows


def file_name(number: str) -> str:
    """Return what the file of a case's debrief is called."""
    return f"case_{number}_debrief.json"


def as_text(known: Debrief, number: str) -> str:
    """Return the text of that file."""
    whole = {"note": _NOTE, "case": number, "debrief": sealed(asdict(known), number, DEBRIEF_NAME)}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def read_debrief(number: str, folder: Path) -> Debrief:
    """Read the debrief of a case that lies in a folder: there, or beside that.

    Raises
    ------
    InputError
        If it isn't there, or is another one.
    """
    places = [place / file_name(number) for place in (folder, folder.resolve().parent)]
    path = next((place for place in places if place.is_file()), None)
    if path is None:
        raise InputError(
            f"The debrief is the file {file_name(number)}: whoever gave you this case gives you that after "
            "your commit. Put it beside the notebook."
        )
    try:
        known = opened(json.loads(path.read_text("utf-8"))["debrief"], number, DEBRIEF_NAME)
        known |= {name: tuple(map(tuple, known[name])) for name in _LISTS} | {
            "needed": tuple(known["needed"])
        }
        if not all(name in FAULTS for label in known["labels"] for name in label):
            raise ValueError
        return Debrief(**known)
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(f"{path.name} is no debrief of this case any more; copy it again.") from None


_NOTE = "What was right in an invented case, sealed so that nobody reads it by accident before the commit."
_LISTS = ("labels", "cheapest_way", "wrong_calls", "retest")


class Told(NamedTuple):
    """What is said after a commit.

    Attributes
    ----------
    plain, page : str
        All of it, as plain text and as HTML.
    said : tuple of str
        Its sentences.
    odds : Odds or None
        What each reading changed; None where the job stopped.
    cheapest : float or None
        What the cheapest way takes [min]; None where the job stopped.
    """

    plain: str
    page: str
    said: tuple[str, ...]
    odds: Odds | None = None
    cheapest: float | None = None


def debrief(known: Debrief, committed: Commit, readings: Readings, shown: Sequence[tuple[str, str]]) -> Told:
    """Return a debrief.

    Parameters
    ----------
    known : Debrief
        What was right.
    committed : Commit
        To what the trainee has committed.
    readings : Readings
        What was read.
    shown : sequence of (str, str)
        Name and text of each of these, in order.
    """
    proof = Proof(known.labels, evidence(readings, usual_bank()), known.needed, known.performs)
    taken = [name for name, _ in shown]
    said = [*_of_the_call(proof, committed), *_of_the_minutes(proof, known, committed, taken)]
    tables: list[Table] = [
        (f"The cheapest way: {known.minutes:g} minutes", HEADS, known.cheapest_way),
        (f"Your way: {committed.minutes:g} minutes", HEADS, way(proof, shown)),
        ("What a wrong call costs", ("Call", "What it costs"), known.wrong_calls),
        ("The re-test on such a day, once it is put right", ("Reading", "It shows"), known.retest),
    ]
    return _page(said, tables)._replace(odds=odds(proof, shown), cheapest=known.minutes)


def debrief_of_a_stop(met: Iterable[StopSign], committed: Commit) -> Told:
    """Return the same of a case that ends at stop signs."""
    return _page([*_of_a_stop(met, committed)], [])


def _page(said: list[str], tables: list[Table]) -> Told:
    plain = [*said, *(line for table in tables for line in _as_lines(table))]
    page = _PAGE.render(said=said, tables=tables, bar=bar(BLUE), table=table)
    return Told("\n".join(plain), page, tuple(said))


def _of_a_stop(met: Iterable[StopSign], committed: Commit) -> Iterable[str]:
    if committed.stops:
        yield "Right: this job stops, and nothing else is right."
    else:
        yield "This job stops. Nothing else was right there, however true what you found."
    for sign in met:
        yield from sign.sentences


def _of_the_call(proof: Proof, committed: Commit) -> Iterable[str]:
    right = "; or ".join(title_of(label) for label in proof.labels)
    if len(proof.labels) > 1:
        right += ". No reading tells these apart, so each counts, and so do both"
    yield f"What was wrong: {right}."
    yield f"What puts it right: {' '.join(FAULTS[name].remedy for name in proof.labels[0])}"
    if committed.stops:
        yield "You stopped, and nothing that was met asks for that."
        return
    named = set(committed.wrong)
    if any(named == set(label) for label in proof.labels) or (
        len(proof.labels) > 1 and named <= {name for label in proof.labels for name in label}
    ):
        yield "You named what was wrong."
    elif condemns(committed.wrong) and not proof.condemns:
        yield "You condemned a sound cooling unit, the dearest wrong call there is."
    elif any(named & set(label) - {NONE[0]} for label in proof.labels):
        yield "You named a part of it."
    else:
        yield f"You named {title_of(committed.wrong)}. That call costs {cost_of(committed.wrong)}."
    done = {REMEDIES[name].code for name in committed.remedies}
    needed = [{REMEDIES[FAULTS[name].remedy_kind].code for name in label} for label in proof.labels]
    if done in needed:
        yield "What you would do puts it right, and no more is needed."
    elif any(one <= done for one in needed):
        yield "What you would do puts it right, with some work that isn't needed."
    else:
        yield "What you would do doesn't put all of it right."


def _of_the_minutes(proof: Proof, known: Debrief, committed: Commit, taken: Sequence[str]) -> Iterable[str]:
    yield f"You spent {committed.minutes:g} minutes; the cheapest way takes {known.minutes:g}."
    lacking = proof.lacking(taken)
    if proof.decided_by(taken):
        yield "Your readings decide the case."
    elif lacking and len(lacking) < len(proof.needed):
        yield f"Still missing, whatever else was read: {', '.join(READINGS[name].title for name in lacking)}."
    elif lacking:
        yield "Without the cup nobody knows how well it cooled, nor later whether the repair helped."
    else:
        yield "Your readings don't decide it yet."
    yield known.how_decided


def way(proof: Proof, shown: Sequence[tuple[str, str]]) -> Rows:
    """Return how the chances moved with readings, each by its name and what it shows, as rows of a table."""
    steps = proof.steps([name for name, _ in shown])
    texts = [("Before any reading", "–"), *((READINGS[name].title, text) for name, text in shown)]
    return tuple(
        (
            *text,
            f"{step.minutes:g}",
            f"{title_of(step.leading)}: {step.chance:.0%}",
            f"{step.of_right:.0%}",
        )
        for text, step in zip(texts, steps, strict=True)
    )


def _as_lines(table: Table) -> Iterable[str]:
    caption, _, rows = table
    yield f"{caption}:"
    yield from ("  " + " | ".join(row) for row in rows)


_COSTS = {
    "free": "time, and the fault remains",
    "small": "a small part or repair, and the fault remains",
    "hours of work": "hours of work, and the fault remains",
    "cooling unit": "a cooling unit, and the fault remains",
}


def cost_of(label: Label) -> str:
    """Return what it costs to take this for what is wrong."""
    order = list(_COSTS)
    return _COSTS[max((FAULTS[name].cost for name in label), key=order.index)]
