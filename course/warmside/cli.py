"""The command line: reading options, calling the package, saying what came out."""

from __future__ import annotations

import json
import secrets
import sys
import warnings
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from warmside.errors import InputError
from warmside.terminal import BAD_INPUT, FAILED, Commands, Moment, progress_bar

if TYPE_CHECKING:
    from warmside.diagnosis.bank import Bank
    from warmside.marking.exercise import Exercise
    from warmside.session.folder import Session
    from warmside.session.journal import Task

_FOLDER = click.Path(path_type=Path, file_okay=False)
_FILE = click.Path(path_type=Path)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="warmside")
def main() -> None:
    """Warmside: train people to prove an absorption refrigerator and the enclosure around it."""
    warnings.filterwarnings("ignore", module="nbgrader")


@main.command("open")
@click.argument("what", default="course")
@click.option("--browser/--no-browser", default=True, help="Whether to open the browser.")
def open_(what: str, browser: bool) -> None:
    """Open JupyterLab on the course or a folder.

    WHAT is “course” (the default), “exercises” (copies of yours, to practise with), or a folder such as an
    unpacked pack.
    """
    from warmside import project
    from warmside.session import lab

    folder = project.root() / what if what in ("course", "exercises") else Path(what)
    if what == "exercises":
        folder = lab.practice_copies(folder, Path.home())
        click.echo(f"Your own copies of the exercises are in {folder}; delete one to begin it anew.")
    if not folder.is_dir():
        raise InputError(f"{what} is no folder; give “course”, “exercises” or the folder of your pack.")
    sys.exit(lab.open_notebooks(folder.resolve(), browser=browser))


@main.group()
def session() -> None:
    """Run a training session from roster to report."""


@session.command()
@click.argument("folder", type=_FOLDER)
@click.option("--roster", type=_FILE, required=True, help="CSV: trainee, first name, last name, email.")
@click.option("--exercise", "exercises", multiple=True, help="An exercise; all of them by default.")
@click.option(
    "--due",
    type=Moment(to_the_end=True),
    help="When hand-ins are due, such as “2026-12-01 17:00”; a date alone means the end of that day.",
)
@click.option("--title", default="Training session", help="What the session's pages are headed.")
def start(folder: Path, roster: Path, exercises: tuple[str, ...], due: datetime | None, title: str) -> None:
    """Make a private folder for a session."""
    from warmside import project
    from warmside.session import folder as folders
    from warmside.session.roster import read_roster

    names = list(dict.fromkeys(exercises)) or project.exercise_names()
    made = folders.start(folder, read_roster(roster), names, title=title, due=due)
    click.echo(f"{made.folder}: {len(made.trainees())} trainees, exercises: {', '.join(names)}.")
    click.echo(f"Next: warmside session hand-out {folder}")


@session.command("hand-out")
@click.argument("folder", type=_FOLDER)
def hand_out(folder: Path) -> None:
    """Write one pack (zip) per trainee."""
    from warmside.session.folder import Session
    from warmside.session.hand_out import hand_out as write_packs

    opened = Session.open(folder)
    _make_ready(opened.exercises())
    packs = write_packs(opened)
    click.echo(f"{len(packs)} packs are in {packs[0].parent}; give each trainee their own.")


@session.command("hand-in")
@click.argument("folder", type=_FOLDER)
@click.argument("files", type=_FILE, nargs=-1, required=True)
@click.option("--at", type=Moment(), help="When they came, if not now.")
def hand_in(folder: Path, files: tuple[Path, ...], at: datetime | None) -> None:
    """Take hand-ins in: zips, notebooks, folders in any mix."""
    from warmside.session.folder import Session
    from warmside.session.hand_in import take_in

    received, refused = take_in(Session.open(folder), files, at=at)
    for item in received:
        click.echo(f"taken in: {item.where} for {item.trainee}, {item.exercise}")
        for other in item.other_cards:
            click.echo(f"  look at this: it was made with the job card of {other}")
        if item.blank:
            click.echo("  look at this: nothing is written in it; one with answers counts before it")
    for left in refused:
        click.echo(f"left alone: {left.where}: {left.why}", err=True)
    click.echo(f"{len(received)} taken in, {len(refused)} left alone.")
    if refused:
        sys.exit(BAD_INPUT)


@session.command()
@click.argument("folder", type=_FOLDER)
@click.option("--again", is_flag=True, help="Mark all hand-ins, not only what is new.")
@click.option("--unboxed", is_flag=True, help="Run hand-ins without a box: of people you know alone.")
def mark(folder: Path, again: bool, unboxed: bool) -> None:
    """Run and mark what has been handed in."""
    from warmside.session.folder import Session

    opened = Session.open(folder)
    if failed := _mark(opened, again=again, unboxed=unboxed):
        for task, reason in failed.items():
            click.echo(f"not marked: {task.trainee}, {task.exercise}: {reason}", err=True)
        sys.exit(FAILED)
    click.echo(f"Next: warmside session report {folder}")


