"""The commands of a training session, from roster to report."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from warmside.terminal import BAD_INPUT, FAILED, Moment, progress_bar

if TYPE_CHECKING:
    from warmside.diagnosis.bank import Bank
    from warmside.marking.exercise import Exercise
    from warmside.session.folder import Session
    from warmside.session.found_notebooks import Refused
    from warmside.session.journal import Task
    from warmside.session.received import Received

_FOLDER = click.Path(path_type=Path, file_okay=False)
_FILE = click.Path(path_type=Path)


@click.group()
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
    make_ready(opened.exercises())
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

    opened = Session.open(folder)
    _say_what_came(opened, *take_in(opened, files, at=at))


@session.command()
@click.argument("folder", type=_FOLDER)
@click.argument("file", type=_FILE)
@click.argument("trainee")
@click.option("--at", type=Moment(), help="When it came, if not now.")
def assign(folder: Path, file: Path, trainee: str, at: datetime | None) -> None:
    """Take FILE in as TRAINEE's, whatever its name says."""
    from warmside.session.folder import Session
    from warmside.session.hand_in import take_in

    opened = Session.open(folder)
    _say_what_came(opened, *take_in(opened, [file], at=at, trainee=trainee))


@session.command()
@click.argument("folder", type=_FOLDER)
@click.argument("trainee")
@click.argument("exercise")
@click.argument("which", required=False)
def choose(folder: Path, trainee: str, exercise: str, which: str | None) -> None:
    """Say which of a trainee's hand-ins counts.

    WHICH is its number in the list, which is shown where it is left out; “usual” leaves it to the rule again.
    """
    from warmside.session import instructor
    from warmside.session.folder import Session

    opened = Session.open(folder)
    if which is None:
        there = instructor.their_hand_ins(opened, trainee, exercise)
    else:
        there = instructor.choose(opened, trainee, exercise, which)
    for line in instructor.listed(there):
        click.echo(line)
    if which is not None:
        click.echo(f"Next: warmside session mark {folder}")


@session.command()
@click.argument("folder", type=_FOLDER)
@click.argument("trainee")
@click.argument("exercise")
@click.option("--withdraw", is_flag=True, help="They have to hand in after all.")
def excuse(folder: Path, trainee: str, exercise: str, withdraw: bool) -> None:
    """Note that a trainee need not hand in an exercise."""
    from warmside.session import instructor
    from warmside.session.folder import Session

    instructor.excuse(Session.open(folder), trainee, exercise, excused=not withdraw)
    click.echo(f"{trainee} is {'no longer ' if withdraw else ''}excused from {exercise}.")


@session.command()
@click.argument("folder", type=_FOLDER)
@click.argument("trainee")
@click.argument("exercise")
@click.argument("due", type=Moment(to_the_end=True))
def extend(folder: Path, trainee: str, exercise: str, due: datetime) -> None:
    """Give a trainee another date for an exercise, such as “2026-12-01 17:00”."""
    from warmside.session import instructor
    from warmside.session.folder import Session

    instructor.extend(Session.open(folder), trainee, exercise, due)
    click.echo(f"{trainee}'s {exercise} is due {due.astimezone():%Y-%m-%d %H:%M}.")


@session.command()
@click.argument("folder", type=_FOLDER)
@click.option("--again", is_flag=True, help="Mark all hand-ins, not only what is new.")
@click.option("--unboxed", is_flag=True, help="Run hand-ins without a box: of people you know alone.")
def mark(folder: Path, again: bool, unboxed: bool) -> None:
    """Run and mark what has been handed in."""
    from warmside.session.folder import Session

    opened = Session.open(folder)
    if failed := mark_with_bar(opened, again=again, unboxed=unboxed):
        for task, reason in failed.items():
            click.echo(f"not marked: {task.trainee}, {task.exercise}: {reason}", err=True)
        sys.exit(FAILED)
    click.echo(f"Next: warmside session report {folder}")


@session.command()
@click.argument("folder", type=_FOLDER)
def status(folder: Path) -> None:
    """Show where each trainee stands, and what to look at."""
    from warmside.session.folder import Session
    from warmside.session.report import marks_lines
    from warmside.session.standing import standings

    for line in marks_lines(standings(Session.open(folder))):
        click.echo(line)


