"""The picture of an enclosure: a side section to scale, a close-up, the numbers, a chart over the ambient.

It is written as SVG by hand, in some 2 ms: drawn by a plotting library it would lag behind a moving hand.
"""

from functools import cache, lru_cache
from typing import Any

import numpy as np

from warmside.colours import BLUE, DARK, GREEN, ORANGE, RED
from warmside.data import load
from warmside.model.sizes import calibrated
from warmside.show import svg
from warmside.show.enclosure import (
    HONEST,
    Enclosure,
    Solved,
    alt_text,
    difference,
    minutes_an_hour,
    solve,
    temperature,
)
from warmside.units import from_si, show

_PARAMETERS, _RATINGS = load("parameters"), load("ratings")
_FIN_DEPTH = _PARAMETERS["fin_depth"]
_WIDTH, _HEIGHT = 1000, 600
_PER_METRE, _CLOSE_UP = 235.0, 940.0  # px for each metre of the section and of the close-up
_FLOOR, _BACK = 545.0, 180.0  # px; the floor, and the cabinet's back
_CABINET_DEPTH = 0.62  # m; drawn, no part of the model
_HEAT_COLOURS = ("#2166ac", "#67a9cf", "#f7b267", "#ef6c3a", "#b2182b")
_HEAT_STEP = 7.0  # K above the ambient from one colour to the next
_GOOD, _BAD = "#00694d", "#b04a00"  # dark enough for letters
_BOLD = {"font_weight": "bold"}
_OVER_LINES = {"stroke": "#ffffff", "stroke_width": 5, "paint_order": "stroke"}  # a rim that keeps lines off
_INCHES_STEP = 0.05
_LABEL_POINTS = 6  # of a curve lie over the label at its left end


def enclosure_picture(enclosure: Enclosure, system: str = "US") -> str:
    """Draw an enclosure as HTML, 1000 by 600: what stands for its lab where no kernel runs."""
    solved = solve(enclosure)
    parts = [*_Section(enclosure, solved, system).parts(), *_close_up(enclosure, system)]
    parts += [*_numbers(enclosure, solved, system), *_chart(enclosure, solved, system)]
    parts.append(svg.words(HONEST, 992, 594, text_anchor="end", fill=DARK, font_size=16))
    return svg.picture(parts, _WIDTH, _HEIGHT, alt_text(enclosure, system))


def still_section(enclosure: Enclosure, alt: str) -> str:
    """Draw the section alone with its parts named, 600 by 600: nothing of how it stands or what moves."""
    section = _Section(enclosure, None, "US")
    across = section.wall + 40
    parts = [*section.still(), svg.words("Side section, to scale", 14, 28, **_BOLD)]
    for name, (x, y) in section.places().items():
        parts.append(svg.line([(x, y), (across - 6, y)], stroke_width=1.5))
        parts.append(svg.words(name, across, y + 6))
    return svg.picture(parts, 600, _HEIGHT, alt)


def _heat_colour(above: float) -> str:
    return _HEAT_COLOURS[int(min(max(above / _HEAT_STEP, 0), len(_HEAT_COLOURS) - 1))]


@lru_cache(maxsize=256)
def _length(metres: float, system: str) -> str:
    """Return a length to the steps of the lab's controls, so that picture and lab say the same."""
    if system == "US":
        return f"{_INCHES_STEP * round(from_si(metres, 'length', 'inch').magnitude / _INCHES_STEP):.3g} in"
    return show(from_si(metres, "length"), system, kind="length", digits=0)


