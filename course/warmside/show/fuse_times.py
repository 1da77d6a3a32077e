"""How fast two fuses in series open, as bands: which one goes first?"""

import numpy as np
from IPython.display import HTML
from matplotlib.figure import Figure

from warmside.model.fuse import opening_time
from warmside.show.pictures import BLUE, ORANGE, as_html, styled

_CURRENTS = np.geomspace(6.0, 150.0, 200)  # A


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
        axes.set_title("Where the bands overlap, either fuse may go first")
        figure.legend(
            loc="outside lower center", ncols=2, title="Blade fuses; bands from memory, for the idea alone"
        )
    return figure


def show_fuse_times(near: float, far: float) -> HTML:
    """Return the picture of two blade fuses in series by their ratings [A], nearest the load first."""
    alt = (
        f"Opening time against current for blade fuses of {near:g} and {far:g} A, both falling steeply. The "
        "smaller one opens sooner at every current, but the bands overlap at large ones."
    )
    return HTML(as_html(fuse_times_figure(near, far), alt))
