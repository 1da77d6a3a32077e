"""What an exercise offers to choose from, out of the catalogues of the diagnosis: codes and meanings."""

from collections.abc import Mapping

from IPython.display import display
from jinja2 import Environment

from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, REMEDIES, Fault, Listed
from warmside.diagnosis.faults import FAULTS
from warmside.hazards import STOP_SIGNS

_STOP_SIGNS = {
    "none": Listed("none", "Nothing of these: go on."),
    **{name: Listed(name, sign.title) for name, sign in STOP_SIGNS.items()},
}
LISTS: Mapping[str, tuple[str, Mapping[str, Fault] | Mapping[str, Listed]]] = {
    "stop_signs": ("What stops a job", _STOP_SIGNS),
    "groups": ("Where it can lie", GROUPS),
    "faults": ("What can be wrong", FAULTS),
    "remedies": ("What can be done", REMEDIES),
    "first_steps": ("What can come first", FIRST_STEPS),
}
"""What there is to choose from: a caption, and what is listed under it."""

_PAGE = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(
    """<table style="font-size:16px"><caption style="text-align:left">{{ caption }}</caption>
<thead><tr>{% for head in ("To type", "It means") %}<th scope="col" style="text-align:left">{{ head }}</th>
{% endfor %}</tr></thead>
<tbody>{% for one in listed %}
<tr><th scope="row" style="text-align:left"><code>{{ one.code }}</code></th>
<td style="text-align:left">{{ one.title }}</td></tr>{% endfor %}</tbody></table>"""
)


def codes(of: str) -> tuple[str, ...]:
    """Return the codes of a list: "stop_signs", "groups", "faults", "remedies" or "first_steps"."""
    _, listed = LISTS[of]
    return tuple(one.code for one in listed.values())


def show_choices(of: str) -> None:
    """Show a list as a table: what to type, and what it means."""
    caption, listed = LISTS[of]
    plain = "\n".join(f"{one.code}  {one.title}" for one in listed.values())
    display(
        {"text/plain": plain, "text/html": _PAGE.render(caption=caption, listed=listed.values())}, raw=True
    )
