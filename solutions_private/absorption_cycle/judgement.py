"""Parts 4 and 5 of “The absorption cycle”: level, setting, and whether it is the unit."""

import math
from functools import cache, lru_cache

from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.tape import inches
from warmside.marking.wrong_turns import instead_of
from warmside.model.limits import TOLERANCES, Verdict, check
from warmside.units import INCH

# --- level --------------------------------------------------------------------------------------------------

SIDE, FRONT = "from side to side", "from front to back"
_LIMIT_OF = {SIDE: "side_tilt", FRONT: "front_tilt"}
WITHIN, OUTSIDE, TOO_NEAR = "abc"
_LETTERS = {Verdict.WITHIN: WITHIN, Verdict.OUTSIDE: OUTSIDE, Verdict.TOO_NEAR: TOO_NEAR}
_DEGREE = math.radians(1.0)


def tilt(job: Job) -> float:
    return math.atan(job["level_raised"] / job["level_length"])


TILT = Item(
    name="tilt",
    title="How far out of level",
    kind="angle",
    points=2,
    key=tilt,
    tolerance="2 %",
    why="57.3 times the slope is good to half a per cent at these angles.",
    could_be=("0.5 deg", "12 deg"),
    hint="57.3 × rise over length, both in inches, gives degrees.",
    mistakes=(
        Mistake(
            "a slope in per cent given as degrees",
            "Rise over length times 100 is a slope in per cent; for degrees take 57.3.",
            lambda job: 100.0 * _DEGREE * job["level_raised"] / job["level_length"],
            credit=0.25,
        ),
        Mistake(
            "inches given as degrees",
            "The same inches tilt a short level more than a long one: divide by its length.",
            lambda job: _DEGREE * job["level_raised"] / INCH,
        ),
        Mistake(
            "rise over length given as degrees",
            "That is the slope as a plain number: times 57.3 it is degrees.",
            lambda job: _DEGREE * job["level_raised"] / job["level_length"],
            credit=0.25,
        ),
    ),
)


@lru_cache(maxsize=4096)
def checked(way: str, angle: float) -> Verdict:
    """Hold a tilt [rad] against the limit of its way; cached, as each mistake asks for it."""
    return check("T", **{_LIMIT_OF[way]: angle})[0].verdict


def tilt_verdict(job: Job) -> str:
    return _LETTERS[checked(job.card["level_way"], job.value("tilt"))]


TILT_WORDS = {
    WITHIN: "its tilt is within the limit for its way",
    OUTSIDE: "its tilt is beyond the limit for its way by more than the level may be off",
    TOO_NEAR: "its tilt is beyond the limit for its way, by no more than the level may be off",
}

TILT_VERDICT = Item(
    name="tilt_verdict",
    title="Tilt against the limit",
    kind="choice",
    points=1,
    choices=(WITHIN, OUTSIDE, TOO_NEAR),
    key=tilt_verdict,
    hint="3° from side to side, 6° from front to back; a level is good to half a degree.",
    decides=lambda job, answer: f"Really {TILT_WORDS[tilt_verdict(job)]}.",
    mistakes=(
        Mistake(
            "a tilt passed that isn't within its limit",
            "Look at which way it leans, and at the limit for that way.",
            instead_of(tilt_verdict, WITHIN),
        ),
        Mistake(
            "a tilt condemned that isn't clearly outside",
            "Outside is what lies beyond the limit by more than the level may be off.",
            instead_of(tilt_verdict, OUTSIDE),
        ),
        Mistake(
            "a doubt where the level is good enough",
            "The level may be off by half a degree. That doesn't change the answer here.",
            instead_of(tilt_verdict, TOO_NEAR),
        ),
    ),
)

LENGTHS = (18, 24, 36, 48)  # in
_MARGIN = 0.02  # part by which a tilt may be read wrong and its verdict be the same


@cache
def levels(way: str, verdict: Verdict) -> list[tuple[int, int]]:
    """Return lengths [in] and rises [1/16 in] that come to a verdict, however they are rounded."""
    limit = next(iter(check("T", **{_LIMIT_OF[way]: 0.0}))).highest
    far = 2.0 * TOLERANCES[_LIMIT_OF[way]]
    found = []
    for length in LENGTHS:
        for rise in range(1, 16 * 8):
            angle = math.atan(rise / 16 / length)
            near = (angle * (1.0 - _MARGIN), angle * (1.0 + _MARGIN))
            if abs(angle - limit) < far and {checked(way, each) for each in near} == {verdict}:
                found.append((length, rise))
    return found


# --- setting, and what standing out of level did -----------------------------------------------------------

ALWAYS = "it runs all the time, and the food is at {} °F"
RESTS = "it runs {} minutes of each hour and keeps the food at {} °F"
NOTHING, COLDER, MORE_HEAT, HARM = "abcd"


def setting(job: Job) -> str:
    return NOTHING if "all the time" in job.card["runs"] else COLDER


