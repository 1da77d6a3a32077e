"""Many fixed points at once, where the answer is known."""

from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import fixed_point as scipy_fixed_point

from warmside.model import fixed_point


class Cosine(NamedTuple):
    factor: np.ndarray
    offset: float


def cosine(x, parameters):
    return parameters.factor * np.cos(x) + parameters.offset


def solve(function, parameters, start, lower=-10.0, upper=10.0):
    bounds = (np.full((len(start), 1), bound) for bound in (lower, upper))
    return fixed_point.solve(fixed_point.Problem(function, parameters, start, *bounds))


@pytest.mark.parametrize("cases", [1, 7, 2 * fixed_point.TOGETHER + 5])
def test_every_case_comes_to_its_own_fixed_point(cases):
    factor = np.linspace(0.1, 1.0, cases)
    found = solve(cosine, Cosine(factor, 0.2), np.zeros((1, cases)))
    assert found.converged.all()
    assert found.x[0] == pytest.approx(factor * np.cos(found.x[0]) + 0.2, abs=1e-6)
    for case in {0, cases // 2, cases - 1}:
        assert found.x[0, case] == pytest.approx(
            scipy_fixed_point(lambda x, case=case: factor[case] * np.cos(x) + 0.2, 0.0), abs=1e-6
        )


def test_linear_systems_against_their_solution():
    random = np.random.default_rng(4)
    matrices = random.uniform(-0.3, 0.3, (3, 3, 50))
    right = random.uniform(-1.0, 1.0, (3, 50))

    class System(NamedTuple):
        matrices: np.ndarray
        right: np.ndarray

    def step(x, system):
        return np.einsum("ijn,jn->in", system.matrices, x) + system.right

    found = solve(step, System(matrices, right), np.zeros((3, 50)))
    exact = np.linalg.solve(np.eye(3) - np.moveaxis(matrices, -1, 0), right.T[..., np.newaxis])[..., 0].T
    assert found.converged.all()
    assert found.x == pytest.approx(exact, abs=1e-5)


def test_what_has_no_fixed_point_says_so_and_leaves_the_others_alone():
    offset = np.array([0.0, 100.0, 0.0])  # the middle one runs against its bound

    class Shift(NamedTuple):
        offset: np.ndarray

    found = solve(lambda x, shift: 0.5 * x + 1.0 + shift.offset, Shift(offset), np.zeros((1, 3)))
    assert found.converged.tolist() == [True, False, True]
    assert found.x[0, [0, 2]] == pytest.approx([2.0, 2.0], abs=1e-5)


def test_steep_functions_that_plain_iteration_cannot_follow():
    class Slope(NamedTuple):
        slope: np.ndarray

    slope = np.array([-0.9, -3.0, -8.0, 0.97])
    found = solve(lambda x, p: p.slope * (x - 1.5) + 1.5, Slope(slope), np.zeros((1, 4)))
    assert found.converged.all()
    assert found.x[0] == pytest.approx(np.full(4, 1.5), abs=1e-4)
