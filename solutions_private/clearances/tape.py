"""Part 1 of “Clearances”: gaps, and a tape."""

from functools import lru_cache
from itertools import permutations
from statistics import fmean

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.tape import inches
from warmside.marking.wrong_turns import instead_of
from warmside.model.limits import Verdict, check
from warmside.units import INCH

WITHIN, OUTSIDE, TOO_NEAR = "abc"
LETTERS = {Verdict.WITHIN: WITHIN, Verdict.OUTSIDE: OUTSIDE, Verdict.TOO_NEAR: TOO_NEAR}
HEIGHTS = ("floor", "middle", "top")


@lru_cache(maxsize=4096)
def checked(name: str, gap: float) -> Verdict:
    """Hold a gap [m] against its rule; cached, as each mistake asks for it."""
    return check("T", **{name: gap})[0].verdict


# --- sides --------------------------------------------------------------------------------------------------


def side_gaps(job: Job) -> list[float]:
    return [job[f"side_{height}"] for height in HEIGHTS]


def side_counts(job: Job) -> float:
    return max(side_gaps(job))


SIDE_COUNTS = Item(
    name="side_counts",
    title="Side gap that counts",
    kind="length",
    points=1,
    key=side_counts,
    tolerance="0.02 in",
    why="A third of a sixteenth of an inch, which is what the tape shows.",
    could_be=("1/16 in", "1 1/4 in"),
    hint="Air takes the widest way: which of the three readings lets most of it by?",
    mistakes=(
        Mistake(
            "the mean of three heights given",
            "The rule holds at each height: one wide place lets the air by.",
            lambda job: fmean(side_gaps(job)),
            credit=0.25,
        ),
        Mistake(
            "the narrowest place given",
            "Air takes the widest way, not the narrowest.",
            lambda job: min(side_gaps(job)),
        ),
    ),
)

VERDICT_MISTAKES = (
    ("a gap passed that isn't within its rule", "It is beyond its rule: by more than the tape may be off?"),
    (
        "a gap condemned that isn't clearly outside",
        "Outside is what lies beyond the rule by more than the tape may be off.",
    ),
    (
        "a doubt where the tape is good enough",
        "The tape may be off by 1/16 in. That doesn't change the answer here.",
    ),
)


def verdict_mistakes(key) -> tuple[Mistake, ...]:
    """Return the wrong turns of a verdict with three letters."""
    return tuple(
        Mistake(name, said, instead_of(key, letter))
        for (name, said), letter in zip(VERDICT_MISTAKES, (WITHIN, OUTSIDE, TOO_NEAR), strict=True)
    )


VERDICT_WORDS = {
    WITHIN: "within its rule",
    OUTSIDE: "outside its rule by more than the tape may be off",
    TOO_NEAR: "beyond its rule by no more than the tape may be off",
}


def side_verdict(job: Job) -> str:
    return LETTERS[checked("side_gap", job.value("side_counts"))]


SIDE_VERDICT = Item(
    name="side_verdict",
    title="Side gap against its rule",
    kind="choice",
    points=1,
    choices=(WITHIN, OUTSIDE, TOO_NEAR),
    key=side_verdict,
    hint="At most 1/4 in, and a sixteenth that the tape may be off.",
    decides=lambda job, answer: f"Really this gap is {VERDICT_WORDS[side_verdict(job)]}.",
    mistakes=verdict_mistakes(side_verdict),
)


# --- back and baffle ----------------------------------------------------------------------------------------


def rear_verdict(job: Job) -> str:
    return LETTERS[checked("rear_gap", job["rear_gap"])]


REAR_VERDICT = Item(
    name="rear_verdict",
    title="Gap behind the fins against its rule",
    kind="choice",
    points=1,
    choices=(WITHIN, OUTSIDE, TOO_NEAR),
    key=rear_verdict,
    hint="At most 1 in, and a sixteenth that the tape may be off.",
    mistakes=verdict_mistakes(rear_verdict),
)

B_WITHIN, TOO_WIDE, TOO_NARROW, B_TOO_NEAR = "abcd"
_RULE = (0.25 * INCH, 0.5 * INCH)


def baffle_verdict(job: Job) -> str:
    found = checked("baffle_gap", job["baffle_gap"])
    if found is Verdict.OUTSIDE:
        return TOO_WIDE if job["baffle_gap"] > _RULE[1] else TOO_NARROW
    return B_WITHIN if found is Verdict.WITHIN else B_TOO_NEAR


BAFFLE_VERDICT = Item(
    name="baffle_verdict",
    title="Baffle against its rule",
    kind="choice",
    points=1,
    choices=(B_WITHIN, TOO_WIDE, TOO_NARROW, B_TOO_NEAR),
    key=baffle_verdict,
    hint="From 1/4 to 1/2 in, and a sixteenth that the tape may be off.",
    mistakes=(
        Mistake(
            "a baffle passed that isn't within its rule",
            "Hold it against both ends of the rule.",
            instead_of(baffle_verdict, B_WITHIN),
        ),
        Mistake(
            "a baffle called too far that isn't",
            "Too far is beyond 1/2 in by more than the tape may be off.",
            instead_of(baffle_verdict, TOO_WIDE),
        ),
        Mistake(
            "a baffle called too near that isn't",
            "Too near is short of 1/4 in by more than the tape may be off.",
            instead_of(baffle_verdict, TOO_NARROW),
        ),
        Mistake(
            "a doubt about a baffle where the tape is good enough",
            "The tape may be off by 1/16 in. That doesn't change the answer here.",
            instead_of(baffle_verdict, B_TOO_NEAR),
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------

SIDES = {WITHIN: (4,), OUTSIDE: (6, 7, 8, 10), TOO_NEAR: (5,)}  # 1/16 in, the widest
NARROWER = ((3, 1), (3, 2), (4, 1))
REARS = {WITHIN: (11, 13, 15, 16), OUTSIDE: (18, 19, 22, 28), TOO_NEAR: (17,)}
BAFFLES = {B_WITHIN: (4, 5, 7, 8), TOO_WIDE: (10, 12, 14), TOO_NARROW: (1, 2), B_TOO_NEAR: (3, 9)}


def gaps(draw: Draw) -> tuple[Entry, ...]:
    """Draw what a tape reads at an invented enclosure."""
    widest = draw.pick(SIDES[draw.pick(list(SIDES))])
    less, little_less = draw.pick(NARROWER[: 3 if widest > 4 else 2])
    sides = draw.pick(list(permutations((widest, widest - less, widest - little_less))))
    names = {"floor": "at the floor", "middle": "half way up", "top": "at the top"}
    return (
        *(
            Entry(f"side_{height}", f"Survey: side gap {names[height]}", inches(gap), "length")
            for height, gap in zip(HEIGHTS, sides, strict=True)
        ),
        Entry(
            "rear_gap",
            "Survey: from the fins to the wall behind them",
            inches(draw.pick(REARS[draw.pick(list(REARS))])),
            "length",
        ),
        Entry(
            "baffle_gap",
            "Survey: from the baffle's edge to the fins",
            inches(draw.pick(BAFFLES[draw.pick(list(BAFFLES))])),
            "length",
        ),
    )


ITEMS = (SIDE_COUNTS, SIDE_VERDICT, REAR_VERDICT, BAFFLE_VERDICT)
