"""The job card of everyday use: a box with its load and its door, a clock, and a car with shopping in it."""

from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import COLD

SCENE = (
    "A refrigerator, cut open, its door ajar, with a load on a shelf. Beside it a clock for the defrost, and "
    "below that a car with a bag in it."
)
_LEFT = ("setting", "outside", "spare", "load", "load_temperature", "food_heat", "open_time", "door_heat")
_RIGHT = (
    *("first_defrost", "between_defrosts", "defrost_takes", "cooking_from", "cooking_to"),
    *("car_temperature", "car_time", "next_stop", "work"),
)


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    left, right = Notes(card, _LEFT, 270), Notes(card, _RIGHT, 270)
    bottom = max(620.0, left.height + 30, right.height + 30)
    parts = [*_cabinet(), *_clock(), *_car()]
    parts += left.parts(20, 20, bottom)
    parts += right.parts(710, 20, bottom)
    parts += [
        svg.line([(300, 30), (300, bottom)], stroke="#d0d0d0"),
        svg.line([(694, 30), (694, bottom)], stroke="#d0d0d0"),
    ]
    return parts, round(bottom + 20)


def _cabinet() -> list[str]:
    return [
        svg.box(344, 60, 140, 460, fill="#ffffff", stroke_width=5, rx=8),
        svg.box(356, 72, 116, 90, fill=COLD),
        svg.box(356, 172, 116, 336, fill=COLD),
        svg.line([(356, 455), (472, 455)]),
        svg.box(376, 398, 70, 55, fill="#d98a4e"),
        svg.line([(344, 172), (316, 250), (316, 500), (344, 508)]),
        svg.words("freezer", 414, 122, text_anchor="middle"),
        svg.words("food", 414, 206, text_anchor="middle"),
        svg.words("load", 411, 432, text_anchor="middle"),
    ]


def _clock() -> list[str]:
    return [
        svg.dot(590, 140, 62, fill="#444444"),
        svg.dot(590, 140, 57, fill="#ffffff"),
        svg.line([(590, 140), (590, 98)]),
        svg.line([(590, 140), (620, 152)]),
        svg.words("defrost", 590, 232, text_anchor="middle"),
    ]


def _car() -> list[str]:
    return [
        svg.box(520, 440, 150, 46, fill="#c9d6de", rx=10),
        svg.box(548, 408, 92, 34, fill="#eef3f6", rx=8),
        svg.dot(553, 488, 15, fill="#444444"),
        svg.dot(637, 488, 15, fill="#444444"),
        svg.box(604, 420, 22, 22, fill="#d98a4e"),
        svg.words("shopping", 595, 534, text_anchor="middle"),
    ]