@session.command()
@click.argument("folder", type=_FOLDER)
@click.option("--ids-only", is_flag=True, help="Name trainees by their ids, without names.")
def report(folder: Path, ids_only: bool) -> None:
    """Write what the class understood (HTML, CSV)."""
    from warmside.session.folder import Session
    from warmside.session.report import write_report

    page, table = write_report(Session.open(folder), ids_only=ids_only)
    click.echo(f"report: {page}\nmarks:  {table}")


@session.command()
@click.argument("folder", type=_FOLDER)
@click.option("--restore", is_flag=True, help="Put right what can be put right.")
def check(folder: Path, restore: bool) -> None:
    """Verify that gradebook, hand-ins and marks agree."""
    from warmside.session.check import check as check_session
    from warmside.session.folder import Session

    problems = check_session(Session.open(folder), restore=restore)
    for problem in problems:
        click.echo(f"{problem.what} {problem.mended}".strip(), err=not problem.mended)
    if not problems:
        click.echo("Gradebook, hand-ins and marks agree.")
    left = [problem for problem in problems if not problem.mended]
    if left and not restore:
        click.echo(f"To put right what can be: warmside session check {folder} --restore", err=True)
    if left:
        sys.exit(FAILED)


@session.command()
@click.argument("folder", type=_FOLDER)
@click.argument("trainee")
@click.option("--yes", is_flag=True, help="Don't ask first.")
def forget(folder: Path, trainee: str, yes: bool) -> None:
    """Remove a trainee and all data of theirs."""
    from warmside.session.folder import Session
    from warmside.session.forget import forget as forget_trainee

    opened = Session.open(folder)
    if not yes:
        click.confirm(f"Remove {trainee} with all hand-ins and marks? This can't be undone.", abort=True)
    remains = forget_trainee(opened, trainee)
    click.echo(f"{trainee} is removed. What remains:")
    for sentence in remains:
        click.echo(f"- {sentence}")


@session.command("open")
@click.argument("folder", type=_FOLDER)
@click.option("--browser/--no-browser", default=True, help="Whether to open the browser.")
def open_session(folder: Path, browser: bool) -> None:
    """Open nbgrader's formgrader on a session."""
    from warmside.session import lab
    from warmside.session.folder import Session

    sys.exit(lab.open_formgrader(Session.open(folder).folder, browser=browser))


@main.group()
def exercise() -> None:
    """For authors of exercises."""


@exercise.command()
@click.argument("names", nargs=-1)
@click.option("--check", is_flag=True, help="Change nothing; fail if exercises/ is out of step.")
def release(names: tuple[str, ...], check: bool) -> None:
    """Generate exercises/ from solutions_private/."""
    from warmside import project
    from warmside.marking.exercise import load_exercise
    from warmside.session.release import out_of_step, write_release

    for name in names or project.exercise_names():
        _make_ready([load_exercise(name)])
        if not check:
            write_release(name)
            click.echo(f"exercises/{name} is written.")
        elif differing := out_of_step(name):
            click.echo(f"exercises/{name} is out of step: {', '.join(differing)}.", err=True)
            sys.exit(FAILED)
        else:
            click.echo(f"exercises/{name} is in step.")


@exercise.command("check")
@click.argument("name")
@click.option(
    "--cards", type=click.IntRange(min=1), default=100, show_default=True, help="Job cards to try it on."
)
def check_one(name: str, cards: int) -> None:
    """Try an exercise out: marks, mistakes, fair job cards.

    The solution must earn full marks on every card and the release none, and each mistake its own message.
    """
    from warmside.marking.exercise import load_exercise
    from warmside.session.exercise_check import as_text, check_exercise

    _make_ready([load_exercise(name)])
    with progress_bar("trying it out") as progress:
        found = check_exercise(name, cards, progress)
    click.echo(as_text(found))
    for problem in found.problems:
        click.echo(problem, err=True)
    if found.problems:
        sys.exit(FAILED)


@main.group()
def case() -> None:
    """Make invented case files."""


