"""The lab of module 05: picture, words, controls."""

import itertools
import re
import struct

import pytest
from matplotlib.text import Text

from warmside.show.limits_table import limits_table
from warmside.show.pictures import png
from warmside.show.substance_temperature import LIMITS, CupTest, alt_text, cup_test_figure, finding, read_test


def test_the_error_is_the_sum_of_its_parts():
    for hour in (1, 6, 24):
        reading = read_test(CupTest(reading_time=hour * 3600.0, thermometer_error=-0.7))
        assert reading.error == pytest.approx(reading.not_settled + reading.thermometer_error)
        assert reading.air_low < reading.mean_air < reading.air_high


def test_a_late_reading_is_off_by_the_thermometer_alone():
    reading = read_test(CupTest())
    assert abs(reading.not_settled) < 0.1
    assert reading.error == pytest.approx(1 / 1.8, abs=0.1)
    assert read_test(CupTest(reading_time=7200.0)).not_settled > 5


def test_words_and_alt_text_follow_the_settings():
    early, late = CupTest(reading_time=7200.0), CupTest()
    assert "At hour 2 the thermometer would say" in finding(early)
    assert finding(early) != finding(late)
    assert finding(late) in alt_text(late)
    assert "°C" in finding(late, "SI")
    assert "°F" not in finding(late, "SI")


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
@pytest.mark.parametrize("cabinet", [274.0, 288.0])
@pytest.mark.parametrize("start", [275.0, 311.0])
def test_limits_stay_in_the_picture_with_their_labels(system, cabinet, start):
    test = CupTest(start_temperature=start, cabinet_temperature=cabinet, swing=5.0, reading_time=3600.0)
    figure = cup_test_figure(test, system)
    (axes,) = figure.axes
    png(figure)  # lays it out
    for limit in LIMITS:
        degrees = limit.temperature - 273.15
        degrees = degrees * 1.8 + 32 if system == "US" else degrees
        assert axes.get_ylim()[0] < degrees < axes.get_ylim()[1]
    (legend,) = figure.legends
    boxes = [label.get_window_extent() for label in axes.texts]
    assert len(boxes) == len(LIMITS)
    assert not legend.get_window_extent().overlaps(axes.get_window_extent())
    for first, second in itertools.combinations([legend.get_window_extent(), *boxes], 2):
        assert not first.overlaps(second)
    assert "Limit, common practice" in [text.get_text() for text in legend.get_texts()]


def test_a_reading_that_is_not_off_is_called_right():
    late = CupTest(thermometer_error=0.0)
    assert "so the reading is right: the water is at that mean" in finding(late)
    assert cup_test_figure(late).axes[0].get_title(loc="left") == "The reading is right"


def test_limits_are_marked_as_what_they_are():
    table = limits_table()
    assert table.count("<b>Published</b>") == 2
    assert table.count("<b>Common practice</b>") == 1
    assert re.search(r"43 °F \(6\.1 °C\)", table)
    assert [round((limit.temperature - 273.15) * 1.8 + 32) for limit in LIMITS] == [43, 41, 40]


def test_words_say_which_way_the_reading_is_off():
    early = CupTest(reading_time=2 * 3600.0, thermometer_error=4 / 1.8)
    assert re.search(r"too warm: the water is .* warmer than .* reads 4.0 °F high\.", finding(early))
    low = CupTest(start_temperature=274.0, reading_time=1800.0, thermometer_error=-2.0)
    assert re.search(r"too cold: the water is .* colder than .* reads 3.6 °F low\.", finding(low))
