"""Stop signs and cautions as a lesson shows them, out of the table of hazards."""

from IPython.display import display
from jinja2 import Environment

from warmside.hazards import FIRST, STOP_SIGNS, WORK, check_works

_PAGES = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
_SIGNS = _PAGES.from_string(
    """<table style="font-size:16px">
<caption style="text-align:left">Stop signs, the most urgent first</caption>
<thead><tr>{% for head in ("Do you meet this?", "Then do this, in this order", "Never", "Who goes on") %}
<th scope="col" style="text-align:left">{{ head }}</th>{% endfor %}</tr></thead>
<tbody>{% for sign in signs %}
<tr><th scope="row" style="text-align:left">{{ sign.question }}</th>
<td style="text-align:left"><ol>{% for step in sign.steps %}<li>{{ step }}</li>{% endfor %}</ol></td>
<td style="text-align:left">{{ sign.never }}</td><td style="text-align:left">{{ sign.goes_on }}</td></tr>
{% endfor %}</tbody></table><p style="font-size:16px">{{ first }}</p>"""
)
_WORKS = _PAGES.from_string(
    """<table style="font-size:16px"><caption style="text-align:left">What each work takes</caption>
<thead><tr>{% for head in ("Work", "Caution") %}<th scope="col" style="text-align:left">{{ head }}</th>
{% endfor %}</tr></thead>
<tbody>{% for work in works %}
<tr><th scope="row" style="text-align:left">{{ work.title }}</th>
<td style="text-align:left">{{ work.sentences|join(" ") }}</td></tr>{% endfor %}</tbody></table>
<p style="font-size:16px">{{ first }}</p>"""
)


def show_stop_signs() -> None:
    """Show what stops a job: how it is asked for, and what is done then."""
    plain = "\n".join(" ".join((sign.title + ".", *sign.sentences)) for sign in STOP_SIGNS.values())
    page = _SIGNS.render(signs=STOP_SIGNS.values(), first=FIRST)
    display({"text/plain": f"{plain}\n{FIRST}", "text/html": page}, raw=True)


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
    page = _WORKS.render(works=shown, first=FIRST)
    display({"text/plain": f"{plain}\n{FIRST}", "text/html": page}, raw=True)
