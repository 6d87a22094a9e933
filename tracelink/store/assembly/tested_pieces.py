"""The first test of each piece as a chart takes it: faults found, in the order in which pieces were tested."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, text

from tracelink.genealogy.charting.charted_discs import ChartedDisc, in_order
from tracelink.ledger.chart_words import fault_in
from tracelink.store.assembly.judged_pieces import BuiltPieces
from tracelink.store.statements import short_reads

# A piece that comes back from rework was repaired: its later tests say nothing about how it was built.
_FIRST = (
    "FROM piece_test t JOIN piece p ON p.code = t.piece WHERE (t.part = :subject OR t.station = :subject) AND NOT EXISTS "
    "(SELECT 1 FROM piece_test e WHERE e.piece = t.piece AND e.seq < t.seq AND (e.part = :subject OR e.station = :subject))"
)
_TESTED = text(
    f"SELECT t.seq, t.piece, t.station, t.passed, t.symptom, t.position, p.build, p.number {_FIRST} "
    "ORDER BY t.seq LIMIT :most OFFSET :earlier"
)
_HOW_MANY = text(f"SELECT COUNT(*) {_FIRST}")
_WAS_TESTED = text(
    "SELECT 1 FROM piece_test WHERE piece = :piece AND (part = :subject OR station = :subject) LIMIT 1"
)
_REEL_PART = text("SELECT part FROM reel WHERE code = :reel")
_PART_KIND = text("SELECT 1 FROM part_kind WHERE number = :number")
_ANY = 1_000_000_000
"""More tests than a plant makes of one thing."""


def first_tests(
    conn: Connection, subject: str, test: str, earlier: int = 0, most: int = _ANY
) -> list[ChartedDisc]:
    """Return pieces with 1 if the fault was found by their first test, else 0.

    Args:
        conn: a connection inside a transaction.
        subject: part number of the pieces, or the station that tested them.
        test: the fault, as charts name it.
        earlier: so many at the beginning are left out.
        most: how many at most.
    """
    made = _MadeOf(conn)
    rows = conn.execute(_TESTED, {"subject": subject, "most": most, "earlier": earlier}).all()
    found = [_charted(row, test, made.of(row.piece, row.station, row.seq)) for row in rows]
    return in_order(found, earlier)


def is_part_kind(conn: Connection, number: str) -> bool:
    """Return whether a plant has parts of a number."""
    return conn.execute(_PART_KIND, {"number": number}).first() is not None


def how_many_tested(conn: Connection, subject: str) -> int:
    """Return of how many pieces a part or station has a first test."""
    return int(conn.execute(_HOW_MANY, {"subject": subject}).scalar_one())


def was_tested(conn: Connection, subject: str, piece: str) -> bool:
    """Return whether a piece was tested as this part, or at this station, before."""
    return conn.execute(_WAS_TESTED, {"subject": subject, "piece": piece}).first() is not None


def made_of(conn: Connection, piece: str, station: str | None, seq: int) -> dict[str, str]:
    """Return what a piece that is tested now was made of, by kind."""
    return _MadeOf(conn).of(piece, station, seq)


def _charted(row: Any, test: str, made_with: dict[str, str]) -> ChartedDisc:
    is_bad = not row.passed and fault_in(test, row.symptom, row.position)
    return ChartedDisc(row.piece, row.build, row.number, 0, float(is_bad), is_bad, made_with)


class _MadeOf:
    """What pieces were made of, each question once."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._built = BuiltPieces(self._ask)
        self._parts: dict[str, str] = {}

    def of(self, piece: str, station: str | None, seq: int) -> dict[str, str]:
        found = {} if station is None else {"station": station}
        for built in self._built.of(piece, seq):
            if built.lot[0] == "N":
                found.setdefault("build order", built.lot)
            else:
                found.setdefault(f"{self._part(built.lot)} reel", built.lot)
        return found

    def _part(self, reel: str) -> str:
        if reel not in self._parts:
            self._parts[reel] = str(self._ask(_REEL_PART, reel=reel)[0].part)
        return self._parts[reel]

    def _ask(self, query: Any, **asked: object) -> Sequence[Any]:
        return short_reads.rows(self._conn, query, asked)