class _Section:
    """The whole enclosure from the side, to scale."""

    def __init__(self, enclosure: Enclosure, solved: Solved | None, system: str) -> None:
        self.enclosure, self.system = enclosure, system
        self.now: Any = solved.now if solved else None
        m = _PER_METRE
        self.top = _FLOOR - calibrated("side_height", enclosure.size, enclosure.rating) * m
        self.left = _BACK - _CABINET_DEPTH * m
        self.wall = _BACK + (enclosure.rear_gap + _FIN_DEPTH) * m
        self.middle = (_BACK + self.wall) / 2
        self.fins = _FLOOR - (calibrated("absorber_height", enclosure.size, enclosure.rating) + 0.28) * m
        self.ceiling = self.top - max(0.12, enclosure.top_gap + 0.10) * m
        self.vent = _FLOOR - 0.30 * m, _FLOOR - 0.06 * m
        self.roof = enclosure.outlet == "roof"
        self.outlet = self.fins - 42  # height of an outlet in the wall

    def parts(self) -> list[str]:
        parts = [*self.still(), *self._air(), *self._what_moves_it()]
        parts.append(svg.words("Side section, to scale", 14, 28, **_BOLD))
        side = _length(self.enclosure.side_gap, self.system)
        parts.append(svg.words(f"sides (not in view): {side} each", 14, 582))
        return parts

    def still(self) -> list[str]:
        """Return what doesn't move: cabinet, walls, unit."""
        return [*self._cabinet(), *self._walls(), *self._unit()]

    def places(self) -> dict[str, tuple[float, float]]:
        """Return where parts are that a still picture names."""
        tubes = _BACK + 8
        return {
            "upper vent": (self.middle, self.ceiling - 20),
            "condenser": (_BACK + _FIN_DEPTH * _PER_METRE / 2, self.fins + 6),
            "baffle": (self.wall - 4, self.fins + 34),
            "absorber": (tubes, _FLOOR - 0.6 * _PER_METRE),
            "boiler, heater": (tubes, _FLOOR - 0.38 * _PER_METRE),
            "lower vent": (self.wall, sum(self.vent) / 2),
        }

    def _cabinet(self) -> list[str]:
        height, width = _FLOOR - self.top, _BACK - self.left
        shelf = self.top + height * 0.26
        fill = "none" if self.enclosure.pocket_open else "url(#warmside-hatch)"
        pocket = self.top - self.ceiling
        return [
            svg.box(self.left, self.ceiling, width, pocket, fill=fill, stroke="none"),
            svg.box(self.left, self.top, width, height, fill="#e8eef3"),
            svg.line([(self.left, shelf), (_BACK, shelf)], stroke_width=2),
            svg.words("freezer", self.left + 36, self.top + height * 0.16),
            svg.words("food", self.left + 48, self.top + height * 0.62),
        ]

    def _walls(self) -> list[str]:
        high, low = self.vent
        wall, shut = self.wall, self.enclosure.upper_blocked
        outside = [[(wall, low), (wall, _FLOOR)]]
        outside += [[(14, _FLOOR), (wall + 50, _FLOOR)], [(14, self.ceiling), (_BACK, self.ceiling)]]
        if self.roof:
            outside += [[(wall, self.ceiling), (wall, high)]]
            bar = svg.box(_BACK, self.ceiling - 4, (wall - _BACK) * shut, 8, fill=RED, stroke=RED)
        else:
            outside += [[(_BACK, self.ceiling), (wall, self.ceiling), (wall, self.outlet - 20)]]
            outside += [[(wall, self.outlet + 20), (wall, high)]]
            bar = svg.box(wall - 4, self.outlet - 20, 8, 40 * shut, fill=RED, stroke=RED)
        parts = [svg.line(points, stroke_width=5) for points in outside]
        blocked = (low - high) * self.enclosure.lower_blocked
        if blocked:
            parts.append(svg.box(wall - 4, high, 8, blocked, fill=RED, stroke=RED))
        return [*parts, bar] if shut else parts

    def _unit(self) -> list[str]:
        depth = _FIN_DEPTH * _PER_METRE
        parts = [
            svg.box(_BACK + 2, self.fins, depth - 2, 24, fill="#b9c4cc"),
            svg.box(_BACK + 3, self.fins + 60, 9, _FLOOR - self.fins - 90, fill="#d7dde2", stroke_width=1),
        ]
        if self.enclosure.baffle:
            edge = min(_BACK + depth + self.enclosure.baffle_gap * _PER_METRE, self.wall)
            ends = [(self.wall, self.fins + 36), (edge, self.fins + 24)]
            parts.append(svg.line(ends, stroke=GREEN, stroke_width=5))
        return parts

    def _air(self) -> list[str]:
        now, ambient = self.now, self.enclosure.ambient
        air = [now.inlet_air_temperature, now.condenser_air_temperature, now.outlet_air_temperature]
        inlet, below, above = (float(value) for value in air)
        intake = sum(self.vent) / 2
        if self.roof:
            out = [(self.middle, self.fins - 4), (self.middle, self.ceiling - 34)]
            beside_outlet = self.ceiling - 14
        else:
            turn = (self.middle, self.outlet)
            out = [(self.middle, self.fins - 4), turn, (self.wall + 44, self.outlet)]
            beside_outlet = self.outlet - 16
        ways = [
            (inlet, [(self.wall + 50, intake), (self.middle, intake)], (self.wall + 54, intake - 14)),
            (below, [(self.middle, intake), (self.middle, self.fins + 32)], (self.wall + 14, self.fins + 90)),
            (above, out, (self.wall + 14, beside_outlet)),
        ]
        if self.enclosure.pocket_open or self.enclosure.top_gap > 0:
            level = (self.ceiling + self.top) / 2
            way = [(_BACK - 4, level), (self.left + 70, level)]
            ways.append((float(now.pocket_air_temperature), way, (self.left + 4, level + 6)))
        parts = []
        for value, way, (x, y) in ways:
            colour = _heat_colour(value - ambient)
            parts.append(svg.line(way, stroke=colour, stroke_width=7, marker_end="url(#warmside-tip)"))
            parts.append(svg.words(temperature(value, self.system), x, y, **_BOLD))
        return parts

    def _what_moves_it(self) -> list[str]:
        parts, fan, wind = [], self.enclosure.fan, self.enclosure.wind
        if fan != "none":
            half = 11 if fan == "strong" else 7
            blades = [(self.middle - half, self.fins - 12), (self.middle + half, self.fins - 12)]
            parts.append(svg.line(blades, stroke=BLUE, stroke_width=6))
            parts.append(svg.words(f"{fan} fan", self.wall + 14, self.fins - 4, fill=BLUE))
        if wind != "calm":
            y = self.ceiling - 50 if wind == "against" else sum(self.vent) / 2 + 34
            parts.append(svg.words(f"wind {wind}", self.wall + 20, y, fill=BLUE))
        return parts


