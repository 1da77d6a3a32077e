"""Frozen cards: read as written, and marked as at hand-out or not at all."""

import json
import stat
from dataclasses import replace

import pytest
from helpers import NAME, SECRET

from warmside.errors import InputError
from warmside.marking import frozen_card as frozen_cards
from warmside.marking.exercise import Exercise, Item, Job, Judged, Mistake
from warmside.marking.frozen_card import FrozenCard, expected, frozen_card, path_of, read_frozen
from warmside.marking.job_card import Draw, Entry
from warmside.marking.verdict import Verdict


def judge(letter, given, job):
    return Verdict(1.0 if letter == ("a" if job["volts"] < 122.0 else "b") else 0.0, ("Said.",))


def judge_names(names, given, job):
    return Verdict(len(set(names) & {"one", "two"}) / 2, ("Said.",))


MANY = tuple(f"reading{number}" for number in range(40))
AMPS = Item(
    name="amps",
    title="Current",
    kind="current",
    points=2,
    key=lambda job: job["volts"] / job["ohms"],
    tolerance="2 %",
    hint="Volts over ohms.",
    mistakes=(
        Mistake("turned round", "Turn it.", lambda job: job["ohms"] / job["volts"], credit=0.5),
        Mistake("multiplied", "Divide.", lambda job: job["volts"] * job["ohms"]),
    ),
)
TWICE = replace(AMPS, name="twice", key=lambda job: 2.0 * job.value("amps"), mistakes=())
STATE = Judged("state", "State", "choice", 1, ("a", "b", "c"), judge)
SOME = Judged("some", "Some", "names", 1, ("one", "two", "three"), judge_names)
READ = Judged("read", "Readings", "names", 1, MANY, lambda names, given, job: Verdict(len(names) / 40, ()))


def draw(draw: Draw):
    volts, ohms = draw.between(110, 125, 0.5), draw.between(30, 50, 0.5)
    return (
        Entry("volts", "Volts", f"{volts} V", "voltage"),
        Entry("ohms", "Ohms", f"{ohms} ohm", "resistance"),
    ), {}


ITEMS = (AMPS, TWICE, STATE, SOME, READ)
SMALL = Exercise(NAME, "Small", ITEMS, draw)  # of a name that there is, whose version is looked up


def instead(one) -> Exercise:
    """The exercise with one item in place of that of its name."""
    return replace(SMALL, items=tuple(one if item.name == one.name else item for item in ITEMS))


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "secret").write_text(SECRET.hex())
    return tmp_path


@pytest.fixture
def older(folder) -> FrozenCard:
    """A card that another version handed out."""
    return replace(frozen_card(folder, SMALL, "ann"), versions={"package": "0.0.1"})


def test_it_is_drawn_once_and_stays(folder):
    first = frozen_card(folder, SMALL, "ann")
    assert first.card == SMALL.job_card(SECRET, "ann")
    other = replace(SMALL, draw=lambda draw: ((Entry("volts", "Volts", "1 V", "voltage"),), {}))
    assert frozen_card(folder, other, "ann") == first
    assert read_frozen(folder, NAME, "ann") == first
    assert stat.S_IMODE(path_of(folder, NAME, "ann").stat().st_mode) == 0o600
    assert [path.name for path in (folder / "cards" / "ann").iterdir()] == [f"{NAME}.json"]


def test_all_files_of_a_card_are_kept(folder, exercise):
    card = frozen_card(folder, exercise, "ann").card
    assert read_frozen(folder, NAME, "ann").card.as_files() == card.as_files()
    assert "temperature_log.csv" in card.files


@pytest.mark.parametrize(
    "change",
    [
        lambda record: record["card"]["entries"][0].update(text="1 V"),
        lambda record: record["card"].update(number="AAAA-BBBB"),
        lambda record: record["card"]["files"].update(more="x"),
        lambda record: record["expected"]["amps"].update(answer=1.0),
        lambda record: record.update(versions={}),
        lambda record: record.pop("seal"),
        lambda record: record.update(card=[1]),
        lambda record: record.update(seal=7),
    ],
)
def test_whatever_is_changed_in_it_is_one_sentence(folder, change):
    frozen_card(folder, SMALL, "ann")
    path = path_of(folder, NAME, "ann")
    record = json.loads(path.read_text("utf-8"))
    change(record)
    path.write_text(json.dumps(record), encoding="utf-8")
    with pytest.raises(InputError, match=r"ann.*isn't the job card that was handed out any more; put back"):
        frozen_card(folder, SMALL, "ann")


