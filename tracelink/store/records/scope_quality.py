"""How far the records about a scope can be relied on: late entries, corrections, no-reads, inferred contents."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, text

from tracelink.facts.entry_stamp import EntryStamp
from tracelink.facts.scope_records import Correction, LateEntry
from tracelink.ledger.kinds.line import NoRead
from tracelink.ledger.kinds.packing import ManualEntry, RecheckKeyed
from tracelink.ledger.lateness import Lateness
from tracelink.store.database.in_lists import of_codes, rows_of
from tracelink.store.records.entry_stamps import entry_stamps

_OF_LOTS = of_codes(
    "SELECT seq FROM movement WHERE lot IN :codes UNION SELECT seq FROM run_segment WHERE lot IN :codes "
    "UNION SELECT seq FROM sample WHERE lot IN :codes UNION SELECT seq FROM stock_count WHERE lot IN :codes "
    "UNION SELECT j.seq FROM judgement j JOIN sample s ON s.code = j.sample WHERE s.lot IN :codes"
)
_OF_THINGS = of_codes(
    "SELECT opened_seq AS seq FROM nesting WHERE child IN :codes "
    "UNION SELECT closed_seq FROM nesting WHERE child IN :codes AND closed_seq IS NOT NULL"
)
_PACKED_AT = of_codes(
    "SELECT c.station, MIN(m.seq) AS first, MAX(m.seq) AS last FROM carton c JOIN movement m ON m.target = c.sscc "
    "WHERE c.sscc IN :codes GROUP BY c.station ORDER BY c.station"
)
_PACKING_AT = of_codes("SELECT DISTINCT station FROM spool WHERE carton IN :codes ORDER BY station")
_UNREAD = text(
    "SELECT seq FROM journal WHERE seq BETWEEN :first AND :last AND kind IN ('no-read', 'manual-entry', 'recheck-keyed')"
)
_CHECKED = of_codes("SELECT DISTINCT carton FROM aggregation_check WHERE carton IN :codes")


_END = 2**62
"""After every entry."""


@dataclass(frozen=True, slots=True)
class ScopeSubject:
    """What a scope is about."""

    lots: Sequence[str]
    """The lots in question."""
    things: Sequence[str]
    """Containers, pallets and shipments in question."""
    cartons: Sequence[str]
    """The cartons among them."""


@dataclass(frozen=True, slots=True)
class JournalRecords:
    """What the journal says about the entries that a scope rests on."""

    entries: int
    """Entries looked at."""
    late: tuple[LateEntry, ...]
    """Recorded later than the limit, the latest first."""
    early: int
    """Entries whose event time lies after their recording by more than the limit: clocks disagree."""
    corrections: tuple[Correction, ...]
    """Entries that correct others."""
    no_reads: int
    """Codes that could not be read while the cartons in question were packed."""
    keyed: int
    """Codes keyed by two people in place of a scan."""
    unchecked: int
    """Cartons in question whose content nobody compared with the records since."""


def record_quality(
    conn: Connection, asked: ScopeSubject, late_after_minutes: int, people: Mapping[str, str]
) -> JournalRecords:
    """Look at every entry about some lots and containers.

    Args:
        conn: a connection.
        asked: what the scope is about.
        late_after_minutes: the setting `late_entry_minutes`.
        people: names by badge.
    """
    seqs = {row.seq for row in rows_of(conn, _OF_LOTS, asked.lots)} | {
        row.seq for row in rows_of(conn, _OF_THINGS, asked.things)
    }
    stamps = entry_stamps(conn, seqs, people)
    judged = [(stamp, stamp.lateness(late_after_minutes)) for stamp in stamps.values()]
    late = [stamp for stamp, found in judged if found is Lateness.LATE]
    no_reads, keyed = _unread(conn, asked.cartons, people)
    checked = {row.carton for row in rows_of(conn, _CHECKED, asked.cartons)}
    return JournalRecords(
        entries=len(stamps),
        late=tuple(_late(stamp) for stamp in sorted(late, key=lambda one: (-one.late_s, one.seq))),
        early=sum(found is Lateness.EARLY for _stamp, found in judged),
        corrections=tuple(_corrections(stamps.values())),
        no_reads=no_reads,
        keyed=keyed,
        unchecked=len(set(asked.cartons) - checked),
    )


def _late(stamp: EntryStamp) -> LateEntry:
    return LateEntry(stamp.seq, stamp.kind, stamp.happened, stamp.recorded, stamp.late_s, stamp.by)


def _corrections(stamps: Iterable[EntryStamp]) -> Iterable[Correction]:
    for stamp in stamps:
        if stamp.corrects is not None:
            yield Correction(stamp.seq, stamp.corrects, stamp.kind, stamp.reason, stamp.by)


def _unread(conn: Connection, cartons: Sequence[str], people: Mapping[str, str]) -> tuple[int, int]:
    """No-reads and keyed codes at the stations that packed the cartons, from the first to the last packing there."""
    counts = {NoRead.kind: 0, ManualEntry.kind: 0, RecheckKeyed.kind: 0}
    spans: dict[str, tuple[int, int]] = {}
    for row in rows_of(conn, _PACKED_AT, cartons):
        first, last = spans.get(row.station, (row.first, row.last))
        spans[row.station] = min(first, row.first), max(last, row.last)
    for row in rows_of(conn, _PACKING_AT, cartons):
        # Matches in the spool come after every entry.
        spans[row.station] = spans.get(row.station, (_END, _END))[0], _END
    for station, (first, last) in spans.items():
        seqs = [row.seq for row in conn.execute(_UNREAD, {"first": first, "last": last})]
        for stamp in entry_stamps(conn, seqs, people).values():
            if stamp.station == station:
                counts[stamp.kind] += 1
    return counts[NoRead.kind], counts[ManualEntry.kind] + counts[RecheckKeyed.kind]