def _close_up(enclosure: Enclosure, system: str) -> list[str]:
    """Fins, baffle and gaps, four times as large, to scale."""
    m, left, top, width, height = _CLOSE_UP, 352.0, 46.0, 268.0, 222.0
    wall = left + 14 + (enclosure.rear_gap + _FIN_DEPTH) * m
    parts = [
        svg.words("The fins, 4 times as large", left, 28, **_BOLD),
        svg.box(left, top, width, height, fill="#fafafa"),
        svg.box(left, top, 14, height, fill="#e8eef3"),
        svg.words("fins", left + 26, top + 30),
    ]
    if wall < left + width:
        parts.append(svg.line([(wall, top), (wall, top + 148)], stroke_width=5))
    for x in np.linspace(left + 18, left + 14 + _FIN_DEPTH * m, 7):
        parts.append(svg.line([(x, top + 42), (x, top + 98)], stroke="#7c8a95", stroke_width=4))
    if enclosure.baffle:
        edge = left + 14 + (_FIN_DEPTH + enclosure.baffle_gap) * m
        ends = [(min(wall, left + width), top + 136), (min(edge, wall), top + 102)]
        parts.append(svg.line(ends, stroke=GREEN, stroke_width=6))
        gap = _length(enclosure.baffle_gap, system)
        parts.append(svg.words(f"baffle, {gap} off", left + 22, top + 178, fill=_GOOD))
    else:
        parts.append(svg.words("no baffle", left + 22, top + 178, fill=_BAD, **_BOLD))
    behind = _length(enclosure.rear_gap, system)
    parts.append(svg.words(f"{behind} behind the fins", left + 22, top + 206))
    return parts


