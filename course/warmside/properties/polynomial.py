"""Polynomials in two variables, fitted once and evaluated fast on arrays.

A table is right over its whole range. A model that asks for the same few quantities millions of times within
a narrow part of it is better served by a polynomial, which also goes on smoothly where a search strays out.
"""

import numpy as np


class Polynomial:
    """Several quantities as polynomials in the same two variables.

    Parameters
    ----------
    first, second : numpy.ndarray
        Where the quantities are known, shape (points,); best centred and of the order of one.
    quantities : numpy.ndarray
        The quantities there, shape (quantities, points).
    degrees : tuple of int
        Highest powers of the first and of the second variable.
    """

    def __init__(
        self, first: np.ndarray, second: np.ndarray, quantities: np.ndarray, degrees: tuple[int, int]
    ):
        self._degrees = degrees
        powers = self._powers(first, second)
        self._coefficients = np.ascontiguousarray(np.linalg.lstsq(powers.T, quantities.T, rcond=None)[0].T)

    def __call__(self, first: np.ndarray, second: np.ndarray, only: int | None = None) -> np.ndarray:
        """Evaluate all quantities, shape (quantities, points), or `only` one of them, shape (points,)."""
        coefficients = self._coefficients if only is None else self._coefficients[only]
        return coefficients @ self._powers(first, second)

    def of_first(self, second: float) -> np.ndarray:
        """Return the polynomials in the first variable alone at one value of the second.

        Coefficients from the highest power down, shape (quantities, powers).
        """
        by_power = self._coefficients.reshape(len(self._coefficients), self._degrees[0] + 1, -1)
        return (by_power @ second ** np.arange(self._degrees[1] + 1))[:, ::-1]

    def _powers(self, first, second):
        width = self._degrees[1] + 1
        powers = np.empty(((self._degrees[0] + 1) * width, first.size))
        powers[0] = 1.0
        for power in range(1, width):
            np.multiply(powers[power - 1], second, out=powers[power])
        for start in range(width, len(powers), width):
            np.multiply(powers[start - width : start], first, out=powers[start : start + width])
        return powers
