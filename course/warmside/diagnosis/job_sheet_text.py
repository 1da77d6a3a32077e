"""A job sheet as text for the terminal, and as plain data."""

from typing import Any

from warmside.diagnosis.faults import title_of
from warmside.diagnosis.inference import Tie
from warmside.diagnosis.job_sheet import JobSheet, Measured, chance
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.readings_file import HONEST, STOP_SIGNS
from warmside.model.limits import Verdict
from warmside.units import from_si, show


def as_words(sheet: JobSheet) -> str:
    """Return a sheet for the terminal."""
    readings = sheet.readings
    lines = [
        "Job sheet",
        f"Refrigerator of {readings.size} on {readings.heat_source}, ambient "
        f"{show(from_si(readings.ambient, 'temperature'))}. {sheet.note}".rstrip(),
        "",
        f"CAUTION. {STOP_SIGNS}",
    ]
    if sheet.contradictions or sheet.unexplained:
        lines += ["", "These readings contradict each other; what is said below goes without them:"]
        lines += [f"  - {sentence}" for sentence in sheet.contradictions]
        if sheet.unexplained:
            lines.append(f"  - {UNEXPLAINED}")
    if sheet.measured:
        lines += ["", "What you measured"]
        for one in sheet.measured:
            against = f"  [{remark(one)}]" if remark(one) else ""
            lines.append(f"  {one.title}: {one.text}{against}")
    lines += ["", sheet.verdict]
    if sheet.suspects:
        lines += ["", "What it may be"]
        for suspect in sheet.suspects:
            lines.append(f"  {chance(suspect.probability):>9}  {suspect.title}")
        first = sheet.suspects[0]
        lines += ["", f"What would put the first right: {' '.join(first.remedies)}".rstrip()]
        lines += [f"  Caution: {caution}" for caution in first.cautions]
    lines += [f"  {sentence}" for sentence in map(tie_text, sheet.ties)]
    if sheet.measure_next:
        lines += ["", "What to measure next, the most telling for its minutes first"]
        for left in sheet.measure_next:
            lines.append(f"  {left.title} ({left.name}), {left.minutes:g} min. {left.caution}".rstrip())
    lines += ["", "Not for the owner to touch"]
    lines += [f"  - {sentence}" for sentence in not_for_owner(sheet)]
    return "\n".join([*lines, "", HONEST])


_AGAINST_LIMIT = {
    Verdict.WITHIN: "within the limit",
    Verdict.OUTSIDE: "OUTSIDE the limit",
    Verdict.TOO_NEAR: "too near the limit to tell",
}
UNEXPLAINED = "Nothing in the catalogue fits what was read; check the readings, or look for what isn't in it."


def remark(one: Measured) -> str:
    """Say what a reading is held against."""
    said = []
    if one.limit is not None:
        said.append(_AGAINST_LIMIT[one.limit.verdict])
    if one.usual is not None:
        lowest, highest = one.usual
        said.append(f"good ones: {lowest}" if lowest == highest else f"good ones: {lowest} to {highest}")
    return "; ".join(said)


def tie_text(tie: Tie) -> str:
    """Say what isn't told apart, and what would do it."""
    titles = " / ".join(title_of(label) for label in tie.labels[:4])
    by = ", ".join(READINGS[name].title.lower() for name in tie.separated_by[:3])
    how = f"What would do it: {by}." if by else "No reading left would do it."
    return f"Not told apart: {titles}. {how}"


def not_for_owner(sheet: JobSheet) -> tuple[str, ...]:
    """What an owner must leave to others, for what this refrigerator may have, and always."""
    of_suspects = (sentence for suspect in sheet.suspects for sentence in suspect.not_for_owner)
    always = [*_NOT_FOR_OWNER[sheet.readings.heat_source], "The sealed unit."]
    return tuple(dict.fromkeys([*of_suspects, *always]))


_NOT_FOR_OWNER = {
    "mains": ("Measurements and repairs on mains circuits.",),
    "battery": (),
    "gas": ("Regulator, leak test and any gas fitting.", "Burner, orifice and flue."),
}


def as_data(sheet: JobSheet) -> dict[str, Any]:
    """Return a sheet as plain data, for JSON; numbers in SI units."""
    readings = sheet.readings
    return {
        "honest": HONEST,
        "refrigerator": {
            "size": readings.size,
            "heat_source": readings.heat_source,
            "ambient_K": readings.ambient,
            "note": sheet.note,
        },
        "measured": [
            {
                "name": one.name,
                "title": one.title,
                "text": one.text,
                "value": readings.values[one.name],
                "limit": None if one.limit is None else str(one.limit.verdict),
                "usual": one.usual,
            }
            for one in sheet.measured
        ],
        "contradictions": list(sheet.contradictions),
        "unexplained": sheet.unexplained,
        "verdict": sheet.verdict,
        "explanations": [
            {
                "faults": list(one.label),
                "title": one.title,
                "probability": one.probability,
                "remedies": list(one.remedies),
                "cautions": list(one.cautions),
            }
            for one in sheet.suspects
        ],
        "not_told_apart": [
            {"faults": [list(label) for label in tie.labels], "separated_by": list(tie.separated_by)}
            for tie in sheet.ties
        ],
        "measure_next": [
            {
                "name": one.name,
                "title": one.title,
                "minutes": one.minutes,
                "bits": one.gain,
                "caution": one.caution,
            }
            for one in sheet.measure_next
        ],
        "not_for_owner": list(not_for_owner(sheet)),
        "stop_signs": STOP_SIGNS,
    }
