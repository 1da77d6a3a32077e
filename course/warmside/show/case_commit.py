"""To what a trainee commits: what is wrong, and what is done."""

import re
from dataclasses import dataclass

from warmside.diagnosis.fault import REMEDIES
from warmside.diagnosis.faults import FAULTS, NONE, title_of
from warmside.errors import InputError
from warmside.show.typed_names import named, plain

STOP = "stop"
_MOST = 2  # things that are wrong at once


@dataclass(frozen=True)
class Commit:
    """A trainee's last word on a case.

    Attributes
    ----------
    stops : bool
        Whether the job ends at a stop sign; then there is nothing else.
    wrong : tuple of str
        Names of the faults.
    remedies : tuple of str
        Names of what is done.
    minutes : float
        Spent on readings until then.
    """

    stops: bool
    wrong: tuple[str, ...]
    remedies: tuple[str, ...]
    minutes: float

    @property
    def said(self) -> str:
        """The same in words, without a full stop."""
        if self.stops:
            return "the job stops here"
        done = " ".join(REMEDIES[name].title for name in self.remedies)
        return f"{title_of(self.wrong)}. What you do: {done.removesuffix('.')}"


def commit(wrong: str, do: str, minutes: float) -> Commit:
    """Read to what somebody commits.

    Parameters
    ----------
    wrong : str
        Codes, names or titles of one fault or two, with a comma; or "stop".
    do : str
        Letters, names or titles of remedies, with commas.
    minutes : float
        Spent on readings until then.

    Raises
    ------
    InputError
        One sentence, if either can't be understood.

    Examples
    --------
    >>> commit("LV, fins fouled", "b", 24.0).wrong
    ('lower_vent_blocked', 'fins_fouled')
    """
    if plain(wrong) == STOP:
        return Commit(True, (), (), minutes)
    names = _names(wrong, {name: fault.code for name, fault in FAULTS.items()}, FAULTS, "fault")
    if not names:
        raise InputError(
            'Write what is wrong, as in case.commit("lv", do="b"): a code from the list, "ok" or "stop".'
        )
    if len(names) > _MOST or (NONE[0] in names and len(names) > 1):
        raise InputError(f"You named {title_of(names)}; commit to one thing, to two, or to none.")
    remedies = _names(do, {name: one.code for name, one in REMEDIES.items()}, REMEDIES, "remedy")
    if not remedies:
        raise InputError('Write what you do, too, as in do="b": letters from the list of what can be done.')
    return Commit(False, names, remedies, minutes)


def _names(typed, codes, listed, what):
    by_code = {code: name for name, code in codes.items()}
    titles = {name: one.title for name, one in listed.items()}
    parts = [part for part in re.split(r"[,;+]", str(typed)) if part.strip()]
    found = {by_code.get(plain(part)) or named(part.strip(), titles, what) for part in parts}
    return tuple(name for name in listed if name in found)
