"""The exercise on diagnosis: keys, shares, the job card with its case.

What is right follows from the case's own readings, by the same Bayes over simulated cases that draws them:
`solved` gives what all readings together prove, one answer or a tie. So the card carries no key.
"""

import math
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from warmside.data import load
from warmside.diagnosis.case_file import (
    CaseFile,
    Solved,
    condemns,
    draw_case,
    from_file_text,
    solved,
)
from warmside.diagnosis.faults import FAULTS, Label, title_of
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.sufficient import chance, minutes, proven
from warmside.marking.exercise import ByHand, Exercise, Item, Job, Judged, Mistake, Table, Verdict
from warmside.marking.job_card import Draw, Entry, as_csv
from warmside.marking.kinds import Answer
from warmside.marking.temperature_log import temperature_log
from warmside.marking.wrong_turns import instead_of, kelvin, less_32, read_as_celsius
from warmside.show.case_pages import FILE_NAME

LOG = "temperature_log.csv"
RATINGS = load("ratings").fields
RATED = RATINGS["rated_ambient"].given  # °F by size
LIMIT = RATINGS["food_limit"].given  # °F by size, up to that ambient

LEVELS = (2, 3)
"""Levels that cases are drawn of: one fault or two, so that the second fault is a question."""

LETTERS = dict(zip(FAULTS, "abcdefghijklmnopqrstuvwx", strict=True))
"""Letter of each fault, the same for everybody."""
FAULT = {letter: name for name, letter in LETTERS.items()}

GROUPS = dict(zip(("none", "installation", "heat source", "control", "use", "unit"), "abcdef", strict=True))
"""Letter of each group of faults."""

REMEDIES = {
    "none": "a",
    **dict.fromkeys(("lower_vent_blocked", "upper_vent_blocked", "fins_fouled"), "b"),
    **dict.fromkeys(("baffle_missing", "cavity_too_deep", "pocket_open", "side_gaps"), "c"),
    **dict.fromkeys(("fan_dead", "fan_backwards"), "d"),
    "out_of_level": "e",
    **dict.fromkeys(("low_voltage", "half_heater", "heater_dead", "fuse"), "f"),
    **dict.fromkeys(("gas_pressure_low", "burner_weak"), "g"),
    **dict.fromkeys(("door_seal", "heavy_load", "frost", "thermostat"), "h"),
    "boiler_insulation_lost": "i",
    **dict.fromkeys(("circulation_blocked", "charge_lost"), "j"),
}
"""Letter of the remedy of each fault."""
NEW_UNIT = "j"

FIRST_STEPS = {
    **dict.fromkeys(
        ("none", "lower_vent_blocked", "side_gaps", "door_seal", "heavy_load", "thermostat"), "a"
    ),
    **dict.fromkeys(("fan_dead", "fan_backwards"), "ab"),
    **dict.fromkeys(("low_voltage", "half_heater", "heater_dead", "fuse"), "b"),
    **dict.fromkeys(("gas_pressure_low", "burner_weak"), "c"),
    **dict.fromkeys(("baffle_missing", "cavity_too_deep", "pocket_open", "fins_fouled"), "d"),
    "boiler_insulation_lost": "dg",
    "upper_vent_blocked": "e",
    "out_of_level": "f",
    **dict.fromkeys(("circulation_blocked", "charge_lost"), "g"),
    "frost": "h",
}
"""Letters of the first steps that are right for each fault."""

SOUND_CONDEMNED = "a sound cooling unit condemned"
PASSED_OVER, INVENTED = "a fault passed over", "a fault found where there is none"
_CONDEMNED = Verdict(
    0.0,
    (
        "You would replace a cooling unit that is sound. That is the dearest wrong call there is, so the "
        "questions on fault, second fault, cooling unit and remedy earn nothing.",
        "Before you condemn a unit: level, heat input and the enclosure must be proven good.",
    ),
    SOUND_CONDEMNED,
)


def case_of(job: Job) -> CaseFile:
    """Return the case of a job card."""
    return _case(job.card.files[FILE_NAME])


