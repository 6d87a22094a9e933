"""What built pieces lack of their bill of material, and whether they may be used."""

from collections.abc import Sequence

from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of
from tracelink.station.common.assembly.built_pieces import refuse_held_piece, refuse_in_lab
from tracelink.station.common.assembly.queries_assembly import BillLine, InPiece, PieceFact
from tracelink.station.common.forms import ScanContext
from tracelink.station.sentences.assembly import unit_sentences as say

Missing = Sequence[tuple[BillLine, int]]
"""Lines of a bill of material, and how many parts of each are not there."""


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
    """Return what a piece lacks of its bill of material, but for what is packed with it."""
    lines = [line for line in bill_of(piece.build, context).lines if not line.is_packed]
    return missing_parts(lines, context.queries.in_piece(piece))


def refuse_unusable(piece: PieceFact, context: ScanContext) -> None:
    """Refuse a piece that is held, with the lab, used already, in rework or not complete."""
    refuse_held_piece(piece, context)
    refuse_in_lab(piece)
    if piece.parent is not None:
        raise say.used_already(piece)
    if piece.status is PieceStatus.FAILED:
        raise say.in_rework(piece)
    missing = lacks(piece, context)
    if missing:
        raise say.incomplete(piece, missing)
