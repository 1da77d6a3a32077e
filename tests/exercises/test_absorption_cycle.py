"""Keys of the exercise on the absorption cycle against published values and other ways to them."""

import math
import re
from collections import Counter

import numpy as np
import pytest
from helpers import part_of, source_notebook
from real_fluids import ON_ONE_WORKER, PropsSI

from warmside.marking.cells import grade_id
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.marks import Outcome, mark
from warmside.model.ensemble import plausible
from warmside.model.refrigerator import Installation, steady_state
from warmside.show import unit_log

pytestmark = ON_ONE_WORKER
NAME, CARDS = "absorption_cycle", 60
PSI, BTU, POUND, OUNCE = 6894.757, 1055.056, 0.45359237, 0.028349523
WATT = 3600 / BTU  # Btu/h
AIR = 14.696  # psi


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(NAME)


@pytest.fixture(scope="module")
def jobs(exercise, some_jobs):
    return some_jobs(exercise, CARDS)


def number(job: Job, line: str) -> float:
    """A card's number, read off as it is printed; a tape's fractions too."""
    words = re.findall(r"\d+/\d+|\d+\.?\d*", job.card.entry(line).text)
    return sum(float(a) / float(b or 1) for a, _, b in (word.partition("/") for word in words))


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


# --- pressures and heats against published values -----------------------------------------------------------


def test_pressures_and_temperatures_with_the_saturation_line_of_coolprop(jobs):
    # CoolProp 8, ammonia by Gao et al., J. Phys. Chem. Ref. Data 49 (2020) 013102
    for job in jobs:
        whole = (number(job, "gauge_pressure") + AIR) * PSI
        condenses = PropsSI("T", "P", whole, "Q", 0, "Ammonia")
        assert job.value("condensing_temperature") == pytest.approx(condenses, abs=0.05)
        boils = PropsSI("P", "T", kelvin(number(job, "coil_temperature")), "Q", 0, "Ammonia")
        assert job.value("ammonia_part") == pytest.approx(boils, rel=5e-4)
        assert job.value("hydrogen_part") == pytest.approx(whole - boils, rel=5e-4)


def test_a_printed_value_of_the_saturation_line(exercise):
    # Baehr and Tillner-Roth 1994, as tests/reference/test_ammonia.py has it: 4.2938 bar at 0 °C
    class Card:
        si = {"coil_temperature": 273.15}.__getitem__

    assert exercise.item("ammonia_part").key(Job(exercise, Card())) == pytest.approx(4.2938e5, rel=1e-3)


def test_the_table_in_the_text_is_the_saturation_line(jobs):
    (text,) = (cell.source for cell in source_notebook(NAME).cells if grade_id(cell) == "part_1")
    rows = re.findall(
        r"^\| (-?\d+) °F \((.+?) °C\) \| ([\d.]+) psi \(([\d.]+) bar\) \| (\d+) Btu/lb \(([\d,]+)", text, re.M
    )
    assert [float(row[0]) for row in rows] == list(part_of(NAME, "ways").LINES)
    for fahrenheit, celsius, psi, bar, btu, kilojoule in rows:
        at = kelvin(float(fahrenheit))
        pressure = PropsSI("P", "T", at, "Q", 0, "Ammonia")
        heat = PropsSI("H", "T", at, "Q", 1, "Ammonia") - PropsSI("H", "T", at, "Q", 0, "Ammonia")
        assert float(celsius) == pytest.approx(at - 273.15, abs=0.051)
        assert float(psi) == pytest.approx(pressure / PSI, rel=3e-4, abs=0.06)
        assert float(bar) == pytest.approx(pressure / 1e5, rel=3e-4, abs=0.006)
        assert float(btu) == pytest.approx(heat * POUND / BTU, abs=0.6)
        assert float(kilojoule.replace(",", "")) == pytest.approx(heat / 1e3, abs=0.7)


