"""The exercise “Clearances”: its items and its job card. Never released."""

from warmside.marking.exercise import Exercise
from warmside.marking.job_card import Draw, Entry

from . import retest, tape, vents, work
from .retest import LOG, PLAN

ITEMS = (*tape.ITEMS, *vents.ITEMS, *work.ITEMS, *retest.ITEMS)


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw the lines of a job card and its log of a re-test."""
    tested, log = retest.tested(draw)
    return (*tape.gaps(draw), *vents.vents(draw), *work.found(draw), *tested), {LOG: log}


EXERCISE = Exercise("clearances", "Clearances", ITEMS, draw, by_hand=(PLAN,))
