"""Simulated cases: the same whoever draws them, kept whole, and true to the model."""

import shutil
import sys
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from warmside.diagnosis import bank as banks
from warmside.diagnosis.bank import Bank, draw_cases, load_bank, make, make_block, version
from warmside.diagnosis.faults import FAULTS, labels
from warmside.diagnosis.readings import READINGS, column, readable
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES, SIZES
from warmside.model.refrigerator import steady_state

COUNT, SEED = 4000, 7
PACKAGE = Path(banks.__file__).parents[1]


@pytest.fixture(scope="module")
def small() -> Bank:
    return make(COUNT, SEED)


@pytest.fixture
def blocks_of_200(monkeypatch):
    monkeypatch.setattr(banks, "BLOCK", 200)


def same(one: Bank, other: Bank) -> bool:
    return all(
        np.array_equal(
            getattr(one, each.name), getattr(other, each.name), equal_nan=each.name in ("readings", "ambient")
        )
        for each in fields(Bank)
    )


def of_reading(bank_or_cases, name: str) -> np.ndarray:
    return bank_or_cases.readings[:, column(name)]


# --- the cases --------------------------------------------------------------------------------------------


def test_the_bank_is_compact_and_whole(small):
    assert len(small) == COUNT
    assert small.readings.dtype == np.float32
    assert small.nbytes < 160 * COUNT
    assert small.ambient.min() >= banks.AMBIENTS[0] - 0.01
    assert small.ambient.max() <= banks.AMBIENTS[1] + 0.01
    for index, source in enumerate(HEAT_SOURCES):
        there = ~np.isnan(small.readings[small.heat_source == index])
        can = np.isin(list(READINGS), readable(source))
        assert (there == can).all()


def test_shares_are_those_stated(small):
    pairs = small.labels[:, 1] >= 0
    assert pairs.mean() == pytest.approx(banks.PAIR_SHARE, abs=0.03)
    for index, source in enumerate(HEAT_SOURCES):
        assert np.mean(small.heat_source == index) == pytest.approx(banks.SOURCE_SHARES[source], abs=0.03)
    assert set(small.labels[:, 0]) == set(range(len(FAULTS)))
    found = {banks.label_of(row) for row in small.labels}
    assert found <= {
        each for size in SIZES for on in HEAT_SOURCES for part in labels(size, on) for each in part
    }
    assert len(found) > 150


def test_readings_hold_together(small):
    electric = small.heat_source < 2
    amperes, volts, ohms = (
        of_reading(small, name)[electric] for name in ("current", "voltage", "resistance")
    )
    flows = amperes > 0.0
    assert amperes[flows] == pytest.approx((volts / ohms)[flows], rel=1e-5)
    dead = np.isin(of_reading(small, "fuse")[electric], 1) | (ohms >= 1e4)
    assert (flows == ~dead).all()
    duty, cup = of_reading(small, "duty"), of_reading(small, "cup")
    assert ((duty >= 0.0) & (duty <= 1.0)).all()
    assert (of_reading(small, "boiler") >= small.ambient - 0.1).all()
    assert (of_reading(small, "quiet_night_cup") <= cup + 0.2).mean() > 0.99
    for name, reading in READINGS.items():
        values = of_reading(small, name)[~np.isnan(of_reading(small, name))]
        if reading.choices:
            assert set(values) <= set(range(len(reading.choices)))
        else:
            assert values.min() >= reading.lowest
            assert values.max() <= reading.highest


def test_the_thermostat_holds_what_it_is_set_to_where_the_unit_can():
    cases = draw_cases(1, 300, wanted=[("none",), ("thermostat",)], pair_share=0.0)
    held = cases.situation["setting"] + cases.situation["sensor_offset"]
    duty, cup = of_reading(cases, "duty"), of_reading(cases, "cup")
    assert (cup >= held - 1e-6).all()
    spare = duty < 0.9  # so much on the mean that the hottest hour has some left too
    assert spare.sum() > 100
    assert (np.abs(cup - held)[spare] < 1e-6).mean() > 0.95


