"""Keys of the exercise on heat sources and circuits against published tables and other ways to them."""

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from helpers import part_of, source_notebook

from warmside.marking.cells import grade_id
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.job_card import Draw, keyed
from warmside.marking.marks import Outcome, mark
from warmside.model.cabinet import Thermostat
from warmside.model.refrigerator import Installation, steady_state
from warmside.show import burner_log

NAME = "heat_sources_and_circuits"
CARDS = 200

# NFPA 70 (National Electrical Code), chapter 9, table 8: ohms for 1000 ft of solid uncoated copper at 75 °C,
# and the factor printed with it for others, 1 + 0.00323 for each °C from 75 °C. Strands are laid in a
# spiral; the table has 2 % more for them (1.98, 1.24 and 0.778), as do 1.02 times these.
TABLE_8 = {12: 1.93, 10: 1.21, 8: 0.764, 6: 0.491 / 1.02}
STRANDS = 1.02  # of 6 AWG the table has strands alone

# BCcampus, Plumbing, appendix 2, imperial orifice capacity table (open textbook): flow [ft³/h] of propane,
# specific gravity 1.5, orifice factor 0.90, at 11 and at 10 in w.c., by drill diameter [in].
ORIFICES = {0.0135: (0.579, 0.552), 0.0145: (0.667, 0.636), 0.016: (0.813, 0.775), 0.018: (1.029, 0.981)}
BTU_PER_CUBIC_FOOT = 2498  # of propane gas, as suppliers print it; 2500 and 2516 are met too
BTU_PER_POUND = 21591  # NFPA 58, annex
WATT = 3600 / 1055.056  # Btu/h


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(NAME)


@pytest.fixture(scope="module")
def jobs(exercise, some_jobs):
    return some_jobs(exercise, CARDS)


@pytest.fixture(scope="module")
def gas():
    return part_of(NAME, "gas")


def shown(job: Job, name: str) -> float:
    """A card's number, read off as it is printed."""
    return float(job.card.entry(name).text.split()[0])


def test_volts_lost_by_the_table_of_the_electrical_code(jobs):
    for job in jobs:
        celsius = (shown(job, "wire_temperature") - 32) / 1.8
        feet = 2 * shown(job, "wire_length")
        table = TABLE_8[round(shown(job, "wire_gauge"))] * STRANDS * (1 + 0.00323 * (celsius - 75))
        wires = feet / 1000 * table
        heater = 12**2 / shown(job, "battery_plate_watts")
        lost = shown(job, "battery_volts") * wires / (wires + heater)
        assert job.value("drop_on_the_run") == pytest.approx(lost, rel=0.008)


@pytest.mark.parametrize("diameter", list(ORIFICES))
def test_heat_of_gas_by_the_table_of_orifices(exercise, gas, diameter):
    flow, flow_at_10 = ORIFICES[diameter]
    at_11 = gas.heat_of(diameter * 0.0254) * WATT
    at_10 = gas.heat_of(diameter * 0.0254, 10 * 249.0889) * WATT
    assert at_11 == pytest.approx(flow * BTU_PER_CUBIC_FOOT, rel=0.015)
    assert at_10 / at_11 == pytest.approx(flow_at_10 / flow, rel=0.002)


def test_heat_and_days_of_gas_by_hand(jobs):
    for job in jobs:
        heat = 0.579 * BTU_PER_CUBIC_FOOT * (shown(job, "orifice") / 0.0135) ** 2
        assert job.value("gas_heat") * WATT == pytest.approx(heat, rel=0.015)
        low = job.value("gas_heat") * math.sqrt(shown(job, "low_pressure") / 11)
        assert job.value("low_pressure_heat") == pytest.approx(low, rel=1e-4)
        pounds = shown(job, "cylinder_weighs") - shown(job, "cylinder_tare")
        share = share_minute_by_minute(job)
        days = pounds * BTU_PER_POUND / (job.value("gas_heat") * WATT) / share / 24
        assert job.value("cylinder_days") / 86400 == pytest.approx(days, rel=0.005)


