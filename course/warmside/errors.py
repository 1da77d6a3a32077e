"""The one kind of error that a user is meant to read."""


class InputError(ValueError):
    """Something that a person gave us can't be used.

    The message is one sentence that names what was read (file, line, field) and what would be right.
    The command line shows it without a traceback and ends with exit status 2.
    """