@case.command("new")
@click.option("--seed", type=int, help="A whole number from 0 on; one that nobody can guess by default.")
@click.option(
    "--level", type=int, default=1, show_default=True, help="From 1, clear, to 3, two faults or a tie."
)
@click.option("--out", type=_FOLDER, default=Path(), help="Folder to write to; this one by default.")
@click.option("--cluster", help="Address of a dask scheduler, to make the simulated cases on.")
def new_case(seed: int | None, level: int, out: Path, cluster: str | None) -> None:
    """Write a case for trainees to work, and its sealed answer for you.

    Who knows the seed and the level can draw the sealed answer.
    """
    from warmside.marking.exercise import private_part
    from warmside.show import case_pages

    drawing, sheets = (private_part("diagnosis", part) for part in ("case_drawing", "sealed_sheet"))
    chosen = secrets.randbits(60) if seed is None else seed
    drawing.check(chosen, level)
    _bank(cluster)
    drawn, answer = drawing.draw_case(chosen, level)
    page = case_pages.case_notebook(drawn.number)
    files = {case_pages.FILE_NAME: drawn.to_text(), f"case_{drawn.number}.ipynb": page}
    for_trainees, debrief, sealed = sheets.write_case(answer, out, files)
    click.echo(f"case {drawn.number}, level {level}\nfor trainees: {for_trainees}\nsealed:       {sealed}")
    click.echo(f"to give them after the commit: {debrief}")
    click.echo(f"To work it: warmside open {for_trainees}")


@main.command("job-sheet")
@click.argument("readings", type=_FILE)
@click.option("--template", is_flag=True, help="Write READINGS as a file to fill in, and stop.")
@click.option("--heat-source", default="", help="For the template: mains, battery or gas alone.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@click.option("--html", type=_FILE, help="Write it to this file as a page with figures, too.")
@click.option("--cluster", help="Address of a dask scheduler, to make the simulated cases on.")
def job_sheet(
    readings: Path, template: bool, heat_source: str, as_json: bool, html: Path | None, cluster: str | None
) -> None:
    """Say what the readings of a refrigerator mean.

    READINGS is a TOML file of any readings, in any units. It is a teaching model that answers, not
    validated on measured units.
    """
    from warmside.diagnosis import readings_file

    if template:
        readings_file.write_template(readings, heat_source)
        click.echo(f"{readings} is written. Fill in what you have, then: warmside job-sheet {readings}")
        return
    job = readings_file.read_job(readings)
    from warmside.diagnosis import job_sheet_text
    from warmside.diagnosis.job_sheet import job_sheet as make_sheet

    bank = None if job.stops else _bank(cluster)
    sheet = make_sheet(job, bank)
    if html:
        from warmside.show.job_sheet_page import job_sheet_page

        html.write_text(job_sheet_page(sheet, bank), encoding="utf-8")
    if as_json:
        click.echo(json.dumps(job_sheet_text.as_data(sheet), ensure_ascii=False, indent=1))
    else:
        click.echo(job_sheet_text.as_words(sheet))
    if html:
        click.echo(f"page: {html}", err=True)


@main.command()
@click.argument("folder", type=_FOLDER, required=False)
def demo(folder: Path | None) -> None:
    """Run a whole session with an invented class."""
    from warmside.session import demonstration
    from warmside.session.report import write_report

    made = demonstration.start(folder)
    click.echo(f"An invented class at Alder Fen Training Yard, in {made.folder}")
    received, refused = demonstration.hand_in(made)
    click.echo(f"{len(received)} hand-ins taken in, {len(refused)} left alone. Running and marking them:")
    from warmside.autograde import box

    if reason := box.why_not():
        click.echo(f"The invented hand-ins are run without a box: {reason}.")
    failed = _mark(made, unboxed=not box.available())
    page, _ = write_report(made)
    click.echo(f"\nmarks and mistakes:  {page}")
    click.echo(f"feedback:            {made.folder / 'feedback'}")
    click.echo(f"marking by hand:     warmside session open {made.folder}")
    if failed or refused:
        sys.exit(FAILED)


def _bank(cluster: str | None = None) -> Bank:
    """Return the simulated cases, with a progress bar where they are made first."""
    from warmside.diagnosis.storing import load_bank

    with progress_bar("simulating cases, once") as progress:
        return load_bank(cluster=cluster, progress=progress, notice=lambda said: click.echo(said, err=True))


def _make_ready(exercises: Iterable[Exercise]) -> None:
    """Make what the exercises' job cards are drawn with, where that takes a while."""
    if any(exercise.needs_bank for exercise in exercises):
        _bank()


def _mark(opened: Session, *, again: bool = False, unboxed: bool = False) -> dict[Task, str]:
    """Mark a session with a progress bar and print the table of marks."""
    from warmside.session.mark import mark as mark_tasks
    from warmside.session.mark import to_mark
    from warmside.session.report import marks_lines
    from warmside.session.standing import standings

    tasks = to_mark(opened, again=again)
    if not tasks:
        click.echo("Nothing new to mark.")
        return {}
    _make_ready(opened.exercises())
    with click.progressbar(length=len(tasks), label="marking", file=sys.stderr) as bar:
        failed = mark_tasks(opened, tasks, lambda task: bar.update(1), unboxed=unboxed)
    for line in marks_lines(standings(opened)):
        click.echo(line)
    return failed
