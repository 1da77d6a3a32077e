"""The instructor's sheet of a case, and writing a case with it."""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from warmside.diagnosis.case_drawing import SealedAnswer
from warmside.diagnosis.case_file import LEVELS
from warmside.diagnosis.case_proof import Solved, Step
from warmside.diagnosis.faults import title_of
from warmside.diagnosis.readings import READINGS
from warmside.diagnosis.sufficient import EXACT, LEAD
from warmside.errors import InputError


def write_case(answer: SealedAnswer, folder: Path, files: Mapping[str, str]) -> tuple[Path, Path]:
    """Write a case for trainees, and its sealed sheet that only its owner can read; both or neither.

    Parameters
    ----------
    answer : SealedAnswer
        As `case_drawing.draw_case` gives it.
    folder : pathlib.Path
        Where to; it is made if it isn't there.
    files : mapping of str to str
        What trainees get, by name: the case, and the notebook in which they work it.

    Returns
    -------
    (pathlib.Path, pathlib.Path)
        The folder for trainees, and the sheet.

    Raises
    ------
    InputError
        If one of them is there already.
    """
    for_trainees = folder / f"case_{answer.case.number}"
    sealed = folder / f"case_{answer.case.number}_sealed.md"
    for path in (for_trainees, sealed):
        if path.exists():
            raise InputError(f"{path} is already there; move it away, or take another seed or folder.")
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=folder, prefix=".") as scratch:
        draft, sheet = Path(scratch, "case"), Path(scratch, "sheet")
        draft.mkdir()
        for name, text in files.items():
            (draft / name).write_text(text, encoding="utf-8", newline="\n")
        sheet.touch(mode=0o600)
        sheet.write_text(sealed_sheet(answer), encoding="utf-8", newline="\n")
        sheet.rename(sealed)
        draft.rename(for_trainees)
    return for_trainees, sealed


def sealed_sheet(answer: SealedAnswer) -> str:
    """Return the instructor's sheet as Markdown, with a part for machines at its end."""
    case, cheapest = answer.case, answer.cheapest
    tied = [title_of(label) for label in answer.labels]
    what = title_of(answer.label)
    if len(tied) > 1:
        others = "; ".join(other for other in tied if other != what)
        what += f". A tie that no reading separates, so these are right as well: {others}"
    lines = [
        f"# Sealed: case {case.number}",
        "",
        "*For the instructor alone. Invented: case, readings, chances and minutes.*",
        "",
        f"Level {case.level} ({LEVELS[case.level]}), seed {answer.seed}, bank {answer.bank}. Whoever has the "
        "seed can draw this sheet.",
        "",
        f"**Refrigerator:** {case.size} on {case.heat_source}, {case.ambient} outside, {case.season}.",
        "",
        f"**The owner says:** “{case.complaint}”",
        "",
        *_stop(answer),
        f"**Wrong:** {what}.",
        "",
        f"**Remedy:** {' '.join(answer.remedy)}",
        "",
        f"**First, for safety:** {' '.join(answer.first_step)}",
        "",
        f"## The cheapest way, in its order: {cheapest.minutes:g} minutes",
        "",
        "| Reading | It shows | Minutes so far | Likeliest then | Chance of the answer |",
        "| --- | --- | ---: | --- | ---: |",
        *_steps(answer),
        "",
        how_decided(answer.solved),
        "",
        "## The re-test, all that was wrong put right, on such a day",
        "",
        *(f"- {READINGS[name].title}: {shown}" for name, shown in case.retest),
        "",
        "## What each reading would say alone",
        "",
        "| Reading | It shows | Likeliest then | Chance of the answer |",
        "| --- | --- | --- | ---: |",
        *_alone(answer),
        "",
        "## What a wrong call costs",
        "",
        *(f"- {wrong}: {cost}." for wrong, cost in answer.solved.wrong_calls),
        "",
        "## For machines",
        "",
        "```json",
        json.dumps(answer.as_dict(), indent=1, ensure_ascii=False),
        "```",
    ]
    return "\n".join(lines) + "\n"


def _steps(answer: SealedAnswer) -> Iterator[str]:
    for step in answer.solved.steps(answer.cheapest.names):
        title, shown = ("Before any reading", "–") if not step.name else _shown(answer, step.name)
        minutes = f"{step.minutes:g}" if step.name else ""
        yield f"| {title} | {shown} | {minutes} | {_leading(step)} | {step.of_right:.0%} |"


def _alone(answer: SealedAnswer) -> Iterator[str]:
    for step in answer.solved.alone(answer.case.names):
        title, shown = _shown(answer, step.name)
        yield f"| {title} | {shown} | {_leading(step)} | {step.of_right:.0%} |"


def _shown(answer: SealedAnswer, name: str) -> tuple[str, str]:
    return READINGS[name].title, answer.case.value(name)


def _leading(step: Step) -> str:
    return f"{title_of(step.leading)}: {step.chance:.0%}"


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


def _stop(answer: SealedAnswer) -> list[str]:
    """Say which stop sign is met, and what is right then."""
    lines = []
    for sign in answer.stops:
        steps = (f"{number}. {step}" for number, step in enumerate(sign.steps, start=1))
        lines += [f"**Stop: {sign.title}.** {sign.reported}", "", *steps, "", sign.never, ""]
        lines += [f"Who goes on: {sign.goes_on}", ""]
    if lines:
        lines += [
            "Right is who stops there and does that, in this order. No reading, no cause and no remedy is "
            "wanted; what follows is the case as it would be once that is put right.",
            "",
        ]
    return lines
