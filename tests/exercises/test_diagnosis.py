"""The exercise on diagnosis: what earns marks, what is fair, and what a wrong call costs."""

import csv
import io
import json
import math
import zipfile
from collections import Counter
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import NEEDS_BANK, answer_cell, part_of, released_notebook, write_notebook
from helpers import mark as mark_session
from private_diagnosis import solved
from scipy.special import logsumexp
from scipy.stats import norm

from warmside.diagnosis.drawing import label_of
from warmside.diagnosis.evidence import evidence
from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, REMEDIES
from warmside.diagnosis.faults import FAULTS, condemns, prior
from warmside.diagnosis.inference import explain, next_reading
from warmside.diagnosis.leading import minutes
from warmside.diagnosis.performance import performance
from warmside.diagnosis.proofs import proofs
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS
from warmside.diagnosis.storing import usual_bank
from warmside.hazards import STOP_SIGNS
from warmside.marking.cells import grade_id
from warmside.marking.exercise import Job, load_exercise
from warmside.marking.feedback import right_cell
from warmside.marking.job_card import PRACTICE, Draw, Entry, JobCard
from warmside.marking.marks import ItemMark, Outcome, mark
from warmside.marking.ways import ways_of
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES

pytestmark = NEEDS_BANK  # nearly all look at a card, which is drawn from it
NAME = "diagnosis"
WANTED = {"tie": 4, "pair": 2, "unit": 1, "none": 1, "one": 4}
"""How many jobs of each kind are looked at."""
MOST_DRAWN = 80
FULL = 27
"""Marks without those that are given by hand."""


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(NAME)


@pytest.fixture(scope="module")
def items():
    """The private module that judges questions 2 to 9."""
    return part_of(NAME, "judging")


@pytest.fixture(scope="module")
def jobs(exercise, items, some_jobs):
    """A few jobs of each kind."""
    chosen, met = [], Counter()
    for number in range(MOST_DRAWN):
        job = some_jobs(exercise, number + 1)[number]
        kind = kind_of(items.proof_of(job).labels)
        met[kind] += 1
        if met[kind] <= WANTED[kind]:
            chosen.append(job)
        if len(chosen) == sum(WANTED.values()):
            return chosen
    raise AssertionError(f"of {MOST_DRAWN} cards there were {met}")


def kind_of(labels) -> str:
    if len(labels) > 1:
        return "tie"
    [label] = labels
    return (
        "pair" if len(label) > 1 else "unit" if condemns(label) else "none" if label == ("none",) else "one"
    )


def ideal(items, job, label=None) -> dict[str, str]:
    """Answers of somebody who takes the cheapest way, and names this label of a tie."""
    proof = items.proof_of(job)
    return (
        of_the_first_call(job)
        | answers_of(items, label or proof.labels[0], proof.cheapest.names)
        | of_the_retest(job)
    )


def as_taught(items, job) -> dict[str, str]:
    """Answers of somebody who reads performance, then what tells most a minute, and names it when nine in
    ten sure; a cooling unit after every proof.
    """
    case, read = items.case_of(job), ["cup", "freezer"]
    if performance(case.readings.only(read)).rating_proven:
        return of_the_first_call(job) | answers_of(items, ("none",), read) | of_the_retest(job)
    while True:
        seen = case.readings.only(read)
        best = explain(seen, remaining=()).best
        left = next_reading(seen, remaining=[name for name in case.names if name not in read])
        if best.probability >= 0.9 or not left or left[0].gain < 0.005:  # bit
            if condemns(best.label):
                read += [name for proof in proofs(seen) for name in proof.missing]
            answers = answers_of(items, best.label, read) | {
                "evidence": ", ".join(telling(case.readings.only(read), best.label))
            }
            return of_the_first_call(job) | answers | of_the_retest(job)
        read.append(left[0].name)


def telling(seen, label) -> list[str]:
    """The few of these readings that speak most for an explanation, until they do nearly as much as all."""
    weighed = evidence(seen, usual_bank())

    def odds(some) -> float:
        chance = min(max(weighed.probabilities(some)[weighed.labels.index(label)], 1e-9), 0.999)
        return math.log(chance / (1.0 - chance))

    told, left, enough = [], list(seen.values), 0.2 * odds([]) + 0.8 * odds(list(seen.values))
    while left and odds(told) < enough:
        told.append(max(left, key=lambda name: odds([*told, name])))
        left.remove(told[-1])
    return told or left[:1]


