"""A meter on a heater's circuit as a still picture, for copies without a kernel."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.model import heater_circuit as wiring
from warmside.model.heat_source import nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.show.heater_meter import AMPS, POINTS, MeterOnHeater, reading
from warmside.show.meter_because import because
from warmside.show.pictures import styled


def alt_text(setting: MeterOnHeater, system: str = "US") -> str:
    """Describe the picture."""
    return (
        "Drawing of a heater's circuit: supply, wires to scale, joints, fuse, board, elements, with points "
        f"A to N. {because(setting, system)}"
    )


_LIVE, _RETURN, _MIDDLE = 2.2, 0.0, 1.1
_PLACES = {  # part of the way from the supply (0) to the board (1), or feet of paper beyond it; height
    "A": (0.0, _LIVE),
    "B": (1.0, _LIVE),
    "C": (1.14, _LIVE),
    "D": (1.30, _LIVE),
    "E": (1.46, _LIVE),
    "F": (1.66, 1.62),
    "G": (1.66, 0.58),
    "H": (1.92, 1.62),
    "J": (1.92, 0.58),
    "K": (1.30, _RETURN),
    "L": (1.0, _RETURN),
    "M": (0.0, _RETURN),
    "N": (2.10, _MIDDLE),
}


def meter_figure(setting: MeterOnHeater, system: str = "US") -> Figure:
    """Draw the circuit with the meter on it, 1000 by 600 pixels."""
    heater = setting.circuit
    with styled():
        figure = Figure(figsize=(10, 6))
        axes = figure.add_axes((0.01, 0.02, 0.98, 0.9))
        axes.set_axis_off()
        axes.set(xlim=(-0.2, 2.3), ylim=(-0.95, 2.9))
        _draw_wires(axes, heater, setting.isolated)
        _draw_scale(axes, heater, system)
        _draw_points(axes, setting, heater)
        _draw_meter(axes, setting)
        on = "off, disconnected, wires off the board" if setting.isolated else "on, under load"
        figure.text(0.02, 0.94, f"{setting.heater.capitalize()}; {on}", fontsize=16)
    return figure


def _draw_wires(axes: Axes, heater: HeaterCircuit, isolated: bool) -> None:
    def line(*letters, **how):
        places = [_PLACES[letter] for letter in letters]
        axes.plot(*zip(*places, strict=True), **{"color": DARK, "linewidth": 2.5, **how})

    line("A", "B", linewidth=4)
    line("L", "M", linewidth=4)
    line("B", "C")
    line("C", "D")
    closed = heater.switched_on and not isolated
    lever = [_PLACES["D"][0], _PLACES["E"][0] - (0.0 if closed else 0.06)]
    axes.plot(lever, [_LIVE, _LIVE + (0.0 if closed else 0.16)], color=DARK, linewidth=4)
    line("K", "L", linestyle=":" if isolated else "-")
    for live, back in _leads(heater):
        (x, top), (_, bottom) = _PLACES[live], _PLACES[back]
        axes.plot([_PLACES["E"][0], x, x], [_LIVE, _LIVE, top], color=DARK)
        axes.plot([_PLACES["K"][0], x, x], [_RETURN, _RETURN, bottom], color=DARK)
        zigzag = np.linspace(top - 0.12, bottom + 0.12, 9)
        swing = np.array([0, 1, -1, 1, -1, 1, -1, 1, 0]) * 0.035
        axes.plot([x, *(x + swing), x], [top, *zigzag, bottom], color=RED, linewidth=3)
    left, right = _PLACES["F"][0] - 0.1, _PLACES[_leads(heater)[-1][0]][0] + 0.1
    sheath = Rectangle((left, 0.32), right - left, 1.56, fill=False, hatch="..", edgecolor=ORANGE, zorder=0)
    axes.add_patch(sheath)
    axes.plot([right, _PLACES["N"][0]], [_MIDDLE, _MIDDLE], color=ORANGE)
    axes.text((left + right) / 2, -0.3, "heater in its sheath", ha="center", color=DARK)
    axes.add_patch(Rectangle((1.16, _LIVE - 0.09), 0.12, 0.18, facecolor="white", edgecolor=DARK, zorder=3))
    axes.text(1.22, _LIVE + 0.42, "fuse", ha="center", color=DARK)
    axes.text(1.38, _LIVE + 0.42, "switch", ha="center", color=DARK)
    volts = nominal_voltage(heater.source)
    kind = "alternating" if heater.source == "mains" else "direct"
    axes.text(-0.16, _MIDDLE, f"supply\n{volts:g} V\n{kind}", va="center", color=DARK)


def _leads(heater: HeaterCircuit) -> list[tuple[str, str]]:
    return [("F", "G"), ("H", "J")][: len(heater.elements)]


def _draw_scale(axes: Axes, heater: HeaterCircuit, system: str) -> None:
    """Draw the length of the wires: the way from supply to board is to scale, the rest is drawn larger."""
    unit, metres, step = ("ft", 0.3048, 5.0) if system == "US" else ("m", 1.0, 1.0)
    part = step * metres / heater.wire_length
    y = -0.42
    axes.plot([0, part], [y, y], color=BLUE, linewidth=6, solid_capstyle="butt")
    axes.text(part + 0.03, y, f"{step:g} {unit}", va="center", color=BLUE)
    one_way, gauge = heater.wire_length / metres, wiring.USUAL_GAUGE[heater.source]
    axes.text(
        0.0,
        -0.8,
        f"The wires are to scale: {one_way:.0f} {unit} one way, {gauge} AWG copper. "
        "Fuse, board and heater are larger.",
        color=DARK,
    )


def _draw_points(axes: Axes, setting: MeterOnHeater, heater: HeaterCircuit) -> None:
    for letter, (point, _) in POINTS.items():
        if point not in heater.circuit.points:
            continue
        x, y = _PLACES[letter]
        axes.plot(x, y, "o", color="white", markeredgecolor=DARK, markersize=11, zorder=4)
        above = y >= _LIVE
        offset = (0.06, 0) if letter in "FGHJN" else (0, 0.17 if above else -0.17)
        axes.text(x + offset[0], y + offset[1], letter, ha="center", va="center", weight="bold", zorder=5)


def _draw_meter(axes: Axes, setting: MeterOnHeater) -> None:
    shown = reading(setting).text
    box = FancyBboxPatch((0.19, 0.62), 0.58, 0.96, boxstyle="round,pad=0.04", facecolor="#f4f4f4")
    axes.add_patch(box)
    large = 26 if len(shown) < 11 else 18
    axes.text(0.48, 1.26, shown, ha="center", va="center", fontsize=large, weight="bold")
    axes.text(0.48, 0.8, setting.meter, ha="center", va="center", color=DARK)
    if setting.meter == AMPS:
        x, y = 0.5, _LIVE
        axes.plot(x, y, "o", markersize=34, fillstyle="none", color=GREEN, markeredgewidth=4)
        axes.plot([x, 0.46], [y - 0.2, 1.62], color=GREEN)
        axes.text(x + 0.1, y + 0.25, "clamp", color=GREEN)
        return
    for letter, colour, marker, start, name in (
        (setting.red, RED, "^", 0.3, "red"),
        (setting.black, "black", "v", 0.62, "black"),
    ):
        if POINTS[letter][0] not in setting.circuit.circuit.points:
            continue
        x, y = _PLACES[letter]
        axes.annotate(
            "",
            (x, y),
            (start, 1.62 if y >= _MIDDLE else 0.58),
            arrowprops={
                "arrowstyle": "-",
                "color": colour,
                "linewidth": 2.5,
                "linestyle": "-" if name == "red" else (0, (5, 2)),
                "connectionstyle": f"arc3,rad={-0.12 if y >= _MIDDLE else 0.12}",
                "shrinkB": 6,
            },
            zorder=6,
        )
        axes.plot(x, y, marker, color=colour, markersize=14, zorder=7)
        side, align = (-0.02, "right") if x > start else (0.02, "left")  # not where the lead goes
        axes.text(start + side, 1.67 if y >= _MIDDLE else 0.42, name, ha=align, color=colour, zorder=7)
