"""The exercise “Heat sources and circuits”: its items and its job card. Never released."""

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry

from . import battery, fault, gas, mains
from .fault import NOTE
from .gas import LOG


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its burner log."""
    entries = (*mains.mains(draw), *battery.battery(draw), *gas.gas(draw), *fault.other_refrigerator(draw)[1])
    return entries, {LOG: gas.burner_log(draw)}


ITEMS = (*mains.ITEMS, *battery.ITEMS, *gas.ITEMS, *fault.ITEMS)

EXERCISE = Exercise("heat_sources_and_circuits", "Heat sources and circuits", ITEMS, draw, by_hand=(NOTE,))