@lru_cache(maxsize=64)
def _case(text: str) -> CaseFile:
    return from_file_text(text, FILE_NAME)


def proof_of(job: Job) -> Solved:
    """Return what the case's readings prove; each case that is handed out proves something."""
    return solved(case_of(job))


def faults_in(labels: Collection[Label]) -> set[str]:
    """Return all faults that stand in some labels."""
    return {name for label in labels for name in label}


def taken(given: Mapping[str, Answer], job: Job) -> tuple[str, ...]:
    """Return the readings that the trainee took, of those that the case has."""
    return tuple(name for name in given.get("readings_taken", ()) if name in case_of(job).names)


def condemned(given: Mapping[str, Answer], proof: Solved) -> bool:
    """Tell whether a sound cooling unit is condemned in any of the answers."""
    if any(condemns(label) for label in proof.labels):
        return False
    named = [FAULT[given[item]] for item in ("fault", "second_fault") if item in given]
    return condemns(named) or given.get("unit") == "a" or NEW_UNIT in given.get("remedy", ())


def log_odds(proof: Solved, names: Iterable[str]) -> float:
    """Return the logarithm of the odds of what is right, by these readings alone."""
    probable = min(max(chance(proof.evidence, proof.labels, names), 1e-9), 1.0 - 1e-9)
    return math.log(probable / (1.0 - probable))


def percent(probability: float) -> str:
    """Return a chance as text; never quite 0 or 100 %."""
    return f"{min(max(round(100 * probability), 1), 99)} %"


# --- readings and minutes ---------------------------------------------------------------------------------

_FULL, _MOST = (2.0, 20.0), (4.0, 40.0)  # times the cheapest minutes, and minutes on top


