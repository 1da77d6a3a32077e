"""The course's colours: the same for drawings and pages; letters stand out from their grounds."""

import re
from importlib.resources import files

import pytest

from warmside import colours

SHEETS = {
    str(path.name): path.read_text("utf-8")
    for folder in (files("warmside.show"), files("warmside.show") / "pages", files("warmside.notebook"))
    for path in folder.iterdir()
    if path.name.endswith(".css")
}
NAMED = {
    name.lower().replace("_", "-"): value.lower() for name, value in vars(colours).items() if name.isupper()
}
OURS = ("BLUE", "INK", "SOFT", "GRAB", "GOOD", "UNSURE", "BAD")
GROUNDS = ("PAPER", "CARD", "NOTE_GROUND", "CAUTION_GROUND", "OURS_GROUND")


def light(colour: str) -> float:
    """Relative luminance, as WCAG 2 has it."""
    parts = (int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((light(one), light(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_style_sheets_and_drawings_have_the_same_colours():
    said = [
        (sheet, name, value.lower())
        for sheet, text in SHEETS.items()
        for name, value in re.findall(r"--([a-z-]+): (#[0-9a-fA-F]{6});", text)
        if name in NAMED
    ]
    assert {name for sheet, name, _ in said if sheet == "style.css"} >= {
        "paper", "ink", "soft", "rule", "grab", "good", "unsure", "bad", "blue", "red", "note-ground",
    }  # fmt: skip
    assert [(sheet, name) for sheet, name, value in said if value != NAMED[name]] == []


@pytest.mark.parametrize(
    ("letters", "ground"),
    [(one, ground) for one in OURS for ground in GROUNDS if (one, ground) != ("BLUE", "CAUTION_GROUND")],
)
def test_letters_can_be_read_on_their_grounds(letters, ground):
    assert contrast(getattr(colours, letters), getattr(colours, ground)) >= 4.5


def test_contrast_is_what_it_should_be():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_what_a_stranger_may_write_has_no_bar_and_no_ground_of_ours():
    """Tags that cleaning leaves to a hand-in look plain in the sheet that its feedback page has."""
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", re.sub(r"/\*.*?\*/", "", SHEETS["style.css"], flags=re.S))
    plain = {
        (selector.strip(), declared.strip())
        for selectors, body in rules
        for selector in re.split(r",\s*(?![^(]*\))", selectors)
        if not re.search(r"[.:#@]", selector)
        for declared in body.split(";")
        if re.match(r"\s*(background|border-left)", declared)
    }
    assert plain == {
        ("body", "background: var(--paper)"),
        ("body", "background: none"),
        ("pre", "background: var(--card)"),
    }
