"""Opening a file that somebody names: a pipe would be waited for without end, and a device never ends."""

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

MOST_BYTES = 64 << 20
"""Bytes of a file that is read whole. The plant file of a plant with thousands of titles has one or two million."""

_AT_ONCE = 1 << 20
"""Bytes that are read at a time."""


class NotPlainError(OSError):
    """What is there is a pipe or a device."""


def open_plain(file: str | Path) -> BinaryIO:
    """Open a plain file to be read; whoever is told the error shows its `strerror`.

    Raises:
        OSError: it cannot be opened or is a folder.
        NotPlainError: it is a pipe or a device.
    """
    # Without O_NONBLOCK to open a pipe is to wait for somebody who writes to it.
    handle = os.open(file, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    try:
        mode = os.fstat(handle).st_mode
        if stat.S_ISDIR(mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(file))
        if not stat.S_ISREG(mode):
            raise NotPlainError(errno.EINVAL, "not a plain file: pipes and devices are not read", str(file))
        return os.fdopen(handle, "rb")
    except OSError:
        os.close(handle)
        raise


def plain_bytes(file: str | Path, most: int = MOST_BYTES) -> bytes:
    """Return what is in a plain file.

    Args:
        file: its path, which may lead to anything.
        most: bytes it may have.

    Raises:
        OSError: as `open_plain`, or it is longer.
    """
    found = bytearray()
    with open_plain(file) as opened:
        # Asked for all at once, the reader sets the most aside before it has read a byte.
        while part := opened.read(_AT_ONCE):
            found += part
            if len(found) > most:
                raise OSError(errno.EFBIG, f"more than the {most:,} bytes that are read", str(file))
    return bytes(found)


def plain_text(file: str | Path, encoding: str = "utf-8-sig") -> str:
    """Return the text in a plain file of at most `MOST_BYTES`, every line end as a line feed.

    Raises:
        OSError: as `plain_bytes`.
        UnicodeDecodeError: it is no text of this encoding.
    """
    return plain_bytes(file).decode(encoding).replace("\r\n", "\n").replace("\r", "\n")
