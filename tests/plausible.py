"""Refrigerators of a size that could as well be the real one: parameters off by what nobody knows better.

What an exercise calls right must be right for nine in ten of them.
"""

from collections.abc import Callable

import numpy as np
import pytest

from warmside.model import enclosure
from warmside.model.installation import Installation
from warmside.model.refrigerator import margin_to_rating

OFF = 0.15
SCALED = (
    "condenser_conductance",
    "absorber_conductance",
    "freezer_coil_conductance",
    "food_coil_conductance",
    "partition_conductance",
    "boiler_loss_conductance",
    "freezer_conductance",
    "food_conductance",
    "gas_flow",
)
LITTLE_KNOWN = ("mixing", "side_gap_stream", "pocket_discharge_coefficient")
"""Parameters of the enclosure that may be half of what they are taken for, or nearly twice as much."""


def over_plausible(size: str, value: Callable[[], np.ndarray], count: int = 40, seed: int = 17) -> np.ndarray:
    """Return a value of many refrigerators of a size, shape (refrigerators that hold their rating, ...).

    `value` is called once, while an `Installation` stands for all of them along an axis before that of its
    fields; what it returns has both.
    """
    random = np.random.default_rng(seed)

    def between(low, high):
        return random.uniform(low, high, (count, 1))

    factors = {name: between(1.0 - OFF, 1.0 + OFF) for name in SCALED}
    little_known = {name: 2.0 ** between(-1.0, 0.8) for name in LITTLE_KNOWN}
    as_it_is, parameter = Installation.of_size, enclosure._P
    as_given = Installation.shape.fget  # type: ignore[attr-defined]

    def of_size(self, quantity):
        return np.multiply(as_it_is(self, quantity), factors.get(quantity, 1.0))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Installation, "of_size", of_size)
        patch.setattr(
            Installation, "shape", property(lambda self: np.broadcast_shapes((count, 1), as_given(self)))
        )
        patch.setattr(enclosure, "_P", lambda name: parameter(name) * little_known.get(name, 1.0))
        holds = margin_to_rating(Installation.of(size))[:, 0] >= 0.0
        return np.asarray(value())[holds]
