"""The judged discs of the whole ledger, for the search of a common cause."""

from sqlalchemy import Connection, text

from tracelink.genealogy.commoncause.exposure import JudgedDiscs, judged_pieces
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.ledger.times import instant
from tracelink.store.records.entries_by_actor import press_readings
from tracelink.store.records.sql_records import SqlRecords

_JUDGED = text(
    "SELECT s.code, s.lot, s.stroke, j.good, j.defect, j.seq, s.at FROM sample s "
    "JOIN judgement j ON j.sample = s.code WHERE s.stroke IS NOT NULL AND j.corrected_by IS NULL ORDER BY j.seq"
)
_DEFECTS = text("SELECT DISTINCT defect FROM judgement WHERE defect IS NOT NULL ORDER BY defect")


def known_defects(conn: Connection) -> list[str]:
    """Return the names of all defects that the lab ever found, in alphabetical order."""
    return [row.defect for row in conn.execute(_DEFECTS)]


def judged_discs(
    conn: Connection, defect: str | None, since: str | None = None, until: str | None = None
) -> JudgedDiscs:
    """Return the judged discs with what made them.

    Args:
        conn: a connection.
        defect: the defect asked about; None counts a disc bad for any.
        since: only samples drawn at this time or later, RFC 3339 with offset.
        until: only samples drawn at this time or earlier.
    """
    begin = None if since is None else instant(since)
    end = None if until is None else instant(until)
    found = [
        JudgementFact(row.code, row.lot, row.stroke, bool(row.good), row.defect, row.seq)
        for row in conn.execute(_JUDGED)
        if (begin is None or instant(row.at) >= begin) and (end is None or instant(row.at) <= end)
    ]
    return judged_pieces(SqlRecords(conn), found, press_readings(conn), defect)
