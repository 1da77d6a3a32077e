"""The instructor's sheet of a case, and writing a case with it."""

import json
import os
from pathlib import Path

from warmside.diagnosis.case_file import LEVELS, CaseFile, SealedAnswer
from warmside.diagnosis.faults import title_of
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.sufficient import EXACT, LEAD
from warmside.errors import InputError


def write_case(case: CaseFile, answer: SealedAnswer, folder: Path) -> tuple[Path, Path]:
    """Write a case for trainees, and its sealed sheet that only its owner can read; both or neither.

    Parameters
    ----------
    case, answer
        As `case_file.draw_case` gives them.
    folder : pathlib.Path
        Where to; it is made if it isn't there.

    Returns
    -------
    (pathlib.Path, pathlib.Path)
        The case and the sheet.

    Raises
    ------
    InputError
        If one of them is there already.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for_trainees = folder / f"case_{case.number}.json"
    sealed = folder / f"case_{case.number}_sealed.md"
    written: list[Path] = []
    try:
        for path, text, mode in (
            (sealed, sealed_sheet(answer), 0o600),
            (for_trainees, case.to_text(), 0o644),
        ):
            descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
            written.append(path)
            with os.fdopen(descriptor, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
    except BaseException as problem:
        for path in written:
            path.unlink(missing_ok=True)
        if isinstance(problem, FileExistsError):
            raise InputError(
                f"{problem.filename} is already there; move it away, or take another seed or folder."
            ) from None
        raise
    return for_trainees, sealed


def sealed_sheet(answer: SealedAnswer) -> str:
    """Return the instructor's sheet as Markdown, with a part for machines at its end."""
    case, cheapest = answer.case, answer.cheapest
    tied = [title_of(label) for label in answer.labels]
    what = title_of(answer.label)
    if len(tied) > 1:
        others = "; ".join(other for other in tied if other != what)
        what += f". A tie that no reading separates, so these are right as well: {others}"
    steps = [
        f"| {READINGS[name].title} | {case.value(name)} | {READINGS[name].minutes:g} | {chance:.0%} |"
        for name, chance in zip(cheapest.names, cheapest.chances, strict=True)
    ]
    proof = (
        f"No set of up to {EXACT} readings that is cheaper decides it."
        if cheapest.exact
        else f"No set of up to {EXACT} readings decides it; a cheaper one of more readings may exist."
    )
    lines = [
        f"# Sealed: case {case.number}",
        "",
        "*For the instructor alone. Invented: case, readings, chances and minutes.*",
        "",
        f"Level {case.level} ({LEVELS[case.level]}), seed {answer.seed}, bank {answer.bank}. Whoever has the "
        "seed can draw this sheet.",
        "",
        f"**Refrigerator:** {case.size} cubic feet on {case.heat_source}, {case.ambient} outside, "
        f"{case.season}.",
        "",
        f"**The owner says:** “{case.complaint}”",
        "",
        f"**Wrong:** {what}.",
        "",
        f"**Remedy:** {' '.join(answer.remedy)}",
        "",
        f"**First, for safety:** {' '.join(answer.first_step)}",
        "",
        f"## The cheapest readings that decide it: {cheapest.minutes:g} minutes",
        "",
        "| Reading | It shows | Minutes | Chance of the answer then |",
        "| --- | --- | ---: | ---: |",
        *steps,
        "",
        f"{proof} To decide means: {LEAD:g} times as likely as the next explanation, and likelier than all "
        "others together.",
        "",
        "## What a wrong call costs",
        "",
        *(f"- {wrong}: {cost}." for wrong, cost in answer.wrong_calls),
        "",
        "## For machines",
        "",
        "```json",
        json.dumps(answer.as_dict(), indent=1, ensure_ascii=False),
        "```",
    ]
    return "\n".join(lines) + "\n"
