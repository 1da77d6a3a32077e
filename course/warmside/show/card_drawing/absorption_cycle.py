"""The job card on the absorption cycle: a sealed unit drawn flat, a level on a slope, and what was found."""

from warmside.colours import BLUE, RED
from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import COLD, METAL, WATER, element, heading
from warmside.show.svg import Point

SCENE = (
    "A sealed unit of the yard, drawn flat: boiler with its heater, rectifier, condenser, coils in freezer "
    "and food compartment, absorber and vessel. Beside it a level at camp, its low end raised until the "
    "bubble is in the middle, and below that what was found in the workshop. Not to scale."
)
_YARD = (
    "yard_unit",
    "gauge_pressure",
    "condenser_heat",
    "rectifier_heat",
    "coil_temperature",
    "freezer_cold",
    "food_cold",
    "boiler_loss",
    "heater",
    "compressor_cop",
)
_LEVEL = ("level_way", "level_length", "level_raised")
_STOOD = ("runs", "off_level")
_WORKSHOP = ("cup_test", "heat_found", "level_found", "air_found", "met")
_RULE = {"stroke": "#bbbbbb", "stroke_width": 2}
_TUBE = {"stroke": "#666666", "stroke_width": 5}
_TOP, _RIGHT, _LOW = 44.0, 500.0, 250.0  # px; below the headings, second half, height of the level's picture


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    yard, level = Notes(card, _YARD, 210), Notes(card, _LEVEL, 210)
    stood, found = Notes(card, _STOOD, 450), Notes(card, _WORKSHOP, 450)
    camp = _TOP + max(_LOW, level.height)
    workshop = camp + 20 + stood.height + 20
    foot = max(_TOP + yard.height, workshop + 52 + found.height, 760.0)
    unit, places = _unit(_TOP + 16, foot - 10)
    slope, ends = _slope(_RIGHT + 30, _TOP + 20)
    return [
        heading("Yard", 20, 28),
        heading("Camp", _RIGHT + 20, 28),
        svg.line([(_RIGHT - 10, 14), (_RIGHT - 10, foot)], **_RULE),
        svg.line([(_RIGHT + 4, workshop), (986, workshop)], **_RULE),
        *unit,
        *yard.parts(270, _TOP, foot, **places),
        *slope,
        *level.parts(_RIGHT + 270, _TOP, camp, **ends),
        *stood.parts(_RIGHT + 20, camp + 20),
        heading("Workshop", _RIGHT + 20, workshop + 30),
        *found.parts(_RIGHT + 20, workshop + 46),
    ], round(foot + 16)


def _unit(top: float, bottom: float) -> tuple[list[str], dict[str, Point]]:
    """Return a sealed unit between two heights, and the places in it that lines of the card belong to."""

    def at(part: float) -> float:
        return top + part * (bottom - top)

    boiler, drum = at(0.72), at(0.92)
    tubes = [
        [(60, boiler), (60, at(0.02)), (100, at(0.02)), (100, at(0.07)), (190, at(0.09))],
        [(190, at(0.09)), (228, at(0.10)), (228, at(0.25)), (206, at(0.25))],
        [(206, at(0.36)), (228, at(0.37)), (228, at(0.46)), (206, at(0.46))],
        [(110, at(0.57)), (96, at(0.57)), (96, at(0.64)), (120, at(0.64))],
        [(224, at(0.86)), (224, drum), (60, drum), (60, boiler + 76)],
    ]
    drawn = [svg.line(points, **_TUBE) for points in tubes]
    for name, upper, lower in (("Freezer", at(0.2), at(0.39)), ("Food", at(0.42), at(0.6))):
        drawn += [
            svg.box(90, upper, 150, lower - upper, fill=COLD),
            _winding(106, 224, upper + 24, lower - 40),
            svg.words(name, 100, lower - 10),
        ]
    drawn += [
        *_fins(110, 190, at(0.05), at(0.11)),
        *_fins(46, 74, at(0.14), at(0.2)),
        _winding(120, 224, at(0.64), at(0.86)),
        svg.box(100, drum - 16, 130, 32, fill=WATER, rx=14),
        svg.box(42, boiler, 36, 76, fill=METAL),
        element(30, 90, boiler + 52),
    ]
    return drawn, {
        "gauge_pressure": (209, at(0.095)),
        "condenser_heat": (176, at(0.11)),
        "rectifier_heat": (74, at(0.18)),
        "coil_temperature": (224, at(0.26)),
        "freezer_cold": (240, at(0.33)),
        "food_cold": (240, at(0.5)),
        "boiler_loss": (78, boiler + 14),
        "heater": (84, boiler + 52),
    }


def _winding(left: float, right: float, top: float, bottom: float) -> str:
    """A tube that winds down between two sides."""
    levels = [top + (bottom - top) * part / 5 for part in range(6)]
    return svg.line([((left, right)[turn % 2], level) for turn, level in enumerate(levels)], **_TUBE)


def _fins(left: float, right: float, top: float, bottom: float) -> list[str]:
    """Fins on a tube."""
    blades = [left + 7 + 12 * blade for blade in range(int((right - left - 8) // 12) + 1)]
    return [
        svg.box(left, top, right - left, bottom - top, fill=METAL),
        *(svg.line([(x, top), (x, bottom)], stroke_width=2) for x in blades),
    ]


def _slope(x: float, top: float) -> tuple[list[str], dict[str, Point]]:
    """A level on a floor that falls to the right, a wedge under its low end."""
    left, right, lift = x, x + 220, 56.0
    floor, under = top + 120, top + 104  # of the left end, and the level's lower edge
    drawn = [
        svg.line([(left - 10, floor), (right + 6, floor + lift)], stroke_width=5),
        svg.box(left, under - 28, 210, 28, fill=METAL),
        svg.box(left + 78, under - 22, 54, 16, fill="#e9f5d0", rx=8),
        svg.dot(left + 105, under - 14, 7, fill="#ffffff", stroke=BLUE, stroke_width=2),
        svg.line([(left + 6, under), (left + 6, floor + 2)], stroke_width=2),
        svg.box(right - 34, under, 22, floor + lift - under - 6, fill="#f3ead7", stroke=RED),
    ]
    return drawn, {
        "level_way": (left + 105, under - 28),
        "level_length": (right - 16, under - 14),
        "level_raised": (right - 14, under + 40),
    }
