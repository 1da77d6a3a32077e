"""Questions 10 to 12: what the log of a re-test proves."""

from warmside.data import load
from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, as_csv
from warmside.marking.temperature_log import temperature_log
from warmside.marking.wrong_turns import instead_of, kelvin, less_32, read_as_celsius
from warmside.model.sizes import SIZES, usual_rating

LOG = "temperature_log.csv"
RATINGS = load("ratings").fields
RATED, LIMIT = (
    {size: RATINGS[name].given[usual_rating(size)] for size in SIZES}  # °F
    for name in ("rated_ambient", "food_limit")
)

HOLDS, MILD_DAY, NOT_YET = "abc"
RETESTS = {
    # how far the hottest hour lies above the rated ambient; cabinet air at the day's mean (°F); its rise
    # with each °F of ambient; how far the thermostat lets it swing (°F)
    HOLDS: ((1.0, 8.0), (34.0, 40.0), 0.10, 2.0),
    MILD_DAY: ((-20.0, -8.0), (34.0, 40.0), 0.10, 2.0),
    NOT_YET: ((-12.0, -3.0), (50.0, 57.0), 0.35, 0.3),
}


def hottest_hour(job: Job) -> float:
    return kelvin(job.card.column(LOG, "ambient_F").max())


def cup_margin(job: Job) -> float:
    """How far the cup ends below the limit [K]; negative above it."""
    return (LIMIT[job.card["size"]] - job.card.column(LOG, "cup_F")[-1]) / 1.8


def retest_proves(job: Job) -> str:
    """What the re-test proves."""
    if job.value("cup_margin") < 0.0:
        return NOT_YET
    return HOLDS if job.value("hottest_hour") >= kelvin(RATED[job.card["size"]]) else MILD_DAY


PROVES = {
    HOLDS: "it holds, on a day as hot as it is rated for, and nothing more is to be done",
    MILD_DAY: "it held on a day milder than its rating, and nothing about a hotter one",
    NOT_YET: "it doesn't hold yet",
}

ITEMS = (
    Item(
        name="hottest_hour",
        title="Hottest hour of the re-test",
        kind="temperature",
        points=2,
        key=hottest_hour,
        tolerance="1 °F",
        why="The chart has a line each 2 °F and is read to half of that.",
        could_be=("50 °F", "130 °F"),
        hint="Go along the line of the ambient to its highest point.",
        mistakes=(
            Mistake(
                "ambient at the end read",
                "That is the last hour. Which one was the hottest?",
                lambda job: kelvin(job.card.column(LOG, "ambient_F")[-1]),
                credit=0.25,
            ),
            Mistake(
                "mean of the day given",
                "That is the mean. A refrigerator has to hold in the hottest hour.",
                lambda job: kelvin(job.card.column(LOG, "ambient_F").mean()),
                credit=0.25,
            ),
            Mistake(
                "°F taken as °C",
                "The log is in °F: look at the unit you wrote behind the number.",
                lambda job: read_as_celsius(hottest_hour(job)),
                credit=0.25,
            ),
        ),
    ),
    Item(
        name="cup_margin",
        title="Cup below the limit, after 24 hours",
        kind="temperature_difference",
        points=1,
        key=cup_margin,
        tolerance="1 °F",
        why="The chart has a line each 2 °F and is read to half of that.",
        could_be=("-30 degF", "15 degF"),
        hint="Limit less the cup's last reading: plus when it is colder than the limit.",
        mistakes=(
            Mistake(
                "sign turned round",
                "Plus means colder than the limit, minus warmer: look at both once more.",
                lambda job: -cup_margin(job),
                credit=0.5,
            ),
            Mistake(
                "the cup itself given",
                "That is the cup's temperature. Asked is how far below the limit it is.",
                lambda job: job.card.column(LOG, "cup_F")[-1] / 1.8,
            ),
            Mistake(
                "a difference turned to °C as if it were a temperature",
                "A difference in °F is 1.8 times one in °C; nothing is taken off.",
                lambda job: less_32(cup_margin(job)),
            ),
        ),
    ),
    Item(
        name="retest_proves",
        title="What the re-test proves",
        kind="choice",
        points=1,
        choices=(HOLDS, MILD_DAY, NOT_YET),
        key=retest_proves,
        hint="Hold the cup against the limit first, then the hottest hour against the rating.",
        decides=lambda job, answer: f"What this test really proves: {PROVES[retest_proves(job)]}.",
        mistakes=(
            Mistake(
                "a mild day taken as proof",
                "It held, but the day never got as hot as it is rated for: that proves little.",
                instead_of(retest_proves, HOLDS, MILD_DAY),
            ),
            Mistake(
                "proof doubted although the day was hot enough",
                "Compare the hottest hour with the rating once more.",
                instead_of(retest_proves, MILD_DAY, HOLDS),
            ),
            Mistake(
                "a warm cup passed",
                "The cup is above the limit at the end.",
                instead_of(retest_proves, HOLDS, NOT_YET),
            ),
            Mistake(
                "a warm cup put down to the weather",
                "The cup is above the limit, though the day was milder than the rating.",
                instead_of(retest_proves, MILD_DAY, NOT_YET),
            ),
            Mistake(
                "work sought where there is none",
                "The cup is below the limit at the end: nothing here asks for more work.",
                instead_of(retest_proves, NOT_YET),
            ),
        ),
    ),
)


def retest_log(draw: Draw, size: str) -> str:
    """Draw the log of a re-test of another refrigerator of this size as CSV."""
    (least, most), (low, high), rise, swing = RETESTS[draw.pick(list(RETESTS))]
    return as_csv(
        temperature_log(
            first_hour=draw.pick([5, 6, 7, 8]),
            hottest=RATED[size] + draw.between(least, most, 0.5),
            half_range=draw.between(8, 13, 0.5),
            mean_air=draw.between(low, high, 0.1),
            rise=rise,
            swing=swing,
            phase=draw.between(0, 1, 0.01),
            time_constant=draw.between(1.8, 2.4, 0.1) * 3600.0,
            start=draw.between(62, 80, 1),
        )
    )
