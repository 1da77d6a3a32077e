"""Fuses: what is dead when one has blown, and which of two in series goes first."""

import numpy as np
from IPython.display import HTML
from matplotlib.figure import Figure

from warmside.blocks import table
from warmside.colours import BLUE, ORANGE
from warmside.data import load
from warmside.model.fuse import DEAD_WHEN_BLOWN, opening_time, opens_first
from warmside.show.pictures import as_figure, styled

_CURRENTS = np.geomspace(6.0, 150.0, 200)  # A


def show_fuses() -> HTML:
    """Return a table of the fuses on a refrigerator, what they carry and what is dead when one has blown."""
    fuses = load("fuses")
    low, high = (f"{amps:g}" for amps in fuses.numbers("control_fuse"))
    rated = {
        "mains heater fuse": f"about {fuses['mains_heater_fuse']:g} A, of a mains voltage rating",
        "battery heater fuse": "by the heater: 125 % of its current, the next size up",
        "control fuse": f"{low} to {high} A",
        "panel fuse": f"{fuses['panel_fuse']:g} A",
    }
    rows = [(name, rated[name], dead) for name, dead in DEAD_WHEN_BLOWN.items()]
    heads = ("Fuse", "It carries", "Dead when it has blown")
    return HTML(table("Fuses, by common practice, no source", heads, rows))


def surely(near: float, far: float) -> float:
    """Highest current [A] in the picture up to which the fuse near the load is sure to open first."""
    first = [opens_first(near, far, current) for current in _CURRENTS]
    return float(_CURRENTS[first.index(False) - 1]) if False in first else float(_CURRENTS[-1])


def fuse_times_figure(near: float, far: float) -> Figure:
    """Draw the bands of opening times of two blade fuses by their ratings [A], nearest the load first."""
    with styled():
        figure = Figure(figsize=(10, 5), layout="constrained")
        axes = figure.subplots()
        for rating, colour, hatch in ((near, BLUE, "//"), (far, ORANGE, "..")):
            shortest, longest = opening_time(_CURRENTS, rating)
            known = np.isfinite(shortest)
            axes.fill_between(
                _CURRENTS[known],
                shortest[known],
                np.minimum(longest[known], 1e4),
                facecolor=colour,
                alpha=0.35,
                hatch=hatch,
                edgecolor=colour,
                label=f"Fuse of {rating:g} A",
            )
        axes.set(
            xscale="log",
            yscale="log",
            xlim=(_CURRENTS[0], _CURRENTS[-1]),
            ylim=(0.01, 1e4),
            xticks=(10, 20, 50, 100),
            xticklabels=("10", "20", "50", "100"),
            yticks=(0.01, 0.1, 1.0, 10.0, 60.0, 600.0, 3600.0),
            yticklabels=("0.01 s", "0.1 s", "1 s", "10 s", "1 min", "10 min", "1 h"),
            xlabel="Current (A)",
            ylabel="Time until it opens",
        )
        axes.minorticks_off()
        axes.set_title(f"Up to {surely(near, far):.0f} A the {near:g} A fuse goes first; beyond, either may")
        figure.legend(
            loc="outside lower center", ncols=2, title="Blade fuses; bands from memory, for the idea alone"
        )
    return figure


def show_fuse_times(near: float, far: float) -> HTML:
    """Return the picture of two blade fuses in series by their ratings [A], nearest the load first."""
    alt = (
        f"Opening time against current for blade fuses of {near:g} and {far:g} A, both falling steeply. "
        f"Up to {surely(near, far):.0f} A the smaller one is sure to open first; beyond, the bands overlap."
    )
    return HTML(as_figure(fuse_times_figure(near, far), alt))
