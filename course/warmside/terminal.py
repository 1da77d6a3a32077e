"""How the command line speaks: mistakes in one sentence, times as people write them, bars for long work."""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

import click

from warmside.errors import InputError

BAD_INPUT = 2
FAILED = 1


class Commands(click.Group):
    """A group that shows a user's mistake, or what the disk refuses, as one sentence."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command."""
        try:
            return super().invoke(ctx)
        except InputError as problem:
            click.echo(f"warmside: {problem}", err=True)
            ctx.exit(BAD_INPUT)
        except OSError as problem:
            click.echo(f"warmside: {problem.filename or 'a file'}: {problem.strerror or problem}.", err=True)
            ctx.exit(FAILED)


class Moment(click.ParamType):
    """A date and time, local unless a zone is given.

    Parameters
    ----------
    to_the_end : bool
        Whether a date alone means the end of that day; it is refused otherwise.
    """

    name = "TIME"

    def __init__(self, *, to_the_end: bool = False):
        self._to_the_end = to_the_end

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Return the moment in UTC."""
        try:
            moment = datetime.fromisoformat(value)
        except ValueError:
            self.fail(f"“{value}” is no time; write it like “2026-12-01 17:00”.", param, ctx)
        if re.fullmatch(r"\d{4}-?\d{2}-?\d{2}|\d{4}-?W\d{2}-?\d", value):
            if not self._to_the_end:
                said = f"“{value}” has no time of day; write it like “2026-12-01 17:00”."
                self.fail(said, param, ctx)
            moment = moment.replace(hour=23, minute=59, second=59)
        return moment.astimezone(UTC)


@contextmanager
def progress_bar(label: str) -> Iterator[Callable[[int, int], None]]:
    """Give what shows how much is done of how much; no bar where it is never called."""
    bar = None

    def progress(done: int, of: int) -> None:
        nonlocal bar
        if bar is None:
            bar = click.progressbar(length=of, label=label, file=sys.stderr)
            bar.__enter__()
        bar.update(done - bar.pos)

    try:
        yield progress
    finally:
        if bar is not None:
            bar.__exit__(None, None, None)
