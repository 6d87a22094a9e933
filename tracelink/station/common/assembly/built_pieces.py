"""Built pieces that an act names, at whatever station they are scanned."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.assembly.unit_entries import BuiltPiece
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.thing_names import Thing


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


def refuse_in_lab(piece: PieceFact) -> None:
    """Refuse a piece that the lab drew: what was done to it there stays in it."""
    if piece.in_lab:
        raise say.with_the_lab(piece)


def as_body(piece: PieceFact) -> BuiltPiece:
    """Return a piece as entries have it."""
    return BuiltPiece(piece.code, piece.build.code, piece.number, piece.is_new)
