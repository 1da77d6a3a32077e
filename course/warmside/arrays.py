"""The one name for what the physics works on.

A public function that takes lists too says `numpy.typing.ArrayLike` and begins with ``np.asarray(...,
dtype=float)``. What stands in the inner loops, and is only called with numbers and arrays, says `Floats`.
"""

import numpy as np

Floats = float | np.ndarray
"""A number, or an array of them."""
