"""The log of a hot room as a picture and a table: food temperature over ambient, as found and if correct."""

from typing import TYPE_CHECKING

from warmside.colours import BLUE, DARK, ORANGE
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled
from warmside.units import from_si, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "hot_room_log.csv"
STOPPED = "stopped"
COLUMNS = {
    "ambient_F": "Ambient (°F)",
    "food_as_found_F": "Food, as found (°F)",
    "food_if_correct_F": "Food, if correct (°F)",
}
_CURVES = {
    "food_as_found_F": ("As found", ORANGE, "-", "o"),
    "food_if_correct_F": ("If correctly installed", BLUE, "--", "s"),
}


def show_hot_room_log(card: JobCard) -> None:
    """Show the hot-room log of a job card: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(
        lambda: hot_room_figure(rows, card["food_limit"].to("degF").magnitude), alt_text(rows), table(rows)
    )


def hot_room_figure(rows: list[dict[str, str]], food_limit: float) -> "Figure":
    """Draw a log.

    Parameters
    ----------
    rows : list of dict
        The log's rows by column name; a food temperature is empty where the run was stopped.
    food_limit : float
        Limit of the food compartment [°F].

    Returns
    -------
    matplotlib.figure.Figure
    """
    ambient = [int(row["ambient_F"]) for row in rows]
    from matplotlib.figure import Figure

    from warmside.model.cabinet import Thermostat

    setting = show(from_si(Thermostat().setting, "temperature"), digits=0)
    with styled():
        figure = Figure(figsize=(11, 6.5), layout="constrained")
        axes = figure.subplots()
        for column, (label, colour, style, marker) in _CURVES.items():
            food = [float(row[column] or "nan") for row in rows]
            axes.plot(ambient, food, linestyle=style, color=colour, marker=marker, label=label)
        axes.axhline(food_limit, color=DARK, linestyle=":", label=f"Limit, {food_limit:g} °F")
        axes.set(xlabel="Ambient (°F)", ylabel="Food compartment (°F)", xticks=ambient, ylim=(30, 95))
        axes.set_title(f"Hot-room log, thermostat at {setting} (invented)")
        figure.legend(loc="outside lower center", ncols=3)
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Line chart of food temperature over ambient, {len(rows)} runs from {rows[0]['ambient_F']} to "
        f"{rows[-1]['ambient_F']} °F with the thermostat at its usual setting: one curve as found, one if "
        "correctly installed, and a level line at the limit. The same readings stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    return readings_table("Hot-room log (invented)", COLUMNS, rows, empty=STOPPED)
