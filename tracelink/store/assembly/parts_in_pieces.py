"""Which parts are in a piece: those that a machine placed on it, those joined by hand, less what was taken out."""

from collections.abc import Callable
from typing import Any

from sqlalchemy import text

from tracelink.ledger.parts.part_shares import PartStretch, share_of
from tracelink.station.common.assembly.queries_assembly import InPiece, PieceFact

_PLACED = text(
    "SELECT m.seq, m.reel, r.part, r.revision, m.quantity, m.from_piece, m.per_piece, m.lead FROM part_move m "
    "JOIN reel r ON r.code = m.reel WHERE m.build = :build AND m.to_piece >= :number AND m.from_piece <= :number "
    "ORDER BY m.seq, m.line"
)
_GONE = text("SELECT reel, SUM(quantity) AS quantity FROM part_move WHERE source = :code GROUP BY reel")
_NESTED = text(
    "SELECT n.child, n.opened_seq, b.part, b.version FROM nesting n JOIN piece p ON p.code = n.child "
    "JOIN build b ON b.code = p.build WHERE n.parent = :code AND n.closed_seq IS NULL ORDER BY n.opened_seq, n.child"
)


def in_piece(ask: Callable[..., list[Any]], piece: PieceFact) -> list[InPiece]:
    """Return the parts in a piece, by the entry that put them in.

    Args:
        ask: asks the tables.
        piece: the piece.
    """
    gone = {row.reel: int(row.quantity) for row in ask(_GONE, code=piece.code)}
    found = []
    # The newest of a reel went out last only by chance: how many are left is all that is known.
    for row in ask(_PLACED, build=piece.build.code, number=piece.number):
        begins, ends = share_of(
            PartStretch(row.quantity, row.from_piece, row.per_piece, row.lead), piece.number
        )
        out = min(ends - begins, gone.get(row.reel, 0))
        gone[row.reel] = gone.get(row.reel, 0) - out
        if begins + out < ends:
            found.append(InPiece(row.part, row.revision, ends - begins - out, None, row.reel, row.seq))
    found += [
        InPiece(row.part, row.version, 1, row.child, None, row.opened_seq)
        for row in ask(_NESTED, code=piece.code)
    ]
    return sorted(found, key=lambda one: one.joined)