def of_the_first_call(job) -> dict[str, str]:
    """The answer on the other call, by what stands on the card."""
    return {"stop_sign": part_of(NAME, "stops").sign_of(job)}


def answers_of(items, label, names) -> dict[str, str]:
    read = ", ".join(names)
    return {
        "readings_taken": read,
        "where": GROUPS[FAULTS[label[0]].group].code,
        "fault": FAULTS[label[0]].code,
        "second_fault": FAULTS[label[1]].code if len(label) > 1 else "ok",
        "evidence": read,
        "unit": "a" if condemns(label) else "b",
        "remedy": ", ".join(sorted({remedy_of(name) for name in label})),
        "first_step": FIRST_STEPS[FAULTS[label[0]].first_steps[0]].code,
    }


def remedy_of(name: str) -> str:
    return REMEDIES[FAULTS[name].remedy_kind].code


def of_the_retest(job) -> dict[str, str]:
    """Answers about the re-test's log, by Python's csv on the file as it is handed out.

    The limit (43 °F) and the rated ambients (90 °F for six cubic feet, 110 °F above) are common practice, no
    source.
    """
    rows = list(csv.DictReader(io.StringIO(job.card.files["temperature_log.csv"])))
    hottest, cup = max(float(row["ambient_F"]) for row in rows), float(rows[24]["cup_F"])
    rated = {"6 cu ft": 90, "8 cu ft": 110, "18 cu ft": 110}[job.card["size"]]
    return {
        "hottest_hour": f"{hottest} °F",
        "cup_margin": f"{43 - cup:.1f} °F",
        "retest_proves": "c" if cup > 43 else "a" if hottest >= rated else "b",
    }


def of_readings(answers, job) -> ItemMark:
    """The mark of the readings that were taken."""
    return next(m for m in mark(answers, job.card, job.exercise) if m.item == "readings_taken")


def scores(answers, job) -> dict[str, float]:
    return {m.item: m.score for m in mark(answers, job.card, job.exercise)}


def sound(items, jobs):
    """Jobs whose cooling unit is sound beyond doubt."""
    return [job for job in jobs if not any(condemns(label) for label in items.proof_of(job).labels)]


def test_the_ideal_way_earns_full_marks_and_nothing_earns_nothing(items, jobs):
    for job in jobs:
        marks = mark(ideal(items, job), job.card, job.exercise)
        assert [(m.item, m.feedback) for m in marks if m.outcome is not Outcome.RIGHT] == []
        assert sum(m.score for m in marks) == sum(item.points for item in job.exercise.items) == FULL
        nothing = mark({}, job.card, job.exercise)
        assert {m.outcome for m in nothing} == {Outcome.UNANSWERED}
        assert sum(m.score for m in nothing) == 0


def test_every_explanation_of_a_tie_earns_full_marks_and_so_does_naming_it(items, jobs):
    tied = [job for job in jobs if len(items.proof_of(job).labels) > 1]
    assert tied
    for job in tied:
        labels = items.proof_of(job).labels
        for label in labels:
            assert sum(scores(ideal(items, job, label), job).values()) == FULL, labels
        together = sorted(items.faults_in(labels) - {"none"})
        if len(together) == 2:
            first, second = together
            both = ideal(items, job) | {
                "fault": FAULTS[first].code,
                "second_fault": FAULTS[second].code,
                "remedy": ", ".join(sorted({remedy_of(name) for label in labels for name in label})),
            }
            assert sum(scores(both, job).values()) == FULL, labels


@pytest.mark.parametrize(
    "call",
    [
        {"fault": "circulation_blocked"},
        {"fault": "charge_lost"},
        {"second_fault": "charge_lost"},
        {"unit": "a"},
        {"remedy": "j"},
    ],
    ids=str,
)
def test_condemning_a_sound_unit_costs_most(items, jobs, call):
    wrong = {name: FAULTS[what].code if what in FAULTS else what for name, what in call.items()}
    for job in sound(items, jobs)[:4]:
        right = ideal(items, job)
        marks = {m.item: m for m in mark(right | wrong, job.card, job.exercise)}
        for name in ("fault", "second_fault", "evidence", "unit", "remedy", "first_step"):
            assert (marks[name].score, marks[name].mistake) == (0, items.SOUND_CONDEMNED)
        assert "dearest" in " ".join(marks["fault"].feedback)
        assert sum(m.score for m in marks.values()) <= FULL - 15


