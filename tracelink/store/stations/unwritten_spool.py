"""Scans that wait for their entry within one transaction, before anybody needs them in the table of the spool.

A replayed log books hundreds of scans in one transaction, and most of them are sealed into an entry of that same
transaction: nobody ever sees them in the spool. So a scan is put there only when its transaction ends, or when
something asks the spool. Both ways to ask are watched: `short_reads`, and SQLAlchemy's own.
Nothing that was acknowledged is lost by it: before the commit nothing is acknowledged.
"""

import json
from collections import Counter

from sqlalchemy import Connection, bindparam, select

from tracelink.ledger.packs import RawScan, spooled_hash
from tracelink.station.common.outcome import Spooled
from tracelink.station.line.scanned_unit import ScannedUnit
from tracelink.store.database.tables_stations import spool
from tracelink.store.statements import kept_rows, short_reads
from tracelink.store.statements.short_writes import write, write_together
from tracelink.store.stations.asking import Asking
from tracelink.store.stations.written import Writing

_SPOOL = spool.insert()
_WRITTEN = (
    select(spool.c.number, spool.c.at, spool.c.raw, spool.c.turn, spool.c.after)
    .where(spool.c.station == bindparam("code"))
    .order_by(spool.c.number)
)
_SEALED = spool.delete().where(spool.c.station == bindparam("code"), spool.c.number <= bindparam("upto"))

_WRITER = json.JSONEncoder(separators=(",", ":"))


def spool_row(code: str, scan: RawScan, spooled: Spooled) -> dict[str, object]:
    """Return how a scan waits in the spool."""
    row: dict[str, object] = {
        "station": code,
        "number": scan.number,
        "at": scan.at,
        "raw": scan.raw,
        "turn": scan.turn,
        "after": scan.after,
        "fact": _WRITER.encode(spooled.fact),
        "spindle": spooled.spindle,
        "lot": spooled.lot,
        "carton": spooled.carton,
        "sleeve_number": spooled.sleeve_number,
    }
    return {**row, "digest": spooled_hash(row)}


def waiting_on(spindle: str) -> tuple[str, ...]:
    """Return the question how many discs of a spindle are in the table of the spool, as answers are kept by it."""
    return ("waiting on", spindle)


class UnwrittenSpool:
    """The scans of one transaction that are not in the table yet, by station in their order."""

    def __init__(self, conn: Connection, answers: Asking) -> None:
        """Hold a connection.

        Args:
            conn: a connection inside a write transaction.
            answers: of that transaction; told of the discs that come into the table.
        """
        self._conn = conn
        self._answers = answers
        keeping = kept_rows.of(conn)
        self._is_watched = keeping is not None
        if keeping is not None:
            keeping.unwritten = self
        self._waiting: dict[str, list[tuple[RawScan, Spooled]]] = {}
        self._spindles: Counter[str | None] = Counter()

    def put(self, code: str, scan: RawScan, spooled: Spooled) -> None:
        """Let a scan of a station wait."""
        self._waiting.setdefault(code, []).append((scan, spooled))
        self._spindles[spooled.spindle] += 1
        if not self._is_watched:
            self.write()

    def unit(self, code: str) -> ScannedUnit | None:
        """Return the scans of a unit that a station just finished, if all of them wait and nothing came between; None if not."""
        waiting = self._waiting.get(code)
        if not waiting or not waiting[-1][1].fact.get("unit"):
            return None
        first = len(waiting) - 1
        while first and not waiting[first - 1][1].fact.get("unit"):
            first -= 1
        scans, came_to = zip(*waiting[first:], strict=True)
        is_whole = scans[-1].number - scans[0].number == len(scans) - 1
        return ScannedUnit(scans, came_to) if is_whole else None

    def of_station(self, code: str) -> list[RawScan]:
        """Return the scans of a station that wait, in order: those in the table, and those that are not there yet."""
        rows = short_reads.kept_as_written(self._conn, _WRITTEN, {"code": code})
        return [*(RawScan(*row) for row in rows), *(scan for scan, _ in self._waiting.get(code, ()))]

    def on_spindle(self, code: str) -> int:
        """Return how many discs of a spindle are among them."""
        return self._spindles[code]

    def sealed(self, code: str, upto: int) -> None:
        """Forget the scans of a station up to a number: an entry has them."""
        rows = short_reads.kept_as_written(self._conn, _WRITTEN, {"code": code})
        if rows and rows[0].number <= upto:
            write(self._conn, _SEALED, {"code": code, "upto": upto})
        waiting = self._waiting.get(code, [])
        left = [each for each in waiting if each[0].number > upto]
        self._spindles.subtract(spooled.spindle for scan, spooled in waiting if scan.number <= upto)
        self._waiting[code] = left

    def write(self) -> None:
        """Put all of them into the table."""
        write_together(self._conn, self.taken())

    def taken(self) -> list[Writing]:
        """Return what puts all of them into the table, for whoever does that now together with other writes."""
        waiting, self._waiting = self._waiting, {}
        for spindle, discs in self._spindles.items():
            if spindle is not None and waiting_on(spindle) in self._answers.since_entry:
                self._answers.since_entry[waiting_on(spindle)] += discs
        self._spindles.clear()
        return [
            (_SPOOL, spool_row(code, scan, spooled))
            for code, scans in waiting.items()
            for scan, spooled in scans
        ]
