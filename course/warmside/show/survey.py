"""A survey of an enclosure: what a tape read, against the trade's rules, and what putting it right gives."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from jinja2 import Environment

from warmside.data import load
from warmside.model.ensemble import Cost, cost_of
from warmside.model.limits import Check, Verdict, check
from warmside.model.sizes import calibrated
from warmside.show.departures import MEMBERS, departures, how_sure, mended
from warmside.show.enclosure import Enclosure, installation_of
from warmside.units import from_si, show

_LIMITS, _REMEDIES = load("limits"), load("remedies")
_TAPE = _LIMITS.number("tape_accuracy")
_MARKS = {Verdict.WITHIN: "✔", Verdict.OUTSIDE: "✘", Verdict.TOO_NEAR: "≈"}
_GAPS = ("rear_gap", "baffle_gap", "side_gap", "top_gap")
_TITLES = {
    "rear_gap": "Behind the fins",
    "baffle": "Baffle",
    "baffle_gap": "Baffle to fins",
    "side_gap": "Each side gap",
    "top_gap": "Gap over the top",
    "pocket_open": "Space over the top",
    "lower_blocked": "Free area of the lower vent",
    "upper_blocked": "Free area of the outlet",
}
_SIXTEENTHS = 16
_INCH = 0.0254  # m
_GOOD = replace(Enclosure(), rear_gap=0.75 * _INCH, baffle_gap=0.375 * _INCH, side_gap=0.25 * _INCH)
SURVEYS = {
    "As found": replace(
        _GOOD, rear_gap=2 * _INCH, baffle_gap=9 / 16 * _INCH, side_gap=0.75 * _INCH, lower_blocked=0.25
    ),
    "Deep, no baffle": replace(_GOOD, rear_gap=5 * _INCH, baffle=False),
    "Open all round": replace(_GOOD, baffle=False, side_gap=_INCH, top_gap=3 * _INCH),
    "In a slide-out": replace(_GOOD, outlet="wall", lower_blocked=0.5),
    "By the rules": _GOOD,
}
"""Surveys to load, all invented; a gap and a sixteenth over its limit are too near to tell."""


class Entry(NamedTuple):
    """One line of a survey.

    Attributes
    ----------
    field : str
        Of the enclosure.
    title, reading, rule : str
        What was looked at, what was read, and what practice asks for.
    verdict : Verdict
        Within; outside by more than the tape may be off; or by less, too near to tell.
    """

    field: str
    title: str
    reading: str
    rule: str
    verdict: Verdict

    @property
    def told(self) -> str:
        """The verdict with its mark."""
        return f"{_MARKS[self.verdict]} {self.verdict}"

    @property
    def minutes(self) -> float:
        """What the remedy takes [min]."""
        return float(_REMEDIES.fields[self.field].given)

    @property
    def remedy(self) -> str:
        """What puts it right."""
        return _REMEDIES.fields[self.field].meaning


def on_tape(gap: float, system: str = "US") -> str:
    """Return a gap as a tape is read: in sixteenths of an inch, or in whole millimeters.

    Parameters
    ----------
    gap : float
        In m.
    system : str, optional
        "US" or "SI".

    Examples
    --------
    >>> on_tape(0.0254 * 1.3125), on_tape(0.0254 / 4), on_tape(0.0), on_tape(0.0254 / 4, "SI")
    ('1 5/16 in', '1/4 in', '0 in', '6 mm')
    """
    if system == "SI":
        return f"{1000.0 * gap:.0f} mm"
    whole, part = divmod(Fraction(round(gap / _INCH * _SIXTEENTHS), _SIXTEENTHS), 1)
    words = [str(each) for each in (whole, part) if each]
    return f"{' '.join(words) or '0'} in"


def survey(enclosure: Enclosure, system: str = "US") -> tuple[Entry, ...]:
    """Return all lines of an enclosure's survey, in the order in which one looks.

    Parameters
    ----------
    enclosure : Enclosure
        As it was found.
    system : str, optional
        "US" or "SI".

    Returns
    -------
    tuple of Entry
        One for each reading; without a baffle none for its distance.

    Examples
    --------
    >>> side = survey(Enclosure(side_gap=5 / 16 * 0.0254))[3]
    >>> side.title, side.reading, side.rule, side.told
    ('Each side gap', '5/16 in', 'at most 1/4 in', '≈ too near to tell')
    """
    gaps = check(enclosure.rating, **{name: getattr(enclosure, name) for name in _GAPS})
    by_name = {each.name: _gap(each, system) for each in gaps}
    if not enclosure.baffle:
        del by_name["baffle_gap"]
    by_name["baffle"] = _seen("baffle", enclosure.baffle, ("there", "none"), "there")
    pocket = not enclosure.pocket_open
    by_name["pocket_open"] = _seen("pocket_open", pocket, ("closed off", "open"), "closed off")
    for name, vent in (("lower_blocked", "lower_vent_area"), ("upper_blocked", "upper_vent_area")):
        by_name[name] = _vent(enclosure, name, vent, system)
    return tuple(by_name[name] for name in _TITLES if name in by_name)


def _gap(found: Check, system: str) -> Entry:
    low, high = (on_tape(end, system) if np.isfinite(end) else "" for end in (found.lowest, found.highest))
    rule = f"{low.split(' ')[0]} to {high}" if low else f"at most {high}"
    if found.highest == 0.0:
        rule = "none"
    reading = on_tape(found.measured, system)
    return Entry(found.name, _TITLES[found.name], reading, rule, found.verdict)


def _seen(field: str, is_right: bool, words: tuple[str, str], rule: str) -> Entry:
    """Return what is seen without a tape, and so never too near to tell."""
    verdict = Verdict.WITHIN if is_right else Verdict.OUTSIDE
    return Entry(field, _TITLES[field], words[not is_right], rule, verdict)


def _vent(enclosure: Enclosure, field: str, vent: str, system: str) -> Entry:
    """Return a vent's free area, with what the tape makes of it in width and height."""
    whole = float(calibrated(vent, enclosure.size, enclosure.rating))
    width = float(calibrated("width", enclosure.size, enclosure.rating))
    shut = getattr(enclosure, field)
    tolerance = _TAPE * float(
        np.hypot(1.0 / width, width / whole)
    )  # of width and height, as a share of the area
    verdict = Verdict.WITHIN
    if shut > 1e-9:
        verdict = Verdict.TOO_NEAR if shut <= tolerance else Verdict.OUTSIDE
    free, full = (show(from_si(area, "area"), system) for area in (whole * (1.0 - shut), whole))
    return Entry(field, _TITLES[field], free, f"all of its {full}", verdict)