def test_no_other_wrong_fault_costs_as_much(items, jobs):
    for job in sound(items, jobs)[:3]:
        right = ideal(items, job)
        condemned = sum(scores(right | {"fault": FAULTS["charge_lost"].code}, job).values())
        for name, fault in FAULTS.items():
            if not condemns((name,)):
                assert sum(scores(right | {"fault": fault.code}, job).values()) > condemned


def test_a_sound_refrigerator_is_met_and_condemning_it_earns_least(exercise, items, jobs):
    met = Counter(name for job in jobs for name in items.faults_in(items.proof_of(job).labels))
    assert met["none"]
    job = next(job for job in jobs if items.proof_of(job).labels[0] == ("none",))
    invented = scores(ideal(items, job) | {"fault": FAULTS["fins_fouled"].code}, job)
    assert invented["fault"] == 0
    condemned = scores(ideal(items, job) | {"fault": FAULTS["charge_lost"].code}, job)
    assert sum(condemned.values()) < sum(invented.values())


def test_a_second_fault_is_asked_for(items, jobs):
    pairs = [job for job in jobs if all(len(label) == 2 for label in items.proof_of(job).labels)]
    assert pairs
    for job in pairs:
        passed_over = {
            m.item: m for m in mark(ideal(items, job) | {"second_fault": "ok"}, job.card, job.exercise)
        }
        assert passed_over["second_fault"].mistake == "a second fault passed over"
        assert passed_over["fault"].score == 5
        one, other = items.proof_of(job).labels[0]
        swapped = {"fault": FAULTS[other].code, "second_fault": FAULTS[one].code}
        assert scores(ideal(items, job) | swapped, job)["second_fault"] == 2
        if remedy_of(one) != remedy_of(other):
            assert scores(ideal(items, job) | {"remedy": remedy_of(one)}, job)["remedy"] == 1


def test_time_is_held_against_the_cheapest_way_generously(items, jobs):
    for job in jobs:
        right, names = ideal(items, job), items.case_of(job).names
        everything = of_readings(right | {"readings_taken": ", ".join(names)}, job)
        spent, least = minutes(names), items.proof_of(job).cheapest.minutes
        generous = spent <= 2 * least + 20
        assert everything.score == (4 if generous else 2 if spent <= 4 * least + 40 else 1)
        assert f"took {spent:g} minutes" in " ".join(everything.feedback)
        assert f"decide this case take {least:g}" in " ".join(everything.feedback)


def test_readings_that_decide_nothing_earn_nothing_or_half(items, jobs):
    seen = set()
    for job in jobs:
        few = of_readings(ideal(items, job) | {"readings_taken": "vent_air"}, job)
        if items.proof_of(job).cheapest.names != ("vent_air",):
            assert few.score in (0, 2)
            seen.add(few.score)
            assert "don't decide it yet" in " ".join(few.feedback)
    assert 0 in seen


def test_evidence_must_be_read_and_must_move_the_odds(items, jobs):
    idle = 0
    for job in jobs:
        proof, right = items.proof_of(job), ideal(items, job)
        before = items.log_odds(proof, ())
        names = [name for name in items.case_of(job).names if name not in proof.cheapest.names]
        moves = {name: abs(items.log_odds(proof, (name,)) - before) for name in names}
        unread = min(moves, key=moves.get)
        assert scores(right | {"evidence": unread}, job)["evidence"] == 0
        read = (*proof.cheapest.names, unread)
        if moves[unread] < 0.01:
            said = {"readings_taken": ", ".join(read), "evidence": unread}
            result = {m.item: m for m in mark(right | said, job.card, job.exercise)}["evidence"]
            assert (result.score, result.mistake) == (0, "evidence that moves nothing")
            idle += 1
    assert idle


def test_evidence_padded_with_what_tells_nothing_costs_a_quarter_for_each(items, jobs):
    met = set()
    for job in jobs:
        proof, right, names = items.proof_of(job), ideal(items, job), items.case_of(job).names
        before, whole = (items.log_odds(proof, some) for some in ((), proof.cheapest.names))
        tells = abs(whole - before)
        idle = []
        for name in names:
            more = (*proof.cheapest.names, *idle, name)
            moves = items.log_odds(proof, (name,)) - before, items.log_odds(proof, more) - whole
            if name not in proof.cheapest.names and max(map(abs, moves)) < 0.02 * tells and len(idle) < 2:
                idle.append(name)
        for count in range(1, len(idle) + 1):
            named = ", ".join((*proof.cheapest.names, *idle[:count]))
            marks = mark(right | {"readings_taken": named, "evidence": named}, job.card, job.exercise)
            result = next(m for m in marks if m.item == "evidence")
            assert result.score == 5 * (1 - count / 4), idle[:count]
            assert READINGS[idle[0]].title in " ".join(result.feedback)
            met.add(count)
        everything = {"readings_taken": ", ".join(names), "evidence": ", ".join(names)}
        assert scores(right | everything, job)["evidence"] == 0
    assert met == {1, 2}


