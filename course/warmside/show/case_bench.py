"""A case as a living bench in a page: stop signs, spots to read on the picture, one commit, a debrief.

Its state is the `CaseOnTheBench` that is typed to as well: what is read in either stands in both. The page
is told what can be read, where, at what minutes and with what caution; a value goes there when it is taken.
Names of faults and remedies are loaded when the commit is opened, the bank of cases with the debrief.
"""

import logging
from collections.abc import Callable, Mapping
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import anywidget
import traitlets
from IPython.display import HTML, display

from warmside.colours import BLUE, DARK, GREEN, ORANGE, PURPLE, RED
from warmside.errors import InputError
from warmside.show.case_pages import FILE_NAME, CaseOnTheBench, in_metric, open_case
from warmside.show.case_places import PLACES, order_of, place_of
from warmside.show.lab import page_part

_WHERE = files("warmside.show") / "practice_case"
_NO_ANSWER = "That can't be done. What you read is kept: go on, or load the page again."
_log = logging.getLogger(__name__)


class CaseBench(anywidget.AnyWidget):
    """A case in a page. Several pages of one kernel show the same.

    Parameters
    ----------
    case : CaseOnTheBench
        What is worked.
    """

    _esm = page_part(
        "lab_talk.js",
        "scene_air.js",
        "scene_chart.js",
        "scene_refrigerator.js",
        "scene_enclosure.js",
        "scene_case.js",
        "case_debrief.js",
        "case_bench.js",
    )
    _css = page_part("lab.css", "scene_lab.css", "case_bench.css")
    page = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)

    def __init__(self, case: CaseOnTheBench) -> None:
        self.case = case
        self._lists: dict[str, Any] | None = None
        self._debrief: dict[str, Any] | None = None
        self._problem, self._answers = "", 0
        super().__init__(page=_on_page(case), answer=self._state())
        case.on_change(self._tell)
        self.on_msg(lambda _, question, __: self.ask(question))

    def ask(self, question: Any) -> None:
        """Do what the page asks: look, read, lists, commit or debrief; `answer` then has the state."""
        asked: dict[str, Any] = question if isinstance(question, dict) else {}
        acts: Mapping[str, Callable[[], object]] = {
            "look": self.case.look_for_signs,
            "read": lambda: self.case.take(asked["read"]),
            "lists": self._open_lists,
            "commit": lambda: self.case.commit_to(**asked["commit"]),
            "debrief": self._open_debrief,
        }
        try:
            self._problem = ""
            for name in acts.keys() & asked.keys():
                acts[name]()
        except InputError as problem:
            self._problem = str(problem)
        except Exception:
            _log.exception("A case couldn't do what its page asked")
            self._problem = _NO_ANSWER
        self._tell()

    def _tell(self) -> None:
        self._answers += 1  # so that a page hears of each, also where nothing else is new
        self.answer = self._state()

    def _open_lists(self) -> None:
        from warmside.diagnosis.fault import GROUPS, REMEDIES
        from warmside.diagnosis.faults import FAULTS, NONE, possible

        about = self.case.about
        faults = [FAULTS[name] for name in possible(about["size"], about["heat_source"]) if name not in NONE]
        groups = {group: GROUPS[group].title.removesuffix(".") for group in {one.group for one in faults}}
        self._lists = {
            "faults": [{"name": one.name, "title": one.title, "group": groups[one.group]} for one in faults],
            "remedies": [
                {"name": name, "title": one.title.removesuffix(".")} for name, one in REMEDIES.items()
            ],
        }

    def _open_debrief(self) -> None:
        told = self.case.debriefed()
        shown: dict[str, Any] = {"said": list(told.said), "page": told.page, "cheapest": told.cheapest}
        shown |= {"bars": [], "steps": []}
        if told.odds is not None:
            colours = (GREEN, BLUE, ORANGE, RED, PURPLE, DARK)
            looks = [*range(len(told.odds.bars) - 1), len(colours) - 1]
            bars = zip(told.odds.bars, looks, strict=True)
            shown["bars"] = [{"title": title, "colour": colours[look], "look": look} for title, look in bars]
            shown["steps"] = [step._asdict() for step in told.odds.steps]
        self._debrief = shown

    def _state(self) -> dict[str, Any]:
        case = self.case
        minutes = {one["name"]: one["minutes"] for one in case.offered}
        spent, log = 0.0, []
        for name, value in case.log:
            spent += minutes[name]
            log.append({"name": name, "value": value, "metric": in_metric(value), "spent": spent})
        return {
            "count": self._answers,
            "looked": case.looked,
            "signs": [{"question": sign.question, "met": met} for sign, met in case.signs],
            "stops": [
                {key: getattr(sign, key) for key in ("reported", "steps", "never", "goes_on")}
                for sign, met in case.signs
                if met
            ],
            "log": log,
            "minutes": spent,
            "problem": self._problem,
            "lists": self._lists,
            "committed": case.committed.said if case.committed else "",
            "debrief": self._debrief,
        }


def _on_page(case: CaseOnTheBench) -> dict[str, Any]:
    """Return what the page is told once: nothing of what a reading shows."""
    offered = {one["name"]: {**one, "place": place_of(one["name"])} for one in case.offered}
    return {
        "about": case.about,
        "readings": [offered[name] for name in order_of(offered)],
        "places": {name: place.label for name, place in PLACES.items()},
        "sizes": _sizes(case.about["size"]),
        "marked": case.is_marked,
    }


def _sizes(size: str) -> dict[str, Any]:
    """Return what the cutaway measures: one of this size as it usually stands, not that of the case."""
    from warmside.show.enclosure import Enclosure
    from warmside.show.enclosure_scene import sizes

    usual = replace(Enclosure(), size=size)
    gaps = {"rear_gap": usual.rear_gap, "baffle_gap": usual.baffle_gap}
    return {**sizes(usual), **gaps, "outlet": usual.outlet}


def case_bench(case: CaseOnTheBench) -> CaseBench:
    """Show a case as a living bench; ``case.read`` and ``case.commit`` go on beside it, with one log."""
    return CaseBench(case)


def practice_case() -> CaseOnTheBench:
    """Return the case that module 07 works; its debrief lies beside it."""
    return open_case(Path(str(_WHERE)) / FILE_NAME)


def practice_case_lab() -> CaseBench:
    """Return the bench of module 07's case."""
    return case_bench(practice_case())


def show_still(case: CaseOnTheBench) -> None:
    """Show a case without a kernel: where it is read, complaint, readings and minutes."""
    from warmside.show.enclosure import Enclosure
    from warmside.show.enclosure_picture import still_section

    size = case.about["size"]
    alt = f"Side section of a refrigerator of {size}, with the names of its parts. How it stands isn't drawn."
    display(HTML(still_section(replace(Enclosure(), size=size), alt) + case.card(folded=True)))
