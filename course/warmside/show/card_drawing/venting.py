"""The job card on venting: two refrigerators from the side, three others, and a fan."""

from warmside.colours import BLUE, RED
from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import Section, heading, measure

SCENE = (
    "Two refrigerators in their enclosures from the side: one of the yard, with the height from its lower "
    "vent to its roof outlet, and the customer's, with its gaps and what shuts its air path; what fills the "
    "space over the cabinet is hatched. Below them "
    "three others, and a fan. Not to scale."
)
_YARD = (
    "outlet_free_share",
    "outlet_diameter",
    "height",
    "column_air",
    "heat_below",
    "outside_air",
    "lower_free_area",
    "measured_flow",
)
_CLOSED = "0 in"
_GAPS = ("top_gap", "baffle_gap", "rear_gap")
_ABOUT = ("side_gap", "on_arrival", "size", "rated_ambient", "food_limit")
_OTHERS = ("departure_a", "departure_b", "departure_c")
_FAN = ("draught_alone", "fan_free_flow", "fan_pressure")
_RULE = {"stroke": "#bbbbbb", "stroke_width": 2}
_TOP = 44.0  # px; below the headings
_SIDE, _RIGHT = 210.0, 500.0  # px; width of the notes, left of the second half


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    shut, names = _shut(card.entry("air_path").text)
    gap = card.entry("top_gap").text != _CLOSED
    yard, customer = Notes(card, _YARD, _SIDE), Notes(card, names, _SIDE)
    others, fan = Notes(card, _OTHERS, 450), Notes(card, _FAN, 300)
    middle = _TOP + max(560.0, yard.height, customer.height)
    foot = middle + 80 + max(others.height, fan.height)
    return [
        heading("Yard", 20, 28),
        heading("Customer", _RIGHT + 20, 28),
        svg.line([(_RIGHT - 10, 14), (_RIGHT - 10, foot)], **_RULE),
        svg.line([(14, middle + 20), (986, middle + 20)], **_RULE),
        *_yard(yard, Section(30, _TOP + 40, middle - 6)),
        *_customer(customer, Section(_RIGHT + 30, _TOP + 40, middle - 6, gap), shut),
        heading("Others of this size", 20, middle + 50),
        *others.parts(20, middle + 66),
        heading("Fan", _RIGHT + 20, middle + 50),
        *_blades(_RIGHT + 90, middle + 66 + fan.height / 2),
        *fan.parts(_RIGHT + 180, middle + 66),
    ], round(foot)


def _shut(seen: str) -> tuple[str, tuple[str, ...]]:
    """Return what of the air path is shut, and the customer's lines in the order of their places."""
    if seen.startswith("lower"):
        return "vent", (*_GAPS, *_ABOUT, "air_path")
    shut = "outlet" if seen.startswith("upper") else "fins"
    order = ("air_path", *_GAPS) if shut == "outlet" else (_GAPS[0], "air_path", *_GAPS[1:])
    return shut, (*order, *_ABOUT)


def _yard(notes: Notes, section: Section) -> list[str]:
    (x, y), (vent, low) = section.outlet, section.vent
    beside, half = section.wall + 22, (section.roof + low) / 2
    places = {
        "outlet_free_share": (x + 12, y),
        "outlet_diameter": (x + 10, y + 20),
        "height": (beside, half - 60),
        "column_air": section.column,
        "heat_below": section.boiler,
        "outside_air": (beside + 16, low - 150),
        "lower_free_area": (vent, low - 12),
        "measured_flow": (vent + 36, low),
    }
    height = measure((beside, section.roof + 4), (beside, low - 14))
    across = measure((x - 21, y + 20), (x + 21, y + 20))
    drawn = [*section.parts(), section.baffle(), height, across]
    return [*drawn, *notes.parts(270, _TOP, section.floor, **places)]


def _customer(notes: Notes, section: Section, shut: str) -> list[str]:
    (fin, y), blocked = section.fins, getattr(section, shut)
    places = {
        "air_path": blocked,
        "top_gap": section.over,
        "baffle_gap": (fin + 22, y + 22),
        "rear_gap": section.behind,
    }
    cross = [
        [(blocked[0] - 9, blocked[1] + 9 * way), (blocked[0] + 9, blocked[1] - 9 * way)] for way in (1, -1)
    ]
    return [
        *section.parts(),
        section.baffle(),
        section.gap_behind(),
        *(svg.line(ends, stroke=RED, stroke_width=5) for ends in cross),
        *notes.parts(_RIGHT + 270, _TOP, section.floor, **places),
    ]


def _blades(x: float, y: float) -> list[str]:
    """A fan, seen from the front."""
    ways = [(-38, -20), (38, -20), (0, 42)]
    return [
        svg.dot(x, y, 58, fill="#fafafa", stroke="#444444", stroke_width=3),
        *(svg.line([(x, y), (x + dx, y + dy)], stroke=BLUE, stroke_width=16) for dx, dy in ways),
        svg.dot(x, y, 12, fill="#444444"),
    ]
