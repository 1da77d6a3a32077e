"""The bank of simulated cases: compact, and the same whoever draws it."""

import sys

import numpy as np
import pytest
from banks import same

from warmside.diagnosis import drawing
from warmside.diagnosis.bank import Bank, make, make_block
from warmside.diagnosis.drawing import draw_cases, label_of
from warmside.diagnosis.faults import FAULTS, labels
from warmside.diagnosis.readings import READINGS, readable
from warmside.diagnosis.storing import usual_bank
from warmside.errors import InputError
from warmside.model.installation import HEAT_SOURCES
from warmside.model.sizes import SIZES

COUNT, SEED = 4000, 7


@pytest.fixture(scope="module")
def small() -> Bank:
    return make(COUNT, SEED)


@pytest.fixture
def blocks_of_200(monkeypatch):
    monkeypatch.setattr(drawing, "BLOCK", 200)


def test_the_bank_is_compact_and_whole(small):
    assert len(small) == COUNT
    assert small.readings.dtype == np.float32
    assert small.nbytes < (4 * len(READINGS) + 20) * COUNT
    assert small.ambient.min() >= drawing.AMBIENTS[0] - 0.01
    assert small.ambient.max() <= drawing.AMBIENTS[1] + 0.01
    for index, source in enumerate(HEAT_SOURCES):
        there = ~np.isnan(small.readings[small.heat_source == index])
        can = np.isin(list(READINGS), readable(source))
        assert (there == can).all()


def test_shares_are_those_stated(small):
    pairs = small.labels[:, 1] >= 0
    assert pairs.mean() == pytest.approx(drawing.PAIR_SHARE, abs=0.03)
    for index, source in enumerate(HEAT_SOURCES):
        assert np.mean(small.heat_source == index) == pytest.approx(drawing.SOURCE_SHARES[source], abs=0.03)
    assert set(small.labels[:, 0]) == set(range(len(FAULTS)))
    found = {label_of(row) for row in small.labels}
    assert found <= {
        each for size in SIZES for on in HEAT_SOURCES for part in labels(size, on) for each in part
    }
    assert len(found) > 150


def test_the_same_seed_draws_the_same():
    one, other, another = (Bank.of(draw_cases(seed, 60)) for seed in (8, 8, 9))
    assert same(one, other)
    assert not same(one, another)


@pytest.mark.full
def test_blocks_in_any_order_are_the_bank(blocks_of_200):
    whole = make(500, SEED)
    parts = {block: make_block(SEED, block) for block in (2, 0, 1)}
    assert same(whole, Bank.joined([parts[block] for block in range(3)]).first(500))
    assert same(whole.first(300), make(300, SEED))


@pytest.mark.full
@pytest.mark.filterwarnings("ignore")
def test_a_cluster_draws_the_same():
    """Two blocks of the usual bank on a real scheduler with two real workers in processes of their own."""
    from distributed import LocalCluster

    count = drawing.BLOCK + 100
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        assert same(usual_bank().first(count), make(count, cluster=cluster.scheduler_address))


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
