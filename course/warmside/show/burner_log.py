"""The log of a burner's flame as a picture and a table: when it was lit, and when it went out."""

from typing import TYPE_CHECKING

from warmside.colours import DARK, ORANGE
from warmside.marking.job_card import JobCard
from warmside.show.pictures import readings_table, show_readings, styled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FILE_NAME = "burner_log.csv"
STILL_LIT = "still lit"
COLUMNS = {"burn": "Burn", "lit_min": "Lit (h:min)", "out_min": "Out (h:min)"}
_LABEL = {"boxstyle": "round", "facecolor": "white", "edgecolor": DARK}
_AFTER = 18  # min; what is drawn of the last burn, which goes on when the log ends


def show_burner_log(card: JobCard) -> None:
    """Show the burner log of a job card: picture, then table."""
    rows = card.table(FILE_NAME)
    show_readings(lambda: burner_figure(rows), alt_text(rows), table(rows))


def burner_figure(rows: list[dict[str, str]]) -> "Figure":
    """Draw a log as a strip: a bar for each burn, with a line for every ten minutes.

    Parameters
    ----------
    rows : list of dict
        The log's rows by column name, times in minutes; the last burn has no ``out_min``.

    Returns
    -------
    matplotlib.figure.Figure
    """
    end = int(rows[-1]["lit_min"]) + _AFTER
    from matplotlib.figure import Figure

    with styled():
        figure = Figure(figsize=(11, 4), layout="constrained")
        axes = figure.subplots()
        for row in rows:
            lit, out = int(row["lit_min"]), int(row["out_min"] or end)
            axes.bar(lit, 1.0, out - lit, align="edge", color=ORANGE, edgecolor=DARK, hatch="//", zorder=2)
            axes.text((lit + out) / 2, 0.5, row["burn"], ha="center", va="center", bbox=_LABEL)
        hours = range(0, end, 60)
        axes.set_xticks(hours, [hours_and_minutes(minute) for minute in hours])
        axes.set_xticks(range(0, end, 10), minor=True)
        axes.grid(axis="y", visible=False)
        axes.grid(axis="x", which="minor")
        axes.grid(axis="x", which="major", color=DARK, linewidth=1.2)
        axes.set(
            xlim=(0, end),
            ylim=(0, 1.1),
            xlabel="Hours and minutes since the log began; a line each 10 minutes",
        )
        axes.set_yticks([0, 1], ["out", "lit"])
        axes.tick_params(axis="x", pad=10)  # clear of “out”
        axes.set_title("Burner log (invented): a bar for each burn, with its number")
    return figure


def alt_text(rows: list[dict[str, str]]) -> str:
    """Say what the picture shows, without giving away what is asked."""
    return (
        f"Strip chart of a burner's flame: {len(rows)} burns, each a bar from where it was lit to where it "
        "went out. The same times stand in the table below."
    )


def table(rows: list[dict[str, str]]) -> str:
    """Return a log as an HTML table."""
    times = ("lit_min", "out_min")
    shown = [row | {name: hours_and_minutes(int(row[name])) for name in times if row[name]} for row in rows]
    return readings_table("Burner log (invented)", COLUMNS, shown, empty=STILL_LIT)


def hours_and_minutes(minutes: int) -> str:
    """Return minutes as h:min."""
    return f"{minutes // 60}:{minutes % 60:02d}"
