"""Drawings of job cards: the card's own texts, inside the picture, none over another."""

import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import pytest
from helpers import cards_for
from PIL import ImageFont

from warmside.marking.exercise import load_exercise
from warmside.marking.job_card import Entry, JobCard
from warmside.show.card_drawing import DRAWINGS, alt_text, card_drawing, card_image

pytestmark = pytest.mark.full  # hundreds of cards drawn

CARDS, CARDS_FROM_BANK = 200, 24
FIXED = {
    "absorption_cycle": {"Freezer", "Food", "Yard", "Camp", "Workshop"},
    "substance_temperature_test": {"freezer", "food"},
    "heat_sources_and_circuits": {
        *("Mains heater", "Battery heater and its run", "Burner and cylinder"),
        *("Other refrigerator", "Box of fuses", "V", "A", "+", "−"),
    },
    "everyday_use": {"freezer", "food", "load", "defrost", "shopping"},
    "venting": {"freezer", "food", "Yard", "Customer", "Others of this size", "Fan"},
    "clearances": {"freezer", "food", "Survey", "Vents", "Work", "Re-test"},
    "diagnosis": {"freezer", "food", "+", "−", "The enclosure is sketched alike for every case."},
}
LEAST_LETTERS = 18


@pytest.fixture(scope="module", params=list(DRAWINGS))
def cards(request, drawn) -> list[JobCard]:
    exercise = load_exercise(request.param)
    many = drawn(exercise, cards_for(exercise, CARDS, CARDS_FROM_BANK))
    return [exercise.practice_card(), *(one.card for one in many)]


def texts(card: JobCard) -> list[ElementTree.Element]:
    return ElementTree.fromstring(card_drawing(card)).findall(".//{*}text")


@cache
def font(size: float, bold: bool) -> ImageFont.FreeTypeFont:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(Path(matplotlib.get_data_path(), "fonts", "ttf", name), size)