def test_the_installation_of_a_case_gives_its_readings():
    cases = draw_cases(2, 30)
    for case in range(0, 30, 3):
        ambient = cases.ambient[case]
        state = steady_state(cases.installation(case), ambient)
        true = cases.true_readings(case)
        assert true["condenser_air"] == pytest.approx(float(state.condenser_air_temperature), abs=1e-3)
        assert true["boiler"] == pytest.approx(float(state.boiler_temperature), abs=1e-2)
        assert cases.failed[case] == state.failed
        open_below = {
            "lower_vent_blocked": 0.0,
            "lower_vent_area": 0.3 * cases.installation(case).of_size("width"),
        }
        then = steady_state(cases.installation(case).changed(**open_below), ambient)
        assert true["panel_off_air"] == pytest.approx(float(then.condenser_air_temperature), abs=1e-3)
        assert set(true) == set(readable(str(cases.heat_source[case])))


def test_the_lower_panel_off_tells_the_vents_apart():
    how = {"count": 80, "pair_share": 0.0, "sizes": ["eight"], "heat_sources": ["gas"]}
    gained = {}
    for name in ("lower_vent_blocked", "upper_vent_blocked"):
        cases = draw_cases(4, wanted=[(name,)], **how)
        rise, then = (of_reading(cases, each) - cases.ambient for each in ("condenser_air", "panel_off_air"))
        gained[name] = 1.0 - then / rise
    assert np.median(gained["lower_vent_blocked"]) > 2.0 * np.median(gained["upper_vent_blocked"])


def test_a_quiet_night_tells_a_heavy_load_from_a_leaking_seal():
    cooler = {}
    for name in ("heavy_load", "door_seal"):
        cases = draw_cases(5, 80, wanted=[(name,)], pair_share=0.0, ambients=(308.0, 312.0))
        works = ~cases.failed
        cooler[name] = (of_reading(cases, "cup") - of_reading(cases, "quiet_night_cup"))[works]
    assert np.median(cooler["heavy_load"]) > np.median(cooler["door_seal"]) + 2.0


def test_cases_can_be_asked_for():
    wanted = [("lower_vent_blocked",), ("lower_vent_blocked", "low_voltage")]
    cases = draw_cases(6, 50, wanted=wanted, sizes=["six"], heat_sources=["mains"], ambients=(300.0, 301.0))
    assert {cases.label(case) for case in range(50)} == set(wanted)
    assert set(cases.size) == {"six"}
    assert set(cases.heat_source) == {"mains"}
    assert ((cases.ambient >= 300.0) & (cases.ambient <= 301.0)).all()
    assert len(cases) == 50
    read = cases.measured(0, np.random.default_rng(0))
    assert set(read.values) == set(readable("mains"))
    assert read.ambient == pytest.approx(cases.ambient[0], abs=3.0)


@pytest.mark.parametrize(
    ("how", "sentence"),
    [
        ({"sizes": ["ten"]}, "There is no size “ten”; there are six"),
        ({"heat_sources": ["coal"]}, "There is no heat source “coal”"),
        ({"wanted": [("gremlins",)]}, "gremlins is no explanation of a case"),
        (
            {"wanted": [("low_voltage",)], "heat_sources": ["gas"]},
            "low_voltage is no explanation of a case on gas",
        ),
        ({"wanted": [("door_seal", "frost")]}, "door_seal with frost is no explanation"),
        (
            {"wanted": [("half_heater",)], "heat_sources": ["mains"]},
            "None of the wanted faults occurs in size six",
        ),
        ({"pair_share": 1.5}, "pair_share is 1.5; it must be from 0 to 1"),
    ],
)
def test_what_can_not_be_drawn_is_refused_in_a_sentence(how, sentence):
    with pytest.raises(InputError, match=sentence):
        draw_cases(1, 50, **how)


# --- the same whoever draws them --------------------------------------------------------------------------


def test_the_same_seed_draws_the_same():
    one, other, another = (Bank.of(draw_cases(seed, 60)) for seed in (8, 8, 9))
    assert same(one, other)
    assert not same(one, another)


def test_blocks_in_any_order_are_the_bank(blocks_of_200):
    whole = make(500, SEED)
    parts = {block: make_block(SEED, block) for block in (2, 0, 1)}
    assert same(whole, Bank.joined([parts[block] for block in range(3)]).first(500))
    assert same(whole.first(300), make(300, SEED))


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_draws_the_same():
    """Two blocks on a real scheduler with two real workers in processes of their own."""
    from distributed import LocalCluster

    count = banks.BLOCK + 100
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        assert same(make(count, SEED), make(count, SEED, cluster=cluster.scheduler_address))