def share_minute_by_minute(job: Job) -> float:
    """Share of time lit from the second lighting to the last, by asking of each minute how the flame was."""
    lines = [line.split(",") for line in job.card.files["burner_log.csv"].splitlines()[1:]]
    lit = {minute for _, begins, ends in lines if ends for minute in range(int(begins), int(ends))}
    asked = range(int(lines[1][1]), int(lines[-1][1]))
    return sum(minute in lit for minute in asked) / len(asked)


def test_share_of_the_burner_by_counting_minutes(jobs, gas):
    cycles = []
    for job in jobs:
        assert job.value("burner_share") == pytest.approx(share_minute_by_minute(job))
        burns = gas.burns(job)
        assert all(lit < out < again for (lit, out), (again, _) in pairwise(burns))
        cycles += [again - lit for (lit, _), (again, _) in pairwise(burns[1:])]
        assert burns[-1][1] is None and burns[0][0] == 0
        assert burns[0][1] > 2 * max(out - lit for lit, out in burns[1:-1])
    assert 50 < min(cycles) < max(cycles) < 85


def test_burners_of_the_logs_are_lit_as_long_as_the_model_has_it(jobs):
    # Eight cubic feet on gas at the usual setting, opened as usual, on a day of 65 to 95 °F.
    mild, hot = steady_state(
        Installation.of("8 cu ft", heat_source="gas", load=0.13),
        (np.array([65.0, 95.0]) + 459.67) / 1.8,
        setting=Thermostat().setting,
    ).duty
    assert mild > 0.3 and hot < 1.0
    assert all(mild < job.value("burner_share") < hot for job in jobs)


def test_a_strip_that_is_read_to_two_minutes_gives_the_share(jobs, exercise):
    for job in jobs:
        lines = [line.split(",") for line in job.card.files["burner_log.csv"].splitlines()[2:]]
        lit = [2 * round(int(begins) / 2) for _, begins, _ in lines]
        out = [2 * round(int(ends) / 2) for _, _, ends in lines if ends]
        share = (sum(out) - sum(lit[:-1])) / (lit[-1] - lit[0])
        results = {r.item: r for r in mark({"burner_share": f"{100 * share:.0f} %"}, job.card, exercise)}
        assert results["burner_share"].outcome is Outcome.RIGHT


def test_days_follow_from_the_share_that_was_read(exercise):
    card = exercise.job_card(b"carried", "t1")
    job = Job(exercise, card)
    own = 1.0 - job.value("burner_share")
    days = job.value("cylinder_days") / 86400 * job.value("burner_share") / own
    results = {
        r.item: r for r in mark({"burner_share": f"{own}", "cylinder_days": f"{days} days"}, card, exercise)
    }
    assert results["burner_share"].mistake == "the share that it is out"
    assert results["cylinder_days"].outcome is Outcome.CARRIED


def test_the_strip_shows_the_log_and_its_text_gives_nothing_away(jobs):
    for job in jobs[:10]:
        rows = job.card.table(burner_log.FILE_NAME)
        axes = burner_log.burner_figure(rows).axes[0]
        bars = [(round(bar.get_x()), round(bar.get_x() + bar.get_width())) for bar in axes.patches]
        assert bars[:-1] == [(int(row["lit_min"]), int(row["out_min"])) for row in rows[:-1]]
        assert bars[-1][0] == int(rows[-1]["lit_min"])
        assert all(bar.get_hatch() for bar in axes.patches)
        assert [text.get_text() for text in axes.texts] == [row["burn"] for row in rows]
        said = burner_log.alt_text(rows)
        assert [word for word in said.split() if word.isdigit()] == [str(len(rows))]
        table = burner_log.table(rows)
        assert table.count("<tr ") == len(rows) + 1
        assert table.count(burner_log.STILL_LIT) == 1
        minutes = int(rows[1]["out_min"])
        assert f">{minutes // 60}:{minutes % 60:02}<" in table


def test_mains_heater_by_ohms_law(jobs):
    # Closed form: watts are volts times amps, and amps go with the volts at the same ohms.
    for job in jobs:
        plate, watts, volts = (
            shown(job, n) for n in ("mains_plate_volts", "mains_plate_watts", "measured_volts")
        )
        nominal = watts / plate
        assert job.value("heater_resistance") == pytest.approx(plate / nominal)
        assert job.value("current_at_measured_volts") == pytest.approx(nominal * volts / plate)
        assert job.value("heat_at_measured_volts") == pytest.approx(watts * (volts / plate) ** 2)
        assert job.value("open_element_resistance") == pytest.approx(2 * plate / nominal)
        assert job.value("open_element_heat") == pytest.approx(watts * (volts / plate) ** 2 / 2)


