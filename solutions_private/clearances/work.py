"""Part 3 of “Clearances”: what is put right first, what practice alone asks for, and with what."""

from itertools import permutations
from typing import NamedTuple

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import instead_of

_GAINS, _MINUTES = load("survey_gains"), load("remedies")


class Finding(NamedTuple):
    """What a survey found: in words, what its remedy takes [min] and gives, lowest and highest [°F]."""

    text: str
    minutes: float
    gives: tuple[float, float] | None

    @property
    def line(self) -> str:
        """As it stands on a card."""
        gives = "{:g} to {:g} °F".format(*self.gives) if self.gives else "the model can't tell"
        return f"{self.text}: {self.minutes:g} min, {gives}"


REMEDIES = {
    "lower_half": "lower_blocked",
    "lower_third": "lower_blocked",
    "lower_fifth": "lower_blocked",
    "upper_half": "upper_blocked",
    "deep_and_bare": "baffle",
    "wide_sides": "side_gap",
    "open_top": "top_gap",
    "open_pocket": "pocket_open",
}
"""What puts right which finding, by the tables of gains and of minutes."""


def minutes(remedy: str) -> float:
    return float(_MINUTES.fields[remedy].given)


FOUND = {
    name: Finding(_GAINS.fields[name].meaning, minutes(remedy), tuple(_GAINS.fields[name].given))
    for name, remedy in REMEDIES.items()
}
BY_PRACTICE = (
    Finding("baffle 3/4 in off the fins", minutes("baffle_gap"), None),
    Finding("baffle 1/16 in off the fins", minutes("baffle_gap"), None),
    Finding("4 in too deep behind the fins, with a good baffle", minutes("rear_gap"), None),
)
SETS = (
    ("lower_half", "upper_half", "wide_sides"),
    ("upper_half", "lower_fifth", "open_top"),
    ("deep_and_bare", "wide_sides", "open_pocket"),
    ("lower_third", "deep_and_bare", "open_pocket"),
    ("upper_half", "deep_and_bare", "wide_sides"),
)
"""Three that stand on a card, most for its minutes first. The first gives clearly most for them, in nine of
ten plausible refrigerators. On some cards it takes least work or gives most by itself, on others neither."""
LETTERS = "abcd"


def by_gain(job: Job) -> str:
    """Return the letters of a card, most for its minutes first, what practice alone asks for last."""
    lines = {letter: job.card[f"finding_{letter}"] for letter in LETTERS}
    (chosen,) = (each for each in SETS if {FOUND[name].line for name in each} < set(lines.values()))
    order = [FOUND[name].line for name in chosen]
    return "".join(
        sorted(
            LETTERS, key=lambda letter: order.index(lines[letter]) if lines[letter] in order else len(order)
        )
    )


MOST_FOR_WORK = Item(
    name="most_for_work",
    title="Most gain for its minutes",
    kind="choice",
    points=3,
    choices=tuple(LETTERS),
    key=lambda job: by_gain(job)[0],
    hint="Gain over minutes, for each: middle of its range, and do the ranges leave a doubt?",
    mistakes=(
        Mistake(
            "less gain for its minutes taken for the most",
            "Another gives more for each minute of work: divide both by their minutes.",
            lambda job: by_gain(job)[1],
        ),
        Mistake(
            "the least gain for its minutes taken for the most",
            "It gives little for much work: divide each gain by its minutes.",
            lambda job: by_gain(job)[2],
        ),
        Mistake(
            "a gain that the model can't tell taken for the most",
            "Nobody can say what that gives. Practice asks for it; it isn't what gives most for sure.",
            lambda job: by_gain(job)[3],
        ),
    ),
)

PRACTICE_ALONE = Item(
    name="practice_alone",
    title="What rests on practice alone",
    kind="choice",
    points=1,
    choices=tuple(LETTERS),
    key=lambda job: by_gain(job)[3],
    hint="For which of them can't the model say whether a refrigerator gains or loses?",
    mistakes=(
        Mistake(
            "the surest gain taken for practice alone",
            "For that one the model gives a range, all of it a gain.",
            lambda job: by_gain(job)[0],
        ),
        Mistake(
            "a middling gain taken for practice alone",
            "A range stands beside it, and all of that is a gain.",
            lambda job: by_gain(job)[1],
        ),
        Mistake(
            "a small gain taken for practice alone",
            "Small isn't unknown: a range stands beside it.",
            lambda job: by_gain(job)[2],
        ),
    ),
)


