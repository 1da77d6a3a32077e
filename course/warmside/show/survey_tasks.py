"""What to try beside the lab of module 03: each notices when it was done, and answers from the model."""

from warmside.model.limits import Verdict
from warmside.show.departures import mended
from warmside.show.enclosure import Enclosure, difference, solve
from warmside.show.scene_lab import Task
from warmside.show.survey import SURVEYS, in_order_of_work, on_tape, survey

_INCH = 0.0254  # m


def _told(enclosure: Enclosure, field: str) -> Verdict:
    return next(entry.verdict for entry in survey(enclosure) if entry.field == field)


def _near(enclosure: Enclosure, system: str) -> str:
    gap = on_tape(enclosure.side_gap, system)
    return (
        f"The tape reads {gap}, and may be off by {on_tape(_INCH / 16, system)}. So it may be right or "
        "wrong. Measure again at three heights, or let a strip a hair thicker than the limit tell: does it "
        "go in?"
    )


def _depth(enclosure: Enclosure, system: str) -> str:
    return (
        f"{on_tape(enclosure.rear_gap, system)} behind the fins and no baffle: the sheet gives it a range. "
        "Put the baffle back, and watch what becomes of it."
    )


def _right(enclosure: Enclosure, system: str) -> str:
    margin = difference(solve(enclosure).holds - solve(SURVEYS["As found"]).holds, system)
    return f"All within. It holds {margin} more than as it was found. Now the same test again."


def _wall(enclosure: Enclosure, system: str) -> str:
    first = in_order_of_work(survey(enclosure, system))[0]
    return (
        f"In a wall there is little height to push. So begin with “{first.title.lower()}”: {first.reading}."
    )


def survey_tasks() -> tuple[Task, ...]:
    """Return what to try, one after the other."""
    return (
        Task(
            lambda system: "Set the side gaps so that the tape can’t tell whether they are right.",
            lambda it: _told(it, "side_gap") == Verdict.TOO_NEAR,
            _near,
        ),
        Task(
            lambda system: f"Take the baffle out, and make it more than {on_tape(4 * _INCH, system)} deep.",
            lambda it: not it.baffle and it.rear_gap > 4 * _INCH,
            _depth,
        ),
        Task(
            lambda system: "An outlet in the wall: load “In a slide-out”. What comes first?",
            lambda it: it.outlet == "wall" and bool(in_order_of_work(survey(it))),
            _wall,
        ),
        Task(
            lambda system: "Put right whatever the sheet names, the least work first.",
            lambda it: not mended(it) and it.outlet == "roof",
            _right,
        ),
    )
