"""What the records say of parts and built pieces, and how their movements follow from it.

A part is followed as a disc is: (reel, position). A placing machine moves a stretch of positions onto a range of pieces, which is
one place; as soon as one of those pieces is handled by itself, its share of the stretch moves on to it. From there nesting says
where it is: board in unit, unit in carton. A piece is (build order, number), and moves out of its order in the same moment.
Nothing is recorded for a single placement: these movements are worked out for the reel that is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.parts.part_shares import PartStretch, share_of
from tracelink.ledger.parts.piece_places import pieces_of_place

REEL, BUILD, PART_LOT, PIECE = "reel", "build", "part-lot", "piece"
"""Kinds of things in the assembly hall: the first two are followed by positions and numbers, as a lot is by strokes."""

_SPLIT = 1_000_000
"""Lines of movements that are worked out come behind every line that is recorded."""


@dataclass(frozen=True, slots=True)
class PartLotFact:
    """A lot of parts that came in."""

    code: str
    """Code of its card."""
    part: str
    """Part number."""
    revision: str
    """Revision."""
    supplier_lot: str
    """The supplier's lot."""
    date_code: str
    """Date code."""
    quantity: int
    """Pieces that came in."""
    status: str
    """Its state in the store's words."""


@dataclass(frozen=True, slots=True)
class ReelItemFact:
    """Positions of a reel that are of one part lot."""

    reel: str
    """The reel or tray."""
    first: int
    """First position."""
    last: int
    """Last position."""
    part_lot: str
    """The part lot."""

    @property
    def positions(self) -> StrokeSet:
        """The positions."""
        return StrokeSet.between(self.first, self.last)


@dataclass(frozen=True, slots=True)
class PartMoveFact:
    """Parts of one reel went from one place to another, as recorded."""

    seq: int
    """Journal sequence."""
    line: int
    """Position among the movements of one entry."""
    reel: str
    """The reel or tray."""
    quantity: int
    """Parts."""
    source: str
    """The place they left."""
    target: str
    """The place they entered: pieces of a build order, one piece, or none."""
    first: int | None
    """First position, if known."""
    last: int | None
    """Last position, if known."""
    at: str
    """When it happened, RFC 3339 with offset."""
    build: str | None
    """The build order of the pieces; None if they went elsewhere."""
    from_piece: int | None
    """First piece."""
    to_piece: int | None
    """Last piece."""
    per_piece: int | None
    """Parts that each piece takes."""
    lead: int | None
    """Of those, what the first piece had before."""

    @property
    def movement(self) -> MovementFact:
        """The same as a movement of a lot."""
        return MovementFact(
            self.seq,
            self.line,
            self.reel,
            self.quantity,
            self.source,
            self.target,
            self.first,
            self.last,
            self.at,
        )


@dataclass(frozen=True, slots=True)
class SinglePiece:
    """A built piece that was handled by itself."""

    code: str
    """Code of its serial label."""
    build: str
    """Its build order."""
    number: int
    """Which of the order, from 1."""
    seq: int
    """Journal sequence of the first entry about it alone."""


def reel_movements(moves: Sequence[PartMoveFact], pieces: Iterable[SinglePiece]) -> Iterator[MovementFact]:
    """Yield the movements of the parts of one reel, in no order.

    Args:
        moves: every recorded movement of the reel, in journal order.
        pieces: pieces that were handled by themselves; those that took nothing of the reel are passed over.
    """
    yield from (move.movement for move in moves)
    known = list(pieces)
    for place, move in enumerate(moves, 1):
        if pieces_of_place(move.target) is None:
            # It went into one piece, or was thrown away: there is nothing to share out.
            continue
        for piece in known:
            if piece.build == move.build:
                yield from _share(move, place, piece)


def _share(move: PartMoveFact, place: int, piece: SinglePiece) -> Iterator[MovementFact]:
    begins, ends = share_of(
        PartStretch(move.quantity, move.from_piece or 0, move.per_piece or 0, move.lead or 0), piece.number
    )
    if begins >= ends:
        return
    # What was thrown away left somewhere in between: then a range holds more positions than parts, and says only which.
    is_exact = move.first is not None and move.last == move.first + move.quantity - 1
    first = move.first + begins if is_exact and move.first is not None else None
    yield MovementFact(
        max(piece.seq, move.seq),
        place * _SPLIT + piece.number,
        move.reel,
        ends - begins,
        move.target,
        piece.code,
        first,
        None if first is None else first + ends - begins - 1,
        move.at,
    )


def build_movements(pieces: Iterable[SinglePiece], at: str) -> Iterator[MovementFact]:
    """Yield the movements of the pieces of one build order: each to its own label, in the moment that it is handled alone.

    Args:
        pieces: of one order.
        at: when the order was begun.
    """
    for piece in pieces:
        yield MovementFact(
            piece.seq,
            _SPLIT + piece.number,
            piece.build,
            1,
            DiscPlace.COUNTER,
            piece.code,
            piece.number,
            piece.number,
            at,
        )