def test_what_goes_with_another_fault_is_worth_little(items, jobs):
    for job in sound(items, jobs)[:4]:
        proof, right = items.proof_of(job), ideal(items, job)
        wrong = next(
            name for name in FAULTS if name not in items.faults_in(proof.labels) and not condemns((name,))
        )
        marks = scores(right | {"fault": FAULTS[wrong].code}, job)
        assert marks["fault"] == marks["evidence"] == marks["unit"] == 0
        assert (marks["readings_taken"], marks["where"], marks["remedy"]) == (2, 0.5, 1)
        assert marks["first_step"] == 0
        assert marks["second_fault"] == (2 if len(proof.labels[0]) > 1 else 0)


def test_released_results_show_how_the_odds_moved_in_the_order_taken(items, jobs):
    way = ways_of(load_exercise(NAME))["readings_taken"]
    for job in jobs[:8]:
        proof, case = items.proof_of(job), items.case_of(job)
        order = ("load", "frost", *[name for name in proof.cheapest.names if name not in ("load", "frost")])
        said = way(job, {"readings_taken": order})
        rows = said[-1].rows
        assert [row[0] for row in rows] == ["Before any reading", *(READINGS[name].title for name in order)]
        assert [row[1] for row in rows[1:]] == [case.value(name) for name in order]
        assert rows[-1][2] == f"{minutes(order):g}"
        assert int(rows[-1][4].split()[0]) > int(rows[0][4].split()[0])
        page = right_cell(job.exercise.item("readings_taken"), job, {"readings_taken": order}).source
        assert page.count('<th scope="col"') == 5
        assert page.count('<th scope="row"') == len(order) + 1
        assert "settle" in said[0]
        assert said[-2] == "You took all of these."
        missed = way(job, {"readings_taken": ("load",)})
        assert all(case.value(name) in " ".join(missed[:-1]) for name in proof.cheapest.names)
        assert "Of these you left out: Cup" in missed[-2]


def test_before_results_are_released_a_wrong_answer_is_not_told_what_is_wrong(items, jobs):
    for job in jobs[:8]:
        proof = items.proof_of(job)
        titles = [FAULTS[name].title for name in items.faults_in(proof.labels)]
        answers = ideal(items, job) | {"readings_taken": "load", "fault": "rf", "second_fault": "ok"}
        marks = mark(answers, job.card, job.exercise)
        said = [" ".join(one.feedback) for one in marks if one.outcome is not Outcome.RIGHT]
        assert not [title for title in titles for sentences in said if title in sentences]


def test_a_more_careful_first_step_earns_half_and_a_careless_one_nothing(items, jobs):
    seen = set()
    for job in jobs:
        faults = items.faults_in(items.proof_of(job).labels)
        right = {FIRST_STEPS[step].code for name in faults for step in FAULTS[name].first_steps}
        if right == {"a"}:
            assert scores(ideal(items, job) | {"first_step": "d"}, job)["first_step"] == 0.5
            seen.add("careful")
        elif "a" not in right:
            marks = {m.item: m for m in mark(ideal(items, job) | {"first_step": "a"}, job.card, job.exercise)}
            assert (marks["first_step"].score, marks["first_step"].mistake) == (0, "a hazard passed over")
            seen.add("careless")
    assert seen == {"careful", "careless"}


def test_every_choice_has_at_least_two_mistakes_that_are_called_by_name(exercise, items, jobs):
    named = {item.name: set() for item in exercise.items if item.kind == "choice"}
    for job in jobs:
        right = {name: answer for name, answer in ideal(items, job).items() if name != "evidence"}
        for name, mistakes in named.items():
            others = right if name == "unit" else {"fault": right["fault"]}  # which hangs on what was read
            for letter in exercise.item(name).choices:
                marks = {m.item: m for m in mark(others | {name: letter}, job.card, exercise)}
                assert marks[name].mistake or marks[name].score > 0, (name, letter)
                mistakes.add(marks[name].mistake or "none")
    assert {name: mistakes for name, mistakes in named.items() if len(mistakes - {"none"}) < 2} == {}


