"""Tags written by hand: numbers to a tenth, text escaped, lines broken where a picture ends."""

import xml.etree.ElementTree as ET

from warmside.show import svg


def test_numbers_are_rounded_to_a_tenth_and_names_get_their_dash():
    assert svg.dot(1.26, 2.0, 0.14, stroke_width=3) == ('<circle cx="1.3" cy="2" r="0.1" stroke-width="3"/>')


def test_a_text_can_hold_anything():
    drawn = svg.words('<5 & "6"', 1, 2, font_size=16)
    element = ET.fromstring(drawn)
    assert (element.text, element.get("font-size")) == ('<5 & "6"', "16")
    assert ET.fromstring(svg.tag("g", aria_label='"a" & <b>')).get("aria-label") == '"a" & <b>'


def test_a_box_is_never_narrower_than_nothing():
    element = ET.fromstring(svg.box(1, 2, -3, 4))
    assert [element.get(name) for name in ("x", "y", "width", "height")] == ["1", "2", "0", "4"]
    assert ET.fromstring(svg.box(1, 2, 3, -4)).get("height") == "0"


def test_a_line_goes_through_its_points_in_order():
    element = ET.fromstring(svg.line([(0, 1), (2.25, 3.37)], stroke="#000000"))
    assert element.get("points") == "0.0,1.0 2.2,3.4"
    assert (element.get("fill"), element.get("stroke"), element.get("stroke-width")) == (
        "none",
        "#000000",
        "3",
    )


def test_lines_are_broken_at_the_width_of_their_letters():
    text = "word " * 40
    for size, bold, letters in ((18, False, 27), (18, True, 24), (36, False, 13)):
        lines = svg.broken(text, 300, size=size, bold=bold)
        assert max(map(len, lines)) <= letters  # 300 px over 0.6 or 0.68 of the size
        assert min(map(len, lines[:-1])) > letters - len("word ")
        assert " ".join(lines) == text.strip()


def test_a_picture_says_what_it_shows_and_scales():
    root = ET.fromstring(svg.picture([svg.dot(1, 2, 3)], 1000, 600, 'A "disc"'))
    assert (root.get("role"), root.get("aria-label")) == ("img", 'A "disc"')
    assert root.get("viewBox") == "0 0 1000 600"
    assert root.find("{*}circle") is not None
