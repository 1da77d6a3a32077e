"""Labs: what a page asks, what it is answered, and that a control's values go there and back."""

import json
from dataclasses import dataclass, replace
from itertools import count

import numpy as np
import pytest
from helpers import NEEDS_BANK

from warmside.diagnosis.readings import READINGS
from warmside.errors import InputError
from warmside.show.cup_because import because
from warmside.show.cup_lab import CUP_CONTROLS, substance_temperature_lab
from warmside.show.cup_picture import cup_test_figure
from warmside.show.cup_scene import cup_scene
from warmside.show.enclosure_lab import ENCLOSURE_CONTROLS, enclosure_lab, first_touch_lab
from warmside.show.heater_meter import MeterOnHeater
from warmside.show.lab import (
    NO_DETAILS,
    NO_VIEW,
    NOT_DONE,
    SYSTEMS,
    Lab,
    Options,
    Scale,
    Slider,
    as_options,
)
from warmside.show.meter_lab import METER_CONTROLS, heater_meter_lab
from warmside.show.odds import working_controls, working_lab
from warmside.show.pictures import png
from warmside.show.substance_temperature import CupTest
from warmside.show.unit_lab import UNIT_CONTROLS, unit_lab
from warmside.show.use_lab import USE_CONTROLS, day_of_use_lab

SERIAL = count(1)
LABS = [
    (substance_temperature_lab, CUP_CONTROLS),
    (heater_meter_lab, METER_CONTROLS),
    (enclosure_lab, ENCLOSURE_CONTROLS),
    (first_touch_lab, ENCLOSURE_CONTROLS),
    (unit_lab, UNIT_CONTROLS),
    (day_of_use_lab, USE_CONTROLS),
    (working_lab, working_controls()),
]
EACH_LAB = [pytest.param(*lab, marks=NEEDS_BANK if lab[0] is working_lab else ()) for lab in LABS]
SLIDERS = [
    control for controls in dict(map(reversed, LABS)) for control in controls if isinstance(control, Slider)
]


def ask(lab: Lab, **question) -> dict:
    """Do what the page does, and return the answer it gets."""
    serial = next(SERIAL)
    lab.ask({**question, "serial": serial})
    assert lab.answer["serial"] == serial
    return lab.answer


@pytest.mark.parametrize(("lab", "controls"), EACH_LAB)
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
        if isinstance(control, Slider):
            continue
        for place in range(len(control.options)):
            assert control.shown(control.taken(place, "US"), "SI") == place


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_control_changes_the_answer(system):
    for control in CUP_CONTROLS:
        lab = substance_temperature_lab()
        before = ask(lab, system=system)
        places = [control.shown(place, system) for place in control.places(system)]
        value = places[0] if before["values"][control.name] != places[0] else places[-1]
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
    assert answer["values"]["setting"] == pytest.approx(3.4)  # the nearest of its steps
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


@pytest.mark.full
def test_corners_of_the_controls_give_words_and_a_picture():
    random = np.random.default_rng(5)
    for _ in range(12):
        ends = {each.name: each.places("US")[-random.integers(2)] for each in CUP_CONTROLS}
        corner = CupTest(**ends)
        assert "nan" not in because(corner)
        json.dumps(cup_scene(corner), allow_nan=False)
        assert png(cup_test_figure(corner)).startswith(b"\x89PNG")


def test_the_meters_lab_answers_to_its_lists():
    lab = heater_meter_lab()
    answer = ask(lab, name="heater", value=2, system="US")
    assert "12.72 V" in answer["words"]
    assert answer["picture"]["supply_text"] == "12 V"
    ask(lab, name="meter", value=1, system="US")
    assert lab.settings == MeterOnHeater(heater="battery", meter="amps")


@pytest.mark.parametrize(("lab", "controls"), EACH_LAB)
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


@dataclass(frozen=True)
class Gap:
    """Settings of a lab that can't show some of them."""

    width: float = 0.0
    place: str = "left"

    def __post_init__(self):
        if self.width > 0.0185:
            raise OverflowError("no such gap")


MARKS = Scale("millimeter", "mm", 0, 20, 1)
GAP_CONTROLS = (
    Slider("width", "Gap", "length", MARKS, MARKS),
    Options("place", "Place", as_options(("left", "right"))),
)


