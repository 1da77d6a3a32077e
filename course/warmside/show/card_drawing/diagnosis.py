"""The job card of a diagnosis: the refrigerator in its enclosure, and what its owner says."""

from warmside.colours import RED
from warmside.marking.job_card import JobCard
from warmside.show import svg
from warmside.show.card_drawing.notes import Notes
from warmside.show.card_drawing.symbols import Section, battery, flame, mains

_ALIKE = "The enclosure is sketched alike for every case."
SCENE = (
    "A refrigerator in its enclosure from the side, with what heats it and the air outside; beside it its "
    f"owner, who says what is wrong. {_ALIKE}"
)
_LETTERS, _LINE = 20, 28.0  # px; of what is said
_CALL = 64.0  # px; of another call's box, besides its lines
_BUBBLE, _WIDTH = 520.0, 460.0  # px


def draw(card: JobCard) -> tuple[list[str], int]:
    """Return the parts of the drawing and its height [px]."""
    complaint = card.entry("complaint")
    said = svg.broken(f"“{complaint.text}”", _WIDTH - 40, _LETTERS)
    bubble = 56.0 + _LINE * len(said)
    notes = Notes(card, ("case", "size", "season", "ambient", "heat_source"), 220)
    drawn = max(520.0, bubble + 270.0, notes.height + 80.0)
    first = card.entry("first_call")
    call = svg.broken(first.text, 940, _LETTERS)
    height = drawn + _CALL + 16.0 + _LINE * len(call)
    section = Section(30, 50, drawn - 90)
    places = {"ambient": (section.wall + 26, section.middle), "heat_source": section.boiler}
    parts = [*section.parts(), *_heat(card.entry("heat_source").text, section)]
    parts += notes.parts(270, 20, drawn - 60, **places)
    parts.append(svg.words(_ALIKE, 980, drawn - 18, text_anchor="end"))
    parts += [*_owner(complaint.label, said, bubble), *_another_call(first.label, call, drawn)]
    return parts, round(height)


def _another_call(label: str, call: list[str], top: float) -> list[str]:
    """Another call, in a box of its own below the case, which it has nothing to do with."""
    return [
        svg.box(20, top, 960, _CALL + _LINE * len(call), fill="#fafafa", rx=16),
        svg.words(label, 40, top + 32),
        *(svg.words(text, 40, top + 64 + _LINE * at, font_size=_LETTERS) for at, text in enumerate(call)),
    ]


def _heat(source: str, section: Section) -> list[str]:
    """What heats the boiler: a flame below it, or a wire from a socket or a battery under the floor."""
    x, y = section.boiler
    if source == "gas":
        return [flame(x, y + 80, 48)]
    wire = svg.line([(x, y + 30), (x, section.floor + 24)], stroke=RED)
    symbol = battery if source == "battery" else mains
    return [wire, *symbol(x - 50, section.floor + 24)]


def _owner(label: str, said: list[str], bubble: float) -> list[str]:
    x, foot = _BUBBLE, bubble + 20
    return [
        svg.box(x, 20, _WIDTH, bubble, fill="#fafafa", rx=16),
        svg.line([(x + 120, foot), (x + 110, foot + 40), (x + 160, foot)], fill="#fafafa", stroke_width=2),
        svg.words(label, x + 20, 52),
        *(svg.words(text, x + 20, 84 + _LINE * at, font_size=_LETTERS) for at, text in enumerate(said)),
        svg.dot(x + 100, foot + 86, 36, fill="#ffffff", stroke="#444444", stroke_width=3),
        svg.line([(x + 24, foot + 196), (x + 48, foot + 134), (x + 152, foot + 134), (x + 176, foot + 196)]),
    ]