@session.command("feedback")
@click.argument("folder", type=_FOLDER)
@click.argument("trainee", required=False, default="")
def renew_feedback(folder: Path, trainee: str) -> None:
    """Write feedback pages anew, after marks by hand; nothing is run."""
    from warmside.session.folder import Session

    _renew(Session.open(folder), trainee)


@session.command("release")
@click.argument("folder", type=_FOLDER)
@click.argument("exercise", required=False, default="")
@click.option("--withdraw", is_flag=True, help="Have pages show it no longer.")
def release_results(folder: Path, exercise: str, withdraw: bool) -> None:
    """Have feedback pages show what is right, and the way to it.

    Of one exercise or of all. Do so when nobody hands in any more.
    """
    from warmside.session import instructor
    from warmside.session.folder import Session

    opened = Session.open(folder)
    names = instructor.release(opened, exercise, released=not withdraw)
    click.echo(f"{'no longer ' if withdraw else ''}released: {', '.join(names)}.")
    _renew(opened, exercise=exercise, demand=False)


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


def _say_what_came(opened: Session, received: list[Received], refused: list[Refused]) -> None:
    from warmside.session.received import hand_ins_of

    for item in received:
        click.echo(f"taken in: {item.where} for {item.trainee}, {item.exercise}")
        for other in item.other_cards:
            click.echo(f"  look at this: it was made with the job card of {other}")
        if item.named:
            click.echo(f"  look at this: its name tells {item.named}, and its cells are of {item.exercise}")
        there = hand_ins_of(opened, item.trainee, item.exercise)
        if doubt := there.doubts.get(item.name) or ("nothing is written in it" if item.blank else ""):
            counts = "counts all the same" if there.counting == item else "doesn't count"
            click.echo(f"  look at this: {doubt}; it {counts}")
    for left in refused:
        click.echo(f"left alone: {left.where}: {left.why}", err=True)
    click.echo(f"{len(received)} taken in, {len(refused)} left alone.")
    if refused:
        sys.exit(BAD_INPUT)


def _renew(opened: Session, trainee: str = "", exercise: str = "", *, demand: bool = True) -> None:
    """Write feedback pages anew with a progress bar; where there are none yet, that is told if demanded."""
    from warmside.session.renew import marked, renew

    tasks = [task for task in marked(opened, trainee, demand=demand) if exercise in ("", task.exercise)]
    with click.progressbar(length=len(tasks), label="writing pages", file=sys.stderr) as bar:
        failed = renew(opened, tasks, lambda task: bar.update(1))
    click.echo(f"{len(tasks) - len(failed)} pages are in {opened.folder / 'feedback'}.")
    for task, reason in failed.items():
        click.echo(f"not written: {task.trainee}, {task.exercise}: {reason}", err=True)
    if failed:
        sys.exit(FAILED)


def bank_with_bar(cluster: str | None = None) -> Bank:
    """Return the simulated cases, with a progress bar where they are made first."""
    from warmside.diagnosis.storing import load_bank

    with progress_bar("simulating cases, once") as progress:
        return load_bank(cluster=cluster, progress=progress, notice=lambda said: click.echo(said, err=True))


def make_ready(exercises: Iterable[Exercise]) -> None:
    """Make what the exercises' job cards are drawn with, where that takes a while."""
    if any(exercise.needs_bank for exercise in exercises):
        bank_with_bar()


def mark_with_bar(opened: Session, *, again: bool = False, unboxed: bool = False) -> dict[Task, str]:
    """Mark a session with a progress bar and print the table of marks."""
    from warmside.session.mark import mark as mark_tasks
    from warmside.session.mark import to_mark
    from warmside.session.received import settle
    from warmside.session.report import marks_lines
    from warmside.session.standing import standings

    with opened.alone():
        settle(opened)
    tasks = to_mark(opened, again=again)
    if not tasks:
        click.echo("Nothing new to mark.")
        return {}
    make_ready(opened.exercises())
    with click.progressbar(length=len(tasks), label="marking", file=sys.stderr) as bar:
        failed = mark_tasks(opened, tasks, lambda task: bar.update(1), unboxed=unboxed)
    for line in marks_lines(standings(opened)):
        click.echo(line)
    return failed
