"""Who has a badge."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BadgeOwner:
    """Somebody with a badge."""

    person: str
    """Code of the badge."""
    name: str
    roles: str
    """With commas between."""
    pin_seq: int | None
    """The entry that set the PIN; None without one."""
    failures: int | None
    """Wrong PINs in a row."""
    failed_at: str | None
    """Time of the last of them."""
    withdrawn: str | None
    """The time from which the badge counts no longer, UTC; None if it does."""
