"""The bubble pump: what lifts the solution, with heat and no moving part."""

import numpy as np

from warmside.arrays import Floats
from warmside.data import load

_P = load("parameters").number
_THRESHOLD, _BEND = _P("pump_threshold"), _P("pump_bend")


def pump_lift(heat: Floats, threshold: Floats = _THRESHOLD, bend: Floats = _BEND) -> Floats:
    """Solution that a bubble pump lifts.

    With little heat the bubbles come in spurts, and only a part of them lifts anything; beyond, the lift goes
    with the heat, and less and less the faster they come.

    Parameters
    ----------
    heat : float or numpy.ndarray
        Heat that makes the bubbles, over that at the rating; nothing is lifted at 0 and below.
    threshold, bend : float or numpy.ndarray
        The table's `pump_threshold` and `pump_bend`.

    Returns
    -------
    float or numpy.ndarray
        Over what is lifted at the rating.

    Notes
    -----
    Calibrated here. That losses dominate below a threshold of heat and output levels off beyond it is
    published: G. Starace and L. De Pascalis, Int. J. Refrigeration 35 (2012) 605 (abstract).

    Examples
    --------
    >>> pump_lift(np.array([0.0, 0.25, 0.5, 1.0, 2.0])).round(2).tolist()
    [0.0, 0.24, 0.56, 1.0, 1.4]
    """
    heat = np.maximum(heat, 0.0)
    lifting = (1.0 + threshold) * heat * heat / (heat + threshold)
    return (1.0 + bend) * lifting / (1.0 + bend * lifting)
