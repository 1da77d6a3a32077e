"""The pages that a reader sees: the course's map, a lesson in its frame, how far one is."""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from importlib.resources import files
from typing import NamedTuple

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from warmside.session.reading.desk import WAYS, Copies, Progress
from warmside.session.reading.lessons import Lesson
from warmside.session.reading.rendering import headings
from warmside.session.reading.shelf import State

_PAGES = Environment(
    loader=PackageLoader("warmside.show", "pages"), autoescape=True, trim_blocks=True, lstrip_blocks=True
)
_SHOW = files("warmside.show")
FILES: Mapping[str, Callable[[], str]] = {
    name: partial((_SHOW / name).read_text, "utf-8")
    for name in ("course.css", "present.js", "reading.js", "self_check.js")
}
"""What the pages load, by name."""
_NOTEBOOK_LINK = re.compile(r'href="(?:\.\./)?exercises/(\w+)/[^"]*"')
_NAMED = re.compile(r"<code>([\w.]+)</code>")


class Told(NamedTuple):
    """What every page is told.

    Attributes
    ----------
    base : str
        Where the server's address begins.
    xsrf : str
        The token that answers carry.
    present : bool
        Whether it is shown on a wall.
    """

    base: str
    xsrf: str
    present: bool = False


class Way(NamedTuple):
    """A way into the course: for whom it is, what is said to them, and the lessons on it in order."""

    title: str
    text: str
    order: tuple[str, ...]


_WAYS: Mapping[str, Way] = {
    "apprentice": Way(
        "Apprentice",
        "You learn the trade: all of it, in order. After each lesson comes an exercise with a job card; hand "
        "it in, and it comes back marked.",
        (),
    ),
    "owner": Way(
        "Owner",
        "You own one of these refrigerators: a cup of water costs nothing. Read on from what it shows. The "
        "exercises have a practice card, and tell you at once how you did.",
        ("05", "02", "00"),
    ),
    "instructor": Way(
        "Instructor",
        "You teach: venting is the one that surprises, then diagnosis. The labs are made for the wall. "
        "“warmside session” hands exercises out, marks them and reports what the class understood.",
        ("02", "07"),
    ),
}
assert tuple(_WAYS) == WAYS
_PINS: Mapping[str, tuple[int, int]] = {
    "00": (70, 70),
    "02": (352, 150),
    "04": (352, 560),
    "05": (108, 436),
    "07": (232, 70),
    "01": (352, 440),
    "03": (232, 196),
    "06": (66, 330),
}
"""Where in the picture a lesson belongs: the refrigerator cut open, 410 wide and 640 high."""


class Row(NamedTuple):
    """A lesson on the map."""

    lesson: Lesson
    answered: int
    standing: str
    exercise: str
    begun: bool
    copied: bool

    @property
    def done(self) -> bool:
        """Whether all of its self-checks are answered."""
        return 0 < self.lesson.checks <= self.answered

    @property
    def pin(self) -> tuple[int, int] | None:
        """Where in the picture it belongs."""
        return _PINS.get(self.lesson.number)


def map_page(told: Told, lessons: Sequence[Lesson], progress: Progress, copies: Copies) -> str:
    """Return the course's map."""
    kept = progress.kept
    way = _WAYS[kept["way"]]
    rows = [_row(lesson, progress, copies) for lesson in lessons]
    in_course = [row for row in rows if row.lesson.number]
    on_way = sorted(
        (row for row in in_course if not way.order or row.lesson.number in way.order),
        key=lambda row: way.order.index(row.lesson.number) if way.order else 0,
    )
    place = kept["place"]
    here = next((row for row in rows if place and row.lesson.file == place[0]), None)
    ahead = next((row for row in on_way if not row.done), None)
    return _PAGES.get_template("map.html").render(
        told=told,
        ways=_WAYS,
        chosen=kept["way"],
        way=way,
        on_way=on_way,
        first=next((row.lesson for row in in_course if row.lesson.number == "00"), None),
        beside=[row for row in in_course if row not in on_way],
        further=[row for row in rows if not row.lesson.number],
        pinned=[row for row in in_course if row.pin],
        here=here,
        ahead=ahead,
        anchor=place[1] if place else "",
        left=sum(row.lesson.minutes for row in on_way if not row.done),
    )


def _row(lesson: Lesson, progress: Progress, copies: Copies) -> Row:
    answered = progress.answered(lesson)
    if not lesson.checks:
        standing = ""
    elif answered >= lesson.checks:
        standing = "done"
    else:
        standing = f"{answered} of {lesson.checks} answered"
    exercise = lesson.exercise if lesson.exercise in copies.exercises else ""
    begun = bool(exercise) and copies.is_changed(exercise)
    return Row(lesson, answered, standing, exercise, begun, copies.is_changed(lesson.file))


def lesson_page(told: Told, lesson: Lesson, page: str, lessons: Sequence[Lesson], copies: Copies) -> str:
    """Return a lesson in its frame."""
    at = [each.file for each in lessons].index(lesson.file)
    exercise = lesson.exercise if lesson.exercise in copies.exercises else ""
    return _PAGES.get_template("lesson.html").render(
        told=told,
        lesson=lesson,
        page=Markup(_with_links(page, {each.file for each in lessons}, set(copies.exercises))),
        sections=headings(page),
        before=lessons[at - 1] if at else None,
        after=lessons[at + 1] if at + 1 < len(lessons) else None,
        exercise=exercise,
        copied=copies.is_changed(lesson.file),
    )


def _with_links(page: str, lessons: set[str], exercises: set[str]) -> str:
    """Have a lesson's page lead to other lessons and exercises where it names them."""

    def named(found: re.Match[str]) -> str:
        name = found[1]
        if name in lessons:
            return f'<a href="{name}">{name}</a>'
        if name in exercises:
            return f'<a href="mine/{name}" target="_blank">{name.replace("_", " ")}</a>'
        return found[0]

    return _NAMED.sub(named, _NOTEBOOK_LINK.sub(r'href="mine/\1" target="_blank"', page))


def waiting_page(told: Told, lesson: Lesson, state: State) -> str:
    """Return what stands in for a lesson that isn't ready: how far it is, or that it failed."""
    return _PAGES.get_template("waiting.html").render(
        told=told, lesson=lesson, state=state, words=how_far(state), shown=Markup(state.told)
    )


def how_far(state: State) -> str:
    """Say how far a lesson is.

    Examples
    --------
    >>> how_far(State(done=3, of=12))
    'Part 4 of 12 is being worked out.'
    """
    if not state.of:
        return "It begins."
    return f"Part {min(state.done + 1, state.of)} of {state.of} is being worked out."


def problem_page(told: Told, sentence: str) -> str:
    """Return a page that says in a sentence what went wrong, and leads back to the map."""
    return _PAGES.get_template("problem.html").render(told=told, sentence=sentence)
