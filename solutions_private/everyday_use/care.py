"""Part 4 of “Everyday use”: the next stop, who may do what, and the note for the customer."""

from warmside.marking.exercise import ByHand, Item, Job, Mistake
from warmside.marking.wrong_turns import instead_of

from .log import GOES, hours_above, log_verdict, sensor_error, which_goes

SHUT, LEVEL, LEAVE = "abc"
OWNER, TRAINED, ELECTRICIAN, GAS = "abcd"
STOPS = {
    SHUT: (
        "a filling station, to take fuel, running on gas",
        "a car ferry, running on gas",
        "a tunnel whose sign forbids open flames, running on gas",
        "a filling station, on automatic, no mains",
    ),
    LEVEL: (
        "a night on a slope, five degrees to the side, on gas",
        "three days on a bank, four degrees to the side, on mains",
        "a week on a drive, nine degrees nose down, on mains",
    ),
    LEAVE: (
        "a night on a level pitch with good mains",
        "a week on a level pitch, mains at 119 V",
        "a lunch of an hour on a level lot, on the battery",
    ),
}
WORKS = {
    OWNER: (
        "test the door's seal with a strip of paper",
        "free the drain's tube from the inside",
        "check the thermometer in ice water",
        "press the test button of the gas alarm",
    ),
    TRAINED: (
        "clean the fins behind, all off and cold",
        "set the baffle behind, all off and cold",
        "change the 12 V fan behind, all off",
    ),
    ELECTRICIAN: (
        "read the mains heater's volts under load",
        "renew the mains cord of the heater",
        "change the mains heater",
    ),
    GAS: (
        "clean the burner and its orifice",
        "test the gas line for leaks",
        "brush out the flue",
        "set the regulator's pressure",
    ),
}


def _letter(lines: dict[str, tuple[str, ...]], text: str) -> str:
    return next(letter for letter, texts in lines.items() if text in texts)


def next_stop(job: Job) -> str:
    return _letter(STOPS, job.card.entry("next_stop").text)


NEXT_STOP = Item(
    name="next_stop",
    title="Before the next stop",
    kind="choice",
    points=1,
    key=next_stop,
    choices=(SHUT, LEVEL, LEAVE),
    hint="Ask two things: is a flame forbidden there, and will it stand level?",
    mistakes=(
        Mistake(
            "gas taken for what is wrong there",
            "Nothing at that place forbids a flame. Ask how it will stand.",
            instead_of(next_stop, SHUT),
        ),
        Mistake(
            "level taken for what is wrong there",
            "It isn't the ground that matters there.",
            instead_of(next_stop, LEVEL),
        ),
        Mistake(
            "left running where it must not",
            "Something there speaks against it: flame or ground.",
            instead_of(next_stop, LEAVE),
        ),
    ),
)


def yearly_work(job: Job) -> str:
    return _letter(WORKS, job.card.entry("work").text)


YEARLY_WORK = Item(
    name="yearly_work",
    title="Who may do it",
    kind="choice",
    points=1,
    key=yearly_work,
    choices=(OWNER, TRAINED, ELECTRICIAN, GAS),
    hint="Ask what it touches: nothing that hurts, hot tubes and fins, mains, or gas.",
    mistakes=(
        Mistake("left to the owner", "Somebody can get hurt by it: by what?", instead_of(yearly_work, OWNER)),
        Mistake(
            "given to a trained technician",
            "Look at what it touches: more than the back, or less?",
            instead_of(yearly_work, TRAINED),
        ),
        Mistake(
            "given to an electrician",
            "No mains is touched there.",
            instead_of(yearly_work, ELECTRICIAN),
        ),
        Mistake("given to a gas technician", "No gas is touched there.", instead_of(yearly_work, GAS)),
    ),
)

SAYS = {
    "a": "the sensor feels too warm, so the unit runs on and the box gets too cold; clip it back or renew it",
    "b": "the sensor feels too cold, so the unit stops too soon and the box gets warm; renew it",
    "c": "sensor and unit are in order, and the door alone made it warm",
    "d": "the sensor is right, the unit runs without a rest: air, heat and level are looked at, a unit last",
}


def note_rubric(job: Job) -> tuple[str, ...]:
    return (
        f"On this card: the sensor's error at the end is {sensor_error(job) * 1.8:+.1f} °F, and the milk was "
        f"above 40 °F for {hours_above(job) / 3600.0:.1f} h. What the log says: {SAYS[log_verdict(job)]}. "
        f"{GOES[which_goes(job)]}",
        "1: says what the log shows, with one number of it.",
        "1: says what food goes and why, by hours, not by smell or taste.",
        "1: says what the customer does otherwise: loading cold, the door, or who looks at what.",
        "1: says how it is seen whether it helped: a cup for a day, or the same log again.",
        "A wrong answer to an earlier question costs marks there; a note that follows from it may have all "
        "four.",
        "No mark at all for advice that could hurt: warm food eaten, gas or mains left to the owner, a knife "
        "at the frost, a sealed unit opened.",
    )


NOTE = ByHand(name="customer_note", title="Note for the customer", points=4, rubric=note_rubric)

ITEMS = (NEXT_STOP, YEARLY_WORK)
