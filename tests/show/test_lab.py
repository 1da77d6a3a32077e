"""Labs: what a page asks, what it is answered, and that a control's values go there and back."""

import re
from dataclasses import replace
from itertools import count

import numpy as np
import pytest

from warmside.show.enclosure_lab import ENCLOSURE_CONTROLS, enclosure_lab
from warmside.show.heater_meter import METER_CONTROLS, MeterOnHeater, heater_meter_lab
from warmside.show.lab import SYSTEMS, Lab, Options, Slider
from warmside.show.odds import working_controls, working_lab
from warmside.show.substance_temperature import CUP_CONTROLS, CupTest, substance_temperature_lab

SERIAL = count(1)
LABS = [
    (substance_temperature_lab, CUP_CONTROLS),
    (heater_meter_lab, METER_CONTROLS),
    (enclosure_lab, ENCLOSURE_CONTROLS),
    (working_lab, working_controls()),
]
SLIDERS = [control for _, controls in LABS for control in controls if isinstance(control, Slider)]


def ask(lab: Lab, **question) -> dict:
    """Do what the page does, and return the answer it gets."""
    serial = next(SERIAL)
    lab.ask({**question, "serial": serial})
    assert lab.answer["serial"] == serial
    return lab.answer


@pytest.mark.parametrize(("lab", "controls"), LABS)
def test_the_page_has_every_control_in_both_systems(lab, controls):
    page = lab().page["controls"]
    assert list(page) == list(SYSTEMS)
    for system in SYSTEMS:
        assert [control["name"] for control in page[system]] == [control.name for control in controls]


@pytest.mark.parametrize("control", SLIDERS, ids=lambda control: control.name)
@pytest.mark.parametrize("system", SYSTEMS)
def test_what_a_slider_shows_goes_there_and_back(control, system):
    scale = control.scale(system)
    for shown in np.round(np.arange(scale.low, scale.high + scale.step / 2, scale.step), 6):
        assert control.shown(control.taken(float(shown), system), system) == pytest.approx(shown, abs=1e-9)


def test_a_list_goes_there_and_back():
    for control in METER_CONTROLS:
        assert isinstance(control, Options)
        for place in range(len(control.options)):
            assert control.shown(control.taken(place, "US"), "SI") == place


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_control_changes_the_answer(system):
    for control in CUP_CONTROLS:
        lab = substance_temperature_lab()
        before = ask(lab, system=system)
        scale = control.scale(system)
        value = scale.low if before["values"][control.name] != scale.low else scale.high
        after = ask(lab, name=control.name, value=value, system=system)
        assert after["values"] == {**before["values"], control.name: value}
        assert after["picture"] != before["picture"]
        assert not after["set_all"]


def test_switching_units_changes_the_words_and_not_the_test():
    lab = substance_temperature_lab()
    before = lab.settings
    answer = ask(lab, system="SI")
    assert lab.settings == before
    assert answer["set_all"]
    assert answer["values"]["cabinet_temperature"] == pytest.approx(3.3)
    assert "°C" in answer["words"]
    assert "°F" not in answer["words"]
    ask(lab, system="US")
    assert lab.settings == before


def test_moving_one_control_leaves_the_others_exactly_as_they_are():
    lab = substance_temperature_lab()
    ask(lab, system="SI")
    ask(lab, name="reading_time", value=4.0, system="SI")
    assert lab.settings == replace(CupTest(), reading_time=4 * 3600.0)


def test_the_button_goes_back_to_the_start():
    lab = substance_temperature_lab()
    ask(lab, name="swing", value=9.0, system="US")
    ask(lab, name="reading_time", value=3.0, system="US")
    assert lab.settings != CupTest()
    answer = ask(lab, reset=True)
    assert lab.settings == CupTest()
    assert (answer["set_all"], answer["values"]["reading_time"]) == (True, 24)


def test_every_corner_of_the_controls_gives_a_picture():
    random = np.random.default_rng(5)
    lab = substance_temperature_lab()
    for _ in range(12):
        for control in CUP_CONTROLS:
            answer = ask(lab, name=control.name, value=control.us[2 + random.integers(2)], system="US")
    assert "nan" not in answer["words"]
    assert re.match(r"<img src=\"data:image/png;base64,", answer["picture"])


def test_the_meters_lab_answers_to_its_lists():
    lab = heater_meter_lab()
    answer = ask(lab, name="heater", value=2, system="US")
    assert "12.72 V" in answer["words"]
    assert 'alt="Drawing of a heater' in answer["picture"]
    ask(lab, name="meter", value=1, system="US")
    assert lab.settings == MeterOnHeater(heater="battery", meter="amps")


@pytest.mark.parametrize(("lab", "controls"), LABS)
def test_every_situation_is_one_that_the_controls_show(lab, controls):
    """Loading one sets each control to a place of its own, and its line of text says the same again."""
    this = lab()
    names = this.page["situations"]
    assert len(names) >= 3
    seen = set()
    for name in names:
        answer = ask(this, situation=name)
        assert answer["set_all"]
        seen.add(this.settings)
        for control in controls:
            value = getattr(this.settings, control.name)
            shown = control.taken(answer["values"][control.name], "US")
            close = pytest.approx(value, rel=2e-3, abs=1e-3) if isinstance(value, float) else value
            assert shown == close
        loaded = this.settings
        line = ask(this, details=True)["line"]
        ask(this, reset=True)
        ask(this, line=line)
        for one, other in zip(vars(this.settings).values(), vars(loaded).values(), strict=True):
            assert one == (pytest.approx(other, rel=1e-3) if isinstance(other, float) else other)
    assert len(seen) == len(names)
