"""DRAWUNIT: a unit, a board or another built piece goes to the lab, where it is a sample under its own serial label."""

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.measuring.drawn_piece_entries import PieceDrawn
from tracelink.station.common.assembly.built_pieces import as_body, known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import has_left
from tracelink.station.common.outcome import Act
from tracelink.station.sentences import lab_sentences
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.bench import drawn_piece_sentences


def _piece(reading: Reading, _values: Values, context: ScanContext) -> str:
    piece = known_piece(reading, context)
    if piece.in_lab:
        raise drawn_piece_sentences.drawn_before(piece)
    if piece.built_into is not None:
        raise drawn_piece_sentences.inside_another(piece, piece.built_into)
    if piece.parent is not None:
        _require_here(piece.parent, context)
    return piece.code


def _require_here(carton: str, context: ScanContext) -> None:
    """Refuse to take a unit out of a carton that is not in the plant."""
    if context.queries.return_of(carton) is None and has_left(carton, context):
        raise lab_sentences.carton_left(carton)


def _draw(values: Values, context: ScanContext) -> ActResult:
    piece: PieceFact = piece_of(values["piece_label"], context)
    body = PieceDrawn(as_body(piece), piece.parent, piece.put_there)
    return ActResult((Act(body),), drawn_piece_sentences.drawn(piece))


DRAWUNIT = Form("DRAWUNIT", "lab", (Slot("piece_label", say.SCAN_THE_PIECE, _piece),), _draw)
"""A built piece becomes a sample."""
