"""Parts that are scanned for a unit, one after the other, each checked against lines of its bill of material."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.kinds.assembly.unit_entries import JoinedPart
from tracelink.station.assembly.known_parts import known_reel, refuse_held_reel
from tracelink.station.assembly.known_pieces import Missing, missing_parts, refuse_unusable
from tracelink.station.common.assembly.built_pieces import as_body, known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import BillLine, InPiece, PieceFact, Reel
from tracelink.station.common.forms import ScanContext
from tracelink.station.sentences.assembly import part_sentences
from tracelink.station.sentences.assembly import unit_sentences as say
from tracelink.station.sentences.common_sentences import misplaced


@dataclass(frozen=True, slots=True)
class PartsScanned:
    """How far the parts of a unit are."""

    codes: Sequence[str]
    """What was scanned before in this act."""
    missing: Missing
    """What is still missing."""
    used: Mapping[str, int] = field(default_factory=dict)
    """Parts that this act takes off a reel or out of a tray for other units."""


def missing_with(
    unit: PieceFact, lines: Sequence[BillLine], codes: Sequence[str], context: ScanContext
) -> Missing:
    """Return what a unit lacks of some lines once what was scanned is in it."""
    parts = [*context.queries.in_piece(unit)]
    for code in codes:
        parts.append(_as_part(code, missing_parts(lines, parts), context))
    return missing_parts(lines, parts)


def part_taken(reading: Reading, unit: PieceFact, scanned: PartsScanned, context: ScanContext) -> str:
    """Return the code of a part that goes into a unit, or refuse it."""
    kind = reading.code.kind if isinstance(reading, PlantRead) else None
    if kind is CodeKind.REEL:
        reel = known_reel(reading, context)
        wanted = _wanted(unit, reel.code, (reel.part, reel.revision), scanned.missing)
        _refuse_reel(reel, wanted, scanned.used.get(reel.code, 0), context)
        return reel.code
    if kind is not CodeKind.PIECE:
        raise misplaced(reading, say.A_PART_TO_JOIN)
    piece = known_piece(reading, context)
    if piece.code == unit.code:
        raise say.in_itself(piece.code)
    if piece.code in scanned.codes:
        raise say.scanned_twice(piece.code)
    _wanted(unit, piece.code, (piece.build.part, _revision(piece)), scanned.missing)
    refuse_unusable(piece, context)
    return piece.code


def items_of(
    unit: PieceFact,
    lines: Sequence[BillLine],
    codes: Sequence[str],
    context: ScanContext,
    used: Mapping[str, int] | None = None,
) -> Iterator[JoinedPart]:
    """Yield what was scanned for a unit as entries have it.

    Args:
        unit: the unit.
        lines: of its bill of material.
        codes: what was scanned, in order.
        context: the station.
        used: parts that the same act takes off a reel before.
    """
    parts = [*context.queries.in_piece(unit)]
    for code in codes:
        part = _as_part(code, missing_parts(lines, parts), context)
        parts.append(part)
        if part.reel is None:
            yield JoinedPart(part.part, part.revision, 1, as_body(piece_of(code, context)), None, None, None)
            continue
        reel = context.queries.reel(part.reel)
        assert reel is not None
        before = reel.used + (used or {}).get(reel.code, 0)
        first = before + 1 if reel.in_order else None
        last = before + part.quantity if reel.in_order else None
        yield JoinedPart(part.part, part.revision, part.quantity, None, reel.code, first, last)


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


def _wanted(unit: PieceFact, code: str, part: tuple[str, str], missing: Missing) -> int:
    """How many of a part and revision a unit lacks, or a refusal."""
    number, revision = part
    of_part = [(line, lacking) for line, lacking in missing if line.part == number]
    if not of_part:
        raise say.not_in_the_bill(unit, number, code, missing)
    found = next((lacking for line, lacking in of_part if line.revision == revision), None)
    if found is None:
        raise say.other_revision(code, of_part[0][0], revision)
    return found


def _refuse_reel(reel: Reel, wanted: int, used: int, context: ScanContext) -> None:
    refuse_held_reel(reel, context)
    if reel.slot is not None:
        raise part_sentences.in_a_slot(reel)
    if reel.left - used < wanted:
        raise say.too_few_on_reel(reel.code, reel.left - used, wanted)
