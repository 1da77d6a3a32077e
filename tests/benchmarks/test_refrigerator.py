"""The model's speed on one core. Run with: pytest tests/benchmarks --benchmark-only

A hundred thousand steady states in less than a second are the hundred thousand cases a second asked for;
twice as many must take about twice as long. The ratio to a general solver is that of the time of a case: the
rows `steady_states[...]` divided by their number, against `one_by_one_with_scipy` divided by `ONE_BY_ONE`.
Ten thousand cabinet days are to take less than 1 s.
"""

import tracemalloc

import numpy as np
import pytest
from installations import random_installations
from scipy import optimize

from warmside.model import fixed_point, steady
from warmside.model.cabinet import Cabinet, Coils, Thermostat, run
from warmside.model.refrigerator import holding_ambient, steady_state

ONE_BY_ONE = 30


@pytest.mark.parametrize("count", [25_000, 50_000, 100_000])
def test_steady_states(benchmark, count):
    installation, ambient = random_installations(count, seed=3)
    state = benchmark.pedantic(steady_state, (installation, ambient), rounds=5, warmup_rounds=1, iterations=1)
    assert state.converged.mean() > 0.999


def test_memory_of_a_hundred_thousand(benchmark):
    """Not a time: the most that numpy allocates meanwhile, which must stay under 1 GiB."""
    installation, ambient = random_installations(100_000, seed=3)

    def measured():
        tracemalloc.start()
        steady_state(installation, ambient)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    most = benchmark.pedantic(measured, rounds=1, iterations=1)
    benchmark.extra_info["MiB"] = round(most / 2**20)
    assert most < 2**30


def test_one_by_one_with_scipy(benchmark):
    installation, ambient = random_installations(ONE_BY_ONE, seed=4)
    flat = fixed_point.flatten(steady._system(installation, ambient, ambient, 0.0), (ONE_BY_ONE,))
    cases = [fixed_point.select(flat, np.array([case])) for case in range(ONE_BY_ONE)]
    start = steady._START[: steady._DUTY, 0]

    def each():
        for case in cases:
            optimize.root(lambda x, case=case: steady._next(x[:, np.newaxis], case)[:, 0] - x, start)

    benchmark.pedantic(each, rounds=3, warmup_rounds=1, iterations=1)


def test_highest_ambient_that_holds(benchmark):
    installation, _ = random_installations(500, seed=5)
    benchmark.pedantic(holding_ambient, (installation,), rounds=3, warmup_rounds=1, iterations=1)


@pytest.mark.parametrize("kind", ["alike", "each with its own walls"])
def test_ten_thousand_cabinet_days(benchmark, kind):
    """Ten times a thousand days at steps of a minute, with thermostat, coils and day and night."""
    random = np.random.default_rng(0)
    count, steps = 1000, 1440
    walls = 0.95 if kind == "alike" else random.uniform(0.8, 1.2, count)
    start = random.uniform(260.0, 295.0, (count, 4))
    ambient = 300.0 + 8.0 * np.cos(2 * np.pi * np.arange(steps) / steps)
    coils = Coils(
        freezer_conductance=4.0,
        food_conductance=3.4,
        freezer_temperature=random.uniform(240.0, 255.0, count),
        food_temperature=random.uniform(258.0, 268.0, count),
        freezer_most=40.0,
        food_most=60.0,
    )
    cabinet, thermostat = Cabinet(food_conductance=walls), Thermostat(277.0, 2.0)

    def ten_times():
        for _ in range(10):
            run(cabinet, start, ambient, steps=steps, thermostat=thermostat, coils=coils)

    benchmark.pedantic(ten_times, rounds=3, warmup_rounds=1, iterations=1)
