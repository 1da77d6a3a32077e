"""Invented cases: decidable, honest, the same again, and their answer out of a trainee's reach."""

import base64
import json
import subprocess
import sys
from collections import deque
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from helpers import NEEDS_BANK
from private_diagnosis import (
    EXACT,
    LEVELS,
    CaseFile,
    Kind,
    SealedAnswer,
    case_drawing,
    cheapest,
    draw_case,
    from_file_text,
    sealed_sheet,
    search,
    sheets,
    solved,
    write_case,
)

from warmside.diagnosis.bank import Bank
from warmside.diagnosis.evidence import evidence
from warmside.diagnosis.faults import FAULTS, condemns, title_of
from warmside.diagnosis.inference import explain
from warmside.diagnosis.leading import LEAD, chance, minutes
from warmside.diagnosis.performance import performance
from warmside.diagnosis.proofs import Standing, proofs
from warmside.diagnosis.readings import ABSENT_BAFFLE, READINGS, as_text, from_text, readable
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.hazards import STOP_SIGNS, signs_on
from warmside.show.sealing import RETEST_NAME, opened, sealed

pytestmark = NEEDS_BANK
_kind = case_drawing._kind

SEEDS = 3
"""Cases of each level, besides one of each kind."""
Drawn = tuple[CaseFile, SealedAnswer]


@pytest.fixture(scope="module")
def bank() -> Bank:
    return usual_bank()


def seed_of(kind: Kind, level: int) -> int:
    """The first seed after the common ones with which this kind is looked for."""
    return next(
        seed
        for seed in range(SEEDS, 1000)
        if _kind(level, np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, level])))) is kind
    )


@pytest.fixture(scope="module")
def drawn() -> dict[tuple[int, int], Drawn]:
    keys = [(seed, level) for level in LEVELS for seed in range(SEEDS)]
    keys += [
        (seed_of(kind, level), level) for kind, level in ((Kind.SOUND, 1), (Kind.UNIT, 1), (Kind.TIE, 3))
    ]
    return {(seed, level): draw_case(seed, level) for seed, level in keys}


def leads(explanation, wanted) -> bool:
    """The rule anew, from what `explain` says: nine times the next, and more than all others together."""
    together = sum(one.probability for one in explanation.ranked if one.label in wanted)
    others = [one.probability for one in explanation.ranked if one.label not in wanted]
    return together >= LEAD * max(others) and together >= sum(others)


# --- what a case proves -----------------------------------------------------------------------------------


def test_every_case_is_decided_by_its_readings_or_is_a_tie_that_none_separates(drawn, bank):
    for case, answer in drawn.values():
        explanation = explain(case.readings, bank)
        assert answer.label in answer.labels
        assert leads(explanation, answer.labels)
        assert not explanation.contradictory
        if len(answer.labels) == 1:
            assert explanation.best.label == answer.label
        else:
            assert answer.labels == explanation.ties[0].labels
            assert explanation.ties[0].separated_by == ()
            assert not leads(explanation, answer.labels[:1])


def test_no_tie_leaves_open_whether_the_unit_is_sound(drawn):
    for _, answer in drawn.values():
        assert len({condemns(label) for label in answer.labels}) == 1


def test_levels_are_what_they_say(drawn):
    for (_, level), (case, answer) in drawn.items():
        assert case.level == level
        if level < 3:
            assert len(answer.label) == 1
        if level == 1:
            assert answer.labels == (answer.label,)
    third = [answer for (_, level), (_, answer) in drawn.items() if level == 3]
    assert all(len(answer.label) == 2 or len(answer.labels) > 1 for answer in third)
    assert any(len(answer.labels) == 1 for answer in third)


def test_a_sound_refrigerator_is_among_the_cases(drawn):
    assert [answer for _, answer in drawn.values() if answer.label == ("none",)]


def test_no_case_has_impossible_numbers(drawn):
    for case, _ in drawn.values():
        read = case.readings.values
        assert read["freezer"] <= read["cup"]
        warmest = max(read[name] for name in ("vent_air", "condenser_air", "top_air", "side_air"))
        assert read["cup"] <= warmest + 2.8  # 5 °F: the afternoon is warmer than the mean