@pytest.mark.parametrize("content", [b"", b"[]", b"{", b"\xff", b"[" * 100_000])
def test_a_damaged_file_is_one_sentence(folder, content):
    frozen_card(folder, SMALL, "ann")
    path_of(folder, NAME, "ann").write_bytes(content)
    with pytest.raises(InputError, match="put back a copy of it"):
        frozen_card(folder, SMALL, "ann")


def test_anothers_file_is_not_ones_own(folder):
    frozen_card(folder, SMALL, "bo")
    path = path_of(folder, NAME, "ann")
    path.parent.mkdir()
    path_of(folder, NAME, "bo").rename(path)
    with pytest.raises(InputError, match="isn't the job card that was handed out"):
        frozen_card(folder, SMALL, "ann")


@pytest.mark.parametrize(
    "changed",
    [
        SMALL,
        replace(SMALL, draw=lambda draw: ((), {})),
        replace(SMALL, title="A small one"),
        instead(replace(AMPS, title="Amps", hint="Divide.", why="Rounding.")),
        instead(replace(AMPS, mistakes=(*AMPS.mistakes, Mistake("halved", "Don't.", lambda job: 1.0)))),
        instead(replace(TWICE, key=lambda job: job.value("amps") * 2)),
        instead(replace(SOME, judge=lambda *asked: replace(judge_names(*asked), feedback=("Other.",)))),
    ],
    ids=["nothing", "draw", "title", "words", "a mistake that earns nothing", "same key", "words of a judge"],
)
def test_what_changes_no_mark_stops_nothing(older, changed):
    older.demand(changed)


def lenient(letter, given, job):
    return replace(judge(letter, given, job), share=0.5)


def by_the_card(job: Job) -> float:
    return 2.0 * job["volts"] / job["ohms"]


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        (instead(replace(AMPS, key=lambda job: 1.001 * job["volts"] / job["ohms"])), "amps, twice"),
        (instead(replace(AMPS, key=lambda job: job["watts"] / job["ohms"])), "amps, twice, state and more"),
        (instead(replace(AMPS, tolerance="3 %")), "amps"),
        (instead(replace(AMPS, points=3)), "amps"),
        (instead(replace(AMPS, mistakes=AMPS.mistakes[1:])), "amps"),
        (instead(replace(AMPS, mistakes=(*AMPS.mistakes, Mistake("near", "", AMPS.key)))), "amps"),
        (instead(replace(TWICE, key=by_the_card)), "twice"),
        (instead(replace(STATE, choices=("a", "b"))), "state"),
        (instead(replace(STATE, judge=lenient)), "state"),
        (instead(replace(SOME, judge=lambda *asked: Verdict(0.0, ()))), "some"),
        (instead(replace(READ, judge=lambda names, *rest: Verdict(float("reading7" in names), ()))), "read"),
        (replace(SMALL, items=ITEMS[:-1]), "read"),
        (replace(SMALL, items=(*ITEMS, replace(AMPS, name="more"))), "more"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_changes_a_mark_is_refused_by_a_sentence(older, changed, named):
    with pytest.raises(InputError) as refused:
        older.demand(changed)
    said = str(refused.value)
    assert said.startswith(f"ann's job card for {NAME} was handed out by another version of Warmside")
    assert "(package 0.0.1)" in said
    assert f"would mark {named} otherwise. Go on with the version that it began with." in said


def test_what_is_expected_is_plain_data(folder):
    card = SMALL.job_card(SECRET, "ann")
    found = expected(SMALL, card)
    assert json.loads(json.dumps(found)) == found
    assert found["twice"]["follows"] == ["amps"]
    assert [credit for _, credit in found["amps"]["mistakes"]] == [0.5]
    assert set(found["state"]["earned"]) == {0.0, 1.0}
    assert len(set(found["read"]["earned"])) > 4


def test_versions_tell_package_exercise_and_bank(exercise, tmp_path):
    found = frozen_cards.versions(exercise)
    assert set(found) == {"package", "exercise", "numpy"}
    assert set(frozen_cards.versions(replace(exercise, needs_bank=True))) == {*found, "bank"}
    (tmp_path / "items.py").write_text("1")
    before = frozen_cards._hash_of(tmp_path)
    frozen_cards._hash_of.cache_clear()
    (tmp_path / "items.py").write_text("2")
    assert frozen_cards._hash_of(tmp_path) != before
