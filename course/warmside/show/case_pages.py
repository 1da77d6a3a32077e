"""A case on the bench: stop signs first, then what can be read and what it costs, readings one by one.

All that it shows stands in the case's file: it loads nothing of the diagnosis into a trainee's kernel.
"""

import base64
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from IPython.display import HTML, display
from jinja2 import Environment

from warmside.colours import BLUE, RED
from warmside.errors import InputError
from warmside.hazards import in_order, signs_on
from warmside.marking.job_card import JobCard
from warmside.units import read_quantity, show

if TYPE_CHECKING:
    from warmside.diagnosis.case_file import CaseFile

FILE_NAME = "case_file.json"
"""What the case of a job card is called."""

_PAGES = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
_PAGES.filters["g"] = "{:g}".format
_CARD = _PAGES.from_string(
    """<div style="font-size:16px">
<p><b>Case {{ case.case }}</b> (invented). {{ case.size }}, on {{ case.heat_source }},
{{ case.season }}, {{ ambient }} outside.</p>
<p>The owner says: “{{ case.complaint }}”</p>
<table style="font-size:15px"><caption style="text-align:left">What you can read</caption>
<thead><tr>{% for head in ("Name to type", "What it is", "Minutes", "Caution") %}
<th scope="col" style="text-align:left">{{ head }}</th>{% endfor %}</tr></thead>
<tbody>{% for reading in readings %}
<tr><th scope="row" style="text-align:left"><code>{{ reading.name }}</code></th>
<td style="text-align:left">{{ reading.what }}</td><td style="text-align:right">{{ reading.minutes|g }}</td>
<td style="text-align:left">{{ reading.caution }}</td></tr>{% endfor %}</tbody></table></div>"""
)
_LOOK = _PAGES.from_string(
    """<div style="font-size:16px">
<table style="font-size:15px">
<caption style="text-align:left">Before any reading: look, smell, listen</caption>
<thead><tr><th scope="col" style="text-align:left">Stop sign</th><th scope="col">Met</th></tr></thead>
<tbody>{% for sign in asked %}
<tr><th scope="row" style="text-align:left">{{ sign.question }}</th>
<td>{{ "YES" if sign in met else "no" }}</td></tr>{% endfor %}</tbody></table>
{% for sign in met %}
<div role="note" style="border-left:6px solid {{ colour }};padding:4px 10px">
<p><b>Stop. {{ sign.reported }}</b></p>
<ol>{% for step in sign.steps %}<li>{{ step }}</li>{% endfor %}</ol>
<p>{{ sign.never }} Who goes on: {{ sign.goes_on }}</p></div>{% endfor %}</div>"""
)
_READ = _PAGES.from_string(
    """<p style="font-size:16px;border-left:6px solid {{ colour }};padding:4px 10px">
<b aria-hidden="true">{{ sign }}</b> {{ said }}</p>"""
)


