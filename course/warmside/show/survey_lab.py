"""The lab of module 03: enter what a tape read; see each verdict, its remedy and what that gives."""

from typing import Any

from warmside.show.enclosure import Enclosure
from warmside.show.enclosure_lab import ENCLOSURE_CONTROLS, hidden, prepare
from warmside.show.enclosure_picture import enclosure_picture
from warmside.show.enclosure_scene import enclosure_scene, judge, scene_costs, scene_details, scene_page
from warmside.show.lab import Scale, Slider
from warmside.show.scene_lab import SceneLab
from warmside.show.survey import SURVEYS, gains_of, sheet, summary, verdicts
from warmside.show.survey_tasks import survey_tasks

_INCH = 0.0254  # m
_SIXTEENTH = 1 / 16
_READ = {  # lowest and highest that a tape reads here, in inches and in mm
    "rear_gap": (0.5, 6, 12, 152),
    "baffle_gap": (_SIXTEENTH, 1.5, 2, 38),
    "side_gap": (_SIXTEENTH, 1.5, 2, 38),
    "top_gap": (0, 6, 0, 152),
}
_LOOKED_AT = (*_READ, "baffle", "pocket_open", "lower_blocked", "upper_blocked")
_ALSO = ("size", "rating", "outlet", "fan", "full_demand", "ambient")
_AS_ASKED = {control.name: control for control in ENCLOSURE_CONTROLS}


def _on_tape(name: str) -> Slider:
    """Return a gap's control in the steps of a tape."""
    low, high, low_mm, high_mm = _READ[name]
    inches = Scale("inch", "in", low, high, _SIXTEENTH)
    return Slider(
        name, _AS_ASKED[name].label, "length", inches, Scale("millimeter", "mm", low_mm, high_mm, 1)
    )


SURVEY_CONTROLS = (
    *(_on_tape(name) if name in _READ else _AS_ASKED[name] for name in _LOOKED_AT),
    *(_AS_ASKED[name] for name in _ALSO),
)


def survey_lab() -> SceneLab:
    """Return the lab of module 03: a survey sheet beside the enclosure."""
    prepare(list(SURVEYS.values()))
    return SceneLab(
        SURVEYS["As found"],
        SURVEY_CONTROLS,
        survey_scene,
        summary,
        name="enclosure",
        page={**scene_page(), "predicts": False, "survey": True},
        judge=judge,
        tasks=survey_tasks(),
        details=survey_details,
        costs=survey_costs,
        prepare=prepare,
        hidden=hidden,
        situations=SURVEYS,
    )


def survey_scene(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return what the page draws, with a verdict on each reading."""
    return {**enclosure_scene(enclosure, system), "verdicts": verdicts(enclosure, system)}


def survey_details(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return the sheet, before what each remedy gives is worked out."""
    return {**scene_details(enclosure, system), "html": sheet(enclosure, system)}


def survey_costs(enclosure: Enclosure, system: str = "US") -> dict[str, Any]:
    """Return the whole sheet, and how sure the model is."""
    told = scene_costs(enclosure, system)
    return {**told, "html": sheet(enclosure, system, gains_of(enclosure, system))}


def picture_and_sheet(name: str) -> str:
    """Return the picture of one of `SURVEYS` and its sheet, as HTML."""
    return enclosure_picture(SURVEYS[name]) + sheet(SURVEYS[name], gains=gains_of(SURVEYS[name]))
