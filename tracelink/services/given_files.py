"""Files that people hand in, read as far as one of their kind can be long."""

from pathlib import Path

from tracelink.errors import UsageError
from tracelink.plainfile import open_plain


def first_bytes(file: str | Path, most: int, what: str = "") -> bytes:
    """Return the bytes of a file, or the first of them if it is longer.

    Args:
        file: its path, which may lead to anything.
        most: bytes to read at most.
        what: what it is, in front of its name in the sentence; empty for nothing.

    Raises:
        UsageError: it cannot be read.
    """
    try:
        with open_plain(file) as opened:
            return opened.read(most)
    except OSError as problem:
        named = f"{what} {file}" if what else f"{file}"
        raise UsageError(f"{named} cannot be read: {problem.strerror}") from None
