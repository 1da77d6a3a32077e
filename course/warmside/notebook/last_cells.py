"""The last cells of an exercise: check what can be checked, see what is recorded, write the hand-in.

Both do nothing while a hand-in is marked. So that they cost nothing then, what takes a while to import is
imported where it is needed.
"""

import html
import os
from contextlib import suppress
from pathlib import Path

from IPython.display import HTML, display

from warmside import BEING_MARKED
from warmside.colours import BLUE, RED
from warmside.errors import InputError
from warmside.marking.job_card import PRACTICE, read_job_card
from warmside.notebook import closing
from warmside.notebook.answers import declared
from warmside.notebook.closing import Closing, Line

HERE = Path()
_SIGNS = {
    closing.RECORDED: ("✎", BLUE),
    closing.WRITTEN: ("✎", BLUE),
    closing.MISSING: ("–", RED),
    closing.NOT_UNDERSTOOD: ("?", RED),
}
_TABLE = """<table style="font-size:16px">
<caption style="text-align:left;font-weight:bold">{{ caption }}</caption>
<thead><tr>
{% for head in ("Question", "State", "What was understood") %}
<th scope="col" style="text-align:left">{{ head }}</th>
{% endfor %}
</tr></thead>
<tbody>
{% for line in lines %}
<tr><th scope="row" style="text-align:left;font-weight:normal">{{ line.question }}</th>
<td style="text-align:left;white-space:nowrap"><b style="color:{{ signs[line.state][1] }}">
<span aria-hidden="true">{{ signs[line.state][0] }}</span> {{ line.state }}</b></td>
<td style="text-align:left">{{ line.said or "nothing yet" }}</td></tr>
{% endfor %}
</tbody></table>"""


def finish() -> None:
    """Show what is recorded and what is missing, with a button that writes the file to hand in."""
    if os.environ.get(BEING_MARKED):
        return
    try:
        shown = _Standing(closing.closing(HERE))
    except InputError as problem:
        _say(str(problem), understood=False)
        return
    table = display(shown, display_id=True)

    from warmside.notebook.hand_in_button import HandInButton  # a widget, which takes a while to import

    def press() -> str:
        nonlocal shown
        said, before = _written(), shown
        with suppress(InputError):  # which was said already
            shown = _Standing(closing.closing(HERE))
        if repr(shown) != repr(before):  # else the notebook would count as changed again
            table.update(shown)
        return said

    display(HandInButton(press))


def write_hand_in() -> None:
    """Write the file to hand in and say where it lies, as the button does; for where there are no buttons."""
    _say(_written())


def check_mine() -> None:
    """Say at once how the answers on the practice card did; one's own card is marked by the instructor."""
    if os.environ.get(BEING_MARKED):
        return
    try:
        card = read_job_card(HERE)
        if card.trainee != PRACTICE:
            _say(
                "This is a job card of your own: your instructor marks it. Only practice can be checked here."
            )
            return
        from warmside.marking import feedback, practice

        known = practice.read_practice(HERE / practice.FILE_NAME)
        answers = {name: one.text for name, one in declared.items()}
        marks = practice.mark_practice(answers, card, known)
    except InputError as problem:
        _say(str(problem), understood=False)
        return
    display(HTML(feedback.practice_page(known.exercise.title, marks, known.left)))


class _Standing:
    """The table of what is recorded, as page and as text."""

    def __init__(self, now: Closing) -> None:
        self._now = now

    @property
    def _caption(self) -> str:
        now = self._now
        done = len(now.lines) - now.missing
        return (
            f"{done} of {len(now.lines)} questions answered, job card {now.card.number} of {now.card.trainee}"
        )

    def _repr_html_(self) -> str:
        from jinja2 import Environment

        table = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(_TABLE)
        return table.render(caption=self._caption, lines=self._now.lines, signs=_SIGNS)

    def __repr__(self) -> str:
        return "\n".join([self._caption, *map(_as_text, self._now.lines)])


def _as_text(line: Line) -> str:
    return f"{_SIGNS[line.state][0]} {line.state}: {line.question}: {line.said or 'nothing yet'}"


def _written() -> str:
    """Write the hand-in; return what to say of it."""
    try:
        path = closing.write_hand_in(HERE)
        now = closing.closing(HERE)
    except InputError as problem:
        return f"Not written. {problem}"
    practice = now.card.trainee == PRACTICE
    said = [f"Written: {path.name}, in the folder {path.resolve().parent}."]
    said.append(
        "It was made with the practice card, which nobody marks: check_mine() above tells how you did."
        if practice
        else "Give your instructor this one file."
    )
    if now.missing:
        said.append(f"{now.missing} of {len(now.lines)} questions have no answer that can be marked.")
    return " ".join(said)


def _say(text: str, *, understood: bool = True) -> None:
    colour, sign = (BLUE, "✎") if understood else (RED, "?")
    page = (
        f"<p style='font-size:16px;border-left:6px solid {colour};padding:4px 10px'>"
        f"<b aria-hidden='true'>{sign}</b> {html.escape(text)}</p>"
    )
    display({"text/plain": text, "text/html": page}, raw=True)
