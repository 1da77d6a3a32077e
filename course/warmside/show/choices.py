"""What an exercise offers to choose from, out of the catalogues of the diagnosis: codes and meanings."""

from collections.abc import Mapping

from IPython.display import display
from markupsafe import Markup

from warmside.blocks import table
from warmside.diagnosis.fault import FIRST_STEPS, GROUPS, REMEDIES, Fault, Listed
from warmside.diagnosis.faults import FAULTS
from warmside.hazards import STOP_SIGNS

_STOP_SIGNS = {
    "none": Listed("none", "Nothing of these: go on."),
    **{name: Listed(name, sign.title) for name, sign in STOP_SIGNS.items()},
}
LISTS: Mapping[str, tuple[str, Mapping[str, Fault] | Mapping[str, Listed]]] = {
    "stop_signs": ("What stops a job", _STOP_SIGNS),
    "groups": ("Where it can lie", GROUPS),
    "faults": ("What can be wrong", FAULTS),
    "remedies": ("What can be done", REMEDIES),
    "first_steps": ("What can come first", FIRST_STEPS),
}
"""What there is to choose from: a caption, and what is listed under it."""


def codes(of: str) -> tuple[str, ...]:
    """Return the codes of a list: "stop_signs", "groups", "faults", "remedies" or "first_steps"."""
    _, listed = LISTS[of]
    return tuple(one.code for one in listed.values())


def show_choices(of: str) -> None:
    """Show a list as a table: what to type, and what it means."""
    caption, listed = LISTS[of]
    plain = "\n".join(f"{one.code}  {one.title}" for one in listed.values())
    rows = [(Markup("<code>{}</code>").format(one.code), one.title) for one in listed.values()]
    page = table(caption, ("To type", "It means"), rows)
    display({"text/plain": plain, "text/html": page}, raw=True)