SETTING = Item(
    name="setting",
    title="What a colder setting does",
    kind="choice",
    points=2,
    choices=(NOTHING, COLDER, MORE_HEAT, HARM),
    key=setting,
    hint="A setting says when to stop. Does it stop at all?",
    mistakes=(
        Mistake(
            "a rest overlooked",
            "It still rests: with a colder setting it rests less.",
            instead_of(setting, NOTHING),
        ),
        Mistake(
            "cold expected that isn't there",
            "It never rests, so there is no more running to ask for.",
            instead_of(setting, COLDER),
        ),
        Mistake(
            "the setting taken for the size of the heat",
            "Heater and flame are those of the plate at any setting; it says only when to stop.",
            lambda job: MORE_HEAT,
        ),
        Mistake(
            "harm seen in a colder setting",
            "Running all day is what it is built for; that harms nothing.",
            lambda job: HARM,
        ),
    ),
)

SHORT = (
    "it stood on a slope for {} hours, switched on; it stands level now and runs again",
    "it stood out of level over one night, switched on; it stands level now and runs again",
)
LONG = (
    "it stood on a slope for {} days, switched on; it has been put level an hour ago",
    "it stood out of level for {} days, switched on; it has been put level this morning",
)
DRIVEN = (
    "it was driven for {} hours on winding roads, switched on; it stands level now",
    "it was driven over a mountain pass for {} hours, switched on; it stands level now",
)
COMES_BACK, LET_IT_TELL, NO_MATTER, ORDER = "abcd"


def off_level(job: Job) -> str:
    was = job.card["off_level"]
    return NO_MATTER if "driven" in was else LET_IT_TELL if "days" in was else COMES_BACK


OFF_LEVEL = Item(
    name="off_level",
    title="After standing out of level",
    kind="choice",
    points=2,
    choices=(COMES_BACK, LET_IT_TELL, NO_MATTER, ORDER),
    key=off_level,
    hint="Did it stand or was it driven, and for how long did the boiler cook?",
    mistakes=(
        Mistake(
            "hours of cooling down promised where they aren't due",
            "Ask what it lost: on the road nothing, in days of standing perhaps the unit.",
            instead_of(off_level, COMES_BACK),
        ),
        Mistake(
            "a long doubt after a short matter",
            "The boiler didn't cook dry for days: there is no more to wait for than a cool-down.",
            instead_of(off_level, LET_IT_TELL),
        ),
        Mistake(
            "standing taken for driving",
            "On the road every bend rocks the liquid along. Where it stands, nothing does.",
            instead_of(off_level, NO_MATTER),
        ),
        Mistake(
            "a unit ordered before it was tried",
            "Whether it comes back, a day of running and the cup tell. Before that nobody knows.",
            lambda job: ORDER,
        ),
    ),
)


# --- lines of the camp --------------------------------------------------------------------------------------


def camp(draw: Draw) -> tuple[Entry, ...]:
    """Draw a refrigerator at camp: how it leans, how it runs, and how it stood before."""
    way = draw.pick([SIDE, FRONT])
    length, sixteenths = draw.pick(levels(way, draw.pick(list(Verdict))))
    food, rests = draw.between(46, 54, 1), draw.between(36, 39, 1)
    runs = draw.pick(
        [ALWAYS.format(f"{food:.0f}"), RESTS.format(f"{draw.between(20, 45, 5):.0f}", f"{rests:.0f}")]
    )
    stood = draw.pick([SHORT, LONG, DRIVEN])
    count = draw.pick({SHORT: (2, 3, 4), LONG: (6, 7, 8, 9, 10), DRIVEN: (3, 4, 5, 6)}[stood])
    return (
        Entry("level_way", "Camp: the level lies", way),
        Entry("level_length", "Camp: length of the level", f"{length} in", "length"),
        Entry(
            "level_raised",
            "Camp: low end raised until the bubble is in the middle",
            inches(sixteenths),
            "length",
        ),
        Entry("runs", "Camp: on a hot day", runs),
        Entry("off_level", "Camp: last week", draw.pick(stood).format(count)),
    )


# --- unit or not --------------------------------------------------------------------------------------------

STOP, PROVE_HEAT, SET_LEVEL, FREE_AIR, NEW_UNIT, RECHARGE = "abcdef"
NO_SIGN = "no smell, nothing yellow, no soot"
SIGNS = ("a yellow crust on the tubes at the back", "a sharp smell of ammonia behind the vent")
MEASURED = ("{} W measured, as on its plate", "{} W measured, the plate says the same")
NOT_MEASURED = ("not measured; the breaker is on", "not measured; the heater feels hot")
LEVEL = ("level within half a degree, checked", "level, checked on the shelf, both ways")
TILTED = ("leans 7° to the side, as it stood all week", "leans 9° to the side, as the test was run")
FREE = ("vents free, baffle and gaps by the rules", "vents and fins clean, gaps and baffle by the rules")
SHUT = ("lower vent three quarters shut by a nest", "upper vent covered with a board")


