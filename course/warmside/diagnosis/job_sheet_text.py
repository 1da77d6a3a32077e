"""A job sheet in words: its parts, the whole of it for a terminal, and as plain data."""

from collections.abc import Iterable, Iterator
from datetime import date
from importlib.metadata import version
from typing import Any

from warmside.data import load
from warmside.diagnosis.causes import SOMETHING_ELSE, Suspect, chance
from warmside.diagnosis.faults import title_of
from warmside.diagnosis.inference import NextReading, Tie
from warmside.diagnosis.job import Job, Who
from warmside.diagnosis.job_sheet import Findings, JobSheet, Measured
from warmside.diagnosis.performance import rated_ambient
from warmside.diagnosis.proofs import Proof, Standing
from warmside.diagnosis.readings import READINGS, Readings
from warmside.diagnosis.readings_file import HONEST
from warmside.hazards import FIRST, WORK, StopSign, cautions_of, not_for_owner
from warmside.model.limits import Verdict
from warmside.units import from_si, show

_DIFFERS = load("job_sheet").number("gas_input_differs")
OTHERS = "All others in the catalog, each too unlikely to be listed"
TAKEN_AWAY = "These readings contradict each other; what is said of the cause goes without them:"
PUT_RIGHT = "Seen, and to be put right whatever else it may be"
PROOFS = "Before anybody condemns the cooling unit"
FOR_LICENSED = "Would tell more, and isn't an owner's to read"


# --- parts ------------------------------------------------------------------------------------------------


def refrigerator(readings: Readings) -> str:
    """Return what a sheet is of: size, rating, heat source, and whose cases it is compared with."""
    rated = show(from_si(rated_ambient(readings), "temperature"), digits=0)
    said = (
        f"Refrigerator of {readings.size}, class {readings.rating} (up to {rated}), on {readings.heat_source}"
    )
    return (
        said if readings.like == readings.size else f"{said}, compared with simulated ones of {readings.like}"
    )


def burner(job: Job) -> str:
    """Say what the plate's gas input means for what is said; nothing where it isn't told, or on another
    source."""
    if job.gas_input is None or job.readings.heat_source != "gas":
        return ""
    own, usual = (
        show(from_si(heat, "power"), kind="power", digits=0) for heat in (job.gas_input, job.usual_gas_input)
    )
    said = f"By its plate the burner takes {own}; those that it is compared with take {usual}"
    unlike = abs(job.gas_input / job.usual_gas_input - 1.0) > _DIFFERS
    return f"{said}, so that its boiler and tubes may read otherwise." if unlike else f"{said}."


def made_with() -> str:
    """Return by which version the sheet was made, and when."""
    return f"Made on {date.today().isoformat()} with Warmside {version('warmside')}"


def unanswered(job: Job) -> tuple[str, ...]:
    """Return the questions for stop signs that nobody answered."""
    return tuple(sign.question for sign in job.unanswered)


_AGAINST_LIMIT = {
    Verdict.WITHIN: "within the limit",
    Verdict.OUTSIDE: "OUTSIDE the limit",
    Verdict.TOO_NEAR: "too near the limit to tell",
}


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


def proof_text(proof: Proof, heat_source: str) -> str:
    """Say whether a proof is in, or what it still takes and of whom."""
    missing = ", ".join(_of_whom(name, heat_source) for name in proof.missing)
    if proof.standing is Standing.SPEAKS_AGAINST:
        return f"Speaks against it, put right first. {proof.title}"
    if proof.standing is Standing.GIVEN:
        return f"Given. {proof.title}"
    return f"Missing{f': {missing}' if missing else ''}. {proof.title}"


def _of_whom(name: str, heat_source: str) -> str:
    reading = READINGS[name]
    works = (WORK[work] for work in reading.works)
    whom = [work.licensed for work in works if work.licensed and heat_source in work.heat_sources]
    return f"{reading.title.lower()} ({', '.join(dict.fromkeys(whom))})" if whom else reading.title.lower()


