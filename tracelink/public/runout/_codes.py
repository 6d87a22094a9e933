"""Codes that need no ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from runout._arguments import require_line, require_text
from tracelink.errors import UsageError
from tracelink.services import code_reading
from tracelink.services.code_reading import CodesRead


def read_codes(*given: str | Path, separator: str | None = None) -> CodesRead:
    """Say what codes are, part by part, and whether their elements may stand on one item; no ledger is asked.

    Args:
        given: texts as a scanner sends or a person types them, or files: pictures, or text with a code a line.
        separator: what stands for the GS1 separator (byte 29) in texts; None if that byte does.

    Raises:
        UsageError: nothing is given, or a file cannot be read as one of these.
        ImageDoubtful: the two readers do not agree on a picture.
    """
    for each in given:
        if not isinstance(each, str | Path):
            raise UsageError(f"a code is {each!r}: expected text or a path, found {type(each).__name__}")
    year = datetime.now(tz=UTC).year
    return code_reading.read_codes([str(each) for each in given], year, separator)


def typed_line(text: str, *, separator: str | None = None) -> str:
    """Return what a scanner typed into a program as the line that `LiveStation.scan` takes.

    Args:
        text: up to its line end; a long one is cut and marked.
        separator: what the scanner sends for the GS1 separator (byte 29); None if it sends that byte.

    Raises:
        UsageError: the stand-in could be part of a code.
    """
    from tracelink.services.floor import browser_lines  # noqa: PLC0415

    require_line(text)
    return browser_lines.typed_line(text, separator)


def picture_line(name: str, content: bytes) -> str:
    """Return the line that stands for a picture, read by both readers; `LiveStation.scan` takes it.

    Args:
        name: how the picture is called.
        content: of a PNG or JPEG file; one in which nothing can be read is a line that says so.
    """
    from tracelink.services.floor import browser_lines  # noqa: PLC0415

    require_text("name", name)
    return browser_lines.picture_line(Path(name).name, content)
