"""Stop signs and cautions as a lesson shows them, out of the table of hazards."""

from collections.abc import Iterable

from IPython.display import display
from markupsafe import Markup

from warmside.blocks import TEXT, table
from warmside.hazards import FIRST, STOP_SIGNS, WORK, check_works

_LAST = Markup('<p style="{}">{}</p>').format(TEXT, FIRST)


def show_stop_signs() -> None:
    """Show what stops a job: how it is asked for, and what is done then."""
    plain = "\n".join(" ".join((sign.title + ".", *sign.sentences)) for sign in STOP_SIGNS.values())
    heads = ("Do you meet this?", "Then do this, in this order", "Never", "Who goes on")
    rows = [(sign.question, _in_order(sign.steps), sign.never, sign.goes_on) for sign in STOP_SIGNS.values()]
    page = table("Stop signs, the most urgent first", heads, rows) + _LAST
    display({"text/plain": f"{plain}\n{FIRST}", "text/html": page}, raw=True)


def _in_order(steps: Iterable[str]) -> Markup:
    listed = Markup().join(Markup("<li>{}</li>").format(step) for step in steps)
    return Markup('<ol style="margin:0;padding-left:20px">{}</ol>').format(listed)


def show_cautions(*works: str) -> None:
    """Show the care that works take, by their names in `warmside.hazards.WORK`.

    Raises
    ------
    InputError
        If there is no such work.
    """
    check_works(works, "show_cautions")
    shown = [WORK[name] for name in works]
    plain = "\n".join(" ".join((work.title + ".", *work.sentences)) for work in shown)
    rows = [(work.title, " ".join(work.sentences)) for work in shown]
    page = table("What each work takes", ("Work", "Caution"), rows) + _LAST
    display({"text/plain": f"{plain}\n{FIRST}", "text/html": page}, raw=True)
