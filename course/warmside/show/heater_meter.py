"""A meter on a heater's circuit: a drawing to scale, two probes, and what the meter shows."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.model import heater_circuit as wiring
from warmside.model.heat_source import nominal_voltage
from warmside.model.heater_circuit import HeaterCircuit
from warmside.show.lab import Lab, Options, as_options
from warmside.show.pictures import as_html, styled

VOLTS, AMPS, OHMS = "volts", "amps", "ohms"
HEATERS = {
    "mains, two elements": ("8 cu ft", "mains"),
    "mains, one element": ("6 cu ft", "mains"),
    "battery": ("8 cu ft", "battery"),
}
"""Which heaters there are to measure: size and source by what people read."""
POINTS = {
    "A": (wiring.SUPPLY_LIVE, "supply, live"),
    "B": (wiring.TERMINAL, "end of the live wire"),
    "C": (wiring.FUSE_IN, "fuse, coming in"),
    "D": (wiring.FUSE_OUT, "fuse, going out"),
    "E": (wiring.BOARD, "board, live"),
    "F": (wiring.element_live(1), "element 1, live"),
    "G": (wiring.element_return(1), "element 1, return"),
    "H": (wiring.element_live(2), "element 2, live"),
    "J": (wiring.element_return(2), "element 2, return"),
    "K": (wiring.BOARD_RETURN, "board, return"),
    "L": (wiring.RETURN_TERMINAL, "end of the return wire"),
    "M": (wiring.SUPPLY_RETURN, "supply, return"),
    "N": (wiring.SHEATH, "metal sheath of the heater"),
}
"""Points for the probes by letter: name in the model, and what people read."""

IN_ORDER = "in order"
FAULTS = {
    IN_ORDER: "Nothing is wrong.",
    "low supply": "The supply is far too low under load.",
    "bad joint, live": "The joint between B and C has resistance: it takes volts, and gets hot.",
    "bad joint, return": "The joint between K and L has resistance: a return counts as much as a live wire.",
    "blown fuse": "The fuse has opened. Ask why before a new one goes in.",
    "element 1 open": "Element 1 is open. A second one, if there is one, goes on with half the heat.",
    "leakage to ground": "Element 1 leaks to its metal sheath. Leave it off, with power off at the supply.",
    "board not calling": "The switch on the board is open: the control asks for no heat.",
}
"""Faults to put in by name, and what is told when they are shown."""
_SECRET = (
    "bad joint, live",
    "element 1 open",
    "low supply",
    "leakage to ground",
    "blown fuse",
    "bad joint, return",
)
MYSTERIES = tuple(f"mystery {number}" for number in range(1, len(_SECRET) + 1))
_LOW = {"mains": 104.0, "battery": 10.6}
_JOINT = {"mains": 4.0, "battery": 0.12}
_LEAK = 20e3  # ohm


@dataclass(frozen=True)
class MeterOnHeater:
    """Where the meter is, and on what.

    Attributes
    ----------
    heater : str
        One of `HEATERS`.
    fault : str
        One of `FAULTS` or `MYSTERIES`.
    shown : bool
        Whether the fault is told.
    isolated : bool
        Made dead and the supply's wires off the board, as for ohms; else on and under load.
    meter : str
        "volts", "amps" (a clamp round the live wire) or "ohms".
    red, black : str
        Letters of `POINTS`.
    """

    heater: str = "mains, two elements"
    fault: str = IN_ORDER
    shown: bool = False
    isolated: bool = False
    meter: str = VOLTS
    red: str = "F"
    black: str = "G"


SITUATIONS = {
    "In order, at the element": MeterOnHeater(),
    "In order, what the way takes": MeterOnHeater(red="A", black="F"),
    "Element 1 open: volts": MeterOnHeater(fault="element 1 open"),
    "Element 1 open: amps": MeterOnHeater(fault="element 1 open", meter=AMPS),
    "Bad joint: across it": MeterOnHeater(fault="bad joint, live", red="B", black="C"),
    "Blown fuse: across it": MeterOnHeater(fault="blown fuse", red="C", black="D"),
    "Battery, what the way takes": MeterOnHeater(heater="battery", red="A", black="F"),
}
"""Where to put the meter to see something, by what people read."""


@lru_cache(maxsize=64)
def heater_with(heater: str, fault: str) -> HeaterCircuit:
    """Return a heater's circuit, one of `HEATERS`, with a fault, one of `FAULTS` or `MYSTERIES`."""
    size, source = HEATERS[heater]
    sound = HeaterCircuit.of(size, source)
    name = _SECRET[MYSTERIES.index(fault)] if fault in MYSTERIES else fault
    changes: dict[str, dict[str, Any]] = {
        IN_ORDER: {},
        "low supply": {"voltage": _LOW[source]},
        "bad joint, live": {"joint": _JOINT[source]},
        "bad joint, return": {"return_joint": _JOINT[source]},
        "blown fuse": {"fuse_blown": True},
        "element 1 open": {"elements": (np.inf, *sound.elements[1:])},
        "leakage to ground": {"insulation": _LEAK},
        "board not calling": {"switched_on": False},
    }
    return sound.changed(**changes[name])