def test_ammonia_with_the_enthalpies_of_coolprop(jobs):
    for job in jobs:
        at = kelvin(number(job, "coil_temperature"))
        heat = PropsSI("H", "T", at, "Q", 1, "Ammonia") - PropsSI("H", "T", at, "Q", 0, "Ammonia")
        cold = (number(job, "freezer_cold") + number(job, "food_cold")) / WATT
        assert job.value("ammonia_flow") == pytest.approx(cold / heat, rel=1e-3)
        assert 2.5 < job.value("ammonia_flow") / OUNCE * 3600 < 8.0


def test_what_the_absorber_gives_off_is_what_the_model_has(jobs):
    # the key is a sum of rounded lines; the model works the absorber out by itself
    for job in jobs:
        size, ambient = re.match(r"(\d+ cu ft).*?(\d+) °F", job.card["yard_unit"]).groups()
        state = steady_state(Installation.of(size), kelvin(float(ambient)))
        assert job.value("absorber_heat") == pytest.approx(float(state.absorber_heat), abs=13 / WATT)
        assert job.value("cop") == pytest.approx(float(state.cop), abs=0.006)


def test_sums_by_hand_in_us_units(jobs):
    for job in jobs:
        cold = number(job, "freezer_cold") + number(job, "food_cold")
        heater = 3.41 * number(job, "heater")
        left = (
            heater
            + cold
            - sum(number(job, name) for name in ("condenser_heat", "rectifier_heat", "boiler_loss"))
        )
        assert job.value("heat_leaving") * WATT == pytest.approx(heater + cold, rel=0.002)
        assert job.value("absorber_heat") * WATT == pytest.approx(left, rel=0.005)
        assert job.value("cop") == pytest.approx(cold / heater, rel=0.002)
        assert job.value("compressor_power") == pytest.approx(
            cold / 3.412 / number(job, "compressor_cop"), rel=0.002
        )


# --- the log ------------------------------------------------------------------------------------------------


def test_the_log_changes_once_where_it_is_read(jobs):
    seen = Counter()
    for job in jobs:
        rows = job.card.table(unit_log.FILE_NAME)
        boiler, absorber, air = (
            np.array([float(row[f"{name}_F"]) for row in rows]) for name in ("boiler", "absorber", "air")
        )
        begins = round(job.value("change_at") / 1200)
        assert len(rows) == 37 and 8 <= begins <= 24
        assert len(set(boiler[: begins + 1])) == len(set(absorber[: begins + 1])) == len(set(air)) == 1
        assert abs(absorber[begins + 1] - absorber[begins]) >= 3
        letter, rise = job.value("what_happened"), boiler[-1] - boiler[0]
        seen[letter] += 1
        assert {
            "a": rise > 40 and absorber[-1] < absorber[0] - 10,
            "b": abs(boiler[-1] - air[0]) <= 3 and abs(absorber[-1] - air[0]) <= 2,
            "c": abs(rise) <= 10 and abs(absorber[-1] - absorber[0]) <= 2,
            "d": 0 < rise < 30 and absorber[-1] > absorber[0] + 7,
        }[letter]
    assert set(seen) == set("abcd")


@pytest.mark.full
@pytest.mark.parametrize("size", ["8 cu ft", "18 cu ft"])
def test_nine_in_ten_plausible_refrigerators_move_as_the_log_does(size):
    log = part_of(NAME, "log")

    def settled(**changes) -> tuple[np.ndarray, np.ndarray]:
        state = steady_state(plausible(Installation.of(size, **changes), 100), kelvin(80.0))
        return state.boiler_temperature * 1.8, state.absorber_temperature * 1.8

    boiler, absorber = settled(side_tilt=np.zeros(1))
    for letter, boiler_ways, absorber_ways in (
        (log.STOPPED, (20, 100), (-40, -5)),
        (log.NO_HEAT, (-400, -150), (-50, -10)),
        (log.HOT_AIR, (0, 40), (4, 40)),
    ):
        hot, warm = settled(**{name: np.array([value]) for name, value in log.CHANGES[letter].items()})
        for moved, (low, high) in ((hot - boiler, boiler_ways), (warm - absorber, absorber_ways)):
            assert ((moved > low) & (moved < high)).mean() >= 0.9, letter