def test_fuse_is_the_next_size_above_125_percent_and_of_mains_voltage(jobs):
    # Rule: NFPA 70, 210.20(A), 125 % of a continuous load.
    for job in jobs:
        load = shown(job, "mains_plate_watts") / shown(job, "mains_plate_volts")
        sizes = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)
        right = next(size for size in sizes if size >= 1.25 * load)
        assert job.value("fuse_rating") == right
        assert right > next(size for size in sizes if size >= load)
        text = job.card[f"fuse_{job.value('fuse_choice')}"]
        assert text.startswith(f"{right} A, 250 V")


def test_the_fault_is_the_one_that_the_model_was_given():
    fault = part_of(NAME, "fault")
    seen = Counter()
    for number in range(500):
        given, lines = fault.other_refrigerator(Draw(keyed(b"faults", str(number))))
        by_name = {line.name: line for line in lines}
        volts = {
            name: float(by_name[f"other_{name}"].text.split()[0]) for name in ("supply", "heater", "amps")
        }
        letter = fault.LETTERS[given]
        key = fault.pointed_at(by_name["other_size"].text, *volts.values())
        assert key == letter, by_name
        seen[letter] += 1
    assert set(seen) == set("abcdef")
    assert min(seen.values()) > 500 / 6 / 2


def test_choices_are_spread_over_their_letters(jobs):
    for name in ("fuse_choice", "fault"):
        letters = Counter(job.value(name) for job in jobs)
        assert set(letters) == set(job_choices(jobs, name))
        assert max(letters.values()) < 2 * CARDS / len(letters)


def job_choices(jobs, name):
    return jobs[0].exercise.item(name).choices


def test_no_draw_is_degenerate(jobs):
    for job in jobs:
        assert 0.025 < job.value("drop_on_the_run") / job["battery_volts"] < 0.1
        assert 3 < shown(job, "wire_length") < 50
        assert 15 < shown(job, "battery_plate_watts") / 12 < 38  # trade: 15 to 38 A
        assert 1500 < job.value("gas_heat") * WATT < 2800
        assert 2 < job.value("cylinder_days") / 86400 < 25
        assert 0.6 < job.value("heat_at_measured_volts") / shown(job, "mains_plate_watts") < 0.85


# NFPA 70, 240.4(D), as tables of ampacities print it in a note: largest fuse for copper [A]. For 8 and 6 AWG
# table 310.16, 60 °C, 40 and 55 A, from memory, the latter with the next size that is made (240.4(B)).
LARGEST_FUSE = {12: 20, 10: 30, 8: 40, 6: 60}


def test_a_wire_is_right_by_its_volts_and_by_its_fuse(jobs):
    seen = Counter()
    for job in jobs:
        lost = job.value("drop_on_the_run") / shown(job, "battery_volts")
        fuse = 1.25 * shown(job, "battery_plate_watts") / 12
        loses, burns = lost > 0.05, fuse > LARGEST_FUSE[round(shown(job, "wire_gauge"))]
        assert job.value("wire") == {(0, 0): "a", (1, 0): "b", (0, 1): "c", (1, 1): "d"}[loses, burns]
        assert abs(lost / 0.05 - 1) > 0.05
        assert abs(fuse / LARGEST_FUSE[round(shown(job, "wire_gauge"))] - 1) > 0.005
        seen[job.value("wire")] += 1
    assert min(seen.values()) > CARDS / 4 / 2


def test_the_gauge_alone_does_not_tell_whether_a_wire_is_acceptable(jobs):
    for gauge in (12, 10, 8):
        assert {job.value("wire") for job in jobs if job["wire_gauge"] == gauge} == set("abcd")