def frame(text: ElementTree.Element) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a text in the font that the pictures ask for first."""
    size, at = float(text.get("font-size")), (float(text.get("x")), float(text.get("y")))
    width = font(size, text.get("font-weight") == "bold").getlength(text.text)
    left = at[0] - {"start": 0, "middle": width / 2, "end": width}[text.get("text-anchor", "start")]
    return left, at[1] - 0.76 * size, left + width, at[1] + 0.24 * size


def test_every_text_of_the_card_is_drawn_and_no_other_but_fixed_labels(cards):
    for card in cards:
        fixed = FIXED.get(card.exercise, set())
        drawn = [text.text for text in texts(card)]
        said = " ".join(text for text in drawn if text not in fixed).replace("“", "").replace("”", "")
        for entry in card.entries:
            label = entry.label.partition(": ")[2] or entry.label
            assert f"{label} {entry.text}" in said
            said = said.replace(f"{label} {entry.text}", "", 1)
        assert said.split() == []


def test_all_texts_are_large_inside_the_picture_and_apart(cards):
    for card in cards:
        picture = ElementTree.fromstring(card_drawing(card))
        _, _, width, height = map(float, picture.get("viewBox").split())
        assert width == 1000
        frames = [frame(text) for text in picture.findall(".//{*}text")]
        assert all(float(text.get("font-size")) >= LEAST_LETTERS for text in texts(card))
        for at, (left, top, right, bottom) in enumerate(frames):
            assert 0 <= left < right <= width and 0 <= top < bottom <= height
            for other in frames[at + 1 :]:
                beside = right <= other[0] or other[2] <= left
                assert beside or bottom <= other[1] or other[3] <= top


def test_lines_to_their_places_cross_no_text_and_all_stays_inside(cards):
    for card in cards:
        picture = ElementTree.fromstring(card_drawing(card))
        height = float(picture.get("viewBox").split()[3])
        frames = [frame(text) for text in picture.findall(".//{*}text")]
        for line in picture.findall("{*}polyline"):
            points = [tuple(map(float, point.split(","))) for point in line.get("points").split()]
            assert all(0 <= x <= 1000 and 0 <= y <= height for x, y in points)
            if line.get("stroke") == "#777777":
                (x, y), (end, level) = points
                along = [(x + (end - x) * part / 40, y + (level - y) * part / 40) for part in range(41)]
                for left, top, right, bottom in frames:
                    assert not any(left < a < right and top < b < bottom for a, b in along)


def test_its_alternative_text_says_what_is_drawn_with_the_values(cards):
    for card in cards:
        said = alt_text(card)
        assert ElementTree.fromstring(card_drawing(card)).get("aria-label") == said
        assert all(f"{entry.label}: {entry.text}" in said for entry in card.entries)
        assert said.startswith("Drawing. ")
        image = ElementTree.fromstring(card_image(card)).find(".//img")
        assert image.get("alt") == said
        assert image.get("src").startswith("data:image/svg+xml;base64,")


def test_texts_longer_than_any_that_are_drawn_still_keep_apart(cards):
    longer = tuple(
        replace(one, text=f"{one.text}. {one.text}") if one.kind == "text" else one
        for one in cards[0].entries
    )
    test_all_texts_are_large_inside_the_picture_and_apart([replace(cards[0], entries=longer)])


def test_what_stands_on_a_card_is_shown_as_it_is():
    card = load_exercise("substance_temperature_test").practice_card()
    odd = [replace(one, text="<b>&") if one.name == "size" else one for one in card.entries]
    assert "<b>&" in [text.text for text in texts(replace(card, entries=tuple(odd)))]


def test_a_blocked_air_path_is_marked_where_the_card_says(drawn):
    marked = {}
    for card, _ in drawn(load_exercise("venting"), 40):
        cross = re.findall(r'points="([\d., ]+)"[^>]*stroke="#D55E00"', card_drawing(card))
        marked[card["air_path"].split(" ")[0]] = [float(point.split(",")[1]) for point in cross[0].split()]
    share = next(word for word in marked if word.isdigit())  # of the way between the fins
    up, fins, down = (marked[word][0] for word in ("upper", share, "lower"))
    assert up < fins < down


Line = list[tuple[float, float]]


def lines(picture: ElementTree.Element, **drawn: str) -> list[Line]:
    """The lines of a picture that are drawn so."""
    return [
        [tuple(map(float, point.split(","))) for point in line.get("points").split()]
        for line in picture.findall("{*}polyline")
        if all(line.get(key.replace("_", "-")) == value for key, value in drawn.items())
    ]


def place_of(picture: ElementTree.Element, label: str, after: str) -> tuple[float, float]:
    """Where the line from a text of the card ends, among those below a heading."""
    shown = picture.findall(".//{*}text")
    heading = next(text for text in shown if text.text == after)
    (said,) = (
        text
        for text in shown
        if text.text.startswith(label) and float(text.get("x")) - float(heading.get("x")) == 250
    )
    level, left = float(said.get("y")) - 6, float(said.get("x")) - 8
    (way,) = (line for line in lines(picture, stroke="#777777") if line[1] == (left, pytest.approx(level)))
    return way[0]


def measured(picture: ElementTree.Element, at: tuple[float, float]) -> Line:
    """The measure, with a tip at either end, that a place lies on, well between its tips."""
    (found,) = (
        [start, end]
        for start, end in lines(picture, marker_start="url(#warmside-tip)")
        if (start[0] + 8 <= at[0] <= end[0] - 8 and start[1] == at[1] == end[1])
        or (start[1] + 8 <= at[1] <= end[1] - 8 and start[0] == at[0] == end[0])
    )
    return found


def test_a_gap_s_line_ends_in_the_gap_and_where_there_is_none_there_is_none(drawn):
    met = set()
    for card, _ in drawn(load_exercise("venting"), 40):
        picture = ElementTree.fromstring(card_drawing(card))
        (_, filled), (_, cabinet) = (
            sorted(float(box.get("y")) for box in picture.findall("{*}rect") if box.get("fill") == fill)
            for fill in ("url(#warmside-hatch)", "#e8eef3")
        )
        heights = [
            float(box.get("height"))
            for box in picture.findall("{*}rect")
            if box.get("fill") == "url(#warmside-hatch)"
        ]
        yard, customer = (filled + height for height in heights)
        _, level = place_of(picture, "gap over the top", "Customer")
        closed = card.entry("top_gap").text == "0 in"
        met.add(closed)
        assert yard == cabinet
        assert (customer == level == cabinet) if closed else (customer + 5 < level < cabinet - 5)
    assert met == {True, False}


def test_each_measure_is_pointed_at_and_no_other_arrow(drawn):
    for card, _ in drawn(load_exercise("venting"), 10):
        picture = ElementTree.fromstring(card_drawing(card))
        tubes = max(
            float(box.get("x")) + float(box.get("width"))
            for box in picture.findall("{*}rect[@fill='#d7dde2']")
        )
        blue = lines(picture, stroke="#0072B2", marker_end="url(#warmside-tip)")
        air = [line for line in blue if len(line) == 3]  # from the lower vent up
        place = place_of(picture, "gap from tubes to", "Customer")
        start, end = measured(picture, place)
        assert all(abs(x - place[0]) > 8 for way in air for x, _ in way)
        assert (start[0], end[0]) == (pytest.approx(tubes + 3), pytest.approx(tubes + 46))
        start, end = measured(picture, place_of(picture, "height from lower", "Yard"))
        assert start[0] == end[0]
        measured(picture, place_of(picture, "diameter of the", "Yard"))
        x, y = place_of(picture, "flow you measure", "Yard")
        assert any(way[0][1] == y and abs(way[0][0] - x) <= 5 for way in air)
        assert abs(x - start[0]) > 10


@pytest.mark.parametrize("name", ["another_exercise", "venting"])
def test_a_card_without_a_drawing_has_none(name):
    card = JobCard(name, "t1", "ABCD-EFGH", (Entry("size", "Refrigerator", "6 cu ft"),))
    assert card_drawing(card) == card_image(card) == ""


def test_drawing_needs_no_plotting_library():
    code = "import warmside.show.card_drawing, sys; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert not {"matplotlib", "warmside.model", "warmside.diagnosis"} & set(loaded.split())
