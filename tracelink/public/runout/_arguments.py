"""What the methods of a ledger are given, looked at before anything is asked."""

from pathlib import Path

from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.ledger.times import require_local_time
from tracelink.services.badge_proof import Badge, DecidedBy


def require_query(query: object) -> None:
    """Raise UsageError unless this is a query."""
    if not isinstance(query, ContainmentQuery):
        raise UsageError(
            f"the question is {query!r}: expected a ContainmentQuery, found {type(query).__name__}"
        )


def require_place(place: object) -> str:
    """Return a path or URL as text; raises UsageError if it is neither."""
    if not isinstance(place, str | Path):
        raise UsageError(f"the place is {place!r}: expected a path or a database URL")
    return str(place)


def require_badge(by: object) -> None:
    """Raise UsageError unless this says who acts."""
    if not isinstance(by, Badge):
        raise UsageError(f"by is {by!r}: expected a Badge, found {type(by).__name__}")


def require_text(name: str, value: object) -> None:
    """Raise UsageError unless this is text with more than blanks in it."""
    if not isinstance(value, str) or not value.strip():
        raise UsageError(f"{name} is {value!r}: expected text, found {type(value).__name__}")


def require_line(raw: object) -> None:
    """Raise UsageError unless this is a line as a scanner sends it, which may be empty."""
    if not isinstance(raw, str):
        raise UsageError(f"raw is {raw!r}: expected text, found {type(raw).__name__}")


def require_decided(decided: object) -> None:
    """Raise UsageError unless this says who decides, and if it says when, then with an offset."""
    if not isinstance(decided, DecidedBy):
        raise UsageError(f"decided is {decided!r}: expected a DecidedBy, found {type(decided).__name__}")
    if decided.at is not None:
        require_local_time(decided.at)