def judge_readings(names: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what was read: whether it decides the case, and in how many minutes."""
    proof, names = proof_of(job), taken(given, job)
    spent, least = minutes(names), proof.cheapest.minutes
    lines = (f"Your readings took {spent:g} minutes. The cheapest that decide this case take {least:g}.",)
    table = odds_table(proof, case_of(job), names)
    if proven(proof.evidence, proof.labels, names):
        share = next(
            (
                share
                for share, (times, more) in ((1.0, _FULL), (0.75, _MOST))
                if spent <= times * least + more
            ),
            0.5,
        )
        said = "They decide it." if share == 1.0 else "They decide it, but some of the time was not needed."
        return Verdict(share, (*lines, said, what_settles(proof)), table=table)
    likeliest = ranked_after(proof, names)[0][0] in proof.labels
    now = percent(chance(proof.evidence, proof.labels, names))
    said = f"They don't decide it yet: what is right stands at {now} after them."
    return Verdict(
        0.5 if likeliest else 0.0,
        (*lines, said, what_settles(proof)),
        "" if likeliest else "readings that don't decide the case",
        table,
    )


def ranked_after(proof: Solved, names: Iterable[str]) -> list[tuple[Label, float]]:
    """Return explanations with their chances by these readings alone, the likeliest first."""
    chances = proof.evidence.probabilities(names)
    return sorted(zip(proof.evidence.labels, map(float, chances), strict=True), key=lambda one: -one[1])


def odds_table(proof: Solved, case: CaseFile, names: tuple[str, ...]) -> Table:
    """Return how the chances moved with each reading."""
    rows = []
    for count in range(len(names) + 1):
        read = names[:count]
        likeliest, chance_of_it = ranked_after(proof, read)[0]
        name = names[count - 1] if count else ""
        rows.append(
            (
                READINGS[name].title if name else "Before any reading",
                case.value(name) if name else "–",
                f"{minutes(read):g}",
                f"{title_of(likeliest)}: {percent(chance_of_it)}",
                percent(chance(proof.evidence, proof.labels, read)),
            )
        )
    head = ("Reading", "It shows", "Minutes so far", "Likeliest then", "Chance of what is right")
    return Table("How the chances moved with your readings (of the teaching model)", head, tuple(rows))


def what_settles(proof: Solved) -> str:
    """Say which single reading settles the case, or which are the cheapest that do together."""
    cheapest = proof.cheapest
    listed = ", then ".join(READINGS[name].title for name in cheapest.names)
    if len(cheapest.names) == 1:
        return f"One reading would have settled it: {listed} ({cheapest.minutes:g} minutes)."
    alone = [name for name in proof.evidence.by_reading if proven(proof.evidence, proof.labels, (name,))]
    if alone:
        best = min(alone, key=lambda name: READINGS[name].minutes)
        return (
            f"One reading would have settled it: {READINGS[best].title} ({READINGS[best].minutes:g} "
            f"minutes); cheaper still: {listed} ({cheapest.minutes:g} minutes)."
        )
    return f"No single reading settles it. The cheapest that do together: {listed}."


# --- what is wrong ----------------------------------------------------------------------------------------


def judge_where(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge where the fault lies."""
    groups = {FAULTS[name].group for name in faults_in(proof_of(job).labels)}
    if letter in {GROUPS[group] for group in groups}:
        return Verdict(1.0, ("That is right.",))
    if letter == GROUPS["unit"]:
        return Verdict(0.0, _CONDEMNED.feedback[1:], SOUND_CONDEMNED)
    if letter == GROUPS["none"]:
        return Verdict(0.0, ("Something is wrong: the readings say so.",), PASSED_OVER)
    said = ("It lies elsewhere: see in the table of question 1 how the chances moved.",)
    return Verdict(0.0, said, INVENTED if groups == {"none"} else "sought in another place")


def judge_fault(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what is wrong."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    name = FAULT[letter]
    if name in faults_in(proof.labels):
        said = ["That is right."]
        if len(proof.labels) > 1:
            tie = "; ".join(title_of(label) for label in proof.labels)
            said.append(f"No reading separates these, so each counts as right: {tie}.")
        return Verdict(1.0, tuple(said))
    if name == "none":
        return Verdict(0.0, ("Something is wrong: the readings say so.",), PASSED_OVER)
    if faults_in(proof.labels) == {"none"}:
        return Verdict(
            0.0,
            ("Nothing is wrong with this one: it does what it can on such a day.",),
            INVENTED,
        )
    by_theirs = sum(one for label, one in ranked_after(proof, taken(given, job)) if name in label)
    return Verdict(
        0.0,
        (f"By what you read, that had a chance of {percent(by_theirs)}.", "See the table of question 1."),
        "another fault taken for the one there is",
    )


def judge_second_fault(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what is wrong besides."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    name, first = FAULT[letter], FAULT.get(given.get("fault"), "none")
    if name in ("none", first):
        if any(len(label) == 1 for label in proof.labels):
            return Verdict(1.0, ("That is right.",))
        return Verdict(0.0, ("Something else is wrong as well.",), "a second fault passed over")
    if any(len(label) == 2 and name in label for label in proof.labels):
        return Verdict(1.0, ("That is right.",))
    if len(proof.labels) > 1 and {name, first} <= faults_in(proof.labels):
        return Verdict(1.0, ("These two are a tie that no reading separates; you named both.",))
    return Verdict(0.0, ("The readings don't show that.",), "a second fault that isn't there")


def judge_unit(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge whether the cooling unit has to be replaced."""
    proof = proof_of(job)
    gone = any(condemns(label) for label in proof.labels)
    if condemned(given, proof):
        return _CONDEMNED
    if letter == ("a" if gone else "b"):
        return Verdict(1.0, ("That is right.",))
    if letter == "c":
        undecided = not proven(proof.evidence, proof.labels, taken(given, job))
        if undecided:
            return Verdict(0.5, ("Fair by what you read; more readings would have told.",))
        return Verdict(0.0, ("Your readings tell.",), "left open though the readings tell")
    return Verdict(0.0, ("The unit is gone, and nothing else brings the cold back.",), "a dead unit left in")


# --- evidence ---------------------------------------------------------------------------------------------

_MOVED = ((0.7, 1.0), (0.4, 0.5))
_LITTLE = 0.05


def judge_evidence(names: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge by how far the named readings alone move the odds towards what is right."""
    proof, read = proof_of(job), taken(given, job)
    named = tuple(name for name in names if name in read)
    said = []
    if len(named) < len(names):
        said.append("Only readings that you took count as evidence.")
    before, after = log_odds(proof, ()), log_odds(proof, read)
    whole = after - before
    if not named or whole <= 0.0:
        said.append("What you read doesn't speak for what is right." if named else "Name some that you took.")
        return Verdict(0.0, tuple(said), "evidence that moves nothing" if named else "")
    by_named = log_odds(proof, named)
    moved = (by_named - before) / whole
    if proven(proof.evidence, proof.labels, named):
        moved = max(moved, 1.0)
    share = next((share for least, share in _MOVED if moved >= least), 0.0)
    little = min(_LITTLE, 0.5 / len(named)) * whole
    tells = [
        name
        for name in named
        if max(
            log_odds(proof, (name,)) - before,
            by_named - log_odds(proof, [other for other in named if other != name]),
        )
        >= little
    ]
    idle = [name for name in named if name not in tells]
    if 2 * len(tells) < len(named):
        share = min(share, 0.5)
    if idle:
        said.append(f"These hardly move the odds: {', '.join(READINGS[name].title for name in idle)}.")
    far = "as far as all that you took" if moved >= 0.95 else f"{percent(moved)} of the way of all you took"
    said.append(f"What you name moves the odds {far}." if moved > 0.0 else "It points elsewhere.")
    return Verdict(share, tuple(said), "" if share else "evidence that moves nothing")


# --- what to do -------------------------------------------------------------------------------------------


def judge_remedy(letters: tuple[str, ...], given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge the remedies: all that are needed, and none that isn't."""
    proof = proof_of(job)
    if condemned(given, proof):
        return _CONDEMNED
    needed = [{REMEDIES[name] for name in label} for label in proof.labels]
    needed.append(set().union(*needed))  # of a whole tie
    chosen = set(letters)
    share = max(len(one & chosen) / len(one | chosen) for one in needed)
    if share == 1.0:
        return Verdict(1.0, ("That is right.",))
    if share > 0.0:
        return Verdict(0.5, ("Some of it is right: one is missing, or one is not needed.",))
    return Verdict(0.0, ("That doesn't put right what is wrong.",), "a remedy that doesn't help")


def judge_first_step(letter: str, given: Mapping[str, Answer], job: Job) -> Verdict:
    """Judge what safety asks for first."""
    faults = faults_in(proof_of(job).labels)
    right = set("".join(FIRST_STEPS[name] for name in faults))
    if letter in right:
        return Verdict(1.0, ("That is right.",))
    if right == {"a"}:
        return Verdict(0.5, ("That does no harm, but nothing here asks for it.",))
    if letter == "a":
        return Verdict(0.0, ("This work can hurt somebody: ask what.",), "a hazard passed over")
    return Verdict(0.0, ("That guards against another hazard than the one here.",), "another hazard guarded")


# --- the re-test of another refrigerator ------------------------------------------------------------------

HOLDS, MILD_DAY, NOT_YET = "abc"
RETESTS = {
    # how far the hottest hour lies above the rated ambient; cabinet air at the day's mean (°F); its rise
    # with each °F of ambient; how far the thermostat lets it swing (°F)
    HOLDS: ((1.0, 4.0), (36.0, 39.0), 0.10, 2.0),
    MILD_DAY: ((-20.0, -8.0), (35.0, 38.0), 0.10, 2.0),
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


def _choices(letters: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(letters))


ITEMS = (
    Judged("readings_taken", "Readings and minutes", "names", 4, tuple(READINGS), judge_readings),
    Judged("where", "Where it lies", "choice", 1, _choices(GROUPS.values()), judge_where),
    Judged("fault", "What is wrong", "choice", 4, _choices(LETTERS.values()), judge_fault),
    Judged("second_fault", "What else is wrong", "choice", 2, _choices(LETTERS.values()), judge_second_fault),
    Judged("evidence", "Evidence", "names", 3, tuple(READINGS), judge_evidence),
    Judged("unit", "Whether the unit is gone", "choice", 2, tuple("abc"), judge_unit),
    Judged("remedy", "Remedy", "names", 2, tuple("abcdefghij"), judge_remedy),
    Judged("first_step", "First step, for safety", "choice", 2, tuple("abcdefgh"), judge_first_step),
    Item(
        name="retest",
        title="Test after the repair",
        kind="choice",
        points=1,
        choices=tuple("abcd"),
        key=lambda job: "c",
        hint="A repair is proven the same way as the fault was.",
        mistakes=(
            Mistake(
                "air taken for food",
                "Air right after opening says little: read water that stood in the middle.",
                lambda job: "a",
            ),
            Mistake(
                "judged after an hour",
                "A cabinet takes half a day and more to settle.",
                lambda job: "b",
            ),
            Mistake(
                "left to the customer",
                "You prove your own work, and write it down.",
                lambda job: "d",
            ),
        ),
    ),
    Item(
        name="hottest_hour",
        title="Hottest hour of the re-test",
        kind="temperature",
        points=1,
        key=hottest_hour,
        tolerance="1 °F",
        why="The chart has a line each 2 °F and is read to half of that.",
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
        points=2,
        choices=(HOLDS, MILD_DAY, NOT_YET),
        key=retest_proves,
        hint="Hold the cup against the limit first, then the hottest hour against the rating.",
        mistakes=(
            Mistake(
                "a mild day taken as proof",
                "It held, but the day never got as hot as it is rated for: that proves little.",
                instead_of(retest_proves, HOLDS, MILD_DAY),
                credit=0.25,
            ),
            Mistake(
                "proof doubted although the day was hot enough",
                "Compare the hottest hour with the rating once more.",
                instead_of(retest_proves, MILD_DAY, HOLDS),
                credit=0.25,
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
                credit=0.25,
            ),
            Mistake(
                "work sought where there is none",
                "The cup is below the limit at the end: nothing here asks for more work.",
                instead_of(retest_proves, NOT_YET),
            ),
        ),
    ),
)


def note_rubric(job: Job) -> tuple[str, ...]:
    """Say what is true of this case, and what earns marks."""
    case, proof = case_of(job), proof_of(job)
    tie = "; or ".join(title_of(label) for label in proof.labels)
    shown = ", ".join(f"{READINGS[name].title}: {case.value(name)}" for name in proof.cheapest.names[:4])
    remedies = " ".join(FAULTS[name].remedy for name in proof.labels[0])
    return (
        f"What is wrong in case {case.number}: {tie}. Shown by {shown}.",
        f"What puts it right: {remedies}",
        "1: names that, with a reading it stands on.",
        "1: says what is done, by whom, and what stays off the customer's hands.",
        "1: plain words, no guess sold as a finding, none of the owner's own words blamed on them.",
        "A wrong answer to question 3 costs marks there; a note that follows from it may have all three.",
        "No mark at all for advice that could hurt, or for a sound cooling unit condemned.",
    )


NOTE = ByHand(name="customer_line", title="Line to the customer", points=3, rubric=note_rubric)


# --- the job card -----------------------------------------------------------------------------------------


def draw(draw: Draw) -> tuple[tuple[Entry, ...], dict[str, str]]:
    """Draw a case, its readings packed in a file beside the card, and the log of a re-test."""
    level = draw.pick(LEVELS)
    case, _ = draw_case(int(draw.between(0, 2**48, 1)), level)
    entries = (
        Entry("case", "Case", case.number),
        Entry("size", "Refrigerator, cubic feet", case.size),
        Entry("heat_source", "It runs on", case.heat_source),
        Entry("season", "The day", case.season),
        Entry("ambient", "Air outside, when you read", case.ambient, "temperature"),
        Entry("complaint", "The owner says", case.complaint),
    )
    return entries, {FILE_NAME: case.to_text(), LOG: retest_log(draw, case.size)}


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


EXERCISE = Exercise("diagnosis", "Diagnosis", ITEMS, draw, by_hand=(NOTE,), needs_bank=True)