def what_to_do(suspect: Suspect, job: Job) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Return what puts a suspect right, what can hurt in doing so, and what an owner leaves to others."""
    on = job.readings.heat_source
    kept = not_for_owner(suspect.works, on) if job.who is Who.OWNER else ()
    return suspect.remedies, cautions_of(suspect.works, on), kept


def leave_to_others(sheet: JobSheet) -> tuple[str, ...]:
    """Return what is for licensed or qualified people, for what this refrigerator may have, and always."""
    on = sheet.readings.heat_source
    named = [work for suspect in _named(sheet.findings) for work in suspect.works]
    always = [name for name, work in WORK.items() if work.licensed]
    return not_for_owner((*named, *always), on)


def _named(findings: Findings | None) -> Iterator[Suspect]:
    if findings is not None:
        yield from findings.causes.suspects if findings.causes else ()
        yield from findings.put_right


# --- the whole --------------------------------------------------------------------------------------------


def as_words(sheet: JobSheet) -> str:
    """Return a sheet for the terminal."""
    job, readings = sheet.job, sheet.readings
    head = ["Job sheet", made_with()]
    if sheet.findings is None:
        stop = [line for sign in sheet.stops for line in _stop(sign)]
        return "\n".join([*head, *stop, "", FIRST])
    ambient = show(from_si(readings.ambient, "temperature"))
    lines = [*head, f"{refrigerator(readings)}, ambient {ambient}. {job.note}".rstrip()]
    lines += [burner(job)] if burner(job) else []
    if job.unanswered:
        lines += _part("Look and smell first. Nobody has answered:", unanswered(job))
    return "\n".join([*lines, *_findings(sheet, sheet.findings), "", HONEST, FIRST])


def _stop(sign: StopSign) -> list[str]:
    steps = [f"  {number}. {step}" for number, step in enumerate(sign.steps, start=1)]
    return ["", f"STOP. {sign.reported}", *steps, f"  {sign.never}", f"  Who goes on: {sign.goes_on}"]


def _part(heading: str, lines: Iterable[str]) -> list[str]:
    """Return a part of the sheet; nothing where it has no lines."""
    there = [f"  - {line}" for line in lines]
    return ["", heading, *there] if there else []


def _findings(sheet: JobSheet, found: Findings) -> list[str]:
    job, does, causes = sheet.job, found.performance, found.causes
    lines = [
        "",
        "What it does",
        *(f"  {said}" for said in (does.said, does.stands_on, does.would_prove) if said),
    ]
    if found.measured:
        lines += ["", "What was read"]
        for one in found.measured:
            against = f"  [{remark(one)}]" if remark(one) else ""
            lines.append(f"  {one.title}: {one.text}{against}")
    lines += _part(TAKEN_AWAY, found.contradictions)
    if causes is not None:
        lines += ["", "What it may be", f"  {causes.verdict}"]
        rows = [(one.probability, one.title) for one in causes.suspects]
        rows += [(causes.others, OTHERS), (causes.something_else, SOMETHING_ELSE)] if rows else []
        lines += [f"  {chance(probability):>9}  {title}" for probability, title in rows]
        lines += [f"  {tie_text(tie)}" for tie in causes.ties]
        if causes.suspects and not causes.suspects[0].is_unit:
            lines += ["", "What would put the first right", *_to_do(causes.suspects[0], job)]
    for suspect in found.put_right:
        lines += ["", f"{PUT_RIGHT}: {suspect.title}", *_to_do(suspect, job)]
    if causes is not None:
        lines += _part(PROOFS, (proof_text(proof, job.readings.heat_source) for proof in causes.proofs))
        lines += _part("What to read next, the best first", map(_next, causes.measure_next))
        lines += _part(FOR_LICENSED, map(_next, causes.for_licensed))
    return lines + _part("For licensed or qualified people alone", leave_to_others(sheet))


def _to_do(suspect: Suspect, job: Job) -> list[str]:
    remedies, cautions, kept = what_to_do(suspect, job)
    return [
        *(f"  {remedy}" for remedy in remedies),
        *(f"  Caution: {caution}" for caution in cautions),
        *(f"  Not yours: {one}" for one in kept),
    ]


def _next(one: NextReading) -> str:
    return f"{one.title} ({one.name}), {one.minutes:g} min. {one.caution}".rstrip()


# --- plain data -------------------------------------------------------------------------------------------


def as_data(sheet: JobSheet) -> dict[str, Any]:
    """Return a sheet as plain data, for JSON; numbers in SI units.

    Where something stops the job, ``stop`` holds that and ``findings`` is None.
    """
    readings = sheet.readings
    return {
        "date": date.today().isoformat(),
        "version": version("warmside"),
        "note": sheet.job.note,
        "who": str(sheet.job.who),
        "honest": HONEST,
        "first": FIRST,
        "stop": [
            {
                "name": sign.name,
                "reported": sign.reported,
                "steps": list(sign.steps),
                "never": sign.never,
                "goes_on": sign.goes_on,
            }
            for sign in sheet.stops
        ],
        "unanswered": [sign.name for sign in sheet.job.unanswered] if sheet.findings else [],
        "refrigerator": {
            "size": readings.size,
            "rating": readings.rating,
            "like": readings.like,
            "heat_source": readings.heat_source,
            "ambient_K": readings.ambient,
            "running_s": readings.running,
        },
        "plate": {
            "volts_V": sheet.job.plate and sheet.job.plate.voltage,
            "power_W": sheet.job.plate and sheet.job.plate.power,
            "gas_input_W": sheet.job.gas_input,
        },
        "findings": None if sheet.findings is None else _findings_data(sheet, sheet.findings),
    }


def _findings_data(sheet: JobSheet, found: Findings) -> dict[str, Any]:
    does, causes = found.performance, found.causes
    return {
        "performance": {
            "state": str(does.state),
            "rating_proven": does.rating_proven,
            "said": does.said,
            "stands_on": does.stands_on,
            "would_prove": does.would_prove,
        },
        "measured": [
            {
                "name": one.name,
                "title": one.title,
                "text": one.text,
                "value": sheet.readings.values[one.name],
                "limit": None if one.limit is None else str(one.limit.verdict),
                "usual": one.usual,
            }
            for one in found.measured
        ],
        "contradictions": list(found.contradictions),
        "causes": causes
        and {
            "verdict": causes.verdict,
            "suspects": [_suspect_data(one, sheet.job) for one in causes.suspects],
            "others": causes.others,
            "something_else": causes.something_else,
            "not_told_apart": [
                {"faults": [list(label) for label in tie.labels], "separated_by": list(tie.separated_by)}
                for tie in causes.ties
            ],
            "proofs": [
                {"title": one.title, "standing": str(one.standing), "missing": list(one.missing)}
                for one in causes.proofs
            ],
            "measure_next": [_next_data(one) for one in causes.measure_next],
            "for_licensed": [_next_data(one) for one in causes.for_licensed],
        },
        "put_right": [_suspect_data(one, sheet.job) for one in found.put_right],
        "leave_to_others": list(leave_to_others(sheet)),
    }


def _suspect_data(one: Suspect, job: Job) -> dict[str, Any]:
    remedies, cautions, kept = what_to_do(one, job)
    return {
        "faults": [list(label) for label in one.labels],
        "title": one.title,
        "probability": one.probability,
        "remedies": list(remedies),
        "cautions": list(cautions),
        "not_yours": list(kept),
    }


def _next_data(one: NextReading) -> dict[str, Any]:
    return {
        "name": one.name,
        "title": one.title,
        "minutes": one.minutes,
        "bits": one.gain,
        "caution": one.caution,
    }