def test_the_day_is_within_the_rating_and_once_put_right_it_holds(drawn):
    for case, answer in drawn.values():
        rated = 305.37 if case.size == "6 cu ft" else 316.48  # 90 and 110 °F; common practice, no source
        assert case.readings.ambient <= rated + 0.9  # as a thermometer shows it
        again = case.retest_readings.values
        assert tuple(again) == ("cup", "freezer", "duty")
        assert again["cup"] <= 279.26 - 1.0
        assert again["freezer"] <= 264.26 - 1.2
        performs = performance(case.readings).rating_proven
        assert performs == (answer.label == ("none",))


def test_the_cheapest_way_lies_in_its_level_and_begins_with_the_cup(drawn):
    for (_, level), (_, answer) in drawn.items():
        names, least = answer.cheapest.names, {1: 12, 2: 20, 3: 35}[level]
        assert names[0] == "cup"
        if answer.label == ("none",):
            assert names == ("cup", "freezer")
        elif condemns(answer.label):
            assert set(names) > {"freezer", "side_level", "front_level", "seal", "load", "frost", "fins"}
        else:
            assert least <= answer.cheapest.minutes <= {1: 20, 2: 35, 3: 60}[level]


def test_a_unit_is_condemned_with_every_proof_in(drawn):
    gone = [(case, answer) for case, answer in drawn.values() if condemns(answer.label)]
    assert gone
    for case, answer in gone:
        seen = case.readings.only(answer.cheapest.names)
        assert {proof.standing for proof in proofs(seen)} == {Standing.GIVEN}
        for name in answer.solved.needed:
            fewer = [other for other in answer.cheapest.names if other != name]
            assert answer.solved.lacking(fewer) == (name,)
            assert not answer.solved.decided_by(fewer)


# --- the cheapest readings --------------------------------------------------------------------------------


def test_the_cheapest_readings_decide_and_none_of_them_can_be_left_out(drawn, bank):
    for case, answer in drawn.values():
        names = answer.cheapest.names
        assert answer.solved.decided_by(names)
        assert answer.cheapest.minutes == minutes(names)
        if answer.solved.performs:
            continue
        assert leads(explain(case.readings.only(names), bank), answer.labels)
        if answer.cheapest.exact:
            for name in set(names) - set(answer.solved.needed):
                fewer = [other for other in names if other != name]
                assert not leads(explain(case.readings.only(fewer), bank), answer.labels)


def test_a_limit_of_minutes_changes_no_cheapest_readings(drawn):
    for _, answer in drawn.values():
        proof, least = answer.solved, answer.cheapest.minutes
        if not proof.performs:
            how = proof.evidence, proof.labels, proof.needed
            assert cheapest(*how, most=least) == answer.cheapest
            assert cheapest(*how, most=least - 0.1) is None


def test_what_decided_another_case_too_soon_is_tried_first(drawn):
    for _, answer in drawn.values():
        names, least = answer.cheapest.names, answer.cheapest.minutes
        elsewhere = tuple(name for name in READINGS if name not in answer.case.names)[:1]
        assert answer.solved.takes(least, least, deque([names, elsewhere]))
        assert not answer.solved.takes(least + 0.1, np.inf, short := deque())
        assert list(short) == [names] * answer.cheapest.exact
        assert not answer.solved.takes(least + 0.1, np.inf, deque([names]))


def test_many_sets_at_once_are_weighed_as_each_by_itself(drawn):
    for _, answer in drawn.values():
        proof = answer.solved
        names = tuple(proof.evidence.by_reading)
        weights = search._Weights(proof.evidence, proof.labels)
        for chosen, further in ((), names), (names[:3], names[3:]):
            each = [chance(proof.evidence, proof.labels, [*chosen, name]) for name in further]
            assert weights.chances_with(chosen, further) == pytest.approx(each, rel=1e-9)
        sets = search._sets(names)[0][:300]
        one_by_one = _weights_of(weights, sets)
        weights._weighed.update(dict.fromkeys(weights._weighed, search._MANY))
        assert _weights_of(weights, sets) == pytest.approx(one_by_one, rel=1e-9)


def _weights_of(weights, sets) -> list[float]:
    return [float(one) for label in weights._wanted for one in weights._weight(label, sets)]


def test_no_set_of_two_is_cheaper_by_trying_all(drawn, bank):
    for case, answer in list(drawn.values())[::3]:
        deciding = [
            minutes(names)
            for names in combinations(case.names, 2)
            if "cup" in names and answer.solved.decided_by(names)
        ]
        assert answer.cheapest.minutes <= min(deciding, default=np.inf)
        if len(answer.cheapest.names) <= 2:
            assert answer.cheapest.minutes == min(deciding)


