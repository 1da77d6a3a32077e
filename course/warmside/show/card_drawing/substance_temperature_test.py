"""The job card of the substance-temperature test: the cup in the cabinet, the thermometer in ice water."""

from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import COLD, ICE, cup, thermometer

SCENE = (
    "A refrigerator, cut open, with a cup of water and a thermometer on a shelf of its food compartment. "
    "Beside it the same thermometer in a glass of ice water."
)
_RIGHT = {
    "rated_ambient": (650, 34),
    "food_limit": (560, 186),
    "thermostat": (580, 224),
    "cabinet_air": (570, 260),
    "cup_conductance": (552, 320),
    "water_at_start": (476, 344),
    "cup_water": (476, 366),
    "reading_hour": None,
}


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    notes = Notes(card, _RIGHT, 280)
    bottom = max(500.0, notes.height + 20)
    places = {name: place for name, place in _RIGHT.items() if place}
    parts = [*_cabinet(bottom), *_ice_water(), *notes.parts(700, 20, bottom, **places)]
    parts += Notes(card, ["size"], 290).parts(20, 20)
    parts += Notes(card, ["ice_reading"], 290).parts(20, 350)
    return parts, round(bottom + 20)


def _cabinet(bottom: float) -> list[str]:
    warmth = [[(418, 320), (384, 320)], [(502, 320), (536, 320)]]
    return [
        svg.box(330, 60, 280, bottom - 60, fill="#ffffff", stroke_width=5, rx=8),
        svg.box(346, 76, 248, 70, fill=COLD),
        svg.box(346, 156, 248, bottom - 176, fill=COLD),
        svg.words("freezer", 470, 118, text_anchor="middle"),
        svg.words("food", 400, 190, text_anchor="middle"),
        *cup(430, 300, 60, 80),
        *thermometer(450, 220, 356),
        svg.line([(346, 382), (594, 382)]),
        *(svg.line(way, marker_end="url(#warmside-tip)") for way in warmth),
    ]


def _ice_water() -> list[str]:
    cubes = [(62, 238), (92, 256), (64, 276), (108, 232)]
    return [
        *cup(50, 210, 100, 110),
        *(svg.box(x, y, 22, 20, fill=ICE, stroke="#7fb6d6") for x, y in cubes),
        *thermometer(134, 120, 288),
    ]
