"""The log of a day of use as a picture and a table: sensor, air and milk, and how long the unit ran."""

from typing import TYPE_CHECKING

from warmside.colours import BLUE, DARK, ORANGE, RED
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "use_log.csv"
COLUMNS = {
    "hour": "Hour",
    "clock": "Clock",
    "sensor_F": "Sensor (°F)",
    "air_F": "Air, logger (°F)",
    "milk_F": "Milk, logger (°F)",
    "run_min": "Ran (min of 30)",
}
_LINES = {
    "air_F": ("Air, logger", BLUE, ":", ""),
    "sensor_F": ("Sensor", RED, "--", ""),
    "milk_F": ("Milk, logger", ORANGE, "-", "o"),
}
_LIMIT = 40


def show_use_log(card: JobCard) -> None:
    """Show the log of a job card: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(lambda: use_log_figure(rows), alt_text(rows), table(rows))


def use_log_figure(rows: list[dict[str, str]]) -> "Figure":
    """Draw a log, given as rows by column name: temperatures above, minutes run below."""
    from matplotlib.figure import Figure
    from matplotlib.ticker import MultipleLocator

    hours = [float(row["hour"]) for row in rows]
    with styled():
        figure = Figure(figsize=(11, 6.4), layout="constrained")
        above, below = figure.subplots(2, sharex=True, height_ratios=[4, 1])
        for column, (label, colour, style, marker) in _LINES.items():
            values = [float(row[column]) for row in rows]
            above.plot(
                hours, values, linestyle=style, color=colour, marker=marker, markersize=4.5, label=label
            )
        above.axhline(_LIMIT, color=DARK, linewidth=1.2)
        above.annotate(
            "40 °F",
            (1.0, _LIMIT),
            (4, 0),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            va="center",
        )
        above.set(ylabel="Temperature (°F), a line each 2")
        above.yaxis.set_minor_locator(MultipleLocator(2))
        above.grid(axis="y", which="minor", linewidth=0.6)
        above.grid(axis="y", which="major", color="#aaaaaa")
        above.set_title("Log of a day of use (invented)")
        below.bar(hours, [int(row["run_min"]) for row in rows], 0.4, color=DARK)
        below.set(
            xlabel="Hours since 8 am; a reading each half hour",
            ylabel="Ran (min)",
            ylim=(0, 32),
            yticks=(0, 15, 30),
            xticks=range(0, 25, 2),
            xlim=(-0.4, 24.4),
        )
        figure.legend(loc="outside lower center", ncols=3)
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Line chart of {len(rows)} readings of sensor, air and milk in °F, a line at 40 °F, and bars for "
        "the minutes that the unit ran. The same readings stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    return readings_table("Log of a day of use (invented)", COLUMNS, rows)
