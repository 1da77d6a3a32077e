"""Sealing what nobody should read by accident: each thing by itself, under the names of what it is.

It is no lock. Whoever has this package can open what it opens, one by one.
"""

import base64
import hashlib
import json
from typing import Any

RETEST_NAME, SIGNS_NAME, DEBRIEF_NAME = "re-test", "stop signs", "debrief"
"""Under which names, besides its readings', parts of a case are sealed."""
_LENGTH = 32
"""Everything is filled up to a multiple of so many bytes, so that its length says little."""


def sealed(content: Any, *names: str) -> str:
    """Return plain data as a text that has to be opened.

    Examples
    --------
    >>> opened(sealed("43.0 °F", "ABCD-EFGH", "cup"), "ABCD-EFGH", "cup")
    '43.0 °F'
    """
    plain = json.dumps(content, ensure_ascii=False).encode()
    plain = plain.ljust(-(-len(plain) // _LENGTH) * _LENGTH)
    return base64.b64encode(_turned(plain, names)).decode("ascii")


def opened(text: str, *names: str) -> Any:
    """Return what was sealed under these names.

    Raises
    ------
    ValueError
        If it wasn't.

    Examples
    --------
    >>> opened(sealed([1, 2], "ABCD-EFGH", "signs"), "ABCD-EFGH", "signs")
    [1, 2]
    """
    return json.loads(_turned(base64.b64decode(text, validate=True), names).decode())


def _turned(content: bytes, names: tuple[str, ...]) -> bytes:
    stream = hashlib.shake_256("/".join(names).encode()).digest(len(content))
    return bytes(one ^ other for one, other in zip(content, stream, strict=True))
