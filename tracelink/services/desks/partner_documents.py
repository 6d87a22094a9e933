"""Documents of suppliers and customers, read into the ledger event by event."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tracelink.errors import UsageError
from tracelink.facts.partner_offers import EventOutcome
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.kinds.partners import NOT_TAKEN
from tracelink.limited import within_limits
from tracelink.report.epcis.offers import comes_by_name, plant_code, read_offers
from tracelink.report.format.render import Cell
from tracelink.report.format.strictjson import LARGEST_BYTES, read_json
from tracelink.services.badge_proof import Badge, require_pin, stamp_of
from tracelink.services.given_files import first_bytes
from tracelink.store.ledger import Ledger
from tracelink.store.office.partners import DocumentFile, book_document, require_importer


@dataclass(frozen=True, slots=True)
class ReadDocument:
    """What became of each event of a document."""

    events: tuple[EventOutcome, ...]
    tried_out: bool
    """True if nothing was booked: it was a dry run."""

    @property
    def all_taken(self) -> bool:
        """True if no event was refused, changed or taken back."""
        return not any(one.verdict in NOT_TAKEN for one in self.events)

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout audit import --format json`."""
        return [
            {
                "place": one.place,
                "event_id": one.event_id,
                "verdict": f"would be {one.verdict}" if self.tried_out else one.verdict,
                "sentence": one.sentence,
            }
            for one in self.events
        ]


def read_in(ledger: Ledger, file: str, by: Badge, codes: Mapping[str, str], *, dry_run: bool) -> ReadDocument:
    """Read an EPCIS 2.0 document (JSON) of a partner.

    Args:
        ledger: open for writing.
        file: the document.
        by: who reads it in.
        codes: a partner's URI of a lot -> the plant code that stands on it here.
        dry_run: say what would become of each event, and book nothing.

    Raises:
        UsageError: it cannot be read, is no such document, or a code is none of something that comes in.
        RefusedByRule: the person may not.
    """
    for uri, code in codes.items():
        if plant_code(code) is None and not comes_by_name(code):
            raise UsageError(
                f"{code!r} for {uri}: expected the code of a tool, compound lot, label lot, sleeve batch or part lot, or an SSCC"
            )
    data = first_bytes(file, LARGEST_BYTES + 1)
    offers = within_limits(lambda: read_offers(read_json(data, file), dict(codes)), file)
    document = DocumentFile(hashlib.sha256(data).hexdigest(), Path(file).name, len(data))
    badge = PlantCode.parse(by.code).text
    if not dry_run:
        require_pin(ledger, by.code, by.pin)
    with ledger.dry_run() if dry_run else ledger.writing() as booking:
        require_importer(booking, badge)
        found = book_document(booking, stamp_of(by), document, offers)
    return ReadDocument(tuple(found), dry_run)
