"""The job card on clearances: a refrigerator from the side, its vents, four others, and a re-test."""

from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import METAL, Section, heading, measure
from warmside.show.svg import Point

SCENE = (
    "A refrigerator in its enclosure from the side, with the gaps that a tape read; beside it a louver with "
    "the gaps between its blades, and a round outlet below a cap. Under these four others with one thing "
    "wrong each, four materials, and what is known of the re-test. Not to scale."
)
_SURVEY = ("side_top", "baffle_gap", "side_middle", "rear_gap", "side_floor")
_VENTS = (
    "louver_width",
    "louver_tall",
    "louver_gaps",
    "louver_length",
    "louver_height",
    "louver_screen",
    "cap_height",
    "outlet_diameter",
    "outlet_screen",
)
_OTHERS = ("finding_a", "finding_b", "finding_c", "finding_d")
_AT_HAND = ("material_a", "material_b", "material_c", "material_d", "on_arrival")
_RETEST = ("compared_at", "first_test", "plan")
_RULE = {"stroke": "#bbbbbb", "stroke_width": 2}
_TOP, _RIGHT = 44.0, 500.0  # px; below the headings, second half


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    survey, vents = Notes(card, _SURVEY, 210), Notes(card, _VENTS, 210)
    others, at_hand, retest = (Notes(card, names, 450) for names in (_OTHERS, _AT_HAND, _RETEST))
    middle = _TOP + max(560.0, survey.height, vents.height)
    low = middle + 66
    foot = low + max(others.height, at_hand.height)
    retest_top = foot + 70
    bottom = retest_top + retest.height
    vent, places = _vents(_RIGHT + 30, _TOP + 16, middle - 10)
    return [
        heading("Survey", 20, 28),
        heading("Vents", _RIGHT + 20, 28),
        svg.line([(_RIGHT - 10, 14), (_RIGHT - 10, foot + 12)], **_RULE),
        svg.line([(14, middle + 20), (986, middle + 20)], **_RULE),
        *_survey(survey, Section(30, _TOP + 40, middle - 6)),
        *vent,
        *vents.parts(_RIGHT + 270, _TOP, middle, **places),
        heading("Work", 20, middle + 50),
        *others.parts(20, low),
        *at_hand.parts(_RIGHT + 20, low),
        svg.line([(14, foot + 24), (986, foot + 24)], **_RULE),
        heading("Re-test", 20, foot + 54),
        *Notes(card, _RETEST, 900).parts(20, retest_top),
    ], round(bottom + 16)


def _survey(notes: Notes, section: Section) -> list[str]:
    side, (fin, y), (behind, _) = section.back - 8, section.fins, section.behind
    places = {
        "side_top": (side, section.top + 16),
        "baffle_gap": (fin + 22, y + 22),
        "side_middle": (side, section.middle - 30),
        "rear_gap": (behind, section.middle),
        "side_floor": (side, section.floor - 16),
    }
    drawn = [*section.parts(), section.baffle(), section.gap_behind()]
    return [*drawn, *notes.parts(270, _TOP, section.floor, **places)]


def _vents(x: float, top: float, bottom: float) -> tuple[list[str], dict[str, Point]]:
    """A louver from the front above, a round outlet with its cap below, and the places in both."""
    right, half = x + 210, top + 0.56 * (bottom - top)
    step = (half - top - 40) / 8
    blades = [svg.box(x + 14, top + 20 + step * (at + 0.55), 182, 0.45 * step, fill=METAL) for at in range(8)]
    rim, cap = bottom - 40, bottom - 120
    louver = [svg.box(x, top, 210, half - top, fill="#ffffff", stroke_width=4), *blades]
    outlet = [
        svg.line([(x + 40, bottom), (x + 40, rim)], stroke_width=5),
        svg.line([(x + 170, bottom), (x + 170, rim)], stroke_width=5),
        svg.line([(x + 40, rim), (x + 170, rim)], stroke_dasharray="6 5"),
        svg.line([(x + 10, cap + 14), (x + 105, cap - 14), (x + 200, cap + 14)], stroke_width=5),
        measure((x + 52, bottom - 14), (x + 158, bottom - 14)),
        measure((x + 180, cap + 22), (x + 180, rim)),
    ]
    gap = top + 20 + 4 * step + 0.28 * step
    return [*louver, *outlet], {
        "louver_width": (right, top),
        "louver_tall": (right, top + 40),
        "louver_gaps": (right - 14, gap - 2 * step),
        "louver_length": (right - 14, gap - step),
        "louver_height": (right - 14, gap),
        "louver_screen": (right - 14, gap + 2 * step),
        "cap_height": (x + 180, (cap + rim) / 2 + 10),
        "outlet_diameter": (x + 158, bottom - 14),
        "outlet_screen": (x + 150, rim),
    }
