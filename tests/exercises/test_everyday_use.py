"""Keys of “Everyday use” against another way to them, and what answers earn that look at no card."""

from dataclasses import replace
from itertools import product

import pytest
from helpers import part_of
from iapws import IAPWS95

from warmside.marking.exercise import Job, load_exercise
from warmside.marking.job_card import Entry, JobCard
from warmside.marking.marks import Outcome, mark
from warmside.model.refrigerator import TimedDefrost, defrost_plan

NAME = "everyday_use"
CARDS = 60
BTU, POUND = 1055.056, 0.45359237  # J, kg
DAY = 24 * 60  # min


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(NAME)


@pytest.fixture(scope="module")
def jobs(exercise, some_jobs):
    return some_jobs(exercise, CARDS)


def shown(job: Job, name: str) -> float:
    """A card's number, read off as it is printed."""
    return float(job.card.entry(name).text.split()[0])


def with_lines(card: JobCard, **texts: str) -> JobCard:
    """A card with other texts on some lines."""
    lines = [Entry(one.name, one.label, texts.get(one.name, one.text), one.kind) for one in card.entries]
    return replace(card, entries=tuple(lines))


def test_heat_of_a_load_of_water_is_that_of_the_steam_tables(exercise):
    # IAPWS-95: liquid water at one atmosphere, from 80 to 38 °F; a pound takes a Btu for each °F to 0.5 %
    card = with_lines(
        exercise.practice_card(),
        load="20 lb",
        load_temperature="80 °F",
        setting="38 °F",
        food_heat="1 Btu/(lb °F)",
    )
    warm, cold = (IAPWS95(P=0.101325, T=(at + 459.67) / 1.8).h for at in (80, 38))
    key = exercise.item("load_heat").key(Job(exercise, card))
    assert key == pytest.approx(20 * POUND * 1000 * (warm - cold), rel=5e-3)


def test_what_a_pound_of_food_takes_is_siebel_s(jobs):
    # J. E. Siebel (1892), as in the ASHRAE Handbook: 0.2 + 0.8 w Btu/(lb °F), from meat to fruit
    for job in jobs:
        assert 0.2 + 0.8 * 0.6 <= shown(job, "food_heat") <= 0.2 + 0.8 * 0.9


def test_times_by_hand_in_us_units(jobs):
    for job in jobs:
        heat = (
            shown(job, "load")
            * shown(job, "food_heat")
            * (shown(job, "load_temperature") - shown(job, "setting"))
        )
        assert job.value("load_heat") / BTU == pytest.approx(heat, rel=2e-3)
        assert job.value("load_hours") / 3600 == pytest.approx(heat / shown(job, "spare"), rel=3e-3)
        minutes = 60 * shown(job, "door_heat") / shown(job, "spare")
        assert job.value("recovery") / 60 == pytest.approx(minutes, rel=2e-3)
        ratio = minutes / shown(job, "open_time")
        assert job.value("rule") == ("b" if ratio > 1.25 else "c" if ratio < 0.75 else "a")
        assert min(abs(ratio - 0.75), abs(ratio - 1.25)) > 0.06  # nobody loses by a rounding


def test_the_latest_hour_is_that_of_the_planner(jobs):
    # It looks at each minute of the day, with a defrost each day.
    for job in jobs:
        first, takes, begins, ends = (
            3600 * shown(job, name)
            for name in ("first_defrost", "defrost_takes", "cooking_from", "cooking_to")
        )
        plan = defrost_plan(TimedDefrost(first, 86400.0, takes), begins, ends)
        (window,) = plan.windows
        assert job.value("latest_power_up") == pytest.approx((window[1] - 60) % 86400, abs=1)


def test_a_plan_lasts_where_the_clock_comes_round(jobs):
    for job in jobs:
        clocks = [60 * shown(job, "between_defrosts") * count % DAY for count in range(3)]
        step = (clocks[1] - clocks[0] + DAY / 2) % DAY - DAY / 2
        assert job.value("plan_lasts") == ("a" if step == 0 else "b" if step > 0 else "c")


def throws_away(minutes: float, degrees: float) -> bool:
    """USDA FSIS, Danger Zone: never out for over 2 hours, over 1 hour where it is above 90 °F."""
    return minutes > (60 if degrees > 90 else 120)


