"""A sealed unit as a still picture, for copies without a kernel."""

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrowPatch, FancyBboxPatch

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.show.pictures import styled
from warmside.show.sealed_unit import SealedUnit
from warmside.show.unit_because import because
from warmside.show.unit_scene import unit_scene

_BOXES = {  # place of its middle, and how wide and high: the drawing is 10 by 6
    "food": (1.35, 1.75, 2.3, 1.7),
    "freezer": (1.35, 4.15, 2.3, 1.7),
    "condenser": (5.3, 5.0, 2.3, 1.2),
    "rectifier": (8.6, 4.6, 2.2, 1.2),
    "boiler": (8.6, 2.3, 2.4, 1.7),
    "strong": (5.0, 1.6, 2.6, 1.7),
}
_EDGES = {
    "freezer": BLUE,
    "food": BLUE,
    "boiler": RED,
    "condenser": ORANGE,
    "rectifier": ORANGE,
    "strong": GREEN,
}
_ARROWS = (  # from, to, what flows, its colour and line, and where that is written
    ((8.6, 3.17), (8.6, 3.98), "gas", ORANGE, ":", (8.35, 3.55, "right")),
    ((7.48, 4.8), (6.47, 5.0), "gas", ORANGE, ":", (7.0, 5.2, "center")),
    ((4.13, 5.0), (2.53, 4.6), "liquid", BLUE, "--", (3.35, 5.1, "center")),
    ((1.35, 3.28), (1.35, 2.62), "liquid", BLUE, "--", (1.2, 2.93, "right")),
    ((2.53, 1.6), (3.68, 1.4), "heavy gas", DARK, "-", (3.08, 1.02, "center")),
    ((3.9, 2.47), (2.53, 3.8), "light gas", DARK, "-", (3.4, 3.3, "left")),
    ((6.32, 1.4), (7.38, 1.9), "strong", GREEN, "-", (6.9, 1.2, "center")),
    ((7.38, 2.6), (6.32, 2.2), "weak", GREEN, "--", (6.9, 2.75, "center")),
)


def alt_text(unit: SealedUnit, system: str = "US") -> str:
    """Describe the picture."""
    drawn = unit_scene(unit, system)
    cards = [drawn["cards"][name] for name in _BOXES]
    read = " ".join(f"{card['title']}: {', '.join((card['at'], *card['lines']))}." for card in cards)
    return (
        "Drawing of a sealed unit with its flows: gas from boiler over rectifier to condenser, liquid to the "
        "coils, heavy gas to the absorber, light gas back, strong and weak solution between "
        "absorber and boiler. "
        f"{read} {because(unit, system)}"
    )


def unit_figure(unit: SealedUnit, system: str = "US") -> Figure:
    """Draw a unit's parts and flows with what the model has for them, 1000 by 600 pixels."""
    drawn = unit_scene(unit, system)
    with styled():
        figure = Figure(figsize=(10, 6))
        axes = figure.add_axes((0.005, 0.005, 0.99, 0.99))
        axes.set_axis_off()
        axes.set(xlim=(0, 10), ylim=(0, 6))
        for name in _BOXES:
            _draw_box(axes, name, drawn["cards"][name])
        for start, end, text, colour, line, (x, y, align) in _ARROWS:
            axes.add_patch(
                FancyArrowPatch(
                    start, end, arrowstyle="-|>", mutation_scale=18, color=colour, linestyle=line, lw=2.5
                )
            )
            axes.text(x, y, text, ha=align, va="center", color=DARK)
        cold = f"cold made: {drawn['number']}, {drawn['margin_says']}"
        axes.text(
            0.2, 0.4, f"{cold}; food {drawn['food_text']}, {drawn['outside_text']} outside", va="center"
        )
        axes.text(0.2, 5.7, f"{drawn['pressure_text']} everywhere", va="center", weight="bold")
    return figure


def _draw_box(axes: Axes, name: str, card: dict) -> None:
    x, y, width, height = _BOXES[name]
    box = FancyBboxPatch(
        (x - width / 2, y - height / 2),
        width,
        height,
        boxstyle="round,pad=0.0,rounding_size=0.12",
        facecolor="#fffefb",
        edgecolor=_EDGES[name],
        linewidth=2.5,
    )
    axes.add_patch(box)
    lines = [card["title"], card["at"], *(card["lines"] if height > 1.5 else card["lines"][-2:-1])]
    shown = [line for line in lines if "everywhere" not in line]
    for place, line in enumerate(shown):
        top = y + height / 2 - 0.2 - place * (height - 0.36) / max(len(shown) - 1, 1)
        axes.text(x, top, line, ha="center", va="center", weight="bold" if place == 0 else "normal")
