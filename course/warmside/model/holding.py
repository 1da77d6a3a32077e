"""The highest ambient at which a refrigerator still holds its food: the number that tells what it is worth.

Failure is a cliff, so that a box's temperature on one day says little about the next.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.arrays import Floats
from warmside.data import load
from warmside.model.installation import Installation
from warmside.model.sizes import RATINGS
from warmside.model.steady import AMBIENT_RANGE, steady_state

_RATINGS = load("ratings")
_STEP, _PARTS, _TOLERANCE = 5.0, 8, 0.01  # K, parts of a step, K


def holding_ambient(installation: Installation, food_limit: ArrayLike | None = None) -> np.ndarray:
    """Highest ambient at which refrigerators still hold a food temperature.

    Parameters
    ----------
    installation : Installation
        One or many.
    food_limit : array_like, optional
        Warmest that the food compartment may be [K]; broadcasts. What its rating says, 43 °F, where it
        isn't given.

    Returns
    -------
    numpy.ndarray
        Ambient temperature [K], to 0.01 K; nan where no ambient that the model takes (255 to 335 K) holds,
        and the highest of these where it holds even there.

    Notes
    -----
    Looked for from hot to cold in steps of 5 K and then in smaller ones: it may hold nowhere but in between.

    Examples
    --------
    In °F.

    >>> round(float(holding_ambient(Installation.of("8 cu ft"))) * 1.8 - 459.67)
    112
    """
    rated = _rating(installation, "food_limit")
    limit = np.asarray(rated if food_limit is None else food_limit, dtype=float)
    shape = np.broadcast_shapes(installation.shape, limit.shape)
    lowest, highest = AMBIENT_RANGE

    def hottest_held(ambients):
        """Return the number of the hottest ambient that holds, -1 for none; ambients from cold to hot."""
        state = steady_state(installation, ambients)
        held = (state.food_temperature <= limit) & state.converged & ~state.failed
        return len(ambients) - 1 - np.argmax(held[::-1], axis=0) - len(ambients) * ~held.any(axis=0)

    temperatures = np.linspace(lowest, highest, round((highest - lowest) / _STEP) + 1)
    grid, half = np.multiply.outer(temperatures, np.ones(shape)), len(temperatures) // 2
    best = half + hottest_held(grid[half:])
    if (best < half).any():
        best = np.where(best < half, hottest_held(grid[:half]), best)
    none, low, width = best < 0, temperatures[np.maximum(best, 0)], _STEP
    inside = np.arange(1, _PARTS).reshape(-1, *[1] * len(shape)) / _PARTS
    while width > _TOLERANCE:
        between = np.minimum(low + inside * width, highest)
        width /= _PARTS
        low = low + width * (1 + hottest_held(between))
    return np.where(none, np.nan, np.minimum(low, highest))


def margin_to_rating(installation: Installation) -> np.ndarray:
    """How far above its rated ambient a refrigerator holds its rated food temperature [K]; negative below.

    Examples
    --------
    With half of the lower vent shut, in °F.

    >>> round(float(margin_to_rating(Installation.of("8 cu ft", lower_vent_blocked=0.5))) * 1.8, 1)
    -1.9
    """
    return holding_ambient(installation) - _rating(installation, "rated_ambient")


def _rating(installation: Installation, quantity: str) -> Floats:
    """Return a quantity of the table of ratings for what stands on the installation's plate, in SI units."""
    return installation.ratings.of({rating: _RATINGS.in_column(quantity, rating) for rating in RATINGS})