def blind(items, name) -> dict[str, str]:
    """Answers that are the same on every card: this fault, and what best goes with it; readings that often
    decide a case, or all."""
    fault = FAULTS[name]
    few = "cup, freezer, load, quiet_night_cup"
    return {
        "stop_sign": "scorch",
        "readings_taken": few,
        "where": GROUPS[fault.group].code,
        "fault": fault.code,
        "second_fault": "ok",
        "evidence": few,
        "unit": "b",
        "remedy": remedy_of(name),
        "first_step": FIRST_STEPS["cool"].code,
        "hottest_hour": "112 °F",
        "cup_margin": "6 °F difference",
        "retest_proves": "a",
    }


USUAL_GUESSES = ("heavy_load", "still_air", "door_seal")


def earned_blind(items, jobs) -> dict[str, float]:
    """What the answers of `blind` earn on the mean, of FULL, with each of the faults that are met most."""
    met = Counter(name for job in jobs for name in items.faults_in(items.proof_of(job).labels))
    earned = Counter()
    for job in jobs:
        for name, _ in met.most_common(4):
            earned[name] += sum(scores(blind(items, name), job).values()) / len(jobs)
    return earned


@pytest.mark.xdist_group("as taught")
def test_cases_of_both_levels_are_as_hard_for_somebody_who_works_as_taught(exercise, items, some_jobs):
    # Of 27 marks, four of them for the re-test and two for a stop sign elsewhere.
    earned = {level: [] for level in part_of(NAME, "items").LEVELS}
    for job in some_jobs(exercise, 24):
        earned[items.case_of(job).level].append(sum(scores(as_taught(items, job), job).values()))
    means = [sum(marks) / len(marks) for marks in earned.values()]
    assert min(means) > 21.5
    assert max(means) - min(means) < 2.5


@pytest.mark.xdist_group("as taught")
def test_a_guess_that_is_wrong_earns_little(exercise, items, some_jobs):
    # Of the best blind answers on each card; those to the stop sign and the re-test aren't counted.
    apart = {"stop_sign", "hottest_hour", "cup_margin", "retest_proves"}
    earned = []
    for job in some_jobs(exercise, 24):
        name = next(one for one in USUAL_GUESSES if one not in items.faults_in(items.proof_of(job).labels))
        marks = scores(blind(items, name), job)
        earned.append(sum(score for item, score in marks.items() if item not in apart))
    assert sum(earned) / len(earned) < 0.05 * FULL


@pytest.mark.long
def test_answers_without_a_look_at_the_case_earn_little_on_two_hundred_cards(exercise, items, some_jobs):
    assert max(earned_blind(items, some_jobs(exercise, 200)).values()) < 0.15 * FULL


def a_retest(exercise, number) -> Job:
    """A job with the log of a re-test and nothing else, since a case takes long to draw."""
    retest, draw = part_of(NAME, "retest"), Draw(bytes([number, 1]))
    size = draw.pick(SIZES)
    entries = (Entry("size", "Refrigerator", size),)
    files = {retest.LOG: retest.retest_log(draw, size)}
    return Job(exercise, JobCard(NAME, f"t{number}", "AAAA-BBBB", entries, files))


def test_the_retest_is_clear_and_of_every_kind(exercise):
    # No cup ends within a degree of its limit, no hottest hour lies within one of the rated ambient, and a
    # cup that is too warm never has the weather as its excuse.
    proven = Counter()
    for number in range(60):
        job = a_retest(exercise, number)
        rated = part_of(NAME, "retest").RATED[job.card["size"]]
        hottest = job.card.column("temperature_log.csv", "ambient_F").max()
        margin = job.value("cup_margin") * 1.8
        assert abs(margin) > 1
        assert abs(hottest - rated) >= 0.9
        assert hottest < rated or margin > 0
        proven[job.value("retest_proves")] += 1
    assert set(proven) == set("abc")
    assert min(proven.values()) >= 10


