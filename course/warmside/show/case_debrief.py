"""What is said after a commit: what was right, on which readings, and what a wrong call costs."""

from collections.abc import Iterable, Sequence

from jinja2 import Environment

from warmside.colours import BLUE
from warmside.diagnosis.case_file import CaseFile
from warmside.diagnosis.case_proof import Solved, Step, cost_of, solved
from warmside.diagnosis.fault import REMEDIES
from warmside.diagnosis.faults import FAULTS, NONE, condemns, title_of
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.sealed_sheet import how_decided
from warmside.errors import InputError
from warmside.hazards import in_order
from warmside.show.case_commit import Commit

Table = tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]]
"""Caption, heads, rows."""

_HEADS = ("Reading", "It shows", "Minutes so far", "Likeliest then", "Chance of what is right")
_PAGE = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(
    """<div style="font-size:16px;border-left:6px solid {{ colour }};padding:4px 10px">
<p><b>Debrief</b> (invented case, chances of a teaching model)</p>
{% for sentence in said %}<p>{{ sentence }}</p>{% endfor %}
{% for caption, heads, rows in tables %}
<table style="font-size:15px"><caption style="text-align:left">{{ caption }}</caption>
<thead><tr>{% for head in heads %}
<th scope="col" style="text-align:left">{{ head }}</th>{% endfor %}</tr></thead>
<tbody>{% for row in rows %}
<tr><th scope="row" style="text-align:left">{{ row[0] }}</th>
{% for cell in row[1:] %}<td style="text-align:left">{{ cell }}</td>{% endfor %}</tr>{% endfor %}</tbody>
</table>
{% endfor %}</div>"""
)


def debrief(case: CaseFile, committed: Commit, taken: Sequence[str]) -> tuple[str, str]:
    """Return a debrief as plain text and as a page.

    Parameters
    ----------
    case : CaseFile
        The case.
    committed : Commit
        To what its trainee has committed.
    taken : sequence of str
        What was read, in order.

    Raises
    ------
    InputError
        If the case proves nothing, as one of another version may.
    """
    tables: list[Table] = []
    if case.stop_signs:
        said = list(_of_a_stop(case, committed))
    else:
        proof = solved(case)
        if proof is None:
            raise InputError("This case comes from another version of the course; it can't be debriefed.")
        said = [*_of_the_call(proof, committed), *_of_the_minutes(proof, committed, taken)]
        tables = [
            (
                f"The cheapest way: {proof.cheapest.minutes:g} minutes",
                _HEADS,
                _rows(case, proof, proof.cheapest.names),
            ),
            (f"Your way: {committed.minutes:g} minutes", _HEADS, _rows(case, proof, taken)),
            ("What a wrong call costs", ("Call", "What it costs"), proof.wrong_calls),
            (
                "The re-test on such a day, once it is put right",
                ("Reading", "It shows"),
                tuple((READINGS[name].title, shown) for name, shown in case.retest),
            ),
        ]
    plain = [*said, *(line for table in tables for line in _as_lines(table))]
    return "\n".join(plain), _PAGE.render(said=said, tables=tables, colour=BLUE)


def _of_a_stop(case: CaseFile, committed: Commit) -> Iterable[str]:
    if committed.stops:
        yield "Right: this job stops, and nothing else is right."
    else:
        yield "This job stops. Nothing else was right there, however true what you found."
    for sign in in_order(case.stop_signs):
        yield from sign.sentences


def _of_the_call(proof: Solved, committed: Commit) -> Iterable[str]:
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


def _of_the_minutes(proof: Solved, committed: Commit, taken: Sequence[str]) -> Iterable[str]:
    yield f"You spent {committed.minutes:g} minutes; the cheapest way takes {proof.cheapest.minutes:g}."
    lacking = proof.lacking(taken)
    if proof.decided_by(taken):
        yield "Your readings decide the case."
    elif lacking and len(lacking) < len(proof.needed):
        yield f"Still missing, whatever else was read: {', '.join(READINGS[name].title for name in lacking)}."
    elif lacking:
        yield "Without the cup nobody knows how well it cooled, nor later whether the repair helped."
    else:
        yield "Your readings don't decide it yet."
    yield how_decided(proof)


def _rows(case: CaseFile, proof: Solved, names: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    return tuple(_row(case, step) for step in proof.steps(tuple(names)))


def _row(case: CaseFile, step: Step) -> tuple[str, ...]:
    shown = (READINGS[step.name].title, case.value(step.name)) if step.name else ("Before any reading", "–")
    return (
        *shown,
        f"{step.minutes:g}",
        f"{title_of(step.leading)}: {step.chance:.0%}",
        f"{step.of_right:.0%}",
    )


def _as_lines(table: Table) -> Iterable[str]:
    caption, _, rows = table
    yield f"{caption}:"
    yield from ("  " + " | ".join(row) for row in rows)
