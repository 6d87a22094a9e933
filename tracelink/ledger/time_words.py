"""How times are written for people: one form, in sentences and in tables."""

from __future__ import annotations

from datetime import datetime

_MINUTE = 16
"""Characters of an RFC 3339 time up to the minute."""


def moment(time: str) -> str:
    """Return a time for a reader, to the minute with its offset: `2031-03-05 20:22 +01:00`.

    Args:
        time: RFC 3339 with offset; any other text comes back as it is, because a column of times also says
            `not yet` or `not recorded`.
    """
    read = instant(time)
    if read is None:
        return time
    zone = "UTC" if time.endswith(("Z", "z")) else time[-6:]
    return f"{time[:10]} {time[11:_MINUTE]} {zone}"


def instant(text: str) -> datetime | None:
    """Return the time that an RFC 3339 text with offset tells, or None if it is another text."""
    if len(text) <= _MINUTE or text[10] not in "Tt":
        return None
    try:
        read = datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if read.tzinfo is None else read
