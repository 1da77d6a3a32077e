"""The limits that a cup is held against, side by side."""

from IPython.display import HTML, display
from jinja2 import Environment

from warmside.show.substance_temperature import LIMITS
from warmside.units import from_si, show

_TABLE = Environment(autoescape=True).from_string(
    """<table style="font-size:16px"><caption style="text-align:left">Three limits, three purposes</caption>
<thead><tr>{% for title in titles %}
<th scope="col" style="text-align:left">{{ title }}</th>{% endfor %}</tr></thead>
<tbody>{% for us, si, limit in rows %}
<tr><th scope="row" style="text-align:left">{{ us }} ({{ si }})</th>
<td style="text-align:left">{{ limit.meaning }}</td>
<td style="text-align:left"><b>{{ "Published" if limit.published else "Common practice" }}</b>:
{{ limit.source }}</td></tr>{% endfor %}</tbody></table>"""
)


def limits_table() -> str:
    """Return the limits as an HTML table, each marked as published or as common practice."""
    rows = []
    for limit in LIMITS:
        temperature = from_si(limit.temperature, "temperature")
        rows.append((show(temperature, digits=0), show(temperature, "SI"), limit))
    return _TABLE.render(rows=rows, titles=("Limit", "What it is for", "Says who"))


def show_limits() -> None:
    """Show the limits as a table."""
    display(HTML(limits_table()))
