"""Keys of the substance-temperature test against another way to them."""

import csv
import io
import statistics

import pytest
from helpers import part_of
from iapws import IAPWS95
from scipy.integrate import solve_ivp

from warmside.marking.exercise import Job
from warmside.units import Q_, to_si


def test_key_of_the_time_constant_by_hand(exercise):
    # By hand in US units: heat capacity of the water is 1 Btu per lb and °F (the definition of the Btu, to
    # 0.5 %), 16 oz to the pound; tau = C / UA.
    for number in range(30):
        card = exercise.job_card(b"by hand", str(number))
        ounces = float(card.entry("cup_water").text.removesuffix(" oz"))
        conductance = float(card.entry("cup_conductance").text.split()[0])
        key = exercise.item("cup_time_constant").key(Job(exercise, card))
        assert key / 3600 == pytest.approx(ounces / 16 / conductance, rel=0.01)


def test_key_of_the_cup_against_a_published_worked_value(exercise):
    # Lumped capacitance (Incropera, Fundamentals of Heat and Mass Transfer, ch. 5): 250 mL of water with
    # hA = 8 x 0.03 W/K cools from 20 °C in air of 4 °C to 11.0184 °C in 1 h.
    values = {
        "cup_water": to_si(Q_(0.24993, "kg"), "mass"),
        "cup_conductance": 0.24,
        "water_at_start": 293.15,
        "cabinet_air": 277.15,
        "reading_hour": 3600.0,
    }

    class Card:
        def si(self, name: str) -> float:
            return values[name]

    key = exercise.item("cup_at_early_reading").key(Job(exercise, Card()))
    assert key - 273.15 == pytest.approx(11.0184, abs=0.02)


CARDS = 40
OUNCE = 0.45359237 / 16  # kg
BTU_PER_HOUR_AND_F = 1055.056 / 3600 * 1.8  # W/K


def shown(job: Job, name: str) -> float:
    """A card's number, read off as it is printed."""
    return float(job.card.entry(name).text.split()[0])


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@pytest.fixture(scope="module")
def jobs(exercise, some_jobs):
    return some_jobs(exercise, CARDS)


def test_heat_from_the_water_is_the_difference_of_its_enthalpies(jobs):
    # IAPWS-95, the international formulation for water, by the library iapws: enthalpy at the start less that
    # at the cabinet's temperature, at 0.101325 MPa. No specific heat is taken.
    for job in jobs:
        start, end = (
            IAPWS95(T=celsius(shown(job, name)) + 273.15, P=0.101325).h
            for name in ("water_at_start", "cabinet_air")
        )
        kilojoules = shown(job, "cup_water") * OUNCE * (start - end)
        assert job.value("heat_from_water") / 1000 == pytest.approx(kilojoules, rel=0.003)


def test_the_cup_cools_as_an_integrator_has_it(jobs):
    # Newton's law of cooling, m h'(T) dT/dt = -UA (T - air), stepped by scipy's solve_ivp (RK45) with the
    # specific heat of IAPWS-95 at 15 °C; and the hour at which 1 °F is left, as an event of the same run.
    heat = IAPWS95(T=288.15, P=0.101325).cp * 1000
    for job in jobs:
        capacity = shown(job, "cup_water") * OUNCE * heat
        lost = shown(job, "cup_conductance") * BTU_PER_HOUR_AND_F
        start, air = celsius(shown(job, "water_at_start")), celsius(shown(job, "cabinet_air"))

        def rate(time, cup, pull=lost / capacity, air=air):
            return -pull * (cup - air)

        def settled(time, cup, air=air):
            return cup[0] - air - 1 / 1.8

        run = solve_ivp(
            rate, (0, 48 * 3600), [start], events=settled, dense_output=True, rtol=1e-8, atol=1e-8
        )
        early = float(run.sol(shown(job, "reading_hour") * 3600)[0])
        assert job.value("cup_at_early_reading") - 273.15 == pytest.approx(early, abs=0.05)
        assert job.value("hours_to_settle") == pytest.approx(float(run.t_events[0][0]), rel=0.006)


def test_what_is_read_off_the_log_by_its_bare_text(jobs):
    # Python's csv and statistics on the file as it is handed out; the ice point is 32 °F by definition of the
    # scale, to 0.02 °F.
    for job in jobs:
        rows = list(csv.DictReader(io.StringIO(job.card.files["temperature_log.csv"])))
        cup = float(rows[24]["cup_F"]) - (shown(job, "ice_reading") - 32)
        air = statistics.fmean(float(row["cabinet_air_F"]) for row in rows if int(row["hour"]) >= 19)
        hottest = max(float(row["ambient_F"]) for row in rows)
        told = {"cup_at_24_hours": cup, "mean_air_last_6_hours": air, "highest_ambient": hottest}
        for name, fahrenheit in told.items():
            assert job.value(name) - 273.15 == pytest.approx(celsius(fahrenheit), abs=1e-6)
        assert job.value("margin_below_limit") * 1.8 == pytest.approx(
            shown(job, "food_limit") - cup, abs=1e-6
        )


@pytest.mark.full
@pytest.mark.parametrize("size", ["6 cu ft", "8 cu ft", "18 cu ft"])
def test_every_scenario_has_days_of_each_size(size):
    days = part_of("substance_temperature_test", "days")
    for hour in days.HALF_RANGES:
        found = {
            (name, left): days.days(size, hour, left)[name]
            for name, lefts in days.LEFT_OPEN.items()
            for left in set(lefts)
        }
        assert {name for name, _ in found} == set(days.SCENARIOS)
        assert min(len(some) for some in found.values()) >= 5


def test_a_log_shows_a_refrigerator_under_its_thermostat(jobs):
    # Nothing inside is warmer than the warmest of the day; what holds stays about the setting, neither at the
    # limit nor frozen.
    seen = set()
    for job in jobs:
        rows = job.card.table("temperature_log.csv")
        air, ambient = ([float(row[name]) for row in rows] for name in ("cabinet_air_F", "ambient_F"))
        verdict = job.value("verdict")
        seen.add(verdict)
        assert max(air) < max(ambient)
        assert min(air) > 33
        opened = any("found open" in row["remark"] for row in rows)
        if verdict in "ab":
            assert opened or max(air[1:]) < shown(job, "food_limit")
            assert statistics.fmean(air) == pytest.approx(38, abs=2)
        assert (max(ambient) >= shown(job, "rated_ambient")) is (verdict == "a") or verdict == "e"
    assert seen == set("abcde")


def test_an_open_door_spoils_a_test_only_where_the_cup_is_warm(jobs):
    # It only warms: what is within its limit after it, held; what is above it, can't be told.
    seen = set()
    for job in jobs:
        opened = any("found open" in row["remark"] for row in job.card.table("temperature_log.csv"))
        warm = bool(job.value("cup_at_24_hours") * 1.8 - 459.67 > shown(job, "food_limit"))
        assert (job.value("verdict") == "e") is (opened and warm)
        seen.add((opened, job.value("verdict")))
    assert {(True, "e"), (True, "b"), (False, "a"), (False, "b")} <= seen


def test_no_verdict_hangs_on_a_rounding(jobs):
    for job in jobs:
        cup = job.value("cup_at_24_hours") * 1.8 - 459.67
        assert all(abs(cup - limit) > 1.0 for limit in (shown(job, "food_limit"), 44, 60))
        hottest = job.value("highest_ambient") * 1.8 - 459.67
        assert abs(hottest - shown(job, "rated_ambient")) > 0.5
