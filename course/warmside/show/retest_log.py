"""The log of a re-test as a picture and a table: the air below the condenser, before and after the work."""

from typing import TYPE_CHECKING

from warmside.colours import BLUE, DARK, ORANGE
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "retest_log.csv"
COLUMNS = {
    "outside_F": "Air outside (°F)",
    "before_F": "Below the condenser, before (°F)",
    "after_F": "Below the condenser, after (°F)",
}
_CURVES = {"before_F": ("Before the work", ORANGE, "-", "o"), "after_F": ("After the work", BLUE, "--", "s")}


def show_retest_log(card: JobCard) -> None:
    """Show the re-test of a job card: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(lambda: retest_figure(rows), alt_text(rows), table(rows))


def retest_figure(rows: list[dict[str, str]]) -> "Figure":
    """Draw a log, with a line for each degree.

    Parameters
    ----------
    rows : list of dict
        The log's rows by column name.

    Returns
    -------
    matplotlib.figure.Figure
    """
    outside = [float(row["outside_F"]) for row in rows]
    from matplotlib.figure import Figure
    from matplotlib.ticker import MultipleLocator

    with styled():
        figure = Figure(figsize=(11, 8), layout="constrained")
        axes = figure.subplots()
        for column, (label, color, style, marker) in _CURVES.items():
            values = [float(row[column]) for row in rows]
            axes.plot(outside, values, linestyle=style, color=color, marker=marker, label=label)
        axes.set(xlabel="Air outside (°F)", ylabel="Air below the condenser (°F), a line each 1")
        axes.set_xticks(outside)
        axes.yaxis.set_major_locator(MultipleLocator(5))
        axes.yaxis.set_minor_locator(MultipleLocator(1))
        axes.grid(axis="y", which="minor", linewidth=0.6)
        axes.grid(axis="y", which="major", color=DARK, linewidth=1.0)
        axes.set_title("Re-test at full demand (invented)")
        figure.legend(loc="outside lower center", ncols=2)
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Line chart of the air below the condenser over the air outside, {len(rows)} readings from "
        f"{rows[0]['outside_F']} to {rows[-1]['outside_F']} °F: one curve before the work, one after. The "
        "same readings stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    return readings_table("Re-test (invented)", COLUMNS, rows)
