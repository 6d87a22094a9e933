"""What built pieces were built of at some moment, and what the lab found of those that it drew, from SQL."""

from collections.abc import Callable, Iterator, Sequence
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
    'SELECT seq, reel, quantity, "first", "last", from_piece, to_piece, per_piece, lead FROM part_move '
    "WHERE build = :build ORDER BY seq, line"
)
_OUT = text("SELECT DISTINCT reel FROM part_move WHERE source = :code AND seq < :seq")
_JUDGED = text(
    "SELECT s.code, j.good, j.defect, j.seq FROM sample s JOIN judgement j ON j.sample = s.code "
    "WHERE s.code LIKE 'U%' AND j.corrected_by IS NULL ORDER BY j.seq"
)

Ask = Callable[..., Sequence[Any]]
"""Asks the tables: a query with its parameters."""


class BuiltPieces:
    """What pieces were built of; what was placed on an order is read once.

    Args:
        ask: asks the tables.
    """

    def __init__(self, ask: Ask) -> None:
        self._ask = ask
        self._placed: dict[str, Sequence[Any]] = {}

    def of(self, code: str, seq: int) -> list[BuiltOf]:
        """Return what a piece was built of before an entry: its own order, then what went in, by order and reel.

        Args:
            code: of the piece.
            seq: the entry.
        """
        return together(self._parts_of(code, seq))

    def _parts_of(self, code: str, seq: int) -> Iterator[BuiltOf]:
        for piece in self._ask(_INSIDE, code=code, seq=seq):
            yield BuiltOf(piece.build, StrokeSet.between(piece.number, piece.number), is_whole=True)
            gone = {row.reel for row in self._ask(_OUT, code=piece.code, seq=seq)}
            for row in self._placed_on(piece.build):
                if row.seq < seq and row.from_piece <= piece.number <= row.to_piece:
                    yield from _taken(row, piece.number, row.reel in gone)

    def _placed_on(self, build: str) -> Sequence[Any]:
        if build not in self._placed:
            self._placed[build] = self._ask(_PLACED, build=build)
        return self._placed[build]


def _taken(row: Any, number: int, was_taken_out: bool) -> Iterator[BuiltOf]:
    begins, ends = share_of(PartStretch(row.quantity, row.from_piece, row.per_piece, row.lead), number)
    if begins >= ends:
        return
    # Positions beside which parts were thrown away are more than the parts; of what was taken out nobody knows which.
    if was_taken_out or row.first is None or row.last != row.first + row.quantity - 1:
        yield BuiltOf(row.reel, NO_STROKES, is_whole=False)
    else:
        first = row.first + begins
        yield BuiltOf(row.reel, StrokeSet.between(first, first + ends - begins - 1), is_whole=True)


def judged_parts(ask: Ask) -> dict[str, list[JudgementFact | UnreadJudgement]]:
    """Return what the judgements of built pieces say about the reels and build orders in them, by reel or order.

    Args:
        ask: asks the tables.
    """
    built_pieces = BuiltPieces(ask)
    found: dict[str, list[JudgementFact | UnreadJudgement]] = {}
    for row in ask(_JUDGED):
        judgement = PieceJudgement(row.code, bool(row.good), row.defect, row.seq)
        for built in built_pieces.of(row.code, row.seq):
            found.setdefault(built.lot, []).extend(judgement.of(built))
    return found
