"""Files that only their owner can read, written whole or not at all."""

import os
from pathlib import Path


def write_private(path: Path, content: str | bytes) -> None:
    """Write a file that only its owner can read, whole or not at all, even if the power fails."""
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(content.encode() if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(draft, path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