def test_a_cluster_that_is_none_is_refused_in_a_sentence(monkeypatch):
    with pytest.raises(
        InputError, match="No dask scheduler answers at 'nowhere://x'; give the address of one"
    ):
        make(10, SEED, cluster="nowhere://x")
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r"install it with pip install 'warmside\[cluster\]'"):
        make(10, SEED, cluster="tcp://127.0.0.1:8786")


def test_progress_is_told(blocks_of_200):
    told = []
    make(500, SEED, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


# --- kept -------------------------------------------------------------------------------------------------


def test_a_bank_is_made_once_and_read_again(tmp_path, blocks_of_200):
    told = []
    made = load_bank(300, SEED, folder=tmp_path / "cache", progress=lambda *done: told.append(done))
    read = load_bank(300, SEED, folder=tmp_path / "cache", progress=lambda *done: told.append(done))
    assert len(told) == 2
    assert same(made, read)
    files = [file.name for file in (tmp_path / "cache").iterdir()]
    assert files == [f"bank-300-{version(300, SEED)}.npz"]


@pytest.mark.parametrize("damage", [b"", b"no bank at all", None])
def test_a_damaged_bank_is_made_again(tmp_path, blocks_of_200, damage):
    made = load_bank(150, SEED, folder=tmp_path)
    (file,) = tmp_path.iterdir()
    file.write_bytes(file.read_bytes()[:-2000] if damage is None else damage)
    told = []
    assert same(made, load_bank(150, SEED, folder=tmp_path, progress=lambda *done: told.append(done)))
    assert told
    assert same(made, load_bank(150, SEED, folder=tmp_path))


def test_a_bank_of_another_shape_under_the_same_name_is_made_again(tmp_path, blocks_of_200):
    made = load_bank(150, SEED, folder=tmp_path)
    (file,) = tmp_path.iterdir()
    banks._write(made.first(100), file)
    assert len(load_bank(150, SEED, folder=tmp_path)) == 150


def test_what_was_made_from_older_tables_goes(tmp_path, blocks_of_200):
    (tmp_path / "bank-150-0123456789abcdef.npz").write_bytes(b"old")
    (tmp_path / "bank-200-0123456789abcdef.npz").write_bytes(b"of another count")
    load_bank(150, SEED, folder=tmp_path)
    names = {file.name for file in tmp_path.iterdir()}
    assert names == {f"bank-150-{version(150, SEED)}.npz", "bank-200-0123456789abcdef.npz"}


def test_where_nothing_can_be_written_the_bank_is_there_all_the_same(tmp_path, blocks_of_200):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    assert len(load_bank(100, SEED, folder=tmp_path / "file")) == 100


def test_a_write_that_fails_leaves_nothing_behind(tmp_path, monkeypatch, small):
    def full(out, **arrays):
        out.write(b"half")
        raise OSError("no space left on device")

    monkeypatch.setattr(np, "savez", full)
    with pytest.raises(OSError, match="no space"):
        banks._write(small, tmp_path / "bank.npz")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("file", "matters"),
    [
        ("data/parameters.toml", True),
        ("data/cabinets.toml", True),
        ("model/steady.py", True),
        ("properties/working_range.py", True),
        ("diagnosis/faults.py", True),
        ("diagnosis/readings.py", True),
        ("diagnosis/bank.py", True),
        ("diagnosis/inference.py", False),
        ("cli.py", False),
    ],
)
def test_the_version_changes_with_what_the_bank_is_made_from(tmp_path, file, matters):
    for folder in ("data", "model", "properties", "diagnosis"):
        shutil.copytree(PACKAGE / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(PACKAGE / "cli.py", tmp_path)
    assert version(package=tmp_path) == version()
    with (tmp_path / file).open("a", encoding="utf-8") as changed:
        changed.write("\n# another value\n")
    assert (version(package=tmp_path) != version()) == matters


def test_the_version_changes_with_count_and_seed():
    assert len({version(), version(count=10), version(seed=10)}) == 3