def _numbers(enclosure: Enclosure, solved: Solved, system: str) -> list[str]:
    """What counts, in large letters."""
    limit, rated = (_RATINGS[name][enclosure.rating] for name in ("food_limit", "rated_ambient"))
    margin = solved.holds - rated
    colour, mark = (_GOOD, "✔") if margin >= 0 else (_BAD, "✘")  # nan is no margin either
    holds, against = "nowhere", "no margin"
    if not np.isnan(solved.holds):
        holds = temperature(solved.holds, system)
        against = f"{'+' if margin >= 0 else '−'}{difference(margin, system)} to its rating"
    flow = show(from_si(float(solved.now.air_flow), "volume_flow"), system, kind="volume_flow")
    return [
        svg.words("At full demand it holds", 352, 294),
        svg.words(f"{temperature(limit, system)} up to", 352, 317),
        svg.words(holds, 352, 368, font_size=46, fill=colour, **_BOLD),
        svg.words(f"{mark} {against}", 352, 400, fill=colour, **_BOLD),
        svg.words(f"food now {temperature(solved.food, system)}", 352, 446, font_size=24, **_BOLD),
        svg.words(f"runs {minutes_an_hour(solved.duty)}", 352, 476),
        svg.words(f"outside {temperature(enclosure.ambient, system)}", 352, 504),
        svg.words(f"air {flow}", 352, 532),
    ]


_COOLEST, _HOTTEST, _LOWEST, _HIGHEST = 294.26, 322.04, 249.82, 322.04  # 70 to 120 °F over -10 to 120 °F
_LEFT, _RIGHT, _TOP, _BOTTOM = 690.0, 980.0, 46.0, 488.0
_ROWS = 24.0, 50.0  # px below the chart: ambients, and minutes that the unit runs
_BESIDE_ROWS = _LEFT - 22.0


def _across(ambient: float) -> float:
    share = (min(max(ambient, _COOLEST), _HOTTEST) - _COOLEST) / (_HOTTEST - _COOLEST)
    return _LEFT + share * (_RIGHT - _LEFT)


def _up(kelvin: float) -> float:
    share = (min(max(kelvin, _LOWEST), _HIGHEST) - _LOWEST) / (_HIGHEST - _LOWEST)
    return _BOTTOM - share * (_BOTTOM - _TOP)


def _chart(enclosure: Enclosure, solved: Solved, system: str) -> list[str]:
    """Food and freezer over the ambient, with the limits."""
    limit, rated = (_RATINGS[name][enclosure.rating] for name in ("food_limit", "rated_ambient"))
    demand = "At full demand" if enclosure.full_demand else "With thermostat"
    parts = [svg.words(f"{demand}, over ambient", _LEFT - 40, 28, **_BOLD), *_axes(system)]
    parts += _minutes(solved, _BOTTOM + _ROWS[1], system)
    freezing = _RATINGS["freezer_limit"][enclosure.rating]
    for level, colour in ((limit, DARK), (freezing, BLUE)):
        ends = [(_LEFT, _up(level)), (_RIGHT, _up(level))]
        parts.append(svg.line(ends, stroke=colour, stroke_width=2, stroke_dasharray="10 4 2 4"))
    parts.append(svg.line([(_across(rated), _BOTTOM), (_across(rated), _TOP)], stroke_dasharray="3 5"))
    place = _across(enclosure.ambient)
    parts.append(svg.line([(place, _BOTTOM), (place, _TOP)], stroke=BLUE, stroke_width=2))
    parts.append(_curve(solved, solved.freezers, stroke=BLUE, stroke_width=4, stroke_dasharray="12 5"))
    parts.append(_curve(solved, solved.foods, stroke=RED, stroke_width=5))
    says = f"limit {temperature(limit, system)}"
    parts.append(svg.words(says, _LEFT + 6, _up(limit) - 8, fill=DARK, **_OVER_LINES))
    says = f"limit {temperature(freezing, system)}"
    parts.append(svg.words(says, _RIGHT - 4, _up(freezing) - 8, text_anchor="end", fill=BLUE, **_OVER_LINES))
    parts.append(svg.words("rating", _across(rated) + 6, _TOP + 16, fill=DARK, **_OVER_LINES))
    for name, values, colour in (("food", solved.foods, _BAD), ("freezer", solved.freezers, BLUE)):
        below = _up(min(values[:_LABEL_POINTS])) + 24
        level = below if below < _BOTTOM else _up(max(values[:_LABEL_POINTS])) - 12
        parts.append(svg.words(name, _LEFT + 8, level, fill=colour, **_BOLD, **_OVER_LINES))
    parts.append(_diamond(solved.holds, limit, RED))
    if enclosure.swing > 0:
        ends = [(place, _up(solved.food_low)), (place, _up(solved.food_high))]
        parts.append(svg.line(ends, stroke=ORANGE, stroke_width=10))
    parts.append(svg.dot(place, _up(solved.food), 10, fill=ORANGE, stroke="#1a1a1a", stroke_width=3))
    return parts