def reading(setting: MeterOnHeater) -> str:
    """Return what the meter's display shows, or a few words on why it shows nothing."""
    return _reading(setting, heater_with(setting.heater, setting.fault))


def _reading(setting: MeterOnHeater, heater: HeaterCircuit) -> str:
    circuit = heater.circuit
    if setting.meter == AMPS:
        amps = 0.0 if setting.isolated else circuit.amps("live wire")
        return f"{amps:.2f} A" if amps < 10.0 else f"{amps:.1f} A"
    points = [POINTS[letter] for letter in (setting.red, setting.black)]
    for letter, (point, _) in zip((setting.red, setting.black), points, strict=True):
        if point not in circuit.points:
            return f"no point {letter} here"
    (red, _), (black, _) = points
    if setting.meter == VOLTS:
        volts = 0.0 if setting.isolated else round(circuit.volts(red, black), 2) + 0.0  # no -0.00
        return f"{volts:.1f} V" if abs(volts) >= 20.0 else f"{volts:.2f} V"
    if not setting.isolated:
        return "isolate first"
    ohms = circuit.ohms(red, black, lifted=wiring.ISOLATED)
    if np.isinf(ohms):
        return "open"
    for factor, unit in ((1e6, "Mohm"), (1e3, "kohm")):
        if ohms >= factor:
            return f"{ohms / factor:.3g} {unit}"
    return f"{ohms:.1f} ohm" if ohms >= 10.0 else f"{ohms:.2f} ohm"


def finding(setting: MeterOnHeater, system: str = "US") -> str:
    """Say what the meter shows and what it would show on a circuit in order."""
    del system  # volts, amps and ohms are the same in both
    shown = reading(setting)
    told = _fault_told(setting)
    if shown == "isolate first":
        return (
            "Ohms are never measured on a live circuit: isolate it, prove it dead, then measure. "
            f"The meter shows nothing.{told}"
        )
    if shown.startswith("no point"):
        return f"This heater has {shown.removesuffix(' here')}: its second element isn't there.{told}"
    sound = _reading(setting, heater_with(setting.heater, IN_ORDER))
    probes = f"{_of(setting.red)} to {_of(setting.black)}"
    where = "round the live wire" if setting.meter == AMPS else probes
    state = "off, the supply's wires off the board" if setting.isolated else "on and calling for heat"
    same = "just as" if sound == shown else f"and {sound}"
    return f"With the heater {state}, {where}: {shown}, {same} in a circuit in order.{told}"


def _fault_told(setting: MeterOnHeater) -> str:
    if not setting.shown:
        return ""
    name = _SECRET[MYSTERIES.index(setting.fault)] if setting.fault in MYSTERIES else setting.fault
    heat, right = (heater_with(setting.heater, fault).heat for fault in (setting.fault, IN_ORDER))
    return f" The fault: {FAULTS[name]} The boiler gets {heat:.0f} of {right:.0f} W."


def _of(letter: str) -> str:
    return f"{letter} ({POINTS[letter][1]})"


def alt_text(setting: MeterOnHeater, system: str = "US") -> str:
    """Describe the picture."""
    return (
        "Drawing of a heater's circuit: supply, wires to scale, joints, fuse, board, elements, with points "
        f"A to N. {finding(setting, system)}"
    )


# --- the drawing ------------------------------------------------------------------------------------------

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
    heater = heater_with(setting.heater, setting.fault)
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
    shown = reading(setting)
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
        if POINTS[letter][0] not in heater_with(setting.heater, setting.fault).circuit.points:
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


_LETTERS = tuple((f"{letter}  {words}", letter) for letter, (_, words) in POINTS.items())
METER_CONTROLS = (
    Options("heater", "Heater", as_options(HEATERS)),
    Options("fault", "Fault", as_options((*FAULTS, *MYSTERIES))),
    Options("shown", "Tell me the fault", (("No", False), ("Yes", True))),
    Options("isolated", "State", (("On, under load", False), ("Off and isolated", True))),
    Options("meter", "Meter", as_options((VOLTS, AMPS, OHMS))),
    Options("red", "Red probe at", _LETTERS),
    Options("black", "Black probe at", _LETTERS),
)


def heater_meter_lab() -> Lab:
    """Return the lab of module 04: put a meter on a heater's circuit and find what is wrong."""
    return Lab(
        MeterOnHeater(),
        METER_CONTROLS,
        lambda setting, system: as_html(meter_figure(setting, system), alt_text(setting, system)),
        finding,
        situations=SITUATIONS,
    )
