"""Investigations of differences: listed, opened about a balance, closed."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import Connection

from tracelink.errors import RefusedByRule
from tracelink.facts.investigation_list import Investigated
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting, stamp_of
from tracelink.services.balancing import Balance
from tracelink.store.ledger import Ledger
from tracelink.store.office import investigations


@dataclass(frozen=True, slots=True)
class InvestigationList:
    """Investigations, oldest first."""

    investigations: tuple[Investigated, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout investigate list --format json`."""
        return [asdict(one) for one in self.investigations]


def listed(conn: Connection, *, closed: bool) -> InvestigationList:
    """Return the open investigations, and closed ones if wanted."""
    return InvestigationList(tuple(investigations.listed(conn, closed=closed)))


def open_about(ledger: Ledger, found: Balance, reason: str, by: Badge) -> int:
    """Open an investigation of a difference; returns its number.

    Raises:
        RefusedByRule: nothing is off, the person is not known, or an investigation is open already.
    """
    if not found.off:
        raise RefusedByRule(f"{found.subject} adds up; there is no difference to investigate")
    with acting(ledger, by) as booking:
        return investigations.open_one(booking, stamp_of(by), found.subject, found.difference, reason)


def close(ledger: Ledger, number: int, reason: str, by: Badge) -> str:
    """Close an investigation; returns what it was about.

    Raises:
        UsageError: no investigation has that number.
        RefusedByRule: it is closed already, or the person has not the role quality.
    """
    with acting(ledger, by) as booking:
        return investigations.close_one(booking, stamp_of(by), number, reason)