def test_a_verdict_on_the_wire_follows_from_the_volts_that_were_found(exercise):
    job = next(
        Job(exercise, card)
        for card in (exercise.job_card(b"wire", str(number)) for number in range(40))
        if exercise.item("wire").key(Job(exercise, card)) == "b"
    )
    one_way = exercise.item("drop_on_the_run").mistakes[0].answer(job)
    results = {r.item: r for r in mark({"drop_on_the_run": f"{one_way} V", "wire": "a"}, job.card, exercise)}
    assert results["drop_on_the_run"].mistake == "one way only"
    assert results["wire"].score == 1  # half: it only follows from a wrong value


def test_one_statement_on_what_a_sound_supply_is():
    # The same bounds in the check, the question and the feedback; and none of them says that it will hold.
    from warmside.data import load

    low, high = (load("heaters").in_column(name, "mains") for name in ("lowest_voltage", "highest_voltage"))
    asked = next(c.source for c in source_notebook(NAME).cells if grade_id(c) == "fault_task")
    assert f"from {low:g} to {high:g} V" in asked
    assert "depends on the day" in asked
    told = [m.next_step for m in load_exercise(NAME).item("fault").mistakes if "supply called low" in m.name]
    assert len(told) == 1
    assert f"From {low:g} to {high:g} V" in told[0]


def test_an_early_error_costs_only_its_own_marks(exercise):
    card = exercise.job_card(b"carried", "t1")
    job = Job(exercise, card)
    own = 1.1 * job.value("heater_resistance")
    answers = {
        "heater_resistance": f"{own} ohm",
        "current_at_measured_volts": f"{job['measured_volts'] / own} A",
        "heat_at_measured_volts": f"{job['measured_volts'] ** 2 / own * WATT} Btu/h",
        "open_element_resistance": f"{2 * own} ohm",
    }
    outcomes = {result.item: result.outcome for result in mark(answers, card, exercise)}
    assert outcomes["heater_resistance"] is Outcome.WRONG
    assert [outcomes[name] for name in list(answers)[1:]] == [Outcome.CARRIED] * 3


def test_a_wrong_rating_is_not_carried_into_the_choice_of_the_fuse(exercise):
    mains = part_of(NAME, "mains")
    card = exercise.job_card(b"carried", "t1")
    small = mains.fuse_with(mains.Objection.TOO_SMALL)(Job(exercise, card))
    rating = card[f"fuse_{small}"].split(",")[0]
    results = {r.item: r for r in mark({"fuse_rating": rating, "fuse_choice": small}, card, exercise)}
    assert results["fuse_rating"].mistake == "the rule for hours left out"
    assert results["fuse_choice"].mistake == "a fuse too small for hours"
    assert results["fuse_choice"].score == 0


def test_both_unit_systems_are_accepted(exercise):
    card = exercise.job_card(b"units", "t1")
    value = Job(exercise, card).value
    answers = {
        "heat_at_measured_volts": (
            f"{value('heat_at_measured_volts')} W",
            f"{value('heat_at_measured_volts') * WATT} Btu/h",
        ),
        "gas_heat": (f"{value('gas_heat') / 1000} kW", f"{value('gas_heat') * WATT} Btu/h"),
        "drop_on_the_run": (f"{value('drop_on_the_run')} V", f"{value('drop_on_the_run') * 1000} mV"),
        "cylinder_days": (f"{value('cylinder_days') / 86400} days", f"{value('cylinder_days') / 3600} h"),
    }
    for at in (0, 1):
        results = mark({name: texts[at] for name, texts in answers.items()}, card, exercise)
        assert {r.item for r in results if r.outcome is Outcome.RIGHT} == set(answers)


def test_numbers_in_the_text_are_the_models(gas):
    text = next(c.source for c in source_notebook(NAME).cells if grade_id(c) == "part_3")
    from warmside.model.circuit import gauge_area, wire_resistance
    from warmside.model.fuse import wire_fuse

    for gauge, _ in part_of(NAME, "battery").RUNS:
        ohms = float(wire_resistance(gauge_area(gauge), 304.8, stranded=True))
        assert f"| {gauge} | {ohms:.3g} | {wire_fuse(float(gauge_area(gauge))):g} A |" in text
    of_gas = next(c.source for c in source_notebook(NAME).cells if grade_id(c) == "part_4")
    assert f"{round(gas.heat_of(0.0135 * 0.0254) * WATT, -1):,.0f} Btu/h" in of_gas