def unless(name: str, failing: str, made):
    """Return what is made, or raise where one of a lab's functions is to fail on gaps of 3 to 12 mm."""

    def make(*given):
        gap = given[0]
        if name == failing and 0.0025 < gap.width < 0.0125:
            raise ZeroDivisionError(f"the author's mistake in {name}")
        return made(gap)

    return make


def gap_lab(failing: str = "", **more) -> Lab:
    """Return a lab one of whose functions raises at some settings."""
    return Lab(
        Gap(),
        GAP_CONTROLS,
        unless("picture", failing, lambda gap: f"<svg>{1000 * gap.width:.0f} mm</svg>"),
        unless("words", failing, lambda gap: f"{1000 * gap.width:.0f} mm wide"),
        details=unless("details", failing, lambda gap: f"<table>{1000 * gap.width:.0f}</table>"),
        hidden=unless("hidden", failing, lambda gap: {"place"} if gap.width == 0.0 else set()),
        situations={"Right": Gap(0.001, "right"), "Nowhere": Gap(0.001, "nowhere")},
        **more,
    )


@pytest.mark.parametrize("failing", ["picture", "words", "hidden"])
def test_a_view_that_raises_is_told_on_the_picture_and_the_lab_goes_on(failing, caplog):
    lab = gap_lab(failing)
    for value in range(3, 13):
        caplog.clear()
        answer = ask(lab, name="width", value=value, system="US")
        assert NO_VIEW in answer["picture"]
        assert (answer["words"], answer["shows"], answer["set_all"]) == ("", "picture", False)
        assert answer["values"] == {"width": value, "place": 0}
        assert f"the author's mistake in {failing}" in caplog.text
    ask(lab, system="SI")
    assert lab.answer["values"] == {"width": 12, "place": 0}
    ask(lab, line="Gap: wide")
    assert "“wide” was read" in lab.answer["words"]
    assert (NO_VIEW in lab.answer["picture"]) == (failing != "words")  # that sentence stands in for words
    answer = ask(lab, name="width", value=13, system="SI")
    assert (answer["words"], answer["picture"]) == ("13 mm wide", "<svg>13 mm</svg>")
    ask(lab, name="width", value=12, system="SI")
    assert ask(lab, reset=True)["words"] == "0 mm wide"


def test_details_that_raise_are_told_in_their_place():
    lab = gap_lab("details")
    assert ask(lab, name="width", value=5, system="US")["picture"] == "<svg>5 mm</svg>"
    answer = ask(lab, details=True)
    assert NO_DETAILS in answer["details"]
    assert (answer["line"], answer["picture"]) == ("Gap: 5 mm; Place: Left", "<svg>5 mm</svg>")
    ask(lab, name="width", value=2, system="US")
    assert ask(lab, details=True)["details"] == "<table>2</table>"


def test_a_lab_that_raises_at_its_start_can_be_moved_on():
    lab = Lab(Gap(0.005), GAP_CONTROLS, unless("picture", "picture", str), lambda gap, system: "words")
    assert NO_VIEW in lab.answer["picture"]
    assert lab.answer["values"] == {"width": 5, "place": 0}
    assert ask(lab, name="width", value=2, system="US")["words"] == "words"


@pytest.mark.parametrize("prepare", [list, lambda settings: 1 / 0], ids=["prepared", "prepare raises"])
def test_views_ahead_that_raise_leave_the_others_as_they_are(prepare):
    lab = gap_lab("picture", prepare=prepare)
    views = lab.views_ahead("width", [2, 3, 12, 13, 19, 400, "wide", None])
    shown = [view and view["picture"] for view in views]
    assert shown == ["<svg>2 mm</svg>", None, None, "<svg>13 mm</svg>", None, None, None, None]
    assert lab.settings == Gap()


def test_settings_that_cannot_be_leave_the_last_ones():
    lab = gap_lab()
    ask(lab, name="width", value=5, system="US")
    answer = ask(lab, name="width", value=19, system="US")
    assert answer["words"] == NOT_DONE
    assert (answer["set_all"], answer["values"]["width"]) == (True, 5)
    assert answer["picture"] == "<svg>5 mm</svg>"


