"""The exercise “Venting”: its items and its job card. Never released."""

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry
from warmside.model.sizes import usual_rating

from . import air_column, customer, judgement
from .air_column import RATINGS
from .customer import LOG, REPORT
from .judgement import QUIET, SIGNS

SIZES = ("8 cu ft", "18 cu ft")
"""The six is left out: it meets its limit on a gentle slope, which is harder to read than a cliff."""


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its hot-room log."""
    size = draw.pick(SIZES)
    survey, changes = customer.surveyed(draw)
    return (
        (
            *air_column.air_column(draw),
            Entry("size", "Customer: size", size),
            Entry(
                "rated_ambient",
                "Customer: rated ambient",
                f"{RATINGS['rated_ambient'].given[usual_rating(size)]} °F",
                "temperature",
            ),
            Entry(
                "food_limit",
                "Customer: limit of the food compartment at that ambient",
                f"{RATINGS['food_limit'].given[usual_rating(size)]} °F",
                "temperature",
            ),
            *survey,
            *judgement.departures(draw),
            *judgement.added_fan(draw, size),
            Entry("on_arrival", "Customer: on arrival", draw.pick([QUIET, QUIET, QUIET, *SIGNS])),
        ),
        {LOG: customer.hot_room_log(size, changes)},
    )


ITEMS = (*air_column.ITEMS, *customer.ITEMS, *judgement.ITEMS)

EXERCISE = Exercise("venting", "Venting", ITEMS, draw, by_hand=(REPORT,))
