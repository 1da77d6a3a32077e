"""The lab of module 05: picture, words, controls."""

import html
import itertools
import re
import struct
from dataclasses import replace

import ipywidgets as widgets
import numpy as np
import pytest
from matplotlib.text import Text

from warmside.errors import InputError
from warmside.show.labs import CUP_CONTROLS, Lab, substance_temperature_lab
from warmside.show.limits_table import limits_table
from warmside.show.pictures import png
from warmside.show.self_check import checks, self_check
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


def controls(lab: Lab) -> dict[str, tuple[widgets.FloatSlider, widgets.BoundedFloatText]]:
    return {c.name: row.children for c, row in zip(CUP_CONTROLS, lab.children[0].children, strict=True)}


def only(lab: Lab, kind: type) -> widgets.Widget:
    rows = [row.children for row in lab.children if isinstance(row, widgets.HBox)]
    (found,) = [widget for row in rows for widget in row if isinstance(widget, kind)]
    return found


def test_every_control_has_a_slider_and_a_number_box_that_agree():
    lab = substance_temperature_lab()
    for name, (slider, box) in controls(lab).items():
        before = lab.children[-1].value
        box.value = box.min if box.value != box.min else box.max
        assert slider.value == box.value, name
        assert lab.children[-1].value != before, name
        slider.value = slider.max if slider.value != slider.max else slider.min
        assert box.value == slider.value, name


def test_switching_units_changes_the_words_and_not_the_test():
    lab = substance_temperature_lab()
    switch = only(lab, widgets.ToggleButtons)
    before = lab.settings
    switch.value = "SI"
    assert lab.settings == before
    slider, _ = controls(lab)["cabinet_temperature"]
    assert slider.description == "Cabinet air, middle (°C)"
    assert slider.value == pytest.approx(3.3)
    assert "°C" in lab.children[-2].value
    switch.value = "US"
    assert lab.settings == before


def test_moving_one_control_leaves_the_others_as_they_are():
    lab = substance_temperature_lab()
    sent = []
    for name, row in controls(lab).items():
        for widget in row:
            widget.observe(lambda change, name=name: sent.append(name), names="value")
    controls(lab)["reading_time"][0].value = 4.0
    assert set(sent) == {"reading_time"}
    assert lab.settings == replace(CupTest(), reading_time=4 * 3600.0)


def test_a_value_repeated_with_rounding_is_no_move():
    lab = substance_temperature_lab()
    only(lab, widgets.ToggleButtons).value = "SI"
    before = lab.settings
    slider, box = controls(lab)["thermometer_error"]
    slider.value = 0.6000000000000001
    assert (lab.settings, box.value) == (before, 0.6)
    slider.value = 0.7000000000000002
    assert box.value == 0.7
    assert lab.settings.thermometer_error == pytest.approx(0.7)


def test_the_button_goes_back_to_the_start():
    lab = substance_temperature_lab()
    controls(lab)["swing"][1].value = 9.0
    controls(lab)["reading_time"][0].value = 3.0
    assert lab.settings != CupTest()
    only(lab, widgets.Button).click()
    assert lab.settings == CupTest()


def test_every_corner_of_the_controls_gives_a_picture():
    rng = np.random.default_rng(5)
    lab = substance_temperature_lab()
    for _ in range(12):
        for slider, _box in controls(lab).values():
            slider.value = [slider.min, slider.max][rng.integers(2)]
    assert "nan" not in lab.children[-2].value


def test_self_checks_answer_with_a_reason():
    for number, check in enumerate(checks("05"), start=1):
        assert sum(answer.right for answer in check.answers) == 1
        page = html.unescape(self_check("05", number).data)
        assert check.question in page
        for answer, shown in zip(check.answers, page.split("<details")[1:], strict=True):
            assert f"{answer.text}</summary>" in shown
            assert answer.reason in shown
            assert len(answer.reason) > 40
            assert ("Yes." in shown, "Not quite." in shown) == (answer.right, not answer.right)


def test_a_module_without_self_checks_is_told_in_a_sentence():
    with pytest.raises(InputError, match="no self-checks for module “5”"):
        checks("5")
