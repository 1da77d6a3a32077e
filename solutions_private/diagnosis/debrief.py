"""The debrief of a case, for whoever worked it: what was right, and the cheapest way there."""

from warmside.diagnosis.leading import LEAD
from warmside.diagnosis.readings import READINGS
from warmside.show.case_debrief import Debrief, way

from .case_file import CaseFile
from .case_proof import Solved
from .cheapest import EXACT


def debrief_of(case: CaseFile, solved: Solved) -> Debrief:
    """Return what is told of a case after the commit."""
    cheapest = solved.cheapest
    return Debrief(
        labels=solved.labels,
        needed=solved.needed,
        performs=solved.performs,
        minutes=cheapest.minutes,
        how_decided=how_decided(solved),
        cheapest_way=way(solved, [(name, case.value(name)) for name in cheapest.names]),
        wrong_calls=solved.wrong_calls,
        retest=tuple((READINGS[name].title, shown) for name, shown in case.retest),
    )


def how_decided(solved: Solved) -> str:
    """Say what makes the cheapest readings decide a case."""
    if solved.performs:
        return (
            "Cup and freezer are within their limits on a day near the rated one: it does what its rating "
            "promises, whatever the chances say. No cause is looked for."
        )
    first = "A cooling unit takes every proof. " if solved.condemns else "The cup comes first in any case. "
    led = (
        f"To decide means: {LEAD:g} times as likely as the next explanation, and likelier than all others "
        "together."
    )
    if solved.cheapest.exact:
        return f"{first}No cheaper set of up to {EXACT} readings besides decides it. {led}"
    return f"{first}More than {EXACT} readings besides are needed; a cheaper set of as many may exist. {led}"