def test_food_goes_by_the_rule_of_the_fsis(jobs):
    seen = set()
    for job in jobs:
        milk = sum(float(row["milk_F"]) > 40 for row in job.card.table("use_log.csv"))
        goes = throws_away(30 * milk, 45), throws_away(shown(job, "car_time"), shown(job, "car_temperature"))
        key = {(False, False): "a", (True, False): "b", (False, True): "c", (True, True): "d"}[goes]
        assert job.value("which_goes") == key
        seen.add(key)
    assert seen == set("abcd")


@pytest.mark.parametrize(
    ("minutes", "degrees", "goes"),
    [(59, 95, False), (61, 95, True), (61, 90, False), (119, 90, False), (121, 70, True)],
)
def test_the_shopping_at_the_rule_s_edges(exercise, minutes, degrees, goes):
    card = with_lines(exercise.practice_card(), car_time=f"{minutes} min", car_temperature=f"{degrees} °F")
    assert part_of(NAME, "log").shopping_goes(Job(exercise, card)) is goes is throws_away(minutes, degrees)


def test_a_log_shows_what_it_is_said_to(jobs):
    seen = set()
    for job in jobs:
        rows = job.card.table("use_log.csv")
        sensor, air, milk = ([float(row[f"{name}_F"]) for row in rows] for name in ("sensor", "air", "milk"))
        assert len(rows) == 49 and max(air[2:14]) > max(air[:2]) + 2  # the door
        assert all(abs(one - 40) > 0.09 for one in milk)
        verdict, ran = job.value("log_verdict"), [int(row["run_min"]) for row in rows[-12:]]
        seen.add(verdict)
        if verdict in "ab":
            assert abs(sensor[-1] - air[-1]) > 5 and abs(sensor[0] - air[0]) < 0.2
            assert milk[-1] < 35 if verdict == "a" else milk[-1] > 42 and min(ran) < 30
        else:
            assert abs(sensor[-1] - air[-1]) < 2 and (set(ran) == {30}) is (verdict == "d")
            assert (milk[-1] > 38.5) is (verdict == "d")
    assert seen == set("abcd")


def test_stops_and_works_are_told_apart_by_what_they_say(jobs):
    for job in jobs:
        stop, work = (job.card.entry(name).text for name in ("next_stop", "work"))
        tilted = any(word in stop for word in ("slope", "bank", "drive"))
        assert job.value("next_stop") == ("b" if tilted else "c" if "level" in stop else "a")
        if job.value("yearly_work") == "a":
            assert not any(word in work for word in ("behind", "burner", "flue", "regulator", "mains"))


def test_an_early_error_costs_only_its_own_marks(exercise):
    card = exercise.job_card(b"carried", "t1")
    job = Job(exercise, card)
    own = 1.07 * job.value("load_heat")
    answers = {"load_heat": f"{own} J", "load_hours": f"{own / job['spare']} s"}
    outcomes = {each.item: each.outcome for each in mark(answers, card, exercise)}
    assert [outcomes[name] for name in answers] == [Outcome.WRONG, Outcome.CARRIED]


def test_answers_that_look_at_no_card_earn_little(exercise, jobs):
    # The letters that were right most often on some cards, and the middle of all numbers, on others.
    seen, others = jobs[: CARDS // 2], jobs[CARDS // 2 :]
    keys = {item.name: [item.key(job) for job in seen] for item in exercise.items}
    typed = {
        item.name: item.asks.typed(
            max(sorted(set(keys[item.name])), key=keys[item.name].count)
            if item.choices
            else sorted(keys[item.name])[len(seen) // 2]
        )
        for item in exercise.items
    }
    full = sum(item.points for item in exercise.items)
    earned = sum(each.score for job in others for each in mark(typed, job.card, exercise))
    assert earned < 0.2 * full * len(others)


@pytest.mark.long
def test_mistakes_are_told_apart_on_a_thousand_cards(exercise):
    for number in range(1000):
        job = Job(exercise, exercise.job_card(b"a thousand", str(number)))
        for item in exercise.items:
            paths = item.paths(job)
            for (_, one), (_, other) in product(paths[:1], paths[1:]):
                assert not item.asks.agrees(other, one), item.name
