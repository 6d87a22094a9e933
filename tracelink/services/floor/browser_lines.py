"""Lines that come from a browser: what a scanner typed there, and pictures that a tablet took."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tracelink.devices import wedge
from tracelink.errors import ImageDoubtful, ImageUnread
from tracelink.identity.rawlines import raw_picture, raw_unread_picture


def typed_line(text: str, separator: str | None) -> str:
    """Return a line as a terminal would have taken it: a long one cut and marked, the separator put back.

    Args:
        text: what the keyboard sent up to its line end, also with lone surrogates.
        separator: what the scanner sends for the GS1 separator; None if it sends byte 29 itself.

    Raises:
        UsageError: the stand-in could be part of a code.
    """
    if separator is not None:
        wedge.require_usable(separator)
    return wedge.one_line(text.encode("utf-8", "surrogatepass"), separator)


def picture_line(name: str, content: bytes) -> str:
    """Return the line that stands for a picture, read by both readers; one in which nothing can be read says so.

    Args:
        name: how the picture is called.
        content: of a PNG or JPEG file.
    """
    from tracelink.devices.unread_bars import read_picture_file  # noqa: PLC0415  image readers are loaded when wanted

    with tempfile.TemporaryDirectory(prefix="runout-") as folder:
        # Never under the name that was sent: it may lead anywhere.
        file = Path(folder, "picture")
        file.write_bytes(content)
        try:
            return raw_picture(name, *read_picture_file(file, name))
        except (ImageDoubtful, ImageUnread) as error:
            return raw_unread_picture(name, str(error))
