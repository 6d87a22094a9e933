"""Investigations of what does not add up."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_count
from tracelink.services.badge_proof import Badge
from tracelink.services.balancing import Balance
from tracelink.services.desks import investigating


class Investigations(Area):
    """Differences that are looked into; `ledger.investigations`."""

    def listed(self, *, closed: bool = False) -> investigating.InvestigationList:
        """Return the open investigations, oldest first.

        Args:
            closed: closed ones as well.
        """
        with self._ledger.reading() as conn:
            return investigating.listed(conn, closed=closed)

    def open(self, found: Balance, reason: str, by: Badge) -> int:
        """Open an investigation of a difference, which bars the release; returns its number.

        Args:
            found: the balance, as `ledger.balance` gave it.
            reason: why, such as what was done so far.
            by: who opens it.

        Raises:
            RefusedByRule: nothing is off, the person is not known, or an investigation is open already.
        """
        require_a("found", found, Balance)
        require_a("reason", reason, str)
        require_badge(by)
        return investigating.open_about(self._ledger, found, reason, by)

    def close(self, number: int, reason: str, by: Badge) -> str:
        """Close an investigation; returns what it was about. The difference stays in the balance as it is.

        Args:
            number: of the investigation.
            reason: what was found.
            by: somebody with the role quality.

        Raises:
            UsageError: no investigation has that number.
            RefusedByRule: it is closed already, or the person may not.
        """
        require_count("number", number)
        require_a("reason", reason, str)
        require_badge(by)
        return investigating.close(self._ledger, number, reason, by)
