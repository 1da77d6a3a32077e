"""How standing out of level slows the unit's circulation.

Nothing in an absorption unit is driven but by heat and by gravity: the pump lifts solution as a percolator
does, and everything else runs back down pipes that fall by a degree or two. Tilted, liquid stands in those
pipes, less comes back to the boiler, and the pump lifts less. What ruins a unit that runs so is that the
boiler then overheats, and its solution lays down solids that block the tubes; no ammonia crystallises. At
rest only: on the road the tilt changes all the time, and the liquid keeps moving.
"""

import numpy as np
from numpy.typing import ArrayLike

from warmside.data import load

_PARAMETERS = load("parameters")


def circulation(side_tilt: ArrayLike, front_tilt: ArrayLike) -> np.ndarray:
    """Circulation of the solution in a unit that stands out of level.

    Parameters
    ----------
    side_tilt, front_tilt : array_like
        Angles to the level from side to side and from front to back [rad], of either sign.

    Returns
    -------
    numpy.ndarray
        What of the circulation is left, 1 when level: half at 3.9° to the side or 7.8° to the front.
        Calibrated here to the trade's limits of 3° and 6°; only its shape is information: flat as long as
        the pipes fall, and then steep.

    Examples
    --------
    Level, and 3° and 6° to the side.

    >>> circulation(np.radians([0.0, 3.0, 6.0]), 0.0).round(2).tolist()
    [1.0, 0.98, 0.0]
    """
    side = np.divide(side_tilt, _PARAMETERS.number("side_tilt_of_half_circulation"))
    front = np.divide(front_tilt, _PARAMETERS.number("front_tilt_of_half_circulation"))
    steepness = _PARAMETERS.number("tilt_exponent")
    return 1.0 / (1.0 + np.abs(side) ** steepness + np.abs(front) ** steepness)
