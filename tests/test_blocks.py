"""Blocks of HTML in notebooks: whole, escaped, and styled where they stand."""

import re
from html.parser import HTMLParser

from markupsafe import Markup

from warmside.blocks import LEAST_WIDTH, as_wide, bar, said, table
from warmside.colours import INK

ROWS = [("<fan>", Markup("<code>a</code>")), ("baffle", "1 & 2")]


class Tags(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict]] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_a_table_is_whole_and_nothing_in_it_is_taken_for_a_tag():
    page = table("What <can> be", ("Name", "Code"), ROWS)
    tags = Tags(page)
    assert tags.open == []
    assert "&lt;fan&gt;" in page and "1 &amp; 2" in page and "<code>a</code>" in page
    scopes = [given.get("scope") for tag, given in tags.seen if tag == "th"]
    assert scopes == ["col", "col", "row", "row"]
    outer = tags.seen[0][1]
    assert (outer["tabindex"], outer["aria-label"]) == ("0", "What <can> be")
    assert "overflow-x:auto" in outer["style"]
    for tag, given in tags.seen:
        if tag in ("th", "td"):
            assert "text-align:left" in given["style"]
    assert "\n\n" not in page  # which would end it within Markdown


def test_a_table_without_titles_has_no_head():
    assert "<thead>" not in table("Card", (), [("size", "8 cu ft")])


def test_a_line_says_with_a_sign_what_its_bar_says_with_a_colour():
    page = said("1 < 2", "#0072B2", "✎")
    assert '<b aria-hidden="true">✎</b> 1 &lt; 2</p>' in page
    assert "border-left:8px solid #0072B2" in page


def test_on_a_ground_of_its_own_letters_have_their_own_colour():
    assert f"color:{INK}" in bar("#0072B2", "#ffffff")  # else they were light on light on a dark page
    assert "color" not in bar("#0072B2").replace("#0072B2", "")


def test_a_wide_picture_scrolls_before_its_letters_get_too_small():
    for width, least in ((1000, LEAST_WIDTH), (300, 300)):
        page = as_wide("<img>", width)
        assert re.search(rf"min-width:{least}px;max-width:{width}px", page)
        assert 'tabindex="0"' in page