def test_no_set_of_four_is_cheaper_by_trying_all(drawn, bank):
    case, answer = next(
        (case, answer)
        for case, answer in drawn.values()
        if answer.cheapest.exact and answer.solved.needed == ("cup",)
    )
    least = answer.cheapest.minutes
    cheaper = [
        ("cup", *names)
        for size in range(1, EXACT + 1)
        for names in combinations(case.names[1:], size)
        if minutes(("cup", *names)) < least
    ]
    assert cheaper
    assert not any(answer.solved.decided_by(names) for names in cheaper[:1500])


def test_what_all_readings_do_not_prove_has_no_cheapest_readings(drawn, bank):
    case, answer = next((c, a) for c, a in drawn.values() if len(a.labels) == 1)
    wrong = next(label for label in evidence(case.readings, bank).labels if label not in answer.labels)
    few = evidence(case.readings.only(case.names[:4]), bank)
    assert cheapest(few, (wrong,)) is None


def test_the_chances_along_the_cheapest_are_those_of_the_inference(drawn, bank):
    for case, answer in list(drawn.values())[::4]:
        for count, believed in enumerate(answer.cheapest.chances, start=1):
            explanation = explain(case.readings.only(answer.cheapest.names[:count]), bank)
            said = sum(one.probability for one in explanation.ranked if one.label in answer.labels)
            assert believed == pytest.approx(said, abs=1e-9)


# --- the same again, and what stands in the files ---------------------------------------------------------


def test_the_same_seed_gives_the_same_case_in_another_process(drawn):
    code = (
        "import sys; from warmside.marking.exercise import private_part;"
        "draw_case = private_part('diagnosis', 'case_drawing').draw_case;"
        "sys.stdout.buffer.write(draw_case(2, 1)[0].to_text().encode())"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, timeout=120, check=True)
    assert run.stdout.decode() == drawn[2, 1][0].to_text()


def test_other_seeds_and_levels_give_other_cases(drawn):
    assert len({case.number for case, _ in drawn.values()}) == len(drawn)
    assert len({case.values for case, _ in drawn.values()}) == len(drawn)


def test_a_case_survives_its_file(drawn, bank, tmp_path):
    for case, answer in drawn.values():
        folder, *_ = write_case(answer, tmp_path, {"case.json": case.to_text()})
        path = folder / "case.json"
        assert from_file_text(path.read_text("utf-8")) == case
        again = solved(from_file_text(path.read_text("utf-8")), bank)
        assert again.labels == answer.labels


def test_the_trainees_file_holds_no_answer_even_when_unpacked(drawn):
    for case, answer in drawn.values():
        text = case.to_text()
        whole = json.loads(text)
        values = {one["name"]: opened(one["sealed"], case.number, one["name"]) for one in whole["readings"]}
        again = opened(whole["retest"], case.number, RETEST_NAME)
        assert values == dict(case.values)
        assert set(again) == {"cup", "freezer", "duty"}
        everything = text + json.dumps([values, again], ensure_ascii=False)
        assert str(answer.seed) not in (case.number, whole["case"])
        assert "seed" not in whole
        for name, fault in FAULTS.items():
            assert fault.title not in everything
            assert fault.remedy not in everything
            # what a look may find, such as "none", is no answer
            assert name in READINGS or name == "none" or f'"{name}"' not in everything
        offered = {tuple(sorted(one)) for one in whole["readings"]}
        assert offered == {("caution", "minutes", "name", "sealed", "what")}


def test_readings_do_not_lie_open_and_each_is_opened_by_itself(drawn):
    for case, _ in drawn.values():
        whole = json.loads(case.to_text())
        assert "sealed" in whole["why_sealed"]
        packs = [whole["retest"], whole["signs"], *(one["sealed"] for one in whole["readings"])]
        lying = case.to_text() + "".join(repr(base64.b64decode(pack)) for pack in packs)
        for name, value in case.values:
            if READINGS[name].kind in ("voltage", "current", "pressure_gauge"):
                assert value not in lying
        first, second = whole["readings"][:2]
        with pytest.raises(ValueError):
            opened(first["sealed"], case.number, second["name"])
        assert len({len(one["sealed"]) for one in whole["readings"]}) == 1  # lengths tell nothing


