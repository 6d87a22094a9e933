"""Documents of suppliers and customers."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_file
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import partner_documents


class Partners(Area):
    """What suppliers and customers send; `ledger.partners`."""

    def read_in(
        self,
        file: str | Path,
        by: Badge,
        *,
        codes: Mapping[str, str] | None = None,
        dry_run: bool = False,
    ) -> partner_documents.ReadDocument:
        """Read an EPCIS 2.0 document (JSON); an event is booked once, however often it is read.

        Args:
            file: the document.
            by: somebody with the role dock, press or quality.
            codes: a partner's URI of a lot -> the plant code that stands on it here.
            dry_run: say what would become of each event, and book nothing.

        Raises:
            UsageError: it cannot be read, is no such document, or a code is none of something that comes in.
            RefusedByRule: the person may not.
        """
        require_badge(by)
        given = {} if codes is None else codes
        require_a("codes", given, Mapping)
        return partner_documents.read_in(self._ledger, require_file("file", file), by, given, dry_run=dry_run)