def test_a_retest_read_with_its_sign_turned_round_earns_half_and_hears_what_it_proves(exercise):
    proves = part_of(NAME, "retest").PROVES
    turned = {"a": "c", "b": "c", "c": "b"}
    for number in range(20):
        job = a_retest(exercise, number)
        right, margin = job.value("retest_proves"), job.value("cup_margin") * 1.8
        answers = {"cup_margin": f"{-margin:.1f} °F difference", "retest_proves": turned[right]}
        if right == "c" and margin < -15:
            continue  # no cup is so cold
        marks = {m.item: m for m in mark(answers, job.card, exercise)}
        assert marks["cup_margin"].mistake == "sign turned round"
        assert (marks["retest_proves"].score, marks["retest_proves"].points) == (0.5, 1)
        assert proves[right] in marks["retest_proves"].feedback[-1]


def test_a_hotter_day_and_a_colder_cup_than_any_prove_nothing(exercise):
    for number in range(20):
        job = a_retest(exercise, number)
        answers = {"hottest_hour": "150 °F", "cup_margin": "20 °F difference", "retest_proves": "a"}
        marks = {m.item: m for m in mark(answers, job.card, exercise)}
        assert marks["hottest_hour"].score == marks["cup_margin"].score == 0
        assert marks["retest_proves"].score == (1 if job.value("retest_proves") == "a" else 0)


def test_a_dead_unit_alone_is_replaced_and_what_can_hurt_has_its_first_step():
    assert {fault.remedy_kind for name, fault in FAULTS.items() if condemns((name,))} == {"new unit"}
    assert not any(fault.remedy_kind == "new unit" for name, fault in FAULTS.items() if not condemns((name,)))
    of_work = {
        "levelling": "level",
        "sealed_unit": "sealed",
        "gas_work": "gas off",
        "roof": "stand",
        "vehicle_mains": "dead",
        "reach_behind": "cool",
        "defrosting": "blunt",
    }
    for fault in FAULTS.values():
        step = next((step for work, step in of_work.items() if work in fault.works), "usual")
        assert step in fault.first_steps, fault.name


@pytest.mark.parametrize("name", FAULTS)
def test_who_isolates_first_is_right_wherever_anything_can_hurt(name, monkeypatch):
    judging = part_of(NAME, "judging")
    proof = SimpleNamespace(labels=((name,),), condemns=condemns((name,)))
    monkeypatch.setattr(judging, "proof_of", lambda job: proof)
    right = {"fault": FAULTS[name].code}
    verdict = judging.judge_first_step(FIRST_STEPS["cool"].code, right, None)
    assert (verdict.share, verdict.mistake) == (1.0 if FAULTS[name].works else 0.5, "")
    for step in FIRST_STEPS.values():
        said = " ".join(judging.judge_first_step(step.code, right, None).feedback)
        assert "guards against another hazard" not in said


def test_every_stop_sign_is_met_on_some_card_and_named_by_its_words(exercise):
    stops = part_of(NAME, "stops")
    assert set(stops.MET) == {"none", *STOP_SIGNS}
    texts = [text for some in stops.MET.values() for text in some]
    assert len(set(texts)) == len(texts)
    met = Counter()
    for number in range(40):
        job = SimpleNamespace(card={"first_call": stops.first_call(Draw(bytes([number, 1])))})
        met[stops.sign_of(job) != "none"] += 1
    assert min(met.values()) >= 4


def test_a_stop_sign_passed_over_earns_nothing_and_one_seen_too_much_no_more(exercise):
    stops = part_of(NAME, "stops")
    for name, texts in stops.MET.items():
        for text in texts:
            job = SimpleNamespace(card={"first_call": text})
            assert stops.judge_stop(name, {}, job).share == 1.0
            other = stops.judge_stop("gas" if name != "gas" else "water", {}, job)
            assert (other.share, bool(other.mistake)) == ((0.0, True) if name == "none" else (0.1, True))
            if name != "none":
                passed = stops.judge_stop("none", {}, job)
                assert passed.share == 0.0
                assert passed.feedback == STOP_SIGNS[name].sentences


def test_what_the_notebook_offers_is_what_is_marked(exercise):
    # The lists come from the catalogue when a cell is run, for the trainee as for the marker.
    cells = {grade_id(cell): cell.source for cell in released_notebook(NAME).cells}
    for name, of, catalogue in (
        ("where", "groups", GROUPS),
        ("fault", "faults", FAULTS),
        ("second_fault", "faults", FAULTS),
        ("remedy", "remedies", REMEDIES),
        ("first_step", "first_steps", FIRST_STEPS),
    ):
        assert cells[name].endswith(f'codes("{of}"))')
        assert exercise.item(name).choices == tuple(one.code for one in catalogue.values())
        assert cells[of] == f'show_choices("{of}")'


