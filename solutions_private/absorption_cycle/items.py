"""The exercise “The absorption cycle”: its items and its job card. Never released."""

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry

from . import judgement, log, one_pressure
from .judgement import NOTE
from .log import LOG

ITEMS = (*one_pressure.ITEMS, *log.ITEMS, *judgement.ITEMS)


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its log of a sealed unit."""
    entries = (*one_pressure.yard(draw), *judgement.camp(draw), *judgement.workshop(draw))
    return entries, {LOG: log.unit_log(draw)}


EXERCISE = Exercise("absorption_cycle", "The absorption cycle", ITEMS, draw, by_hand=(NOTE,))
