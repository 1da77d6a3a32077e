"""Several quantities tabulated over the unit square, interpolated by bicubic splines, fast on arrays.

The splines' polynomial coefficients are laid out by power, so that a lookup is sixteen reads and a Horner
scheme on whole arrays. scipy's `RectBivariateSpline` gives the same values several times slower.
"""

from typing import NamedTuple

import numpy as np


class Place(NamedTuple):
    """Where points lie in the grid: number of the cell, place in it along the rows and the columns."""

    cell: np.ndarray
    along_rows: np.ndarray
    along_columns: np.ndarray


class BicubicTable:
    """Quantities on an equally spaced grid over the unit square.

    Parameters
    ----------
    nodes : numpy.ndarray
        Values at the nodes, shape (quantities, rows, columns). The first row and column stand at 0, the last
        at 1.
    """

    def __init__(self, nodes: np.ndarray):
        from scipy.interpolate import CubicSpline  # here, since it takes half a second to import

        _, rows, columns = nodes.shape
        self.steps = (rows - 1, columns - 1)
        by_row = CubicSpline(np.arange(rows), nodes, axis=1).c  # (power, row, quantity, column)
        both = CubicSpline(
            np.arange(columns), by_row, axis=3
        ).c  # (power, column, power of row, row, quantity)
        # To [quantity, power along rows, power along columns, cell], highest powers first.
        self._coefficients = np.ascontiguousarray(both.transpose(4, 2, 0, 3, 1)).reshape(
            nodes.shape[0], 4, 4, -1
        )

    def locate(self, row: np.ndarray, column: np.ndarray) -> Place:
        """Find the cells of points, given by their coordinates; outside, the outermost cell carries on."""
        row, column = row * self.steps[0], column * self.steps[1]
        row_cell = np.clip(row.astype(np.intp), 0, self.steps[0] - 1)
        column_cell = np.clip(column.astype(np.intp), 0, self.steps[1] - 1)
        return Place(row_cell * self.steps[1] + column_cell, row - row_cell, column - column_cell)

    def value(self, quantity: int, place: Place) -> np.ndarray:
        """Interpolate a quantity at located points."""
        coefficients = self._coefficients[quantity]
        return _horner(
            [_horner([c.take(place.cell) for c in powers], place.along_columns) for powers in coefficients],
            place.along_rows,
        )

    def value_and_slopes(self, quantity: int, place: Place) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Interpolate a quantity and its derivatives with respect to the row and the column coordinate."""
        values, slopes = [], []
        for powers in self._coefficients[quantity]:
            value, slope = _horner_with_slope([c.take(place.cell) for c in powers], place.along_columns)
            values.append(value)
            slopes.append(slope)
        value, by_row = _horner_with_slope(values, place.along_rows)
        return value, by_row * self.steps[0], _horner(slopes, place.along_rows) * self.steps[1]


def _horner(coefficients: list[np.ndarray], x: np.ndarray) -> np.ndarray:
    """Evaluate a polynomial, highest power first; the first coefficient's array is used up."""
    result, *others = coefficients
    for coefficient in others:
        result *= x
        result += coefficient
    return result


def _horner_with_slope(coefficients: list[np.ndarray], x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Evaluate a cubic and its derivative, highest power first."""
    third, second, first, zeroth = coefficients
    slope = _horner([3.0 * third, 2.0 * second, first], x)
    return _horner([third, second, first, zeroth], x), slope