# --- what may stand near the flue ---------------------------------------------------------------------------

MAY = ("sheet metal", "mineral wool without paper", "a board made for fire")
SHINY = ("foam board with foil on it", "bubble wrap with foil")
PAPER = ("mineral wool with paper on one side", "cardboard")
WOOD = ("plywood", "a strip of carpet")
_ORDER = (MAY, SHINY, PAPER, WOOD)


def by_material(job: Job) -> str:
    """Return the letters of a card's materials: what may stand there, what shines, paper, wood."""
    seen = {job.card[f"material_{letter}"]: letter for letter in LETTERS}
    return "".join(next(seen[each] for each in group if each in seen) for group in _ORDER)


MATERIAL = Item(
    name="material",
    title="What may stand near the flue",
    kind="choice",
    points=1,
    choices=tuple(LETTERS),
    key=lambda job: by_material(job)[0],
    hint="Which of the four can't burn, all of it?",
    mistakes=(
        Mistake(
            "foil taken for a shield",
            "Shiny doesn't mean that it can't burn: what is below the foil can.",
            lambda job: by_material(job)[1],
        ),
        Mistake(
            "paper overlooked",
            "Paper burns, on its own or on wool.",
            lambda job: by_material(job)[2],
        ),
        Mistake(
            "wood or carpet near a flue",
            "What burns in a room burns behind a refrigerator.",
            lambda job: by_material(job)[3],
        ),
    ),
)

STOP, FREE_FIRST, FOAM, FAN, UNIT = "abcde"
QUIET = "no smell, no soot, all seals whole"
SIGNS = (
    "a smell of gas at the lower vent",
    "soot over the flue, and the carbon monoxide alarm has gone off",
    "a sharp smell of ammonia behind the panel",
)


def first_step(job: Job) -> str:
    return FREE_FIRST if job.card["on_arrival"] == QUIET else STOP


FIRST_STEP = Item(
    name="first_step",
    title="What comes first",
    kind="choice",
    points=2,
    choices=(STOP, FREE_FIRST, FOAM, FAN, UNIT),
    key=first_step,
    hint="Stop signs before all else; then what takes least work; a fan and a unit last.",
    mistakes=(
        Mistake(
            "a stop sign seen where there is none",
            "Nothing you met is a stop sign: begin with the work.",
            instead_of(first_step, STOP),
        ),
        Mistake(
            "work begun in spite of a stop sign",
            "Read what you met on arrival: that comes before any work.",
            instead_of(first_step, FREE_FIRST),
        ),
        Mistake(
            "gaps foamed shut in haste",
            "Foam burns, and it shuts the burner's air as well. Vents come first, then the baffle.",
            lambda job: FOAM,
        ),
        Mistake(
            "a fan before the faults are put right", "A fan is no cure for a shut vent.", lambda job: FAN
        ),
        Mistake(
            "a unit condemned untested", "A unit is judged in an enclosure that is right.", lambda job: UNIT
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------


def found(draw: Draw) -> tuple[Entry, ...]:
    """Draw four refrigerators with one thing wrong each, materials at hand, and what was met on arrival."""
    lines = [*(FOUND[name].line for name in draw.pick(SETS)), draw.pick(BY_PRACTICE).line]
    lines = draw.pick(list(permutations(lines)))
    materials = draw.pick(list(permutations(draw.pick(group) for group in _ORDER)))
    return (
        *(
            Entry(f"finding_{letter}", f"Work: refrigerator {letter}", line)
            for letter, line in zip(LETTERS, lines, strict=True)
        ),
        *(
            Entry(f"material_{letter}", f"Work: at hand, {letter}", one)
            for letter, one in zip(LETTERS, materials, strict=True)
        ),
        Entry("on_arrival", "Work: on arrival", draw.pick([QUIET, QUIET, QUIET, *SIGNS])),
    )


ITEMS = (MOST_FOR_WORK, PRACTICE_ALONE, MATERIAL, FIRST_STEP)