def test_the_figure_shows_the_log_and_its_text_gives_nothing_away(jobs):
    for job in jobs[:4]:
        rows = job.card.table(unit_log.FILE_NAME)
        above, below = unit_log.unit_log_figure(rows).axes
        for line, name in zip((*above.lines, *below.lines), ("boiler_F", "absorber_F", "air_F"), strict=True):
            x, y = line.get_data()
            assert list(y) == [float(row[name]) for row in rows]
            assert list(x) == [20 * place for place in range(len(rows))]
        assert re.findall(r"\d+", unit_log.alt_text(rows)) == ["37", "20"]
        assert unit_log.table(rows).count("</tr>") == len(rows) + 1


# --- level, setting, judgement ------------------------------------------------------------------------------


def test_level_by_a_circle_and_the_limits_in_the_text(jobs):
    for job in jobs:
        rise, length = number(job, "level_raised"), number(job, "level_length")
        angle = math.degrees(math.asin(rise / math.hypot(rise, length)))
        assert math.degrees(job.value("tilt")) == pytest.approx(angle)
        assert angle == pytest.approx(57.3 * rise / length, rel=0.01)
        beyond = angle - (3 if job.card["level_way"] == "from side to side" else 6)
        assert job.value("tilt_verdict") == ("a" if beyond <= 0 else "b" if beyond > 0.5 else "c")


def test_a_colder_setting_helps_where_it_rests():
    # the model: at 80 °F it rests and gets colder, at 114 °F it runs all the time and doesn't
    settings = np.array([kelvin(42.0), kelvin(34.0)])
    mild, hot = (
        steady_state(Installation.of("8 cu ft"), kelvin(at), setting=settings) for at in (80.0, 114.0)
    )
    assert (mild.duty < 1).all() and mild.food_temperature[1] < mild.food_temperature[0] - 3
    assert (hot.duty == 1).all() and hot.food_temperature[1] == pytest.approx(
        hot.food_temperature[0], abs=0.1
    )


def test_setting_and_last_week_by_the_words_of_the_card(jobs):
    for job in jobs:
        assert job.value("setting") == ("a" if "all the time" in job.card["runs"] else "b")
        was = job.card["off_level"]
        assert job.value("off_level") == ("c" if "driven" in was else "b" if "days" in was else "a")


def test_signs_come_first_and_the_unit_last(jobs):
    seen = Counter()
    for job in jobs:
        card = job.card
        found = [
            card["met"] != "no smell, nothing yellow, no soot",
            "not measured" in card["heat_found"],
            "leans" in card["level_found"],
            "vent" in card["air_found"] and "vents" not in card["air_found"],
        ]
        assert sum(found) <= 1
        assert job.value("unit_or_not") == ("abcd"[found.index(True)] if any(found) else "e")
        seen[job.value("unit_or_not")] += 1
        (first, *_) = job.exercise.by_hand[0].rubric(job)
        assert all(
            card[name] in first for name in ("cup_test", "heat_found", "level_found", "air_found", "met")
        )
    assert set(seen) == set("abcde")


def test_an_early_error_costs_only_its_own_marks(exercise, jobs):
    job = next(job for job in jobs if job.value("tilt_verdict") == "a")
    whole, part = (number(job, "gauge_pressure") + AIR), 1.2 * job.value("ammonia_part") / PSI
    leaving, taken = 1.2 * job.value("heat_leaving"), job.value("heat_leaving") - job.value("absorber_heat")
    answers = {
        "ammonia_part": f"{part} psi",
        "hydrogen_part": f"{whole - part} psi",
        "heat_leaving": f"{leaving} W",
        "absorber_heat": f"{leaving - taken} W",
        "tilt": "9 deg",
        "tilt_verdict": "b",
    }
    results = {result.item: result for result in mark(answers, job.card, exercise)}
    for first, then, share in (
        ("ammonia_part", "hydrogen_part", 1.0),
        ("heat_leaving", "absorber_heat", 1.0),
        ("tilt", "tilt_verdict", 0.5),
    ):
        assert results[first].outcome is Outcome.WRONG
        assert results[then].outcome in (Outcome.CARRIED, Outcome.PARTLY)
        assert results[then].score == share * results[then].points
