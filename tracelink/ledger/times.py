"""Instants as text, RFC 3339, read strictly.

`datetime.fromisoformat` takes week dates, commas and missing offsets and refuses leap seconds; an entry
must mean one instant to every reader, so the pattern below comes first.
"""

import re
from datetime import UTC, datetime
from functools import lru_cache

from tracelink.errors import InvalidFormat, UsageError

_LOCAL = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,6})?[+-]\d{2}:\d{2}")
_UTC = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")


@lru_cache(maxsize=4096)
def require_local_time(text: str) -> str:
    """Return `text` if it is an instant with its local offset, such as 2031-03-04T09:15:00+01:00.

    Raises:
        InvalidFormat: any other shape, an impossible date, or an offset beyond 14 hours.
    Source:
        RFC 3339 section 5.6; the offset is numeric because "Z" does not tell the place's own time, and
        "-00:00" says that nobody knows it (section 4.3).
    """
    if not (text.isascii() and _LOCAL.fullmatch(text)):
        raise InvalidFormat(
            f"time {text!r} is not usable: expected date, T, time and offset like 2031-03-04T09:15:00+01:00"
        )
    if text.endswith("-00:00"):
        raise InvalidFormat(
            f"time {text!r} has no local offset: -00:00 says that it is unknown; UTC is +00:00"
        )
    if int(text[-5:-3]) * 60 + int(text[-2:]) > 14 * 60 or int(text[-2:]) > 59:
        raise InvalidFormat(
            f"time {text!r} has an impossible offset: expected at most 14:00, found {text[-6:]}"
        )
    _instant(text)
    return text


@lru_cache(maxsize=256)
def require_utc_time(text: str) -> str:
    """Return `text` if it is a UTC instant in whole seconds, such as 2031-03-04T08:15:00Z.

    Raises:
        InvalidFormat: any other shape or an impossible date.
    Source:
        RFC 3339 section 5.6.
    """
    if not (text.isascii() and _UTC.fullmatch(text)):
        raise InvalidFormat(f"time {text!r} is not usable: expected UTC like 2031-03-04T08:15:00Z")
    _instant(text)
    return text


def require_period(since: str | None, until: str | None) -> None:
    """Check that both ends of a period are times, and in order; None leaves an end open.

    Raises:
        UsageError: a time has no offset or is invalid, or the first comes after the second.
    """
    for name, given in (("--from", since), ("--to", until)):
        if given is not None:
            try:
                require_local_time(given)
            except InvalidFormat as problem:
                raise UsageError(f"{name}: {problem}") from None
    if since is not None and until is not None and instant(since) > instant(until):
        raise UsageError(f"--from {since} comes after --to {until}: expected the earlier time first")


@lru_cache(maxsize=4096)
def instant(text: str) -> datetime:
    """Return the instant as an aware UTC datetime, for comparing times of different offsets.

    Args:
        text: a time that `require_local_time` or `require_utc_time` accepts.
    """
    return _instant(text).astimezone(UTC)


def utc_seconds(text: str) -> str:
    """Return the instant in UTC, its fraction of a second cut off: such texts compare as their instants do.

    Args:
        text: a time that `require_local_time` or `require_utc_time` accepts.
    """
    return instant(text).strftime("%Y-%m-%dT%H:%M:%SZ")


def lag_s(event_time: str, recorded_at: str) -> float:
    """Return the seconds from when something happened to when it was recorded; below zero if it was recorded before.

    Args:
        event_time: local time with offset, of an entry.
        recorded_at: UTC time, of the same entry.
    """
    return (instant(recorded_at) - instant(event_time)).total_seconds()


def _instant(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise InvalidFormat(f"time {text!r} is not a date and time of the calendar") from None
