"""Names as a technician types them: in any capitals, with spaces or dashes, or as their title."""

import re
from collections.abc import Mapping
from difflib import get_close_matches

from warmside.errors import InputError

_NEAR = 3  # that are offered
_FILLING = {"temp", "temperature", "the", "at", "look", "check", "test", "reading"}
"""What people say besides, and what tells nothing."""


def plain(typed: object) -> str:
    """Return a name without capitals, dashes and dots: ``"Top-Air"`` and ``"top_air"`` are one.

    Examples
    --------
    >>> plain("Top-Air "), plain("top_air")
    ('top air', 'top air')
    """
    return re.sub(r"[\W_]+", " ", str(typed).casefold()).strip()


def named(typed: object, titles: Mapping[str, str], what: str) -> str:
    """Return the name that is meant.

    Parameters
    ----------
    typed : object
        A name or its title, or words that only one name has.
    titles : mapping of str to str
        All titles by their names.
    what : str
        What they are names of, such as "reading in this case".

    Raises
    ------
    InputError
        One sentence, with what may have been meant, if that is none of them or more than one.

    Examples
    --------
    >>> titles = {"lower_vent_look": "Look at the lower vent", "boiler": "Boiler"}
    >>> named("Lower Vent", titles, "reading"), named("boiler temp", titles, "reading")
    ('lower_vent_look', 'boiler')
    """
    wanted = plain(typed)
    for name, title in titles.items():
        if wanted in (plain(name), plain(title)):
            return name
    words = set(wanted.split()) - _FILLING
    told = [name for name in titles if words and words <= set(plain(name).split())]
    alone = [name for name in told if words == set(plain(name).split())] or told
    if len(alone) == 1:
        return alone[0]
    near = told or _near(wanted, words, titles)
    there = f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(titles)}."
    raise InputError(f"“{typed}” is no {what}; {there}")


def _near(wanted: str, words: set[str], titles: Mapping[str, str]) -> list[str]:
    """Return names that share a word with what was typed, or are spelt nearly so."""
    by_spelling = {plain(text): name for name, title in titles.items() for text in (title, name)}
    spelt = [by_spelling[text] for text in get_close_matches(wanted, by_spelling, _NEAR)]
    sharing = [name for name in titles if words & set(plain(name).split())]
    return list(dict.fromkeys([*spelt, *sharing]))[:_NEAR]
