"""Question 1: another call, and whether anything that was met there stops the job."""

from collections.abc import Mapping
from types import MappingProxyType

from warmside.hazards import STOP_SIGNS
from warmside.marking.exercise import Job, Judged
from warmside.marking.job_card import Draw
from warmside.marking.kinds import Answer
from warmside.marking.verdict import Verdict
from warmside.show.choices import codes

NONE = "none"
MET: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        NONE: (
            "On gas: the flame is small, blue and steady, lint hangs in the lower vent, the cup is at 51 °F.",
            "On mains: fins gray with dust, the fan squeaks, the cup is at 48 °F and the freezer at 19 °F.",
            "On the battery: 10.4 V at the heater, clean contacts, and the cup is at 55 °F.",
            "On mains: the door's seal slips, it stands level, and the cup is at 46 °F.",
        ),
        "gas": (
            "On gas: by the lower vent it smells of rotten eggs. The cup is at 41 °F.",
            "On mains: low down in the kitchen it smells of rotten eggs. The fins are dusty.",
        ),
        "carbon_monoxide": (
            "On gas: the flame is blue and the cup is at 39 °F. Both owners have a headache, and are dizzy.",
            "On gas: an alarm in the bedroom went off in the night and is silent now. The dog is sick.",
        ),
        "ammonia": ("On mains: a sharp smell stings your nose at the roof outlet. It hardly cools.",),
        "residue": (
            "On mains: the supply has 100 V. On the tubes by the boiler sits a yellow powder.",
            "On gas: it leans 5° to the side, and the floor behind it has a yellow stain.",
        ),
        "flame": (
            "On gas: the flame is yellow and licks up. The cup is at 38 °F, the freezer at 10 °F.",
            "On gas: the cup is at 40 °F, and the flue's end is black with soot.",
        ),
        "scorch": ("On mains: the plug's pins are brown, and its plastic has run. The cup is at 45 °F.",),
        "water": ("On mains: it rained in at the roof outlet, and the board's terminals are wet.",),
        "tripped": (
            "On mains: the ground-fault (GFCI) device tripped twice today; the owner reset it twice.",
        ),
        "wrong_fuse": (
            "On mains: in the heater's holder sits an automotive fuse of 32 V. The cup is at 37 °F.",
            "On mains: foil is wrapped round the heater's fuse. The cup is at 38 °F, the freezer at 12 °F.",
        ),
        "overheated": ("On mains: a probe at the boiler reads 485 °F and climbs. The cup is at 37 °F.",),
    }
)
"""What may be met, by the name of its stop sign. Invented."""
_STOPS_SHARE = 0.75


def first_call(draw: Draw) -> str:
    """Draw another call, and what was met there."""
    stops = draw.between(0, 1, 0.01) < _STOPS_SHARE
    return draw.pick(list(MET[draw.pick(list(STOP_SIGNS)) if stops else NONE]))


def sign_of(job: Job) -> str:
    """Return the name of the stop sign of that call, or `NONE`."""
    met = job.card["first_call"]
    return next(name for name, texts in MET.items() if met in texts)


def judge_stop(name: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge whether that call was stopped, and for what."""
    right = sign_of(job)
    if name == right == NONE:
        return Verdict(1.0, ("That is right: nothing there stops the job.",))
    if right == NONE:
        said = "Nothing there is a stop sign: a cause is looked for as usual."
        return Verdict(0.0, (said,), "a stop sign seen where there is none")
    sign = STOP_SIGNS[right]
    if name == right:
        return Verdict(1.0, ("That is right. What is done then, in this order:", *sign.sentences[1:]))
    if name == NONE:
        return Verdict(0.0, sign.sentences, "work gone on with in spite of a stop sign")
    said = "That call does stop, but for something else, which asks for an order of its own."
    return Verdict(0.1, (said, *sign.sentences), "another stop sign taken for the one there is")


ITEMS = (Judged("stop_sign", "Stop sign", "choice", 2, codes("stop_signs"), judge_stop),)
