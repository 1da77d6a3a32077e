"""A case on the bench: what can be read and what it costs, readings taken one by one."""

from pathlib import Path

from IPython.display import HTML, display
from jinja2 import Environment

from warmside.diagnosis.case_file import CaseFile, from_file_text, in_metric, read_case
from warmside.diagnosis.readings import READINGS
from warmside.errors import InputError
from warmside.marking.job_card import JobCard

FILE_NAME = "case_file.json"
"""What the case of a job card is called."""

_PAGES = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
_PAGES.filters["g"] = "{:g}".format
_CARD = _PAGES.from_string(
    """<div style="font-size:16px">
<p><b>Case {{ case.number }}</b> (invented). {{ case.size|capitalize }} cubic feet, on {{ case.heat_source }},
{{ case.season }}, {{ ambient }} outside.</p>
<p>The owner says: “{{ case.complaint }}”</p>
<table style="font-size:15px"><caption style="text-align:left">What you can read</caption>
<thead><tr>{% for head in ("Name to type", "What it is", "Minutes", "Caution") %}
<th scope="col" style="text-align:left">{{ head }}</th>{% endfor %}</tr></thead>
<tbody>{% for reading in readings %}
<tr><th scope="row" style="text-align:left"><code>{{ reading.name }}</code></th>
<td style="text-align:left">{{ reading.title }}</td><td style="text-align:right">{{ reading.minutes|g }}</td>
<td style="text-align:left">{{ reading.caution }}</td></tr>{% endfor %}</tbody></table></div>"""
)
_READ = _PAGES.from_string(
    """<p style="font-size:16px;border-left:6px solid {{ colour }};padding:4px 10px">
<b aria-hidden="true">{{ sign }}</b> {{ said }}</p>"""
)


class CaseOnTheBench:
    """A case whose readings are taken one by one, each at its minutes.

    Parameters
    ----------
    case : CaseFile
        The case.

    Attributes
    ----------
    taken : list of str
        Names of what was read, in order.
    """

    def __init__(self, case: CaseFile) -> None:
        self.case = case
        self.taken: list[str] = []

    @property
    def names(self) -> tuple[str, ...]:
        """Names of what can be read."""
        return self.case.names

    @property
    def minutes(self) -> float:
        """What has been spent."""
        return sum(READINGS[name].minutes for name in self.taken)

    def show(self) -> None:
        """Show the complaint, and what can be read at what cost."""
        display(HTML(self._repr_html_()))

    def read(self, *names: str) -> None:
        """Take readings, show what they are, and note their minutes; one taken twice costs once."""
        for name in names:
            try:
                said, colour, sign = self._read(name), "#0072B2", "✎"
            except InputError as problem:
                said, colour, sign = str(problem), "#D55E00", "?"
            page = _READ.render(said=said, colour=colour, sign=sign)
            display({"text/plain": said, "text/html": page}, raw=True)

    def _read(self, name: str) -> str:
        value = self.case.value(name)
        reading = READINGS[name]
        again = name in self.taken
        if not again:
            self.taken.append(name)
        metric = in_metric(name, value)
        shown = f"{value} ({metric})" if metric else value
        cost = "read before" if again else f"{reading.minutes:g} min"
        return f"{reading.title}: {shown}. {cost}; {self.minutes:g} min so far."

    def _repr_html_(self) -> str:
        readings = [READINGS[name] for name in self.names]
        ambient = f"{self.case.ambient} ({in_metric('vent_air', self.case.ambient)})"
        return _CARD.render(case=self.case, readings=readings, ambient=ambient)


def my_case(card: JobCard) -> CaseOnTheBench:
    """Return the case that belongs to a job card."""
    return CaseOnTheBench(from_file_text(card.files[FILE_NAME], FILE_NAME))


def open_case(path: str | Path) -> CaseOnTheBench:
    """Return the case in a file that ``warmside case new`` made.

    Raises
    ------
    InputError
        If it isn't there or is no case.
    """
    return CaseOnTheBench(read_case(path))