def test_values_are_what_meters_show(drawn):
    for case, _ in drawn.values():
        assert case.names == readable(case.heat_source)
        for name, text in case.values:
            value, reading = from_text(name, text), READINGS[name]
            assert as_text(name, value) == text
            if reading.choices or text in ("none", "open"):
                continue
            zero = 255.3722222 if reading.kind == "temperature" else 0.0
            steps = (value - zero) / reading.resolution
            assert steps == pytest.approx(round(steps), abs=0.01), (name, text)


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("cup", 279.26, "43.0 °F"),
        ("rear_gap", 0.0254 * 21 / 16, "1 5/16 in"),
        ("rear_gap", 0.0254 * 3 / 8, "3/8 in"),
        ("rear_gap", 0.0254 * 2, "2 in"),
        ("side_gap", 0.0, "0 in"),
        ("baffle_gap", ABSENT_BAFFLE, "none"),
        ("resistance", 1e4, "open"),
        ("resistance", 44.25, "44.25 ohm"),
        ("gas_pressure", 249.0889 * 11, "11.0 in w.c."),
        ("duty", 0.85, "85 %"),
        ("flame", "steady blue", "steady blue"),
    ],
)
def test_values_as_people_write_them(name, value, text):
    assert as_text(name, value) == text
    read = from_text(name, text)
    assert read == (value if isinstance(value, str) else pytest.approx(value, abs=0.01))


def test_a_reading_that_a_case_has_not_is_told(drawn):
    case = next(case for case, _ in drawn.values() if case.heat_source == "gas")
    with pytest.raises(InputError, match="no reading “voltage” in this case; there are cup, "):
        case.value("voltage")


@pytest.mark.parametrize(
    "spoil",
    [
        lambda whole: whole.pop("readings"),
        lambda whole: whole.pop("retest"),
        lambda whole: whole.update(retest=sealed({"cup": "hot"}, whole["case"], RETEST_NAME)),
        lambda whole: whole.update(signs="!!!"),
        lambda whole: whole["readings"].pop(),
        lambda whole: whole["readings"][0].update(sealed="!!!"),
        lambda whole: whole["readings"][0].update(sealed=whole["readings"][1]["sealed"]),
        lambda whole: whole["readings"][0].update(sealed=sealed(1, whole["case"], "cup")),
        lambda whole: whole["readings"][0].update(sealed=sealed("hot", whole["case"], "cup")),
        lambda whole: whole.update(level=9),
        lambda whole: whole.update(level=[]),
        lambda whole: whole.update(size="ten"),
        lambda whole: whole.update(heat_source=None),
        lambda whole: whole.update(ambient="mild"),
        lambda whole: whole.update(ambient="900 °F"),
        lambda whole: whole.update(complaint=3),
    ],
)
def test_a_damaged_case_is_one_sentence(drawn, spoil):
    whole = json.loads(drawn[0, 1][0].to_text())
    spoil(whole)
    with pytest.raises(InputError, match=r"case\.json is not a case file any more; take the one"):
        from_file_text(json.dumps(whole), "case.json")


@pytest.mark.parametrize("text", ["", "[]", "7", "nonsense", "{}"])
def test_what_is_no_case_is_one_sentence(text):
    with pytest.raises(InputError, match="the case file is not a case file any more"):
        from_file_text(text)


@pytest.mark.parametrize("seed", [-1, 2**64, 1.0, True, "5"])
def test_a_bad_seed_is_one_sentence(seed):
    with pytest.raises(InputError, match="whole number from 0"):
        draw_case(seed, 1)


@pytest.mark.parametrize("level", [0, 4, "1", True, None])
def test_a_bad_level_is_one_sentence(level):
    with pytest.raises(InputError, match="it must be one of 1"):
        draw_case(1, level)


# --- the owner's words, the sealed sheet ------------------------------------------------------------------


def test_the_owners_words_name_no_fault(drawn):
    for case, _ in drawn.values():
        assert case.complaint.count(".") >= 2
        for fault in FAULTS.values():
            if fault.name != "none":
                assert fault.title.lower() not in case.complaint.lower()


def test_the_words_fit_the_day(drawn):
    for case, _ in drawn.values():
        cup, limit = case.readings.values["cup"], 279.26
        assert "Fine at dawn" not in case.complaint or limit < cup <= 288.71
        in_limits = ("holds so far", "cold", "whether all is well")
        assert any(words in case.complaint for words in in_limits) or cup > limit
        if "July" in case.season or "August" in case.season:
            assert case.readings.ambient >= 310.9


