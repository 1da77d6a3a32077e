"""A mistake in a cell of an exercise, told in one sentence: trainees are no programmers."""

import traceback
from types import TracebackType

from IPython.core.interactiveshell import InteractiveShell

from warmside.errors import InputError

AN_ANSWER = 'an answer between the quotes, such as "20.5 degF" or "a"'


def sentence(error: Exception, line: str = "") -> str:
    """Say what stopped a cell, and what would be right.

    Parameters
    ----------
    error : Exception
        What stopped it.
    line : str
        The cell's line that did.
    """
    if isinstance(error, InputError):
        return str(error)
    if isinstance(error, SyntaxError):
        return f"Type {AN_ANSWER}, and run the cell again: “{(error.text or line).strip()}” can't be read."
    if isinstance(error, NameError):
        return (
            f"“{error.name}” has no value here: type {AN_ANSWER}; to calculate, run the cells above first "
            "and check how the name is spelled."
        )
    return f"“{line.strip()}” stopped: {error} ({type(error).__name__})."


def tell_errors_plainly(shell: InteractiveShell) -> None:
    """Have a notebook tell errors in one sentence, in place of a traceback, from now on."""

    def told(
        shell: InteractiveShell,
        kind: type[Exception],
        error: Exception,
        trace: TracebackType,
        tb_offset: int | None = None,
    ) -> list[str]:
        del tb_offset
        frames = traceback.extract_tb(trace)
        # the outermost frame is the shell's, the next one the cell's, where it ran at all
        said = [sentence(error, frames[1].line or "" if len(frames) > 1 else "")]
        shell._showtraceback(kind, error, said)  # which keeps the cell's run marked as failed
        return said

    shell.set_custom_exc((Exception,), told)
