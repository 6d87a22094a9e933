"""JOIN: parts and sub-assemblies go into a unit by scan, each checked against the unit's bill of material."""

from collections.abc import Iterator, Sequence

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.kinds.assembly.unit_entries import JoinedPart, PartsJoined
from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of, refuse_old_bill
from tracelink.station.assembly.known_parts import known_reel, refuse_held_reel
from tracelink.station.assembly.known_pieces import Missing, missing_parts, refuse_unusable
from tracelink.station.common.assembly.built_pieces import (
    as_body,
    known_piece,
    piece_of,
    refuse_held_piece,
    refuse_in_lab,
)
from tracelink.station.common.assembly.queries_assembly import BillLine, InPiece, PieceFact, Reel
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.sentences.assembly import part_sentences
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.common_sentences import misplaced

_JOINED = "joined"


def _scanned(values: Values) -> list[str]:
    """The codes joined so far, in their order."""
    return [str(values[name]) for name in values if name.startswith(_JOINED)]


def _wanted_lines(unit: PieceFact, context: ScanContext) -> list[BillLine]:
    """What is joined by hand; in rework also what a machine had placed."""
    lines = bill_of(unit.build, context).lines
    in_rework = unit.status is PieceStatus.FAILED
    return [line for line in lines if line.slot is None or in_rework]


def _missing(unit: PieceFact, codes: Sequence[str], context: ScanContext) -> Missing:
    parts = [*context.queries.in_piece(unit)]
    lines = _wanted_lines(unit, context)
    for code in codes:
        parts.append(_as_part(code, missing_parts(lines, parts), context))
    return missing_parts(lines, parts)


def _as_part(code: str, missing: Missing, context: ScanContext) -> InPiece:
    """What a scanned code puts in: a piece itself, or as many parts off a reel as its line lacks."""
    if code[0] == CodeKind.REEL.value:
        reel = context.queries.reel(code)
        assert reel is not None
        wanted = next((number for line, number in missing if line.part == reel.part), 0)
        return InPiece(reel.part, reel.revision, wanted, None, code, 0)
    piece = piece_of(code, context)
    return InPiece(piece.build.part, _revision(piece), 1, code, None, 0)


def _revision(piece: PieceFact) -> str:
    """Of what is built here the version of its bill of material is the revision."""
    return piece.build.version


def _unit(reading: Reading, _values: Values, context: ScanContext) -> str:
    unit = known_piece(reading, context)
    refuse_held_piece(unit, context)
    refuse_in_lab(unit)
    refuse_old_bill(unit.build, context)
    if unit.parent is not None:
        raise say.used_already(unit)
    if not _missing(unit, (), context):
        raise say.nothing_missing(unit)
    return unit.code


def _join(reading: Reading, values: Values, context: ScanContext) -> str:
    unit, codes = piece_of(values["unit"], context), _scanned(values)
    missing = _missing(unit, codes, context)
    kind = reading.code.kind if isinstance(reading, PlantRead) else None
    if kind is CodeKind.REEL:
        reel = known_reel(reading, context)
        _, wanted = _line_for(unit, reel.code, reel.part, reel.revision, missing)
        _refuse_reel(reel, wanted, context)
        return reel.code
    if kind is not CodeKind.PIECE:
        raise misplaced(reading, say.A_PART_TO_JOIN)
    piece = known_piece(reading, context)
    if piece.code == unit.code:
        raise say.in_itself(piece.code)
    if piece.code in codes:
        raise say.scanned_twice(piece.code)
    _line_for(unit, piece.code, piece.build.part, _revision(piece), missing)
    refuse_unusable(piece, context)
    return piece.code


def _line_for(unit: PieceFact, code: str, part: str, revision: str, missing: Missing) -> tuple[BillLine, int]:
    of_part = [(line, number) for line, number in missing if line.part == part]
    if not of_part:
        raise say.not_in_the_bill(unit, part, code, missing)
    found = next(((line, number) for line, number in of_part if line.revision == revision), None)
    if found is None:
        raise say.other_revision(code, of_part[0][0], revision)
    return found


def _refuse_reel(reel: Reel, wanted: int, context: ScanContext) -> None:
    refuse_held_reel(reel, context)
    if reel.slot is not None:
        raise part_sentences.in_a_slot(reel)
    if reel.left < wanted:
        raise say.too_few_on_reel(reel.code, reel.left, wanted)


def _more(values: Values, context: ScanContext) -> Slot | None:
    codes = _scanned(values)
    missing = _missing(piece_of(values["unit"], context), codes, context)
    if not missing:
        return None

    def asks(values: Values, context: ScanContext) -> str:
        del values, context
        return say.scan_a_part(missing, len(codes))

    return Slot(f"{_JOINED} {len(codes) + 1}", "", _join, told_before=asks)


def _items(unit: PieceFact, codes: Sequence[str], context: ScanContext) -> Iterator[JoinedPart]:
    parts, lines = [*context.queries.in_piece(unit)], _wanted_lines(unit, context)
    for code in codes:
        part = _as_part(code, missing_parts(lines, parts), context)
        parts.append(part)
        if part.reel is None:
            yield JoinedPart(part.part, part.revision, 1, as_body(piece_of(code, context)), None, None, None)
            continue
        reel = context.queries.reel(part.reel)
        assert reel is not None
        first = reel.used + 1 if reel.in_order else None
        last = reel.used + part.quantity if reel.in_order else None
        yield JoinedPart(part.part, part.revision, part.quantity, None, reel.code, first, last)


def _finish(values: Values, context: ScanContext) -> ActResult:
    unit = piece_of(values["unit"], context)
    items = tuple(_items(unit, _scanned(values), context))
    told = say.joined(unit, sum(item.quantity for item in items))
    return ActResult((Act(PartsJoined(as_body(unit), items)),), told)


JOIN = Form("JOIN", "assembly", (Slot("unit", say.SCAN_THE_UNIT, _unit),), _finish, more=_more)
"""Parts go into a unit."""
