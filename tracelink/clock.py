"""What time it is; whoever asks is told, so that the pure rooms never ask."""

import time
from datetime import UTC, datetime
from functools import lru_cache


def utc_now() -> str:
    """Return the recording time: UTC, RFC 3339, whole seconds."""
    return _utc_second(int(time.time()))


@lru_cache(maxsize=4)
def _utc_second(seconds: int) -> str:
    """Return a second as text; a log that is replayed asks for the same one thousands of times."""
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def running_seconds() -> float:
    """Return seconds that run on, whatever anybody sets a clock to."""
    return time.monotonic()


def local_now() -> str:
    """Return the local time with its offset, RFC 3339, in milliseconds."""
    return datetime.now().astimezone().isoformat(timespec="milliseconds")


def local_time(written: datetime) -> str | None:
    """Return a time without offset as a time of this place, RFC 3339 in whole seconds.

    Args:
        written: as somebody wrote it, without a zone.

    Returns:
        None if clocks were set then, so that it came twice or not at all.
    """
    first, second = (written.replace(fold=fold).astimezone() for fold in (0, 1))
    return first.isoformat(timespec="seconds") if first.utcoffset() == second.utcoffset() else None


def local_midnight(day: str) -> str:
    """Return when a day begins here, in UTC, RFC 3339, whole seconds.

    Args:
        day: YYYY-MM-DD.
    """
    # A time without a zone is taken for the zone of this machine, with its offset on that very day.
    return datetime.fromisoformat(day).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
