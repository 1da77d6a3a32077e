"""Job cards: repeatable, private, fair."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warmside.errors import InputError
from warmside.marking.job_card import Draw, Entry, JobCard, keyed, numbered, read_job_card, read_secret


def test_keyed_agrees_with_rfc_4231_test_case_2():
    # RFC 4231, section 4.3: key "Jefe", data "what do ya want for nothing?"
    digest = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    assert keyed(b"Jefe", "what do ya want for nothing?").hex() == digest


def test_keyed_parts_cannot_run_into_each_other():
    assert keyed(b"k", "ab", "c") != keyed(b"k", "a", "bc")


def test_same_secret_same_card_other_secret_other_card(exercise):
    first, again = (exercise.job_card(b"one", "t01") for _ in range(2))
    assert first.as_files() == again.as_files()
    assert first.as_files() != exercise.job_card(b"two", "t01").as_files()
    assert first.entries != exercise.job_card(b"one", "t02").entries


def test_card_survives_its_files(exercise, tmp_path):
    card = exercise.job_card(b"one", "t01")
    for name, text in card.as_files().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert read_job_card(tmp_path) == card
    assert read_job_card(tmp_path).table("temperature_log.csv")[24]["hour"] == "24"


def test_card_says_that_it_is_invented(exercise):
    card = exercise.practice_card()
    assert "invented" in card.as_files()["job_card.json"]
    assert "invented" in card._repr_html_()


@pytest.mark.parametrize("content", ["", "{}", "[]", "nonsense", '{"exercise": 1, "entries": [3]}', "\x00"])
def test_damaged_card_is_one_sentence(tmp_path, content):
    (tmp_path / "job_card.json").write_text(content)
    with pytest.raises(InputError, match=r"not a job card any more; unpack your pack again"):
        read_job_card(tmp_path)


def test_missing_card_and_missing_log_name_the_file(exercise, tmp_path):
    with pytest.raises(InputError, match=r"job_card\.json is not there"):
        read_job_card(tmp_path)
    files = exercise.practice_card().as_files()
    (tmp_path / "job_card.json").write_text(files["job_card.json"], encoding="utf-8")
    with pytest.raises(InputError, match=r"temperature_log\.csv is not there"):
        read_job_card(tmp_path)


def test_card_names_no_file_outside_its_folder(exercise, tmp_path):
    text = exercise.practice_card().as_files()["job_card.json"]
    (tmp_path / "job_card.json").write_text(text.replace("temperature_log.csv", "../../etc/passwd"))
    with pytest.raises(InputError, match="passwd is not there"):
        read_job_card(tmp_path)


def test_draws_are_the_same_everywhere():
    # Python documents the sequence of random.Random.random as stable; these were drawn once with 3.11.
    draw = Draw(b"\x01")
    assert [draw.pick("abcdefgh") for _ in range(8)] == list("bggcddfg")
    assert Draw(b"\x01").between(0.2, 0.3, 0.01) == 0.21


@given(st.binary(min_size=1, max_size=32), st.sampled_from([(0, 1, 0.1), (36, 46, 1), (-2, 2, 0.4)]))
def test_between_stays_on_its_grid(key, grid):
    low, high, step = grid
    value = Draw(key).between(low, high, step)
    assert low <= value <= high
    assert abs((value - low) / step - round((value - low) / step)) < 1e-6


def test_between_comes_to_both_ends():
    assert {Draw(bytes([key])).between(2, 4, 1) for key in range(60)} == {2, 3, 4}
    assert {Draw(bytes([key])).pick("abc") for key in range(60)} == set("abc")


def test_card_numbers_differ_and_tell_nothing_of_order():
    numbers = {numbered(JobCard("e", f"t{n:02d}", "", ()), b"s").number for n in range(200)}
    assert len(numbers) == 200
    assert all(len(number) == 9 and number[4] == "-" for number in numbers)


CARD = JobCard("e", "t01", "", (Entry("volts", "Volts", "120 V", "voltage"),), {"log.csv": "hour\n1\n"})


@pytest.mark.parametrize(
    "other",
    [
        replace(CARD, entries=(Entry("volts", "Volts", "121 V", "voltage"),)),
        replace(CARD, entries=(Entry("volts", "Volts of the heater", "120 V", "voltage"),)),
        replace(CARD, entries=(*CARD.entries, *CARD.entries)),
        replace(CARD, files={"log.csv": "hour\n2\n"}),
        replace(CARD, files={"other.csv": "hour\n1\n"}),
        replace(CARD, files={}),
        replace(CARD, trainee="t02"),
        replace(CARD, exercise="f"),
    ],
)
def test_a_number_covers_all_that_stands_on_the_card(other):
    number = numbered(CARD, b"s").number
    assert numbered(replace(CARD, number="AAAA-BBBB"), b"s").number == number
    assert numbered(other, b"s").number != number
    assert numbered(CARD, b"another secret").number != number


def test_secret_missing_or_damaged_is_one_sentence(tmp_path):
    with pytest.raises(InputError, match="is missing"):
        read_secret(tmp_path)
    (tmp_path / "secret").write_text("not hex")
    with pytest.raises(InputError, match="is damaged"):
        read_secret(tmp_path)
