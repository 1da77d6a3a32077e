"""Fixed points ``x = g(x)`` of many small systems at once.

Libraries solve one system at a time. Here as many independent ones as a processor's cache holds advance
together, a row of an array for each unknown, a column for each case; where one has arrived, the next takes
its column.

Examples
--------
Square roots of two numbers by Heron's rule, and then of the second alone.

>>> class Numbers(NamedTuple):
...     number: np.ndarray
>>> def heron(x, numbers):
...     return 0.5 * (x + numbers.number / x)
>>> numbers = Numbers(np.array([4.0, 9.0]))
>>> solve(Problem(heron, numbers, np.ones((1, 2)), np.array([[0.1]]), np.array([[10.0]]))).x.round(3)
array([[2., 3.]])
>>> select(numbers, np.array([1])).number
array([9.])
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

TOLERANCE = 1e-6
"""Largest difference between ``g(x)`` and ``x`` that counts as converged."""
TOGETHER = 6144
"""Cases that advance together."""
_ARRIVED = 0.05  # part of the columns that must have arrived before others take them
_WARM_UP = 3  # damped steps before differences are looked back on
_DAMPING = 0.9
_LARGEST_STEP = 2.0  # of an unknown
_QUICK_SWEEPS = 60
_PATIENT_SWEEPS = 300  # damped ones where the quick way doesn't arrive
_FURTHER_SWEEPS = 80  # of the quick way from there on


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


class Problem(NamedTuple):
    """Cases to solve, in unknowns of which a change of one matters.

    Attributes
    ----------
    function : callable
        ``g(x, parameters)`` with `x` of shape (unknowns, cases), for these or for any other number of cases.
    parameters : named tuple
        What `function` needs besides: numbers that hold for all cases, arrays of shape (cases,), and named
        tuples of these.
    start : numpy.ndarray
        First guess, shape (unknowns, cases).
    lower, upper : numpy.ndarray
        Bounds of the unknowns in all cases, shape (unknowns, 1).
    """

    function: Callable[[np.ndarray, Any], np.ndarray]
    parameters: Any
    start: np.ndarray
    lower: np.ndarray
    upper: np.ndarray


def solve(problem: Problem) -> Solution:
    """Find a fixed point of every case.

    Returns
    -------
    Solution
        Where there is more than one fixed point, the one that the start leads to.

    Notes
    -----
    Anderson acceleration on the last two differences, begun anew wherever it made things worse. What hasn't
    arrived then starts again with damped plain iteration; where that creeps, acceleration goes on from there.

    References
    ----------
    H. F. Walker and P. Ni, "Anderson Acceleration for Fixed-Point Iterations", SIAM J. Numer. Anal. 49 (2011)
    1715.
    """
    x = problem.start.copy()
    converged = np.zeros(x.shape[1], dtype=bool)
    evaluations = _advance(problem, _Anderson(), _QUICK_SWEEPS, x, converged)
    evaluations += _advance(problem, _Damped(), _PATIENT_SWEEPS, x, converged)
    problem = problem._replace(start=x.copy())
    evaluations += _advance(problem, _Anderson(), _FURTHER_SWEEPS, x, converged)
    return Solution(x, converged, evaluations)


class _Columns(NamedTuple):
    """The cases that advance together."""

    case: np.ndarray
    age: np.ndarray  # sweeps so far
    x: np.ndarray
    parameters: Any


def _columns(problem, cases):
    age = np.zeros(cases.size, dtype=int)
    return _Columns(cases, age, problem.start[:, cases], select(problem.parameters, cases))


def _advance(problem, way, sweeps, x, converged):
    """Solve what hasn't converged, into `x` and `converged`; return how many evaluations it took."""
    waiting = np.flatnonzero(~converged)
    columns, waiting = _columns(problem, waiting[:TOGETHER]), waiting[TOGETHER:]
    evaluations = 0
    while columns.case.size:
        residual = problem.function(columns.x, columns.parameters) - columns.x
        evaluations += columns.case.size
        columns.age[:] += 1
        there = _largest(residual) < TOLERANCE
        over = there | (columns.age >= sweeps)
        moved = columns.x + way.step(columns, residual)
        np.minimum(np.maximum(moved, problem.lower), problem.upper, out=columns.x)
        if np.count_nonzero(over) > _ARRIVED * over.size:
            done = np.flatnonzero(over)
            finished = columns.case[done]
            x[:, finished] = columns.x[:, done]
            converged[finished] = there[done]
            taken = done[: waiting.size]
            way.forget(taken)
            _put(columns, taken, _columns(problem, waiting[: taken.size]))
            waiting = waiting[taken.size :]
            if taken.size < done.size:
                over[taken] = False
                columns = select(columns, ~over)
                way.keep(~over)
    return evaluations


def select(values: Any, which: np.ndarray | slice) -> Any:
    """Return the values of these cases alone; numbers that hold for all cases stay as they are."""
    if isinstance(values, tuple):
        return type(values)(*(select(value, which) for value in values))
    return values if np.ndim(values) == 0 else values[..., which]


def _put(values, where, others):
    """Put the values of other cases into these columns."""
    for value, other in zip(values, others, strict=True):
        if isinstance(value, tuple):
            _put(value, where, other)
        elif np.ndim(value):
            value[..., where] = other


def _largest(values):
    """Return the largest size of each column."""
    return np.maximum(values.max(axis=0), -values.min(axis=0))


class _Damped:
    """Plain damped iteration."""

    def step(self, columns, residual):
        return _DAMPING * residual

    def forget(self, which):
        pass

    def keep(self, which):
        pass


class _Anderson:
    """Anderson acceleration with a memory of two differences."""

    def __init__(self):
        self._memory: list[np.ndarray] | None = None

    def step(self, columns, residual):
        size = (residual * residual).sum(axis=0)
        target = columns.x + residual
        if self._memory is None:
            nothing = np.zeros_like(target)
            self._memory = [target, residual, size, np.zeros(size.size), nothing, nothing, nothing, nothing]
            return _DAMPING * residual
        old_target, old_residual, old_size, good, _, _, older_move, older_change = self._memory
        move, change = target - old_target, residual - old_residual
        good = np.where(size > old_size, -1.0, good + 1.0)  # steps in a row that made things better
        self._memory = [target, residual, size, good, older_move, older_change, move, change]
        older_weight, weight = _least_squares(older_change, change, residual)
        warm = columns.age > _WARM_UP
        looking_back = warm & (good >= 1.0)
        step = residual * np.where(looking_back, 1.0, np.where(warm, 0.5, _DAMPING))
        step -= older_move * np.where(looking_back, older_weight, 0.0)
        step -= move * np.where(looking_back, weight, 0.0)
        step *= np.minimum(1.0, _LARGEST_STEP / np.maximum(_largest(step), 1e-12))
        return step

    def forget(self, which):
        """Other cases take these columns: what is remembered there doesn't count."""
        if self._memory is not None:
            self._memory[2][which] = np.inf
            self._memory[3][which] = 0.0

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
