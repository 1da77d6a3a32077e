"""Part 2 of “Everyday use”: a defrost by the clock, planned."""

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.wrong_turns import instead_of

DAY, HOUR = 86400.0, 3600.0
LASTS, LATER, EARLIER = "abc"


def latest_power_up(job: Job) -> float:
    return (job["cooking_from"] - job["defrost_takes"] - job["first_defrost"]) % DAY


LATEST_POWER_UP = Item(
    name="latest_power_up",
    title="Latest hour to power up",
    kind="time",
    points=2,
    key=latest_power_up,
    tolerance="0.1 h",
    why="All times are whole or half hours.",
    hint="Begin where it must be over. Count back what it takes, then the hours to the first one; add 24 h "
    "where you come below midnight.",
    mistakes=(
        Mistake(
            "what the defrost takes forgotten",
            "It must be over, not begin, when people start to cook.",
            lambda job: (job["cooking_from"] - job["first_defrost"]) % DAY,
            credit=0.5,
        ),
        Mistake(
            "the earliest hour given",
            "That is when it may begin at the earliest; the latest is asked.",
            lambda job: (job["cooking_to"] - job["first_defrost"]) % DAY,
        ),
        Mistake(
            "counted forward",
            "Power-up comes before the first defrost: count back from it.",
            lambda job: (job["cooking_from"] - job["defrost_takes"] + job["first_defrost"]) % DAY,
        ),
    ),
)


def plan_lasts(job: Job) -> str:
    over = job["between_defrosts"] % DAY
    if over == 0.0:
        return LASTS
    return LATER if over < DAY / 2 else EARLIER


PLAN_LASTS = Item(
    name="plan_lasts",
    title="Does the plan last?",
    kind="choice",
    points=1,
    key=plan_lasts,
    choices=(LASTS, LATER, EARLIER),
    hint="Compare the time between two with a whole number of days.",
    mistakes=(
        Mistake(
            "a plan that wanders taken to last",
            "Write down the clock of the first three: is it the same?",
            instead_of(plan_lasts, LASTS),
        ),
        Mistake(
            "taken to come later each time",
            "Later it comes where the time between two is a little more than whole days.",
            instead_of(plan_lasts, LATER),
        ),
        Mistake(
            "taken to come earlier each time",
            "Earlier it comes where the time between two is a little less than whole days.",
            instead_of(plan_lasts, EARLIER),
        ),
    ),
)

ITEMS = (LATEST_POWER_UP, PLAN_LASTS)
