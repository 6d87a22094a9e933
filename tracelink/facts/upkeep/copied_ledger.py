"""What was copied from one place to another, and proven equal."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CopiedLedger:
    """What was copied, and proven equal."""

    target: str
    """Path or URL of the new ledger, as given."""
    entries: int
    """How many entries its journal has."""
    head: str
    """Hash of the last one, 64 hexadecimal digits."""
    tables: int
    """How many tables were compared row by row."""
    rows: int
    """How many rows they have together."""
    missed_entries: int
    """Entries that the source took meanwhile: they are not in the copy."""
    missed_scans: int
    """Scans that the source took meanwhile."""
