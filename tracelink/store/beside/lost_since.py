"""What a ledger lost of the scans that its stations noted beside it."""

from pathlib import Path

from sqlalchemy import text

from tracelink.store.beside.acknowledged import LostScans, lost_scans, notes_beside
from tracelink.store.database.engine import ledger_url
from tracelink.store.ledger import read_ledger

_NUMBERS = text("SELECT code, last_number FROM station")


def lost_at(place: str) -> list[LostScans]:
    """Return the scans that stations beside a ledger's file booked, and that the ledger does not hold.

    Args:
        place: of the ledger; on a server nothing is noted beside it.
    """
    url = ledger_url(place)
    if url.get_backend_name() != "sqlite" or not url.database:
        return []
    notes = notes_beside(Path(url.database))
    # Not in a transaction that began before: what was booked since would seem lost.
    with read_ledger(place) as conn:
        booked = {row.code: row.last_number for row in conn.execute(_NUMBERS)}
    return list(lost_scans(notes, booked))
