"""Speed of the diagnosis on one core. Run with: pytest tests/benchmarks/test_diagnosis.py --benchmark-only

A bank of a hundred thousand is to be made in less than a minute, an explanation given in less than 50 ms, the
next reading found in less than a second. How often it is right: diagnosis_accuracy.py.
"""

import pytest

from warmside import kept
from warmside.diagnosis.bank import Bank, make
from warmside.diagnosis.inference import explain, next_reading

from .diagnosis_accuracy import held_back

FEW = ("cup", "freezer", "voltage", "condenser_air")


@pytest.fixture(scope="module")
def bank() -> Bank:
    return make()


@pytest.fixture(scope="module")
def read():
    _, readings = held_back(1, 40, pair_share=0.2)
    return readings


def test_make_a_hundred_thousand_cases(benchmark):
    bank = benchmark.pedantic(make, (100_000,), rounds=1, iterations=1)
    benchmark.extra_info["MB"] = round(bank.nbytes / 1e6, 1)
    assert len(bank) == 100_000


def test_read_the_bank_from_its_file(benchmark, bank, tmp_path):
    kept._write(vars(bank), tmp_path / "bank.npz")
    benchmark.extra_info["MB"] = round((tmp_path / "bank.npz").stat().st_size / 1e6, 1)
    benchmark(kept._read, tmp_path / "bank.npz", lambda stored: True)


@pytest.mark.parametrize("names", [None, FEW], ids=["all readings", "few readings, with ties"])
def test_forty_explanations(benchmark, bank, read, names):
    asked = [one.only(names or one.values) for one in read]

    def each():
        for readings in asked:
            explain(readings, bank)

    benchmark.pedantic(each, rounds=3, warmup_rounds=1, iterations=1)


def test_forty_next_readings(benchmark, bank, read):
    asked = [one.only(FEW) for one in read]

    def each():
        for readings in asked:
            next_reading(readings, bank)

    benchmark.pedantic(each, rounds=3, warmup_rounds=1, iterations=1)