@pytest.mark.parametrize("typed", ["lv", "LV", " Lv ", "(lv)"])
def test_a_code_is_read_in_small_and_capital_letters(exercise, typed):
    assert exercise.item("fault").asks.understand(typed) == ("lv", "choice lv")


def test_the_card_carries_no_answer(items, jobs):
    for job in jobs:
        text = json.dumps(job.card.as_files(), ensure_ascii=False)
        assert "seed" not in text
        for name, fault in FAULTS.items():
            assert fault.title not in text
            assert name in READINGS or name == "none" or f'"{name}"' not in text


def test_the_rubric_of_the_line_to_the_customer_tells_what_is_true(exercise, items, jobs):
    for job in jobs[:6]:
        said = " ".join(exercise.by_hand[0].rubric(job))
        assert FAULTS[items.proof_of(job).labels[0][0]].title in said


def test_the_practice_card_is_an_owners_to_work_alone(exercise, items):
    card = exercise.practice_card()
    assert card.trainee == PRACTICE
    assert solved(items.case_of(Job(exercise, card)))


def test_a_hand_in_is_marked_in_its_box_and_shows_the_odds_once_released(exercise, items, tmp_path):
    from warmside.session import folder as folders
    from warmside.session.hand_in import take_in
    from warmside.session.hand_out import hand_out
    from warmside.session.instructor import release
    from warmside.session.journal import Task
    from warmside.session.mark import to_mark
    from warmside.session.renew import renew
    from warmside.session.roster import Trainee
    from warmside.session.standing import standings

    session = folders.start(tmp_path / "class", [Trainee("t1", "Ann", "", "")], [NAME], secret=bytes(32))
    [pack] = hand_out(session)
    with zipfile.ZipFile(pack) as files:
        assert not [name for name in files.namelist() if name.endswith(".py")]
    job = Job(exercise, exercise.job_card(bytes(32), "t1"))
    answers = ideal(items, job)
    notebook = released_notebook(NAME)
    for item in exercise.items:
        cell = answer_cell(notebook, item.name)
        if item.name == "readings_taken":
            cell.source += "".join(f'\ncase.read("{name}")' for name in items.proof_of(job).cheapest.names)
        else:
            cell.source = f'{item.name} = "{answers[item.name]}"'
    path = write_notebook(tmp_path / f"t1_{NAME}.ipynb", notebook)
    received, refused = take_in(session, [path])
    assert (len(received), refused) == (1, [])
    assert mark_session(session, to_mark(session)) == {}
    [standing] = standings(session)
    assert standing.score == FULL
    marked = next(c for c in marked_notebook_of(session).cells if grade_id(c) == "readings_taken")
    assert "Likeliest then" not in json.dumps(marked.outputs)
    release(session)
    tasks = [Task("t1", NAME)]
    assert renew(session, tasks) == {}
    page = (session.folder / "feedback" / "t1" / NAME / f"{NAME}.html").read_text("utf-8")
    assert "Likeliest then" in page
    assert "You took all of these." in page  # by what was recorded when it was marked


def marked_notebook_of(session):
    import nbformat

    return nbformat.read(session.folder / "autograded" / "t1" / NAME / f"{NAME}.ipynb", as_version=4)


# --- another way to the keys: Bayes' rule by hand ----------------------------------------------------------

# Nothing of the items, of `inference` or of `sufficient` is used here. Each case of the bank is a normal
# density about its readings (scipy.stats.norm), an explanation is the mean over its cases, and Bayes' rule
# weighs it with its prior (scipy.special.logsumexp). How wide the normals are is the convention that
# `Smoothing` states: 0.7 of the spread among good installations, all of it where no fault touches what a
# reading shows, 1.5 K in ambient; and 0.95 of the logarithm of the evidence counts.
KERNEL, AMBIENT_WIDTH, COUNTS = 0.7, 1.5, 0.95


