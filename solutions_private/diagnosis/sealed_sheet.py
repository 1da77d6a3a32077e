"""The instructor's sheet of a case, and writing a case with it and its debrief."""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from warmside.diagnosis.faults import title_of
from warmside.diagnosis.leading import Step
from warmside.diagnosis.readings import READINGS
from warmside.errors import InputError
from warmside.show import case_debrief

from .case_drawing import SealedAnswer
from .case_file import LEVELS
from .debrief import debrief_of, how_decided

UNSUPERVISED = (
    "Worked alone, a diagnosis proves that somebody came from this case to an answer by some means: by "
    "themselves, with help, with a second copy in which every reading was taken for nothing, or by the job "
    "sheet run on what they read. Offline nothing prevents that, and nothing shows it: readings and minutes "
    "are those of the copy that you see.",
    "It doesn't prove that they chose these readings, nor in how long. The case worked before your eyes "
    "does, with its debrief kept back until the commit; and so do five minutes of questions: why this "
    "reading next, and what would you have believed had it shown something else?",
)
"""What marks for a diagnosis are worth where nobody watched."""


def write_case(answer: SealedAnswer, folder: Path, files: Mapping[str, str]) -> tuple[Path, Path, Path]:
    """Write a case for trainees, its debrief, and its sealed sheet that only its owner can read; all or none.

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
    (pathlib.Path, pathlib.Path, pathlib.Path)
        The folder for trainees, the debrief to give them after their commit, and the sheet.

    Raises
    ------
    InputError
        If one of them is there already.
    """
    for_trainees = folder / f"case_{answer.case.number}"
    debrief = folder / case_debrief.file_name(answer.case.number)
    sealed = folder / f"case_{answer.case.number}_sealed.md"
    for path in (for_trainees, debrief, sealed):
        if path.exists():
            raise InputError(f"{path} is already there; move it away, or take another seed or folder.")
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=folder, prefix=".") as scratch:
        draft, told, sheet = (Path(scratch, name) for name in ("case", "debrief", "sheet"))
        draft.mkdir()
        for name, text in files.items():
            (draft / name).write_text(text, encoding="utf-8", newline="\n")
        for path, text in ((sheet, sealed_sheet(answer)), (told, _debrief_text(answer))):
            path.touch(mode=0o600)
            path.write_text(text, encoding="utf-8", newline="\n")
        sheet.rename(sealed)
        told.rename(debrief)
        draft.rename(for_trainees)
    return for_trainees, debrief, sealed


def _debrief_text(answer: SealedAnswer) -> str:
    return case_debrief.as_text(debrief_of(answer.case, answer.solved), answer.case.number)


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
        "## What it proves where nobody watched",
        "",
        *(line for sentence in UNSUPERVISED for line in (sentence, "")),
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