def unit_or_not(job: Job) -> str:
    """The dearest remedy comes last: after stop signs, heat, level and air."""
    card = job.card
    if card["met"] != NO_SIGN:
        return STOP
    if "not measured" in card["heat_found"]:
        return PROVE_HEAT
    if "leans" in card["level_found"]:
        return SET_LEVEL
    return FREE_AIR if card["air_found"] in SHUT else NEW_UNIT


UNIT_OR_NOT = Item(
    name="unit_or_not",
    title="Unit or not",
    kind="choice",
    points=3,
    choices=(STOP, PROVE_HEAT, SET_LEVEL, FREE_AIR, NEW_UNIT, RECHARGE),
    key=unit_or_not,
    hint="Signs first. Then ask of heat, level and air: is it proven, or only thought?",
    mistakes=(
        Mistake(
            "a stop sign seen where there is none",
            "Nothing that was met is a stop sign: go on with what isn't proven yet.",
            instead_of(unit_or_not, STOP),
        ),
        Mistake(
            "heat doubted that is proven, or sought before a sign",
            "Read the lines once more: is a sign there, and was the heat measured?",
            instead_of(unit_or_not, PROVE_HEAT),
        ),
        Mistake(
            "level doubted that is proven, or sought before a sign",
            "Read the lines once more: is a sign there, and does it lean?",
            instead_of(unit_or_not, SET_LEVEL),
        ),
        Mistake(
            "air doubted that is proven, or sought before a sign",
            "Read the lines once more: is a sign there, and is anything of the air's way shut?",
            instead_of(unit_or_not, FREE_AIR),
        ),
        Mistake(
            "a unit condemned too early",
            "Something else comes before it, or isn't proven yet.",
            instead_of(unit_or_not, NEW_UNIT),
        ),
        Mistake(
            "a recharge asked for",
            "There is none: no port, and nothing that one may open.",
            lambda job: RECHARGE,
        ),
    ),
)


def workshop(draw: Draw) -> tuple[Entry, ...]:
    """Draw a refrigerator that failed its test, of which at most one thing isn't proven."""
    truth = draw.pick([STOP, PROVE_HEAT, SET_LEVEL, FREE_AIR, NEW_UNIT])
    watts, ambient, cup = draw.pick([325, 430]), draw.between(76, 88, 1), draw.between(62, 70, 1)
    return (
        Entry(
            "cup_test",
            "Workshop: cup after 24 hours at full demand, door shut",
            f"{cup:.0f} °F, at {ambient:.0f} °F outside",
        ),
        Entry(
            "heat_found",
            "Workshop: heat",
            draw.pick(NOT_MEASURED if truth == PROVE_HEAT else MEASURED).format(watts),
        ),
        Entry("level_found", "Workshop: level", draw.pick(TILTED if truth == SET_LEVEL else LEVEL)),
        Entry("air_found", "Workshop: way of the air", draw.pick(SHUT if truth == FREE_AIR else FREE)),
        Entry("met", "Workshop: met on arrival", draw.pick(SIGNS) if truth == STOP else NO_SIGN),
    )


# --- note ---------------------------------------------------------------------------------------------------

NEXT = {
    STOP: "a sign of a leak: nobody touches it, all keep away, a qualified technician replaces the unit",
    PROVE_HEAT: "the heat isn't proven: measure it at the heater, by who may, then test again",
    SET_LEVEL: "it leaned while it was tested: set it level, let it run a day, then test again",
    FREE_AIR: "its air can't pass: free the way, then test again",
    NEW_UNIT: "all else is proven and it still doesn't cool: a qualified technician replaces the unit",
}


def note_rubric(job: Job) -> tuple[str, ...]:
    cup = job.card["cup_test"]
    return (
        f"On this card: {cup}; heat: {job.card['heat_found']}; level: {job.card['level_found']}; air: "
        f"{job.card['air_found']}; met: {job.card['met']}. So {NEXT[unit_or_not(job)]}.",
        "1: says what was found, with the readings it stands on, and what isn't proven yet.",
        "1: says why there is no recharge: welded shut, no port, poisonous and under pressure; a unit that "
        "lost its charge has a leak.",
        "1: says what comes next, in an order that fits the card, and who may do it.",
        "1: says how it will be proven, by the same cup test; plain words, no guess sold as a finding.",
        "A wrong answer to question 15 costs marks there; a note that follows from it may have all four.",
        "No mark at all for advice that could hurt: a unit opened, drilled, heated or topped up, or a "
        "sign of a leak passed over.",
    )


NOTE = ByHand(name="customer_note", title="Note on a recharge", points=4, rubric=note_rubric)

ITEMS = (TILT, TILT_VERDICT, SETTING, OFF_LEVEL, UNIT_OR_NOT)
