"""The still picture of a cup test: large, labelled, its limits apart from each other and from the air."""

import itertools
import struct

import pytest
from matplotlib.text import Annotation, Text

from warmside.show.cup_because import because
from warmside.show.cup_picture import alt_text, cup_test_figure
from warmside.show.pictures import png
from warmside.show.substance_temperature import LIMITS, SITUATIONS, CupTest


def test_the_alternative_text_says_why():
    early, late = CupTest(reading_time=7200.0), CupTest()
    assert alt_text(early) != alt_text(late)
    assert because(late, "SI") in alt_text(late, "SI")


@pytest.mark.parametrize("system", ["US", "SI"])
def test_the_picture_is_large_and_says_what_it_is_not(system):
    figure = cup_test_figure(CupTest(), system)
    picture = png(figure)
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", picture[16:24]) == (1000, 600)
    texts = [text for text in figure.findobj(Text) if text.get_text()]
    assert any("not validated" in text.get_text() for text in texts)
    assert min(text.get_fontsize() for text in texts) >= 14


@pytest.mark.parametrize("system", ["US", "SI"])
@pytest.mark.parametrize(
    "test",
    [
        SITUATIONS["Wide thermostat"],
        SITUATIONS["Shut vent, hot"],
        CupTest(start_temperature=275.0, setting=274.0, reading_time=3600.0),
        CupTest(start_temperature=311.0, setting=288.0, reading_time=3600.0),
    ],
)
def test_limits_stay_in_the_picture_with_their_names_apart(system, test):
    figure = cup_test_figure(test, system)
    _, axes, _ = figure.axes
    png(figure)  # lays it out
    for limit in LIMITS:
        degrees = limit.temperature - 273.15
        degrees = degrees * 1.8 + 32 if system == "US" else degrees
        assert axes.get_ylim()[0] < degrees < axes.get_ylim()[1]
    names = [text for text in axes.texts if isinstance(text, Annotation)]
    assert [name.get_text().split(" ", 2)[2] for name in names] == [
        limit.short.split(" ", 2)[2] for limit in LIMITS
    ]
    boxes = [Text.get_window_extent(name) for name in names]
    (legend,) = figure.legends
    for first, second in itertools.combinations([legend.get_window_extent(), *boxes], 2):
        assert not first.overlaps(second)
    for box in boxes:
        assert box.x0 > axes.get_window_extent().x1
        assert box.x1 < 1000
