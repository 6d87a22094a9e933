"""Entries of the journal as they are looked through: which ones, and a page of them."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class EntriesAsked:
    """Which entries are looked for; None asks for nothing, and all that is given must hold."""

    station: str | None = None
    """Code of the station where they were made."""
    kind: str | None = None
    """Such as `lot-decided`."""
    person: str | None = None
    """Badge of whoever was signed on."""
    since: str | None = None
    """First local day on which they happened, YYYY-MM-DD."""
    until: str | None = None
    """The last one."""


@dataclass(frozen=True, slots=True)
class ListedEntry:
    """One entry in a list."""

    seq: int
    """Its number."""
    kind: str
    """What it records."""
    happened: str
    """Event time, local with offset."""
    recorded: str
    """Recording time, UTC."""
    station: str | None
    """The station; None for acts of a desk or command."""
    person: str | None
    """Badge of whoever was signed on; None for nobody."""
    reason: str
    """As the person wrote it; empty if none was asked for."""


@dataclass(frozen=True, slots=True)
class JournalPage:
    """Some of the entries that were looked for, newest first."""

    entries: tuple[ListedEntry, ...]
    newest: int
    """Number of the entry that was looked at first; 0 if there is none."""
    older: int | None
    """Number of the entry from which to go on; None if every older one was looked at."""

    def to_dict(self) -> list[dict[str, Any]]:
        """Return the entries as plain data."""
        return [asdict(each) for each in self.entries]
