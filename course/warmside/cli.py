"""The command line: reading options, calling the package, saying what came out."""

from __future__ import annotations

import json
import secrets
import sys
import warnings
from pathlib import Path

import click

from warmside.errors import InputError
from warmside.session_commands import bank_with_bar, make_ready, mark_with_bar, session
from warmside.terminal import FAILED, Commands, progress_bar

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
@click.option("--present", is_flag=True, help="Show lessons on a wall: large, one step at a time.")
def open_(what: str, browser: bool, present: bool) -> None:
    """Open the course in the browser, or JupyterLab on a folder.

    WHAT is “course” (the default) or “exercises”: the map, which leads to lessons to read and to exercises in
    copies of your own. Or it is a folder, such as an unpacked pack.
    """
    from warmside import project
    from warmside.session import lab

    if what in ("course", "exercises"):
        root = project.root()
        folders = root / "course", root / "exercises", Path.home()
        sys.exit(lab.open_course(*folders, browser=browser, present=present))
    if present:
        raise InputError(f"--present shows the course's lessons; leave “{what}” out.")
    folder = Path(what)
    if not folder.is_dir():
        raise InputError(f"{what} is no folder; give “course” or the folder of your pack.")
    sys.exit(lab.open_notebooks(folder.resolve(), browser=browser))


main.add_command(session)


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
        make_ready([load_exercise(name)])
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

    make_ready([load_exercise(name)])
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
    bank_with_bar(cluster)
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

    bank = None if job.stops else bank_with_bar(cluster)
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
    failed = mark_with_bar(made, unboxed=not box.available())
    page, _ = write_report(made)
    click.echo(f"\nmarks and mistakes:  {page}")
    click.echo(f"feedback:            {made.folder / 'feedback'}")
    click.echo(f"marking by hand:     warmside session open {made.folder}")
    if failed or refused:
        sys.exit(FAILED)
