"""A lab whose page draws a scene that moves: the kernel sends numbers, the page draws on while they come."""

from collections.abc import Callable, Collection, Mapping, Sequence
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np

from warmside.show.lab import Lab, Options, Slider, page_part

_MOST_AGREE = 0.9  # of plausible refrigerators, for a prediction to be right or wrong

Told = Callable[[Any, str], str]
"""Text of settings in a system of units."""


def agreed(changes: np.ndarray, same: float, said: int, words: Mapping[int, str]) -> tuple[str, int | None]:
    """Judge a prediction: right or wrong only where nine in ten plausible refrigerators agree.

    Parameters
    ----------
    changes : numpy.ndarray
        What changes in each of them.
    same : float
        Up to which change nobody would notice.
    said : int
        The prediction: -1, 0 or 1.
    words : mapping of int to str
        What "it" does, by prediction.

    Returns
    -------
    str, int or None
        The beginning of a sentence, and what they agree on; a whole sentence and None where they don't.

    Examples
    --------
    >>> agreed(np.array([0.1, -0.2, 0.1]), 1.0, 0, {-1: "falls", 0: "stays", 1: "rises"})
    ('✔ Right, it stays', 0)
    """
    turns = np.where(np.abs(changes) <= same, 0, np.sign(changes)).astype(int)
    turn = max(words, key=lambda each: int((turns == each).sum()))
    agree = int((turns == turn).sum())
    if agree < _MOST_AGREE * len(turns):
        others = f"in {agree} of {len(turns)} plausible refrigerators it {words[turn]}, in the others not"
        return f"? The model can’t tell: {others}.", None
    return f"{'✔ Right' if said == turn else '✘ No'}, it {words[turn]}", turn


class Task(NamedTuple):
    """Something to try beside a lab, which notices when it was done and answers.

    Attributes
    ----------
    text : callable
        From a system of units to what to try.
    is_done : callable
        From settings to whether this is it.
    says : callable
        From settings and system to what came of it.
    """

    text: Callable[[str], str]
    is_done: Callable[[Any], bool]
    says: Told


class SceneLab(Lab):
    """A lab with a scene in place of a picture.

    What was set before the last change is kept by itself, so that it can be looked at again. The page may
    let the reader predict what a change does, and asks here whether that was right.

    Parameters
    ----------
    settings, controls, words, details, prepare, hidden, situations :
        As in `Lab`; details are what the page's script takes, not HTML.
    scene : callable
        From settings and system to the numbers and texts that the page draws, by name.
    name : str
        Which scene of the page's script draws them.
    page : mapping
        What that scene is told once.
    costs : callable
        From settings and system to more that takes long, which the page asks for when it has had the details.
    tasks : sequence of Task
        What to try.
    judge : callable
        From settings before and now, -1, 0 or 1 for a prediction, and system to a sentence on it.
    """

    _esm = page_part(
        "lab_talk.js",
        "scene_air.js",
        "scene_chart.js",
        "scene_handles.js",
        "scene_save.js",
        "scene_day.js",
        "scene_refrigerator.js",
        "scene_enclosure.js",
        "scene_cup_chart.js",
        "scene_cup.js",
        "scene_use.js",
        "scene_heat_chart.js",
        "scene_meter.js",
        "scene_unit_chart.js",
        "scene_unit.js",
        "scene_unit_flows.js",
        "scene_lab.js",
    )
    _css = page_part("lab.css", "scene_lab.css")

    def __init__(
        self,
        settings: Any,
        controls: tuple[Slider | Options, ...],
        scene: Callable[[Any, str], dict[str, Any]],
        words: Told,
        *,
        name: str,
        page: Mapping[str, Any],
        judge: Callable[[Any, Any, int, str], str],
        tasks: Sequence[Task] = (),
        details: Callable[[Any, str], Any],
        costs: Callable[[Any, str], Any],
        prepare: Callable[[list[Any]], object],
        hidden: Callable[[Any], Collection[str]] = lambda _: (),
        situations: Mapping[str, Any] = MappingProxyType({}),
    ) -> None:
        self.before: Any = None
        self._judge, self._tasks, self._costs = judge, tasks, costs
        self._answers: dict[int, tuple[Any, Told]] = {}  # of tasks that were done: what was set then
        super().__init__(
            settings,
            controls,
            scene,
            words,
            details=details,
            prepare=prepare,
            hidden=hidden,
            situations=situations,
            page={**page, "scene": name},
        )

    def _do(self, question: dict[str, Any]) -> str:
        was = self.settings
        problem = super()._do(question)
        if question.get("reset"):
            self.before = None
        elif question.get("begins") and not problem:
            self.before = was
        return problem

    def _answer_to(self, question: dict[str, Any]) -> dict[str, Any]:
        """Return what `Lab` does, what was before where all changes, and how a prediction came out."""
        if question.get("details") == "costs":
            nothing: dict[str, Any] = {}
            costs = self._tried(lambda: self._costs(self.settings, self.system), nothing)
            return {**self.answer, "set_all": False, "shows": "costs", "costs": costs}
        answer = super()._answer_to(question)
        if answer["shows"] == "details":
            untold: list[dict[str, Any]] = []
            held = bool(question.get("held"))
            return {**answer, "tasks": self._tried(lambda: self._tasks_told(held), untold)}
        before, verdict = None, ""
        if answer["set_all"] and self.before is not None:
            before = self._tried(lambda: self._view(self.before), None)
        if question.get("judge") in (-1, 0, 1) and self.before is not None:
            said = question["judge"]
            verdict = self._tried(lambda: self._judge(self.before, self.settings, said, self.system), "")
        return {**answer, "before": before, "verdict": verdict}

    def _tasks_told(self, held: bool) -> list[dict[str, Any]]:
        """Return what to try, what of it was done, and what came of it; a hand on its way does none."""
        for place, task in enumerate(self._tasks):
            if not held and task.is_done(self.settings):
                self._answers[place] = (self.settings, task.says)
        told = []
        for place, task in enumerate(self._tasks):
            settings, says = self._answers.get(place, (None, None))
            said = says(settings, self.system) if says else ""
            told.append({"text": task.text(self.system), "says": said})
        return told
