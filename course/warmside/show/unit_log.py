"""The log of a sealed unit as a picture and a table: boiler, absorber and the air, every twenty minutes."""

from typing import TYPE_CHECKING

from warmside.colours import BLUE, DARK, ORANGE, RED
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "unit_log.csv"
COLUMNS = {
    "since": "Since the log began (h:min)",
    "clock": "Clock",
    "boiler_F": "Boiler (°F)",
    "absorber_F": "Absorber (°F)",
    "air_F": "Air outside (°F)",
}
_ABOVE = {"boiler_F": ("Boiler", RED, "-", "o")}
_BELOW = {"absorber_F": ("Absorber", BLUE, "--", "s"), "air_F": ("Air outside", ORANGE, ":", "^")}
_EACH = 20  # min; a line in the figure


def show_unit_log(card: JobCard) -> None:
    """Show the log of a job card's sealed unit: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(lambda: unit_log_figure(rows), alt_text(rows), table(rows))


def unit_log_figure(rows: list[dict[str, str]]) -> "Figure":
    """Draw a log: the boiler above, absorber and air below, with a line for every twenty minutes.

    Parameters
    ----------
    rows : list of dict
        The log's rows by column name.

    Returns
    -------
    matplotlib.figure.Figure
    """
    minutes = [_minutes(row["since"]) for row in rows]
    from matplotlib.figure import Figure

    with styled():
        figure = Figure(figsize=(11, 8), layout="constrained")
        above, below = figure.subplots(2, sharex=True)
        for axes, curves in ((above, _ABOVE), (below, _BELOW)):
            for column, (label, color, style, marker) in curves.items():
                values = [float(row[column]) for row in rows]
                axes.plot(minutes, values, linestyle=style, color=color, marker=marker, label=label)
            axes.set_xticks(range(0, minutes[-1] + 1, 60), range(minutes[-1] // 60 + 1))
            axes.set_xticks(range(0, minutes[-1] + 1, _EACH), minor=True)
            axes.grid(axis="x", which="minor", linewidth=0.6)
            axes.grid(axis="x", which="major", color=DARK, linewidth=1.0)
            axes.margins(x=0.02, y=0.12)
            axes.set(ylabel="Temperature (°F)")
        above.set_title("Log of a sealed unit (invented)")
        below.set(xlabel="Hours since the log began; a line each 20 minutes")
        figure.legend(loc="outside lower center", ncols=3)
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Line charts of {len(rows)} readings, one every 20 minutes: the boiler above; absorber and air "
        "outside below it. The same readings stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    return readings_table("Log of a sealed unit (invented)", COLUMNS, rows)


def _minutes(since: str) -> int:
    hours, minutes = since.split(":")
    return 60 * int(hours) + int(minutes)
