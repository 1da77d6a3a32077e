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

TOLERANCE = 3e-6
"""Root mean square difference between ``g(x)`` and ``x`` that counts as converged."""
TOGETHER = 16_384
"""Cases that advance together."""
_ARRIVED = 0.05  # part of the columns that must have arrived before others take them
_WARM_UP = 3  # plain steps before it is looked back
_CAREFUL = 0.2  # of a plain step, where one made things worse
_FARTHEST = 2.0  # that an unknown goes in a step
_MOST_SWEEPS = 120
_RIDGE = 1.0 + 1e-8  # keeps a mixture from what differs by nothing but rounding
_ALIKE = 1e-12  # of the size of a difference squared; the same where two are alike
_HUGE = 1e30


class Solution(NamedTuple):
    """Fixed points of a batch.

    Attributes
    ----------
    x : numpy.ndarray
        The unknowns, shape (unknowns, cases).
    converged : numpy.ndarray of bool
        Whether ``g(x)`` differs from ``x`` by less than the tolerance, shape (cases,).
    """

    x: np.ndarray
    converged: np.ndarray


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
    tolerance : float
        Root mean square difference between ``g(x)`` and ``x`` that counts as converged.
    """

    function: Callable[[np.ndarray, Any], np.ndarray]
    parameters: Any
    start: np.ndarray
    lower: np.ndarray
    upper: np.ndarray
    tolerance: float = TOLERANCE


def solve(problem: Problem) -> Solution:
    """Find a fixed point of every case.

    Returns
    -------
    Solution
        Where there is more than one fixed point, the one that the start leads to.

    Notes
    -----
    Anderson acceleration that looks two steps back: the next guess is that mixture of the last three values
    of ``g`` whose differences from their ``x`` cancel best; where a step made things worse, a small plain one
    follows.

    References
    ----------
    H. F. Walker and P. Ni, "Anderson Acceleration for Fixed-Point Iterations", SIAM J. Numer. Anal. 49 (2011)
    1715.
    """
    x = problem.start.copy()
    converged = np.zeros(x.shape[1], dtype=bool)
    enough = x.shape[0] * problem.tolerance**2
    waiting = np.arange(x.shape[1])
    columns, waiting = _columns(problem, waiting[:TOGETHER]), waiting[TOGETHER:]
    while columns.case.size:
        target = problem.function(columns.x, columns.parameters)
        residual = target - columns.x
        size = _product(residual, residual)
        there = size < enough
        columns.age[~there] += 1
        over = there | (columns.age >= _MOST_SWEEPS)
        columns = _stepped(columns, target, residual, size, problem.lower, problem.upper)
        if np.count_nonzero(over) > _ARRIVED * over.size:
            done = np.flatnonzero(over)
            finished = columns.case[done]
            x[:, finished] = columns.x[:, done]
            converged[finished] = there[done]
            taken = done[: waiting.size]
            _put(columns, taken, _columns(problem, waiting[: taken.size]))
            waiting = waiting[taken.size :]
            if taken.size < done.size:
                over[taken] = False
                columns = select(columns, np.flatnonzero(~over))
    return Solution(x, converged)


class _Columns(NamedTuple):
    """The cases that advance together, with what is remembered of their last two steps."""

    case: np.ndarray
    age: np.ndarray  # sweeps so far
    good: np.ndarray  # steps in a row that made things better
    x: np.ndarray
    targets: tuple[np.ndarray, np.ndarray]  # values of g, the last one first
    residuals: tuple[np.ndarray, np.ndarray]  # what they differed by from x
    products: tuple[np.ndarray, np.ndarray, np.ndarray]  # of residuals: last, last and before it, before it
    parameters: Any


def _columns(problem, cases):
    x = problem.start[:, cases]
    nothing = np.zeros_like(x)
    none = np.zeros(cases.size)
    return _Columns(
        case=cases,
        age=np.zeros(cases.size, dtype=int),
        good=none,
        x=x,
        targets=(nothing, nothing.copy()),
        residuals=(nothing.copy(), nothing.copy()),
        products=(np.full(cases.size, _HUGE), none.copy(), none.copy()),
        parameters=select(problem.parameters, cases),
    )


def _stepped(columns, target, residual, size, lower, upper):
    """Return the columns a step further, whose `x` lies between the bounds."""
    (last, before), (last_residual, residual_before) = columns.targets, columns.residuals
    last_size, across, size_before = columns.products
    with_last, with_before = _product(residual, last_residual), _product(residual, residual_before)
    good = np.where(size > last_size, -1.0, columns.good + 1.0)
    # mix so that residual + a (last - residual) + b (before - residual) is least
    to_last, to_before = size - with_last, size - with_before
    alike = _ALIKE * size
    first = _RIDGE * (to_last + last_size - with_last) + alike
    second = _RIDGE * (to_before + size_before - with_before) + alike
    both = to_last + across - with_before
    determinant = first * second - both * both
    warm = columns.age > _WARM_UP
    back = warm & (good >= 1.0) & (determinant > 0.0)
    determinant = np.where(back, determinant, np.inf)
    of_last = (second * to_last - both * to_before) / determinant
    of_before = (first * to_before - both * to_last) / determinant
    # the oldest arrays are no longer needed, and take what is new
    x, spare = columns.x, residual_before
    np.maximum(x - _FARTHEST, lower, out=spare)
    highest = np.minimum(x + _FARTHEST, upper)
    np.multiply(before, of_before, out=before)
    np.multiply(last, of_last, out=x)
    x += before
    x += np.multiply(target, 1.0 - of_last - of_before, out=before)
    worse = np.flatnonzero(warm & ~back)
    x[:, worse] = target[:, worse] - (1.0 - _CAREFUL) * residual[:, worse]
    np.maximum(x, spare, out=x)
    np.minimum(x, highest, out=x)
    return columns._replace(
        good=good,
        targets=(target, last),
        residuals=(residual, last_residual),
        products=(size, with_last, last_size),
    )


def flatten(values: Any, shape: tuple[int, ...]) -> Any:
    """Return values as numbers, or as one-dimensional arrays over all cases of this shape.

    Examples
    --------
    >>> flatten(np.array([[1.0], [3.0]]), (2, 2))
    array([1., 1., 3., 3.])
    """
    if isinstance(values, tuple):
        return type(values)(*(flatten(value, shape) for value in values))
    if np.ndim(values) == 0:
        return float(values)
    return np.ascontiguousarray(np.broadcast_to(values, shape), dtype=float).ravel()


def select(values: Any, which: np.ndarray | slice) -> Any:
    """Return the values of the cases of these numbers; numbers that hold for all cases stay as they are."""
    if isinstance(values, tuple):
        made = (select(value, which) for value in values)
        return type(values)(*made) if hasattr(values, "_fields") else tuple(made)
    if np.ndim(values) == 0:
        return values
    return values[..., which] if isinstance(which, slice) else values.take(which, axis=-1)


def _put(values, where, others):
    """Put the values of other cases into these columns."""
    for value, other in zip(values, others, strict=True):
        if isinstance(value, tuple):
            _put(value, where, other)
        elif np.ndim(value):
            value[..., where] = other


def _product(first, second):
    """Return the scalar products of columns."""
    return np.einsum("ij,ij->j", first, second)
