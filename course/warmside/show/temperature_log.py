"""The log of a substance-temperature test as a picture and a table."""

from typing import TYPE_CHECKING

from warmside.colours import BLUE, ORANGE, RED
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "temperature_log.csv"
COLUMNS = {
    "hour": "Hour",
    "clock": "Clock",
    "cup_F": "Cup, as read (°F)",
    "cabinet_air_F": "Cabinet air (°F)",
    "ambient_F": "Ambient (°F)",
    "remark": "Remark",
}
_LINES = {
    "ambient_F": ("Ambient", RED, "--", "s"),
    "cabinet_air_F": ("Cabinet air", BLUE, ":", "^"),
    "cup_F": ("Cup, as read", ORANGE, "-", "o"),
}


def show_temperature_log(card: JobCard) -> None:
    """Show the temperature log of a job card: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(lambda: temperature_log_figure(rows), alt_text(rows), table(rows))


def temperature_log_figure(rows: list[dict[str, str]]) -> "Figure":
    """Draw a log, given as rows by column name."""
    hours = [int(row["hour"]) for row in rows]
    from matplotlib.figure import Figure
    from matplotlib.ticker import MultipleLocator

    with styled():
        figure = Figure(figsize=(10, 5), layout="constrained")
        axes = figure.subplots()
        for column, (label, colour, style, marker) in _LINES.items():
            values = [float(row[column]) for row in rows]
            axes.plot(hours, values, linestyle=style, color=colour, marker=marker, label=label)
        axes.set(
            xlabel="Hours since the cup was put in",
            ylabel="Temperature (°F), a line each 2",
            xticks=range(0, 25, 3),
        )
        axes.set_title("Temperature log (invented)")
        axes.margins(x=0.02)
        axes.yaxis.set_minor_locator(MultipleLocator(2))
        axes.grid(axis="y", which="minor", linewidth=0.6)
        axes.grid(axis="y", which="major", color="#aaaaaa")
        figure.legend(loc="outside lower center", ncols=3)
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Line chart of {len(rows)} hourly readings of cup, cabinet air and ambient in °F. "
        "The same readings stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    return readings_table("Temperature log (invented)", COLUMNS, rows)
