"""Banks of simulated cases, as several tests look at them."""

from dataclasses import fields

import numpy as np

from warmside.diagnosis.bank import Bank


def same(one: Bank, other: Bank) -> bool:
    """Tell whether two banks are equal to the last bit."""
    return all(
        np.array_equal(
            getattr(one, each.name), getattr(other, each.name), equal_nan=each.name in ("readings", "ambient")
        )
        for each in fields(Bank)
    )
