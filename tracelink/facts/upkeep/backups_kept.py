"""What became of the older backups in a folder."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BackupsKept:
    """What became of the older backups in a folder."""

    removed: tuple[str, ...]
    """Names of those that were removed."""
    spared: tuple[str, ...]
    """Sentences about those that should have gone by their number, and why they stay."""