def test_the_sealed_sheet_tells_all_and_machines_can_read_it(drawn):
    for case, answer in drawn.values():
        text = sealed_sheet(answer)
        assert title_of(answer.label) in text
        for name in answer.label:
            assert FAULTS[name].remedy in text
        assert case.complaint in text
        assert answer.bank in text
        whole = json.loads(text.split("```json\n")[1].split("```")[0])
        assert whole == answer.as_dict()
        assert [tuple(label) for label in whole["answers"]] == list(answer.labels)
        assert answer.first_step
        if not condemns(answer.label):
            assert "a cooling unit, for nothing" in text
        for wrong, _ in answer.solved.wrong_calls:
            assert wrong != title_of(answer.label)


def test_the_sealed_sheet_shows_the_order_of_work_each_reading_alone_and_the_re_test(drawn):
    for case, answer in drawn.values():
        way, again, alone, _ = (part.split("## ")[0] for part in sealed_sheet(answer).split("\n## ")[1:5])
        titles = [READINGS[name].title for name in answer.cheapest.names]
        rows = [line.split(" | ") for line in way.splitlines() if line.startswith("| ")][2:]
        assert [row[0].removeprefix("| ") for row in rows] == ["Before any reading", *titles]
        assert float(rows[-1][2]) == answer.cheapest.minutes
        said = [float(row[-1].rstrip(" |%")) / 100.0 for row in rows[1:]]
        assert said == pytest.approx(list(answer.cheapest.chances), abs=0.0051)
        assert f"- Freezer: {dict(case.retest)['freezer']}" in again
        for name in case.names:
            best = explain(case.readings.only((name,)), remaining=()).best
            line = f"| {READINGS[name].title} | {case.value(name)} | {best.title}: {best.probability:.0%} |"
            assert line in alone


def test_a_stop_sign_is_met_in_some_cases_and_nothing_else_is_wanted_there(drawn):
    case, answer = drawn[0, 1]
    for name, sign in STOP_SIGNS.items():
        stopped = replace(answer, case=replace(case, stop_signs=(name,)))
        text = sealed_sheet(stopped)
        assert stopped.stops == (sign,)
        places = [text.index(words) for words in (sign.reported, *sign.steps, sign.never, sign.goes_on)]
        assert places == sorted(places)
        assert text.index(sign.goes_on) < text.index("**Wrong:**")
        assert "No reading, no cause and no remedy is wanted" in text
        assert stopped.as_dict()["stop_signs"] == [name]
        assert from_file_text(stopped.case.to_text()) == stopped.case
    assert "**Stop:" not in sealed_sheet(replace(answer, case=replace(case, stop_signs=())))


def test_how_often_a_stop_sign_is_met_and_that_it_fits():
    """It is one that goes with what is wrong, where there is any on this heat source; else any there."""
    for label, source, fit in (
        (("charge_lost",), "mains", {"residue", "ammonia"}),
        (("side_gaps", "burner_weak"), "gas", {"flame", "carbon_monoxide"}),
        (("door_seal",), "gas", {sign.name for sign in signs_on("gas")}),
        (("fuse",), "battery", {"wrong_fuse", "tripped"}),
    ):
        met = [case_drawing._met(seed, 2, label, source) for seed in range(1500)]
        found = [signs[0] for signs in met if signs]
        assert set(found) == fit
        assert len(found) / len(met) == pytest.approx(0.15, abs=0.03)  # three standard deviations
        assert met == [case_drawing._met(seed, 2, label, source) for seed in range(1500)]


def test_an_exercise_s_case_holds_no_stop_sign():
    seed = next(seed for seed in range(100) if case_drawing._met(seed, 1, ("frost",), "mains"))
    met, _ = draw_case(seed, 1)
    assert met.stop_signs
    case, _ = draw_case(seed, 1, may_stop=False)
    assert case == replace(met, stop_signs=())


def test_nothing_is_half_written(drawn, tmp_path, monkeypatch):
    case, answer = drawn[0, 1]

    def full_disk(answer):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sheets, "sealed_sheet", full_disk)
    with pytest.raises(OSError, match="No space"):
        write_case(answer, tmp_path, {"case.json": case.to_text()})
    assert list(tmp_path.iterdir()) == []
