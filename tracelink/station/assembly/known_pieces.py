"""Built pieces that an act names, what they lack, and whether they may be used."""

from collections.abc import Sequence

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.assembly.unit_entries import BuiltPiece
from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of
from tracelink.station.common.assembly.queries_assembly import BillLine, InPiece, PieceFact
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.thing_names import Thing

Missing = Sequence[tuple[BillLine, int]]
"""Lines of a bill of material, and how many parts of each are not there."""


def known_piece(reading: Reading, context: ScanContext) -> PieceFact:
    """Return the piece whose serial label was scanned."""
    return piece_of(plant_code(CodeKind.PIECE, reading, say.A_SERIAL_LABEL), context)


def piece_of(code: str, context: ScanContext) -> PieceFact:
    """Return the piece with a serial label."""
    piece = context.queries.built_piece(code)
    if piece is None:
        raise say.no_such_piece(code)
    return piece


def refuse_held_piece(piece: PieceFact, context: ScanContext) -> None:
    """Refuse a piece that is on hold, or has one in it that is."""
    refuse_held(context.queries.hold_on_piece(piece), Thing.PIECE, piece.code)


def as_body(piece: PieceFact) -> BuiltPiece:
    """Return a piece as entries have it."""
    return BuiltPiece(piece.code, piece.build.code, piece.number, piece.is_new)


def missing_parts(lines: Sequence[BillLine], parts: Sequence[InPiece]) -> Missing:
    """Return what a piece lacks of some lines of its bill of material.

    Args:
        lines: the lines.
        parts: what is in it; what several lines have in common fills the first of them first.
    """
    there: dict[tuple[str, str], int] = {}
    for part in parts:
        key = (part.part, part.revision)
        there[key] = there.get(key, 0) + part.quantity
    found = []
    for line in lines:
        key = (line.part, line.revision)
        used = min(there.get(key, 0), line.quantity)
        there[key] = there.get(key, 0) - used
        if used < line.quantity:
            found.append((line, line.quantity - used))
    return found


def lacks(piece: PieceFact, context: ScanContext) -> Missing:
    """Return what a piece lacks of its whole bill of material."""
    return missing_parts(bill_of(piece.build, context).lines, context.queries.in_piece(piece))


def refuse_unusable(piece: PieceFact, context: ScanContext) -> None:
    """Refuse a piece that is held, used already, in rework or not complete."""
    refuse_held_piece(piece, context)
    if piece.parent is not None:
        raise say.used_already(piece)
    if piece.status is PieceStatus.FAILED:
        raise say.in_rework(piece)
    missing = lacks(piece, context)
    if missing:
        raise say.incomplete(piece, missing)
