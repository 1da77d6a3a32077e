"""What the drawings of job cards are put together from. None of it is to scale."""

from dataclasses import dataclass

from warmside.colours import BLUE, RED
from warmside.show import svg
from warmside.show.svg import Point

COLD, METAL, WATER, ICE = "#e8eef3", "#b9c4cc", "#bfe0f2", "#ffffff"
_WALL = {"stroke_width": 5}
_SLOT = 18.0  # px; height of a gap over the cabinet


def heading(text: str, x: float, y: float) -> str:
    """Return a heading in bold letters."""
    return svg.words(text, x, y, font_size=20, font_weight="bold")


def thermometer(x: float, top: float, bottom: float) -> list[str]:
    """Return a thermometer whose bulb is at the bottom."""
    return [
        svg.box(x - 5, top, 10, bottom - top, fill="#ffffff", rx=5),
        svg.line([(x, bottom), (x, top + 0.4 * (bottom - top))], stroke=RED, stroke_width=4),
        svg.dot(x, bottom, 10, fill=RED, stroke="#444444", stroke_width=2),
    ]


def cup(x: float, top: float, width: float, height: float) -> list[str]:
    """Return a cup of water."""
    right, bottom = x + width, top + height
    return [
        svg.box(x, top + 0.2 * height, width, 0.8 * height, fill=WATER, stroke="none"),
        svg.line([(x, top), (x, bottom), (right, bottom), (right, top)], stroke_width=4),
    ]


def flame(x: float, bottom: float, height: float = 44.0) -> str:
    """Return a gas flame standing on a point."""
    half = height / 3
    ends = [
        (x, bottom),
        (x - half, bottom - height / 3),
        (x, bottom - height),
        (x + half, bottom - height / 3),
    ]
    return svg.line([*ends, ends[0]], fill="#cfe6f5", stroke=BLUE)


def battery(x: float, y: float) -> list[str]:
    """Return a battery, 100 by 44, by its upper left corner."""
    signs = [svg.words(sign, x + at, y + 30, text_anchor="middle") for sign, at in (("+", 20), ("−", 80))]
    poles = [svg.box(x + at, y - 8, 16, 8, fill="#444444") for at in (12, 72)]
    return [svg.box(x, y, 100, 44, fill=METAL), *poles, *signs]


def mains(x: float, y: float) -> list[str]:
    """Return a socket, 100 by 44, by its upper left corner."""
    slots = [svg.line([(x + at, y + 12), (x + at, y + 32)], stroke_width=5) for at in (30, 70)]
    return [svg.box(x, y, 100, 44, fill="#ffffff", rx=8), *slots]


def meter(x: float, y: float, letter: str) -> list[str]:
    """Return a meter that reads volts (V) or amps (A)."""
    return [
        svg.dot(x, y, 18, fill="#ffffff", stroke=BLUE, stroke_width=3),
        svg.words(letter, x, y + 6, text_anchor="middle", fill=BLUE, font_weight="bold"),
    ]


def measure(start: Point, end: Point) -> str:
    """Return a line with a tip at either end, for what is measured between two places."""
    tips = {"marker_start": "url(#warmside-tip)", "marker_end": "url(#warmside-tip)"}
    return svg.line([start, end], **tips)


def element(left: float, right: float, y: float) -> str:
    """Return a heating element between two wires."""
    step = (right - left - 20) / 6
    teeth = [(left + 10 + step * (at + 0.5), y + (9 if at % 2 else -9)) for at in range(6)]
    return svg.line([(left, y), (left + 10, y), *teeth, (right - 10, y), (right, y)], stroke=RED)


@dataclass(frozen=True)
class Section:
    """A refrigerator in its enclosure from the side: lower vent in the wall behind it, outlet in the roof.

    Attributes
    ----------
    left, roof, floor : float
        Where it stands [px].
    open_top : bool
        Whether there is a gap over the cabinet, or what fills the space over it lies on it.
    """

    left: float
    roof: float
    floor: float
    open_top: bool = False

    @property
    def top(self) -> float:
        """Top of the cabinet."""
        return self.roof + 62.0

    @property
    def back(self) -> float:
        """Back of the cabinet."""
        return self.left + 112.0

    @property
    def wall(self) -> float:
        """Wall behind it."""
        return self.back + 62.0

    @property
    def outlet(self) -> Point:
        """Middle of the outlet."""
        return self.wall - 26.0, self.roof

    @property
    def over(self) -> Point:
        """The gap over the cabinet, or the seam where it has none."""
        return self.left + 60.0, self.top - (_SLOT / 2 if self.open_top else 0.0)

    @property
    def behind(self) -> Point:
        """What lies between the tubes and the wall, beside the air that rises there."""
        return self.back + 29.0, self.middle

    @property
    def fins(self) -> Point:
        """Middle of the fins, at which the air passes."""
        return self.back + 14.0, self.top + 60.0

    @property
    def column(self) -> Point:
        """A place in the air behind the refrigerator."""
        return self.back + 44.0, self.middle

    @property
    def middle(self) -> float:
        """Half the height of the cabinet."""
        return (self.top + self.floor) / 2

    @property
    def boiler(self) -> Point:
        """Middle of the boiler."""
        return self.back + 14.0, self.floor - 112.0

    @property
    def vent(self) -> Point:
        """Middle of the lower vent."""
        return self.wall, self.floor - 45.0

    def parts(self) -> list[str]:
        """Return it drawn."""
        left, back, wall, roof, floor = self.left, self.back, self.wall, self.roof, self.floor
        shelf, (fin_x, fin_y), (boiler_x, boiler_y) = self.top + 90.0, self.fins, self.boiler
        filled = self.top - roof - (_SLOT if self.open_top else 0.0)
        walls = [
            [(left - 12, roof), (wall - 48, roof)],
            [(wall - 4, roof), (wall, roof), (wall, floor - 70)],
            [(wall, floor - 20), (wall, floor)],
            [(left - 12, floor), (wall + 40, floor)],
        ]
        way = [(wall + 34, self.vent[1]), (back + 44, self.vent[1]), (back + 44, fin_y + 66)]
        out = [(self.outlet[0], fin_y - 28), (self.outlet[0], roof - 20)]
        return [
            svg.box(left, self.top, back - left, floor - self.top, fill=COLD),
            svg.box(left, roof, back - left, filled, fill="url(#warmside-hatch)"),
            svg.line([(left, shelf), (back, shelf)], stroke_width=2),
            svg.words("freezer", left + 14, self.top + 52),
            svg.words("food", left + 30, (shelf + floor) / 2),
            svg.box(fin_x - 12, fin_y - 16, 26, 32, fill=METAL),
            *(
                svg.line([(fin_x + x, fin_y - 16), (fin_x + x, fin_y + 16)], stroke_width=1)
                for x in (-4, 2, 8)
            ),
            svg.box(fin_x - 12, fin_y + 40, 9, boiler_y - fin_y - 60, fill="#d7dde2", stroke_width=1),
            svg.box(boiler_x - 12, boiler_y - 20, 20, 50, fill=METAL),
            *(svg.line(points, **_WALL) for points in walls),
            *(svg.line(points, stroke=BLUE, marker_end="url(#warmside-tip)") for points in (way, out)),
        ]

    def gap_behind(self) -> str:
        """Return the way from the tubes to the wall, measured."""
        return measure((self.back + 14.0, self.middle), (self.wall - 5.0, self.middle))

    def baffle(self) -> str:
        """Return the sheet that guides the air to the fins, drawn."""
        x, y = self.fins
        return svg.line([(self.wall, y + 40), (x + 26, y + 22)], stroke="#009E73", stroke_width=5)
