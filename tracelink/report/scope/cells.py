"""How single values of a scope document are printed in tables."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.report.format.plain import grouped

_WIDE = "*"
"""Marks bounds that may be wider than the records force."""

_MINUTE = 16
"""Characters of an RFC 3339 time up to the minute."""


def moment(time: str) -> str:
    """A time for a reader, to the minute with its offset: `2031-03-05 20:22 +01:00`; empty stays empty."""
    if len(time) < _MINUTE:
        return time
    zone = "UTC" if time.endswith("Z") else time[-6:]
    return f"{time[:10]} {time[11:_MINUTE]} {zone}"


def most(number: int, *, tight: bool) -> str:
    """The most affected discs; marked if the bound may be wider than the records force."""
    return f"{grouped(number)}{'' if tight else _WIDE}"


def few(codes: Sequence[str], most: int = 12) -> str:
    """Codes for a reader, the first ones by name and the rest counted: a cell is no list."""
    if len(codes) <= most:
        return ", ".join(codes)
    return f"{', '.join(codes[:most])} and {grouped(len(codes) - most)} more"
