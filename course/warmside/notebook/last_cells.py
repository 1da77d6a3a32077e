"""The last cells of an exercise: check what can be checked, see what is recorded, write the hand-in.

Both do nothing while a hand-in is marked. So that they cost nothing then, what takes a while to import is
imported where it is needed.
"""

import os
from contextlib import suppress
from pathlib import Path

from IPython.display import HTML, display
from markupsafe import Markup

from warmside import BEING_MARKED
from warmside.blocks import said, table
from warmside.colours import BAD, BLUE, SOFT
from warmside.errors import InputError
from warmside.marking.job_card import PRACTICE, read_job_card
from warmside.notebook import closing
from warmside.notebook.answers import declared
from warmside.notebook.closing import Closing, Line

HERE = Path()
_SIGNS = {
    closing.RECORDED: ("✎", BLUE),
    closing.WRITTEN: ("✎", BLUE),
    closing.MISSING: ("–", SOFT),
    closing.NOT_UNDERSTOOD: ("?", BAD),
}


def finish() -> None:
    """Show what is recorded and what is missing, with a button that writes the file to hand in."""
    if os.environ.get(BEING_MARKED):
        return
    try:
        shown = _Standing(closing.closing(HERE))
    except InputError as problem:
        _say(str(problem), understood=False)
        return
    shown_table = display(shown, display_id=True)

    from warmside.notebook.hand_in_button import HandInButton  # a widget, which takes a while to import

    def press() -> str:
        nonlocal shown
        told, before = _written(), shown
        with suppress(InputError):  # which was said already
            shown = _Standing(closing.closing(HERE))
        if repr(shown) != repr(before):  # else the notebook would count as changed again
            shown_table.update(shown)
        return told

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
        rows = [(line.question, _state(line), line.said or "nothing yet") for line in self._now.lines]
        return table(self._caption, ("Question", "State", "What was understood"), rows)

    def __repr__(self) -> str:
        return "\n".join([self._caption, *map(_as_text, self._now.lines)])


def _state(line: Line) -> Markup:
    sign, colour = _SIGNS[line.state]
    style = f"color:{colour};white-space:nowrap"
    return Markup('<b style="{}"><span aria-hidden="true">{}</span> {}</b>').format(style, sign, line.state)


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
    told = [f"Written: {path.name}, in the folder {path.resolve().parent}."]
    told.append(
        "It was made with the practice card, which nobody marks: check_mine() above tells how you did."
        if practice
        else "Give your instructor this one file."
    )
    if now.missing:
        told.append(f"{now.missing} of {len(now.lines)} questions have no answer that can be marked.")
    return " ".join(told)


def _say(text: str, *, understood: bool = True) -> None:
    colour, sign = (BLUE, "✎") if understood else (BAD, "?")
    page = said(text, colour, sign)
    display({"text/plain": text, "text/html": page}, raw=True)
