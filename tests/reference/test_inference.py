"""The diagnosis against another library: scikit-learn's densities and Bayes on the same cases."""

import numpy as np
import pytest

from warmside.diagnosis.bank import Bank
from warmside.diagnosis.drawing import draw_cases, label_of
from warmside.diagnosis.evidence import Smoothing
from warmside.diagnosis.faults import prior
from warmside.diagnosis.inference import explain
from warmside.diagnosis.readings import AMBIENT_ERROR, READINGS, Readings, column

PLAIN = Smoothing(kernel=0.0, ambient=np.inf, nuisance=False, evidence=1.0)
READ = ("condenser_air", "top_air", "side_air", "boiler", "absorber", "side_gap", "top_gap", "supply_voltage")


@pytest.fixture(scope="module")
def cases():
    return draw_cases(31, 1500, sizes=["8 cu ft"], heat_sources=["mains"])


@pytest.fixture(scope="module")
def held_back():
    return draw_cases(32, 25, sizes=["8 cu ft"], heat_sources=["mains"])


def scaled(readings: np.ndarray, ambient: np.ndarray) -> np.ndarray:
    """Readings over the error of each: rises over the ambient, logarithm of the voltage."""
    columns = []
    for name in READ:
        values, reading = readings[:, column(name)], READINGS[name]
        if name == "supply_voltage":
            columns.append(np.log(values) / reading.error)
        elif reading.kind == "temperature":
            columns.append((values - ambient) / np.hypot(reading.error, AMBIENT_ERROR))
        else:
            columns.append(values / reading.error)
    return np.stack(columns, axis=-1)


def read(cases, case: int) -> Readings:
    true = cases.true_readings(case)
    return Readings("8 cu ft", "mains", float(cases.ambient[case]), {name: true[name] for name in READ})


def test_chances_are_those_of_kernel_densities(cases, held_back):
    """A kernel density for each explanation, of the meters' widths, times the prior."""
    from sklearn.neighbors import KernelDensity  # here, since that takes two seconds

    bank = Bank.of(cases)
    believed = prior("8 cu ft", "mains")
    rows = scaled(bank.readings.astype(float), bank.ambient.astype(float))
    asked = scaled(held_back.readings, held_back.ambient)
    labels = [label_of(row) for row in np.unique(bank.labels, axis=0)]
    logs = []
    for label in labels:
        these = rows[[label_of(row) == label for row in bank.labels]]
        density = KernelDensity(kernel="gaussian", bandwidth=1.0, rtol=1e-10, atol=0.0).fit(these)
        logs.append(np.log(believed[label]) + density.score_samples(asked))
    logs = np.array(logs)
    expected = np.exp(logs - np.logaddexp.reduce(logs, axis=0))
    for case in range(len(held_back)):
        said = explain(read(held_back, case), bank, smoothing=PLAIN, remaining=())
        chances = {one.label: one.probability for one in said.ranked}
        assert [chances[label] for label in labels] == pytest.approx(expected[:, case], abs=2e-3)
        assert said.best.label == labels[int(expected[:, case].argmax())]


def test_with_one_case_each_it_is_naive_bayes(cases, held_back):
    """One case for each fault: normal densities about it, which scikit-learn fits to points on both sides."""
    from sklearn.naive_bayes import GaussianNB  # here, since that takes two seconds

    single = np.flatnonzero(cases.labels[:, 1] < 0)
    first = single[np.unique(cases.labels[single, 0], return_index=True)[1]]
    names = [cases.label(case)[0] for case in first]
    whole = Bank.of(cases)
    bank = Bank(*(getattr(whole, each)[first] for each in whole.__dataclass_fields__))
    centres = scaled(bank.readings.astype(float), bank.ambient.astype(float))
    points, of = np.concatenate([centres - 1.0, centres + 1.0]), np.tile(np.arange(len(names)), 2)
    believed = prior("8 cu ft", "mains")
    weight = np.array([believed[name,] for name in names])
    bayes = GaussianNB(priors=weight / weight.sum(), var_smoothing=1e-14).fit(points, of)
    expected = bayes.predict_proba(scaled(held_back.readings, held_back.ambient))
    for case in range(len(held_back)):
        said = explain(read(held_back, case), bank, smoothing=PLAIN, remaining=())
        chances = {one.label: one.probability for one in said.ranked}
        assert [chances[name,] for name in names] == pytest.approx(expected[case], abs=2e-3)