HOSTILE = [
    {"name": "width", "value": 21},
    {"name": "width", "value": -1},
    {"name": "width", "value": float("nan")},
    {"name": "width", "value": "9**9**9**9"},
    {"name": "width", "value": None},
    {"name": "width"},
    {"name": "place", "value": -1},
    {"name": "place", "value": 2},
    {"name": "place", "value": 0.0},
    {"name": "place", "value": [0]},
    {"name": "nobody", "value": 1},
    {"name": ["width"], "value": 1},
    {"system": "imperial", "name": "width", "value": 1},
    {"system": None},
    {"situation": "none such"},
    {"situation": {}},
    {"line": None},
    {"line": "Gap"},
    {"line": "Gap: 21 mm"},
    {"line": "Nobody: 1"},
]


@pytest.mark.parametrize("question", HOSTILE, ids=repr)
def test_a_question_that_our_page_would_not_ask_is_answered_and_changes_nothing(question):
    lab = gap_lab()
    ask(lab, name="width", value=5, system="US")
    before = lab.settings
    answer = ask(lab, **question)
    assert answer["words"] not in ("", "5 mm wide")
    assert (answer["set_all"], answer["values"]) == (True, {"width": 5, "place": 0})
    assert (lab.settings, lab.system) == (before, "US")
    assert ask(lab, name="width", value=6, system="US")["words"] == "6 mm wide"


@pytest.mark.parametrize(
    "question", [None, [], "reset", 5, {}, {"serial": None}, {"details": True}], ids=repr
)
def test_what_is_no_question_gets_an_answer_to_nobody(question):
    lab = gap_lab()
    lab.ask(question)
    assert list(lab.answer["serial"]) == ["", 0]  # a page looks into it for its own sign
    assert lab.settings == Gap()


@pytest.mark.parametrize(
    "ahead", [None, [], {}, {"name": "nobody", "values": [1]}, {"name": "width"}], ids=repr
)
def test_a_malformed_question_ahead_is_answered(ahead, monkeypatch):
    lab, sent = gap_lab("", prepare=list), []
    monkeypatch.setattr(lab, "send", sent.append)
    lab.ask({"ahead": ahead, "serial": ["page", 3]})
    assert sent == [{"serial": ["page", 3], "views": []}]


def test_a_situation_that_no_control_shows_is_loaded_all_the_same():
    lab = gap_lab()
    answer = ask(lab, situation="Nowhere")
    assert (answer["words"], lab.settings.place) == ("1 mm wide", "nowhere")
    assert ask(lab, details=True)["line"] == ""
    assert ask(lab, situation="Right")["values"] == {"width": 1, "place": 1}


def test_the_working_labs_list_has_a_reading_that_was_added_later(monkeypatch):
    shorter = {name: reading for name, reading in READINGS.items() if name != "freezer"}
    monkeypatch.setattr("warmside.diagnosis.readings.READINGS", shorter)
    readings = dict(working_controls()[1].options)
    assert "freezer" not in readings.values()
    monkeypatch.undo()
    assert dict(working_controls()[1].options) == {
        **readings,
        READINGS["freezer"].title: "freezer",
    }


def test_a_slider_goes_from_its_lowest_to_its_highest_and_no_further():
    inches = Slider(
        "width",
        "Gap",
        "length",
        Scale("inch", "in", 0.5, 2, 0.25),
        Scale("millimeter", "mm", 10, 50, 5),
    )
    assert inches.places("US") == pytest.approx([0.0254 * quarter / 4 for quarter in range(2, 9)])
    assert inches.places("SI") == pytest.approx([0.005 * five for five in range(2, 11)])
    assert (inches.shown(0.0254, "US"), inches.shown(0.0254, "SI")) == (1.0, 25)
    assert (inches.shown(0.0274, "SI"), inches.shown(0.0276, "SI")) == (25, 30)  # the nearest
    assert (inches.text(0.0127), inches.read("1/2 in"), inches.read("50.8 mm")) == (
        "0.5 in",
        pytest.approx(0.0127),
        pytest.approx(0.0508),
    )
    for shown in (0.499, 2.001):
        with pytest.raises(InputError, match=r"^Gap: .* was asked for; it goes from 0.5 to 2 in\.$"):
            inches.taken(shown, "US")
    for text in ("0.49 in", "2.01 in"):
        with pytest.raises(InputError, match=rf"^Gap: “{text}” was read; it goes from 0.5 in to 2 in\.$"):
            inches.read(text)
