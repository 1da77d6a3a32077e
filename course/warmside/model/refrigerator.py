"""The refrigerator in its enclosure: one coupled model for labs, job cards, keys, cases and job sheets.

A teaching model, calibrated to the trade's common practice and not validated against measured units. What it
knows least is how the air behind a refrigerator mixes. Ask it for temperatures, flows and margins of one
`Installation` against another rather than for what a thermometer will show.
"""

from warmside.model.defrost import DefrostPlan, TimedDefrost, defrost_plan
from warmside.model.door import DoorRecovery, door_recovery
from warmside.model.holding import holding_ambient, margin_to_rating
from warmside.model.installation import NO_BAFFLE, Installation
from warmside.model.running import CupTest, cup_test
from warmside.model.steady import State, steady_state

__all__ = [
    "NO_BAFFLE",
    "CupTest",
    "DefrostPlan",
    "DoorRecovery",
    "Installation",
    "State",
    "TimedDefrost",
    "cup_test",
    "defrost_plan",
    "door_recovery",
    "holding_ambient",
    "margin_to_rating",
    "steady_state",
]