def verdicts(enclosure: Enclosure, system: str = "US") -> dict[str, str]:
    """Return what the page writes beside each reading, by the field's name."""
    return {
        entry.field: f"{entry.told}: {entry.reading}" if entry.field.endswith("_blocked") else entry.told
        for entry in survey(enclosure, system)
    }


def in_order_of_work(entries: tuple[Entry, ...]) -> list[Entry]:
    """Return what isn't within, the remedy that takes least work first.

    Examples
    --------
    >>> found = Enclosure(side_gap=0.0254, lower_blocked=0.5, baffle_gap=0.0254)
    >>> [entry.field for entry in in_order_of_work(survey(found))]
    ['lower_blocked', 'baffle_gap', 'side_gap']
    """
    return sorted(
        (entry for entry in entries if entry.verdict != Verdict.WITHIN), key=lambda entry: entry.minutes
    )


def summary(enclosure: Enclosure, system: str = "US") -> str:
    """Say in a sentence or two what the survey found."""
    found = survey(enclosure, system)
    said = [
        f"{str(verdict).capitalize()}: {', '.join(entry.title.lower() for entry in hit)}."
        for verdict in (Verdict.OUTSIDE, Verdict.TOO_NEAR)
        if (hit := [entry for entry in found if entry.verdict == verdict])
    ]
    if not said:
        return f"All {len(found)} readings are within their limits. Now let the cup tell about the rest."
    order = in_order_of_work(found)
    return f"{' '.join(said)} Least work: {_decapitalized(order[0].remedy)}."


def _decapitalized(text: str) -> str:
    return text[0].lower() + text[1:]


_NOT_YET = "is being worked out"
_SHEET = Environment(autoescape=True).from_string(
    """<table><caption>Survey sheet: what to put right, least work first. A tape is taken to be off by
{{ tape }} at most. What it gives: by how much more heat outside it holds, in eight of ten plausible
refrigerators. The minutes are invented.</caption>
<thead><tr>{% for title in titles %}<th scope="col">{{ title }}</th>{% endfor %}</tr></thead>
<tbody>{% for one in found %}<tr><th scope="row">{{ one.title }}</th><td>{{ one.reading }}</td>
<td>{{ one.rule }}</td><td>{{ one.told }}</td><td>{{ one.remedy }}, {{ "%.0f"|format(one.minutes) }} min</td>
<td>{{ gains.get(one.field, otherwise) }}</td></tr>{% endfor %}
{% if found|length > 1 %}<tr><th scope="row">All of these</th><td></td><td></td><td></td><td></td>
<td>{{ gains.get("", otherwise) }}</td></tr>{% endif %}
{% for one in rest %}<tr><th scope="row">{{ one.title }}</th><td>{{ one.reading }}</td><td>{{ one.rule }}</td>
<td>{{ one.told }}</td><td></td><td></td></tr>{% endfor %}</tbody></table>"""
)


def sheet(enclosure: Enclosure, system: str = "US", gains: Mapping[str, str] | None = None) -> str:
    """Return the survey as an HTML table.

    Parameters
    ----------
    enclosure : Enclosure
        As it was found.
    system : str, optional
        "US" or "SI".
    gains : mapping of str to str, optional
        What each remedy gives, by field; where it isn't given, the sheet says that it is being worked out.

    Returns
    -------
    str
        First what isn't within, least work first, then the rest.
    """
    found = survey(enclosure, system)
    rest = [entry for entry in found if entry.verdict == Verdict.WITHIN]
    otherwise = _NOT_YET if gains is None else ""
    return _SHEET.render(
        titles=("Reading", "Tape", "The trade’s rule", "Verdict", "Remedy", "What it gives"),
        found=in_order_of_work(found),
        rest=rest,
        gains=gains or {},
        otherwise=otherwise,
        tape=on_tape(_TAPE, system),
    )


def gains_of(enclosure: Enclosure, system: str = "US") -> dict[str, str]:
    """Return what putting each thing right gives by itself, in words, with how sure that is; in a second.

    By the field's name, and by "" what all of them give together.
    """
    gains = {
        one.field: how_sure(one.plausible, system, one.is_a_rule)
        for one in departures(enclosure)
        if one.field in _TITLES
    }
    return {**gains, "": how_sure(_together(enclosure), system)} if gains else {}


@lru_cache(maxsize=64)
def _together(enclosure: Enclosure) -> Cost:
    """Return what all that a survey finds costs."""
    right = {name: getattr(Enclosure, name) for name in mended(enclosure) if name in _TITLES}
    costs = cost_of(installation_of(enclosure), installation_of(replace(enclosure, **right)), MEMBERS)
    return Cost(*(np.asarray(each)[0, 0] for each in costs))