def _minutes(solved: Solved, y: float, system: str) -> list[str]:
    """For how long the unit runs at the ambients that the chart names."""
    parts = [svg.words("runs, min an hour", _BESIDE_ROWS, y, text_anchor="end", fill=DARK)]
    for _, kelvin in _named_ambients(system):
        minutes = 60.0 * float(np.interp(kelvin, solved.ambients, solved.duties))
        parts.append(svg.words(f"{minutes:.0f}", _across(kelvin), y, text_anchor="middle", fill=DARK))
    return parts


def _kelvin(value: float, system: str) -> float:
    return (value + 459.67) / 1.8 if system == "US" else value + 273.15


def _named_ambients(system: str) -> list[tuple[int, float]]:
    """Return the ambients below the chart, as read and in K."""
    values = range(70, 121, 10) if system == "US" else range(25, 46, 5)
    return [(value, _kelvin(value, system)) for value in values]


@cache
def _axes(system: str) -> list[str]:
    beside = range(0, 121, 20) if system == "US" else range(-20, 41, 10)
    grid, parts = {"stroke": "#dddddd", "stroke_width": 1}, []
    for value, kelvin in _named_ambients(system):
        place = _across(kelvin)
        parts.append(svg.line([(place, _TOP), (place, _BOTTOM)], **grid))
        parts.append(svg.words(str(value), place, _BOTTOM + _ROWS[0], text_anchor="middle"))
    for value in beside:
        level = _up(_kelvin(value, system))
        parts.append(svg.line([(_LEFT, level), (_RIGHT, level)], **grid))
        parts.append(svg.words(str(value), _LEFT - 8, level + 6, text_anchor="end"))
    unit = "°F" if system == "US" else "°C"
    return [*parts, svg.words(f"outside ({unit})", _BESIDE_ROWS, _BOTTOM + _ROWS[0], text_anchor="end")]


def _curve(solved: Solved, values: np.ndarray, **how: object) -> str:
    seen = (solved.ambients <= _HOTTEST) & (solved.ambients >= _COOLEST)
    points = zip(solved.ambients[seen].tolist(), values[seen].tolist(), strict=True)
    return svg.line([(_across(ambient), _up(value)) for ambient, value in points], **how)


def _diamond(holds: float, limit: float, colour: str) -> str:
    """Where the food compartment passes its limit."""
    if np.isnan(holds):
        return ""
    corners = ((0, -11), (11, 0), (0, 11), (-11, 0), (0, -11))
    points = [(_across(holds) + dx, _up(limit) + dy) for dx, dy in corners]
    return svg.line(points, fill=colour, stroke="#1a1a1a", stroke_width=2)
