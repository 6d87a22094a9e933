"""Journals judged again, and entries that somebody with the database in hand puts at their end."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import support_on_server
from support_plant import Floor

from tracelink.ledger.entry import Entry, entry_hash, read_entry
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.origin import ScanRule
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans, unpack_scans
from tracelink.ledger.proof.chain import JournalRow
from tracelink.ledger.proof.judged import JudgedAgain
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger
from tracelink.store.stations.judge_again import judge_again


def judged(floor: Floor) -> JudgedAgain:
    """Judge a ledger again."""
    with floor.ledger.reading() as conn:
        return judge_again(conn)


def copied(floor: Floor) -> Floor:
    """Return a copy of a plant in memory, or on the server if it lies there."""
    if "://" in floor.ledger.place:
        return Floor.there(support_on_server.copied_there(floor.ledger.place))
    made = Floor(Ledger("a ledger in memory", open_engine(ledger_url("sqlite://"), must_exist=False)))
    with floor.ledger._engine.connect() as source, made.ledger._engine.connect() as target:
        source.connection.dbapi_connection.backup(target.connection.dbapi_connection)
    return made


def turns(floor: Floor) -> int:
    """Return how many scans were booked."""
    return int(floor.rows("SELECT SUM(last_number) FROM station")[0][0])


def recorded(floor: Floor) -> list[tuple[Entry, tuple[RawScan, ...]]]:
    """Return every entry with the raw scans beside it."""
    with floor.ledger.reading() as conn:
        return [
            (read_entry(row.canonical), unpack_scans(row.pack) if row.pack else ())
            for row in journal.rows(conn)
        ]


def insert(floor: Floor, entry: Entry, *scans: RawScan) -> Entry:
    """Put an entry at the end of the journal, rightly chained, with raw scans beside it."""
    pack = pack_scans(scans) if scans else None
    with floor.ledger.transaction() as conn:
        last = journal.head(conn)
        forged = replace(
            entry, seq=last.seq + 1, prev=last.hash, scans=None if pack is None else pack_hash(pack)
        )
        canonical = forged.canonical()
        journal.store(conn, JournalRow(forged.seq, entry_hash(canonical), canonical, pack, forged.kind))
    return forged


@dataclass(frozen=True)
class Forgery:
    """An entry that happened once, as somebody would put it at the end once more with all that a rule leaves on it."""

    entry: Entry
    scan: RawScan


def forgeries(floor: Floor) -> Iterator[Forgery]:
    """Yield one for every kind whose own scan stands beside it: the last of that kind."""
    last = {entry.kind: (entry, scans) for entry, scans in recorded(floor) if scans}
    numbers = dict(floor.read("station", "code", "last_number"))
    for kind, (entry, scans) in sorted(last.items()):
        if entry.stamp.station is not None and KINDS[kind].origin.scans is ScanRule.OWN:
            number = numbers[entry.stamp.station] + 1
            again = replace(entry, stamp=replace(entry.stamp, station_seq=number))
            turn, after = turns(floor) + 1, floor.ledger.head().seq
            yield Forgery(again, RawScan(number, scans[-1].at, scans[-1].raw, turn, after))