class CaseOnTheBench:
    """A case whose stop signs are asked for first, and whose readings are taken one by one, at their minutes.

    Parameters
    ----------
    text : str
        Of the case's file.
    name : str
        What to call the file in what is said of a mistake.

    Attributes
    ----------
    taken : list of str
        Names of what was read, in order.
    """

    def __init__(self, text: str, name: str = "the case file") -> None:
        try:
            self._whole = json.loads(text)
            self._offered = {one["name"]: one for one in self._whole["readings"]}
            self._values = _unpacked(self._whole["packed"])
            self._met = in_order(_unpacked(self._whole["packed_signs"]))
            self._asked = signs_on(self._whole["heat_source"])
            whole = self._offered.keys() == self._values.keys()
        except (ValueError, KeyError, TypeError, AttributeError):
            whole = False
        if not whole:
            raise InputError(
                f"{name} is not a case file any more; take the one that you were given again."
            ) from None
        self._text = text
        self._looked = False
        self.taken: list[str] = []

    @property
    def case(self) -> "CaseFile":
        """The case as the diagnosis knows it."""
        from warmside.diagnosis.case_file import from_file_text

        return from_file_text(self._text)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of what can be read."""
        return tuple(self._offered)

    @property
    def minutes(self) -> float:
        """What has been spent."""
        return sum(self._offered[name]["minutes"] for name in self.taken)

    def show(self) -> None:
        """Show the complaint, and what can be read at what cost."""
        display(HTML(self._repr_html_()))

    def look(self) -> None:
        """Look, smell and listen for each stop sign, and show what is met: there the job ends."""
        self._looked = True
        said = [sentence for sign in self._met for sentence in ("Stop.", *sign.sentences)]
        plain = " ".join(said) or "Nothing that you see, hear or smell stops the job."
        page = _LOOK.render(asked=self._asked, met=self._met, colour=RED)
        display({"text/plain": plain, "text/html": page}, raw=True)

    def read(self, *names: str) -> None:
        """Take readings, show what they are, and note their minutes; one taken twice costs once.

        None is taken before a look for stop signs, nor where one was met.
        """
        for name in names:
            try:
                said, colour, sign = self._read(name), BLUE, "✎"
            except InputError as problem:
                said, colour, sign = str(problem), RED, "?"
            page = _READ.render(said=said, colour=colour, sign=sign)
            display({"text/plain": said, "text/html": page}, raw=True)

    def _read(self, name: str) -> str:
        if not self._looked:
            raise InputError("Stop signs come before any reading: run case.look() first.")
        if self._met:
            raise InputError(f"This job has stopped, so nothing is read: {self._met[0].reported}")
        if name not in self._offered:
            raise InputError(f"There is no reading “{name}” in this case; there are {', '.join(self.names)}.")
        reading, value = self._offered[name], self._values[name]
        again = name in self.taken
        if not again:
            self.taken.append(name)
        metric = in_metric(value)
        shown = f"{value} ({metric})" if metric else value
        cost = "read before" if again else f"{reading['minutes']:g} min"
        return f"{reading['what']}: {shown}. {cost}; {self.minutes:g} min so far."

    def _repr_html_(self) -> str:
        ambient = f"{self._whole['ambient']} ({in_metric(self._whole['ambient'])})"
        return _CARD.render(case=self._whole, readings=self._offered.values(), ambient=ambient)


def _unpacked(packed: str) -> Any:
    return json.loads(base64.b64decode(packed, validate=True))


_KINDS = {" °F": "temperature", " in w.c.": "pressure_gauge", " in": "length"}


def in_metric(text: str) -> str:
    """Return a reading's text in metric units; empty where these are the same or there are none."""
    kind = next((kind for unit, kind in _KINDS.items() if text.endswith(unit)), "")
    if not kind:
        return ""
    return show(read_quantity(text, kind), "SI", kind=kind, digits=2 if kind == "pressure_gauge" else 1)


def my_case(card: JobCard) -> CaseOnTheBench:
    """Return the case that belongs to a job card."""
    return CaseOnTheBench(card.files[FILE_NAME], FILE_NAME)


def case_notebook(number: str) -> str:
    """Return the notebook, as text, in which the case beside it is worked."""
    import nbformat  # which a trainee's kernel needn't load

    cells = [
        nbformat.v4.new_markdown_cell(_HOW_TO_WORK.format(number=number), id="how"),
        nbformat.v4.new_code_cell(_OPEN.format(file=FILE_NAME), id="open"),
        nbformat.v4.new_code_cell("case.look()", id="look"),
        nbformat.v4.new_code_cell('case.read("load")', id="read"),
        nbformat.v4.new_markdown_cell(_YOUR_WORDS, id="words"),
    ]
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return nbformat.writes(nbformat.v4.new_notebook(cells=cells, metadata=kernel)) + "\n"


_HOW_TO_WORK = """# Case {number}

*Invented. Nobody's refrigerator.*

Run the cells with <kbd>Shift</kbd>+<kbd>Enter</kbd>. The first shows the complaint, and what you can read at
what cost in minutes. The second looks and smells for stop signs: where there is one, the job ends there, and
what you write below is what you do then. Else take readings by their names in the third: add a line for each,
as in `case.read("cup")`, and run it again. What you have read before costs nothing more. Stop when you know.

**On a real refrigerator:** stop signs first. Work on mains, gas and sealed units is for licensed people."""
_OPEN = """from warmside.show.case_pages import open_case

case = open_case("{file}")
case.show()"""
_YOUR_WORDS = """## What I found

*Double-click here, click once more, and write: whether the job stops, and what you do then; else what is
wrong, on what evidence, what you would do, and what comes first for safety.*"""


def open_case(path: str | Path) -> CaseOnTheBench:
    """Return the case in a file that ``warmside case new`` made.

    Raises
    ------
    InputError
        If it isn't there or is no case.
    """
    try:
        text = Path(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise InputError(f"{path} can't be read; give the file of a case.") from None
    return CaseOnTheBench(text, str(path))