class ByHand:
    """The weight of each explanation of a case, from the bank's bare numbers."""

    def __init__(self, case) -> None:
        bank, seen = usual_bank(), case.readings
        size, source = SIZES.index(seen.size), HEAT_SOURCES.index(seen.heat_source)
        mine = np.flatnonzero((bank.size == size) & (bank.heat_source == source))
        mine = mine[np.lexsort(bank.labels[mine].T)]
        rows, self.starts, self.of, self.counts = np.unique(
            bank.labels[mine][:, ::-1], axis=0, return_index=True, return_inverse=True, return_counts=True
        )
        self.labels = [label_of(row[::-1]) for row in rows]
        believed = prior(seen.size, seen.heat_source)
        self.prior = np.array([math.log(believed[label]) for label in self.labels])
        self.ambient = bank.ambient[mine].astype(float)
        about = np.clip(seen.ambient, self.ambient.min(), self.ambient.max())
        self.before = norm.logpdf(self.ambient, about, math.hypot(AMBIENT_WIDTH, AMBIENT_ERROR))
        self.good = self.of.ravel() == self.labels.index(("none",))
        true = dict(zip(READINGS, bank.readings[mine].T.astype(float), strict=True))
        self.says = {
            name: self._says(READINGS[name], value, seen.ambient, true[name])
            for name, value in seen.values.items()
        }

    def _says(self, reading, value, outside, true):
        """Logarithm of the density of what was read, for each case."""
        if reading.choices:
            column = reading.confusion[:, reading.choices.index(value)]
            return np.log(np.maximum(column, 1e-13))[true.astype(int)]
        shown = float(reading.compared(np.float64(value), outside))
        true = reading.compared(true, self.ambient)
        usual, ambient = true[self.good], self.ambient[self.good]
        error = math.hypot(reading.error, AMBIENT_ERROR) if reading.above_ambient else reading.error
        if not reading.shows:
            off = np.abs(usual - np.polyval(np.polyfit(ambient, usual, 2), ambient))
            return norm.logpdf(shown, true, math.hypot(error, KERNEL * np.median(off) / norm.ppf(0.75)))
        shows = set(reading.shows)
        touched = np.array([any(FAULTS[one].touches & shows for one in label) for label in self.labels])
        touched = touched[self.of.ravel()]
        width = np.hypot(error, np.where(touched, KERNEL, 1.0) * usual.std())
        return norm.logpdf(shown, np.where(touched, true, usual.mean()), width)

    def chances(self, names) -> dict[tuple[str, ...], float]:
        """Chance of each explanation by these readings alone."""
        logs = sum((self.says[name] for name in names), start=self.before)
        mean = np.logaddexp.reduceat(logs, self.starts) - np.log(self.counts)
        weight = self.prior + COUNTS * mean
        return dict(zip(self.labels, np.exp(weight - logsumexp(weight)), strict=True))


def leads(chances, labels) -> bool:
    """Nine to one against each other explanation, and likelier than all others together."""
    together = sum(chances[label] for label in labels)
    others = [chance for label, chance in chances.items() if label not in labels]
    return together >= 9 * max(others) and together >= sum(others)


@pytest.fixture(scope="module")
def by_hand(items, jobs):
    return [(job, items.proof_of(job), ByHand(items.case_of(job))) for job in jobs]


def test_what_is_wrong_is_what_bayes_rule_by_hand_says(items, by_hand):
    for job, proof, hand in by_hand:
        chances = hand.chances(items.case_of(job).names)
        for one in proof.ranked:
            assert one.probability == pytest.approx(chances[one.label], abs=1e-3)
        first = max(chances, key=chances.get)
        right = {first} if leads(chances, [first]) else set(proof.labels)
        assert set(proof.labels) == right
        assert leads(chances, proof.labels)
        for name, fault in FAULTS.items():
            full = scores({"fault": fault.code}, job)["fault"] == 5
            assert full == any(name in label for label in right)


def test_no_cheaper_reading_or_pair_decides_than_the_one_that_marks_go_by(items, by_hand):
    # All single readings and all pairs are gone through, besides those that no proof does without.
    short = 0
    for job, proof, hand in by_hand:
        needed, cheapest = proof.needed, proof.cheapest.minutes
        marked = of_readings(ideal(items, job), job)
        assert f"decide this case take {cheapest:g}" in " ".join(marked.feedback)
        if proof.performs:
            assert proof.cheapest.names == needed == ("cup", "freezer")
            continue
        names = [name for name in items.case_of(job).names if name not in needed]
        few = [
            needed,
            *((*needed, name) for name in names),
            *((*needed, *two) for two in combinations(names, 2)),
        ]
        enough = [some for some in few if leads(hand.chances(some), proof.labels)]
        least = min((sum(READINGS[name].minutes for name in some) for some in enough), default=math.inf)
        if len(proof.cheapest.names) <= len(needed) + 2:
            assert cheapest == least
            short += 1
        assert cheapest <= least
    assert short >= 2
