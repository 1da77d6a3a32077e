"""The job card on heat sources: three ways to heat a boiler, another refrigerator, and a box of fuses."""

from warmside.colours import RED
from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import METAL, battery, element, flame, heading, mains, meter
from warmside.show.svg import Point

Sketch = tuple[list[str], dict[str, Point]]
"""What is drawn, and the places in it that lines of the card belong to."""

SCENE = (
    "Four sketches: a mains heater of two elements with its fuse and a voltmeter across it; a battery "
    "heater at the end of two long wires; a gas burner with its cylinder on a scale; and the mains heater of "
    "another refrigerator with three meters. Below them a box of four fuses."
)
_MAINS = ("mains_plate_volts", "mains_plate_watts", "mains_elements", "measured_volts")
_BATTERY = (
    "battery_plate_volts",
    "battery_plate_watts",
    "wire_gauge",
    "wire_length",
    "wire_temperature",
    "battery_volts",
)
_GAS = ("orifice", "low_pressure", "cylinder_tare", "cylinder_weighs")
_OTHER = ("other_size", "other_plate", "other_heater", "other_amps", "other_supply")
_FUSES = ("fuse_a", "fuse_b", "fuse_c", "fuse_d")
_TOP, _SIDE, _RIGHT, _BETWEEN = 44.0, 240.0, 500.0, 64.0  # px
_WIDE = 140.0  # px; from wire to wire
_RULE = {"stroke": "#bbbbbb", "stroke_width": 2}


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    sketches = (
        (("Mains heater", _MAINS, _mains), ("Battery heater and its run", _BATTERY, _battery)),
        (("Burner and cylinder", _GAS, _gas), ("Other refrigerator", _OTHER, _other)),
    )
    parts, top = [], _TOP
    for row in sketches:
        notes = [Notes(card, names, _SIDE) for _, names, _ in row]
        bottom = top + max(280.0, *(one.height for one in notes))
        for (title, _, sketch), lines, left in zip(row, notes, (0.0, _RIGHT), strict=True):
            drawn, places = sketch(left + 30, top + 10, bottom)
            parts += [heading(title, left + 20, top - 16), *drawn]
            parts += lines.parts(left + 240, top, bottom, **places)
        parts.append(svg.line([(14, bottom + 20), (986, bottom + 20)], **_RULE))
        top = bottom + _BETWEEN
    parts.append(svg.line([(_RIGHT - 10, 14), (_RIGHT - 10, top - 44)], **_RULE))
    box, foot = _box_of_fuses(card, top)
    return [*parts, *box], round(foot + 24)


def _box_of_fuses(card: JobCard, top: float) -> tuple[list[str], float]:
    fuses = [Notes(card, [name], 220) for name in _FUSES]
    foot = top + max(one.height for one in fuses)
    parts = [heading("Box of fuses", 20, top - 16)]
    for at, one in enumerate(fuses):
        left = 14 + 245 * at
        parts.append(svg.box(left, top - 4, 236, foot - top + 16, fill="#fafafa"))
        parts += one.parts(left + 10, top)
    return parts, foot


def _circuit(x: float, top: float, bottom: float, elements: int) -> list[str]:
    """Two wires from a supply at the bottom to a heater at the top."""
    levels = [top + 20 + 32 * at for at in range(elements)]
    low, within = bottom - 22, x + _WIDE / 2
    wires = [[(edge, top + 20), (edge, low), (within, low)] for edge in (x, x + _WIDE)]
    return [
        *(svg.line(ends, stroke_width=4) for ends in wires),
        svg.box(x + 12, top, _WIDE - 24, 32 * elements + 8, fill="#fbefe6"),
        *(element(x, x + _WIDE, level) for level in levels),
    ]


def _voltmeter(x: float, y: float) -> list[str]:
    """A voltmeter from one wire to the other."""
    return [svg.line([(x, y), (x + _WIDE, y)], stroke_width=2), *meter(x + _WIDE / 2, y, "V")]


def _fuse(x: float, y: float) -> list[str]:
    return [svg.box(x - 8, y - 24, 16, 48, fill="#ffffff"), svg.line([(x, y - 24), (x, y + 24)])]


def _mains(x: float, top: float, bottom: float) -> Sketch:
    drawn = [*_circuit(x, top, bottom, 2), *_voltmeter(x, top + 120), *_fuse(x, bottom - 100)]
    heater, across = (x + _WIDE - 12, top + 36), (x + _WIDE / 2 + 18, top + 120)
    return [*drawn, *mains(x + 20, bottom - 44)], dict.fromkeys(_MAINS[:3], heater) | {
        "measured_volts": across
    }


def _battery(x: float, top: float, bottom: float) -> Sketch:
    drawn = [*_circuit(x, top, bottom, 1), *_voltmeter(x, bottom - 90), *battery(x + 20, bottom - 44)]
    heater, wire = (x + _WIDE - 12, top + 20), x + _WIDE
    run = {name: (wire, top + at) for name, at in zip(_BATTERY[2:5], (110, 150, 190), strict=True)}
    across = {"battery_volts": (x + _WIDE / 2 + 18, bottom - 90)}
    return drawn, dict.fromkeys(_BATTERY[:2], heater) | run | across


def _gas(x: float, top: float, bottom: float) -> Sketch:
    middle, neck = x + _WIDE / 2, bottom - 150
    drawn = [
        flame(middle, top + 56, 56),
        svg.box(middle - 40, top + 58, 80, 12, fill=METAL),
        svg.line([(middle, top + 90), (middle, neck)], stroke_width=7),
        svg.line([(middle - 12, top + 90), (middle, top + 74), (middle + 12, top + 90)], fill=METAL),
        svg.line([(middle, top + 124), (middle + 34, top + 124)], stroke_width=5),
        svg.dot(middle + 50, top + 124, 18, fill="#ffffff", stroke="#444444", stroke_width=3),
        svg.line([(middle + 50, top + 124), (middle + 60, top + 114)], stroke=RED),
        svg.box(middle - 44, neck, 88, 114, fill=METAL, rx=24),
        svg.box(middle - 64, bottom - 34, 128, 30, fill="#ffffff", rx=4),
    ]
    return drawn, {
        "orifice": (middle + 6, top + 82),
        "low_pressure": (middle + 68, top + 124),
        "cylinder_tare": (middle + 40, neck + 40),
        "cylinder_weighs": (middle + 60, bottom - 20),
    }


def _other(x: float, top: float, bottom: float) -> Sketch:
    drawn = [*_circuit(x, top, bottom, 2), *_voltmeter(x, top + 110), *_voltmeter(x, bottom - 80)]
    clamp = (top + 110 + bottom - 80) / 2
    return [*drawn, *meter(x + _WIDE, clamp, "A"), *mains(x + 20, bottom - 44)], {
        "other_plate": (x + _WIDE - 12, top + 36),
        "other_heater": (x + _WIDE / 2 + 18, top + 110),
        "other_amps": (x + _WIDE + 18, clamp),
        "other_supply": (x + _WIDE / 2 + 18, bottom - 80),
    }
