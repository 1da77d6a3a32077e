"""Fixed points ``x = g(x)`` of many small systems at once.

Libraries solve one system at a time; here thousands of independent ones advance together: a row of an array for
each unknown, a column for each case.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

TOLERANCE = 1e-6
"""Largest difference between ``g(x)`` and ``x``, in units of the scale, that counts as converged."""
_WARM_UP = 4  # damped steps before differences are looked back on
_DAMPING = 0.6
_LARGEST_STEP = 1.0  # of an unknown, in units of its scale
_QUICK_SWEEPS = 30
_PATIENT = ((0.6, 400), (0.2, 1500))  # damping and sweeps where the quick way doesn't arrive
_ARRIVED = 0.1  # part of the cases that must have arrived before the rest goes on without them


class Solution(NamedTuple):
    """Fixed points of a batch.

    Attributes
    ----------
    x : numpy.ndarray
        The unknowns, shape (unknowns, cases).
    converged : numpy.ndarray of bool
        Whether ``g(x)`` differs from ``x`` by less than the tolerance, shape (cases,).
    evaluations : int
        How many times a case was evaluated, over all cases.
    """

    x: np.ndarray
    converged: np.ndarray
    evaluations: int


def solve(
    function: Callable[[np.ndarray, Any], np.ndarray],
    start: np.ndarray,
    parameters: Any,
    *,
    scale: np.ndarray,
    lower: np.ndarray,
    upper: np.ndarray,
) -> Solution:
    """Find a fixed point of every case.

    Parameters
    ----------
    function : callable
        ``g(x, parameters)``, on arrays of the shape of `start` or with fewer cases.
    start : numpy.ndarray
        First guess, shape (unknowns, cases).
    parameters : named tuple
        What `function` needs besides: numbers that hold for all cases, arrays of shape (cases,), and named
        tuples of these.
    scale, lower, upper : numpy.ndarray
        Size of a change that matters, and bounds, of each unknown; shape of `start`.

    Returns
    -------
    Solution
        Where there is more than one fixed point, the one that the start leads to.

    Notes
    -----
    Anderson acceleration on the last two differences, begun anew wherever it made things worse. What hasn't
    arrived then starts again with damped plain iteration, and once more with stronger damping.

    References
    ----------
    H. F. Walker and P. Ni, "Anderson Acceleration for Fixed-Point Iterations", SIAM J. Numer. Anal. 49 (2011)
    1715.
    """
    x = start / scale
    converged = np.zeros(start.shape[1], dtype=bool)
    evaluations = 0
    ways = [(_Anderson(), _QUICK_SWEEPS), *((_Damped(damping), sweeps) for damping, sweeps in _PATIENT)]
    for way, sweeps in ways:
        left = np.flatnonzero(~converged)
        if not left.size:
            break
        bounds = lower[:, left] / scale[:, left], upper[:, left] / scale[:, left]
        problem = _Problem(function, scale[:, left], bounds, select(parameters, left))
        x[:, left], converged[left], spent = _iterate(
            problem, way, sweeps, start[:, left] / scale[:, left]
        )
        evaluations += spent
    return Solution(x * scale, converged, evaluations)


def select(parameters: Any, which: np.ndarray) -> Any:
    """Return the parameters of these cases alone; numbers that hold for all cases stay as they are."""
    if isinstance(parameters, tuple):
        return type(parameters)(*(select(parameter, which) for parameter in parameters))
    return parameters if np.ndim(parameters) == 0 else parameters[which]


class _Problem(NamedTuple):
    """Cases, in unknowns of the order of one."""

    function: Callable[[np.ndarray, Any], np.ndarray]
    scale: np.ndarray
    bounds: tuple[np.ndarray, np.ndarray]
    parameters: Any

    def residual(self, x):
        return self.function(x * self.scale, self.parameters) / self.scale - x

    def keep(self, which):
        lower, upper = self.bounds
        bounds = lower[:, which], upper[:, which]
        return _Problem(self.function, self.scale[:, which], bounds, select(self.parameters, which))


def _iterate(problem, way, sweeps, start):
    result, converged = start.copy(), np.zeros(start.shape[1], dtype=bool)
    cases, x, spent = np.arange(start.shape[1]), start, 0
    for sweep in range(sweeps):
        residual = problem.residual(x)
        spent += cases.size
        there = np.abs(residual).max(axis=0) < TOLERANCE
        if np.count_nonzero(there) > _ARRIVED * there.size or sweep == sweeps - 1:
            result[:, cases], converged[cases] = x + residual, there
            going = np.flatnonzero(~there)
            if not going.size:
                break
            problem, cases = problem.keep(going), cases[going]
            x, residual = x[:, going], residual[:, going]
            way.keep(going)
        x = np.clip(x + way.step(x, residual), *problem.bounds)
    return result, converged, spent


class _Damped:
    """Plain damped iteration."""

    def __init__(self, damping):
        self._damping = damping

    def step(self, x, residual):
        return self._damping * residual

    def keep(self, which):
        pass


class _Anderson:
    """Anderson acceleration with a memory of two differences."""

    def __init__(self):
        self._sweep = 0
        self._memory = None

    def step(self, x, residual):
        size = (residual * residual).sum(axis=0)
        self._sweep += 1
        if self._memory is None:
            nothing = np.zeros_like(x)
            self._memory = [x, residual, size, np.zeros(size.size), nothing, nothing, nothing, nothing]
            return _DAMPING * residual
        old_x, old_residual, old_size, good, _, _, older_move, older_change = self._memory
        move, change = x - old_x, residual - old_residual
        good = np.where(size > old_size, -1.0, good + 1.0)  # steps in a row that made things better
        self._memory = [x, residual, size, good, older_move, older_change, move, change]
        if self._sweep <= _WARM_UP:
            return _DAMPING * residual
        accelerated = residual.copy()
        for weight, moved, changed in zip(
            _least_squares(older_change, change, residual),
            (older_move, move),
            (older_change, change),
            strict=True,
        ):
            accelerated -= weight * (moved + changed)
        step = np.where(good >= 1.0, accelerated, 0.5 * residual)
        return step * np.minimum(1.0, _LARGEST_STEP / np.maximum(np.abs(step).max(axis=0), 1e-12))

    def keep(self, which):
        if self._memory is not None:
            self._memory = [array[..., which] for array in self._memory]


def _least_squares(first, second, target):
    """Return the two weights that bring the sum of two columns nearest to a target, case by case."""
    a, b, c = ((p * q).sum(axis=0) for p, q in ((first, first), (first, second), (second, second)))
    right = (first * target).sum(axis=0), (second * target).sum(axis=0)
    ridge = 1e-8 * (a + c) + 1e-30
    a, c = a + ridge, c + ridge
    determinant = a * c - b * b
    return (c * right[0] - b * right[1]) / determinant, (a * right[1] - b * right[0]) / determinant
