"""What built pieces were built of at some moment, and what the lab found of those that it drew, from SQL."""

from collections.abc import Callable, Iterator
from typing import Any

from sqlalchemy import text

from tracelink.genealogy.model.built_of import BuiltOf, PieceJudgement, together
from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.parts.part_shares import PartStretch, share_of

# A piece and all pieces that were in it, at any depth, before an entry.
_INSIDE = text(
    """WITH RECURSIVE inside (code) AS (
        SELECT :code UNION SELECT n.child FROM nesting n JOIN inside i ON n.parent = i.code
        WHERE n.opened_seq < :seq AND (n.closed_seq IS NULL OR n.closed_seq > :seq) AND n.child LIKE 'U%'
    )
    SELECT p.code, p.build, p.number FROM piece p JOIN inside i ON i.code = p.code ORDER BY p.seq, p.code"""
)
_PLACED = text(
    'SELECT reel, quantity, "first", "last", from_piece, per_piece, lead FROM part_move '
    "WHERE build = :build AND to_piece >= :number AND from_piece <= :number AND seq < :seq ORDER BY seq, line"
)
_OUT = text("SELECT DISTINCT reel FROM part_move WHERE source = :code AND seq < :seq")
_JUDGED = text(
    "SELECT s.code, j.good, j.defect, j.seq FROM sample s JOIN judgement j ON j.sample = s.code "
    "WHERE s.code LIKE 'U%' AND j.corrected_by IS NULL ORDER BY j.seq"
)

Ask = Callable[..., list[Any]]
"""Asks the tables: a query with its parameters."""


def built_of(ask: Ask, code: str, seq: int) -> list[BuiltOf]:
    """Return what a piece was built of before an entry: its own order first, then reels and orders as they went in.

    Args:
        ask: asks the tables.
        code: of the piece.
        seq: the entry.
    """
    return together(_parts_of(ask, code, seq))


def _parts_of(ask: Ask, code: str, seq: int) -> Iterator[BuiltOf]:
    for piece in ask(_INSIDE, code=code, seq=seq):
        yield BuiltOf(piece.build, StrokeSet.between(piece.number, piece.number), is_whole=True)
        gone = {row.reel for row in ask(_OUT, code=piece.code, seq=seq)}
        for row in ask(_PLACED, build=piece.build, number=piece.number, seq=seq):
            begins, ends = share_of(
                PartStretch(row.quantity, row.from_piece, row.per_piece, row.lead), piece.number
            )
            if begins >= ends:
                continue
            # Positions beside which parts were thrown away are more than the parts; of what was taken out nobody knows which.
            is_exact = row.first is not None and row.last == row.first + row.quantity - 1
            is_exact = is_exact and row.reel not in gone
            first = row.first + begins if is_exact else 0
            positions = StrokeSet.between(first, first + ends - begins - 1) if is_exact else NO_STROKES
            yield BuiltOf(row.reel, positions, is_whole=is_exact)


def judged_parts(ask: Ask) -> dict[str, list[JudgementFact | UnreadJudgement]]:
    """Return what the judgements of built pieces say about the reels and build orders in them, by reel or order.

    Args:
        ask: asks the tables.
    """
    found: dict[str, list[JudgementFact | UnreadJudgement]] = {}
    for row in ask(_JUDGED):
        judgement = PieceJudgement(row.code, bool(row.good), row.defect, row.seq)
        for built in built_of(ask, row.code, row.seq):
            found.setdefault(built.lot, []).extend(judgement.of(built))
    return found
