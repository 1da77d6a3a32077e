"""The limits that a cup is held against, side by side."""

from IPython.display import HTML, display
from markupsafe import Markup

from warmside.blocks import table
from warmside.show.substance_temperature import LIMITS
from warmside.units import from_si, show


def limits_table() -> str:
    """Return the limits as an HTML table, each marked as published or as common practice."""
    rows = []
    for limit in LIMITS:
        temperature = from_si(limit.temperature, "temperature")
        basis = "Published" if limit.published else "Common practice"
        rows.append(
            (
                f"{show(temperature, digits=0)} ({show(temperature, 'SI')})",
                limit.meaning,
                Markup("<b>{}</b>: {}").format(basis, limit.source),
            )
        )
    return str(table("Three limits, three purposes", ("Limit", "What it is for", "Says who"), rows))


def show_limits() -> None:
    """Show the limits as a table."""
    display(HTML(limits_table()))
