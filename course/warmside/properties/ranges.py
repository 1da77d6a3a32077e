"""What a property does outside its range: nan, and a warning that can be told from others."""

import warnings

import numpy as np
from numpy.typing import ArrayLike


def within(
    values: ArrayLike, lowest: float, highest: float, warning: type[Warning], sentence: str
) -> np.ndarray:
    """Put nan in place of values that are out of range, and warn of them.

    Parameters
    ----------
    values : array_like
        Values to look at; nan among them stays nan and is nothing to warn of.
    lowest, highest : float
        The range, ends included.
    warning : type
        Class of the warning.
    sentence : str
        Text of the warning.

    Returns
    -------
    numpy.ndarray
        The values, nan outside the range.

    Examples
    --------
    >>> import numpy as np
    >>> within([1.0, 2.0], 0.0, 3.0, UserWarning, "Known from 0 to 3.").tolist()
    [1.0, 2.0]
    """
    values = np.asarray(values, dtype=float)
    outside = (values < lowest) | (values > highest)
    if not np.any(outside):
        return values
    warnings.warn(sentence, warning, stacklevel=4)
    return np.where(outside, np.nan, values)
