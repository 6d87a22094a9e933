"""OUT: a part is taken out of a piece that failed a test, and is somewhere: scrap, on its way back, or to be tested again."""

from collections.abc import Sequence

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.assembly.unit_entries import PartTakenOut
from tracelink.ledger.parts.part_sets import PieceStatus, TakenOutTo
from tracelink.station.common.assembly.built_pieces import known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import InPiece, PieceFact
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.taken_reading import keyed_text
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.common_sentences import misplaced


def _failed_piece(reading: Reading, _values: Values, context: ScanContext) -> str:
    piece = known_piece(reading, context)
    if piece.status is not PieceStatus.FAILED:
        raise say.not_in_rework(piece)
    return piece.code


def _part(reading: Reading, values: Values, context: ScanContext) -> str:
    """The serial label or the reel label of what is taken out."""
    unit = piece_of(values["unit"], context)
    parts = context.queries.in_piece(unit)
    if isinstance(reading, PlantRead):
        if reading.code.kind not in (CodeKind.PIECE, CodeKind.REEL):
            raise misplaced(reading, say.WHAT_IS_TAKEN_OUT)
        code = reading.code.text
        if all(code not in (one.piece, one.reel) for one in parts):
            raise say.not_in_it(unit, code, parts)
        return code
    return _of_number(unit, keyed_text(reading, say.WHAT_IS_TAKEN_OUT).strip(), parts)


def _of_number(unit: PieceFact, typed: str, parts: Sequence[InPiece]) -> str:
    codes = list(
        dict.fromkeys(
            one.piece or one.reel or "" for one in parts if typed in (one.part, one.piece, one.reel)
        )
    )
    if not codes:
        raise say.not_in_it(unit, typed, parts)
    if len(codes) > 1:
        raise say.several_reels(unit, typed, codes)
    return codes[0]


def _goes_to(reading: Reading, _values: Values, _context: ScanContext) -> str:
    typed = keyed_text(reading, say.WHERE_IT_GOES).strip()
    if typed not in tuple(TakenOutTo):
        raise say.no_such_place(typed)
    return typed


def _take_out(values: Values, context: ScanContext) -> ActResult:
    unit, code = piece_of(values["unit"], context), values["joined"]
    one = next(each for each in context.queries.in_piece(unit) if code in (each.piece, each.reel))
    to = TakenOutTo(values["goes_to"])
    body = PartTakenOut(unit.code, one.piece, one.joined if one.piece is not None else None, one.reel, to)
    return ActResult((Act(body, values["reason"]),), say.taken_out(unit, one.part, to))


OUT = Form(
    "OUT",
    "assembly",
    (
        Slot("unit", say.SCAN_THE_PIECE, _failed_piece),
        Slot("joined", say.SCAN_WHAT_IS_TAKEN_OUT, _part),
        Slot("goes_to", say.TYPE_WHERE_IT_GOES, _goes_to),
        reason_slot(ReasonAct.ASSEMBLY_OUT, say.TYPE_WHY_TAKEN_OUT),
    ),
    _take_out,
)
"""A part is taken out."""
