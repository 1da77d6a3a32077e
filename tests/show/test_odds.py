"""Working an invented case: the odds after each reading, its words, its picture, its lab."""

from dataclasses import replace

import pytest
from helpers import NEEDS_BANK

from warmside.data import load
from warmside.diagnosis.causes import SETTLED
from warmside.diagnosis.faults import FAULTS
from warmside.diagnosis.readings import READINGS
from warmside.show.odds import (
    CASES,
    NOTHING,
    SITUATIONS,
    Working,
    after,
    all_readings,
    alt_text,
    finding,
    look_of,
    minutes,
    odds_figure,
    steps,
    truth,
    working_lab,
)
from warmside.show.pictures import png

pytestmark = NEEDS_BANK
START = Working(second="condenser_air")


@pytest.mark.parametrize("case", CASES)
def test_every_case_can_be_told_from_all_its_readings(case):
    best = after(case, tuple(all_readings(case).values)).best
    assert best.label == truth(case)
    assert best.probability >= SETTLED


@pytest.mark.parametrize("case", CASES)
def test_in_every_case_with_a_fault_the_cup_is_too_warm(case):
    too_warm = all_readings(case).values["cup"] > load("ratings")["food_limit"]["T"]
    assert too_warm == (truth(case) != ("none",))


def test_readings_count_once_and_in_order():
    working = Working(first="cup", second=NOTHING, third="freezer", fourth="cup")
    assert working.taken == ("cup", "freezer")
    assert minutes(working) == READINGS["cup"].minutes + READINGS["freezer"].minutes
    assert len(steps(working)) == 3


def test_work_and_waiting_are_told_apart():
    """A cup costs ten minutes, and a day."""
    assert "Read in 10 minutes of work and 1 day of waiting: " in finding(Working())
    assert "Read in 30 minutes of work and 2 days of waiting: " in finding(Working(second="quiet_night_cup"))
    assert "Read in 6 minutes of work: " in finding(Working(first="fins"))
    assert "10 minutes of work and 1 day" in odds_figure(Working()).axes[0].get_title(loc="left")


def test_three_that_tell_the_same_do():
    """No fault's odds move by a twentieth, whatever the second and the third add to the cup."""
    taken = SITUATIONS["Three that tell the same"].taken
    assert len(taken) == 3
    alone, *later = (after(CASES[0], taken[:count]) for count in (1, 2, 3))
    for known in later:
        assert max(abs(known.of_fault(name) - alone.of_fault(name)) for name in FAULTS) < 0.05


def test_an_explanation_has_a_look_of_its_own_in_every_case_and_step():
    looks = [look_of(name) for name in FAULTS]
    assert len(set(looks)) == len(FAULTS)
    drawn: dict[str, set[tuple]] = {}
    for working in (*SITUATIONS.values(), START, replace(START, case=CASES[2])):
        for line in odds_figure(working).axes[0].get_lines()[:-1]:
            look = line.get_color(), line.get_marker(), line.get_linestyle()
            drawn.setdefault(line.get_label(), set()).add(look)
    assert len(drawn) > 4
    assert all(len(looks) == 1 for looks in drawn.values())


def test_what_is_wrong_is_told_only_when_asked():
    assert "What is wrong" not in finding(START)
    assert "What is wrong: lower vent blocked." in finding(replace(START, shown=True))
    assert "Nothing was read yet" in finding(Working(first=NOTHING))


def test_words_in_both_systems():
    assert "°F" in finding(START)
    assert "°C" in finding(START, "SI")
    assert "°F" not in finding(START, "SI")
    assert alt_text(START).endswith(finding(START))


def test_pictures_are_of_one_size_and_large_enough_to_read():
    for working in (Working(first=NOTHING), START, replace(START, third="fuse", fourth="load", fifth="seal")):
        figure = odds_figure(working)
        assert figure.get_size_inches() == pytest.approx((10, 6))
        assert png(figure).startswith(b"\x89PNG")
        for text in figure.findobj(lambda artist: hasattr(artist, "get_fontsize")):
            assert text.get_fontsize() >= 14 or not text.get_text()


def test_the_lab_takes_readings():
    lab = working_lab()
    names = [text for text, _ in lab._controls["second"].options]
    lab.ask({"name": "second", "value": names.index(READINGS["fins"].title), "system": "US", "serial": 1})
    assert lab.settings == Working(second="fins")
    assert READINGS["fins"].title.lower() in lab.answer["words"]
