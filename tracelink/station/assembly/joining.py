"""JOIN: parts and sub-assemblies go into a unit by scan, each checked against the unit's bill of material."""

from collections.abc import Sequence

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.assembly.unit_entries import PartsJoined
from tracelink.ledger.parts.part_sets import PieceStatus
from tracelink.station.assembly.build_orders import bill_of, refuse_old_bill
from tracelink.station.assembly.known_pieces import Missing
from tracelink.station.assembly.part_scans import PartsScanned, items_of, missing_with, part_taken
from tracelink.station.common.assembly.built_pieces import (
    as_body,
    known_piece,
    piece_of,
    refuse_held_piece,
    refuse_in_lab,
)
from tracelink.station.common.assembly.queries_assembly import BillLine, PieceFact
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.sentences.assembly import unit_sentences as say

_JOINED = "joined"


def _scanned(values: Values) -> list[str]:
    """The codes joined so far, in their order."""
    return [str(values[name]) for name in values if name.startswith(_JOINED)]


def _wanted_lines(unit: PieceFact, context: ScanContext) -> list[BillLine]:
    """What is joined by hand; in rework also what a machine had placed."""
    lines = bill_of(unit.build, context).lines
    in_rework = unit.status is PieceStatus.FAILED
    return [line for line in lines if not line.is_packed and (line.slot is None or in_rework)]


def _missing(unit: PieceFact, codes: Sequence[str], context: ScanContext) -> Missing:
    return missing_with(unit, _wanted_lines(unit, context), codes, context)


def _unit(reading: Reading, _values: Values, context: ScanContext) -> str:
    unit = known_piece(reading, context)
    refuse_held_piece(unit, context)
    refuse_in_lab(unit)
    # What failed is repaired by the bill that it was built by, however many came since.
    if unit.status is not PieceStatus.FAILED:
        refuse_old_bill(unit.build, context)
    if unit.parent is not None:
        raise say.used_already(unit)
    if not _missing(unit, (), context):
        raise say.nothing_missing(unit)
    return unit.code


def _join(reading: Reading, values: Values, context: ScanContext) -> str:
    unit, codes = piece_of(values["unit"], context), _scanned(values)
    return part_taken(reading, unit, PartsScanned(codes, _missing(unit, codes, context)), context)


def _more(values: Values, context: ScanContext) -> Slot | None:
    codes = _scanned(values)
    missing = _missing(piece_of(values["unit"], context), codes, context)
    if not missing:
        return None

    def asks(values: Values, context: ScanContext) -> str:
        del values, context
        return say.scan_a_part(missing, len(codes))

    return Slot(f"{_JOINED} {len(codes) + 1}", "", _join, told_before=asks)


def _finish(values: Values, context: ScanContext) -> ActResult:
    unit = piece_of(values["unit"], context)
    items = tuple(items_of(unit, _wanted_lines(unit, context), _scanned(values), context))
    told = say.joined(unit, sum(item.quantity for item in items))
    return ActResult((Act(PartsJoined(as_body(unit), items)),), told)


JOIN = Form("JOIN", "assembly", (Slot("unit", say.SCAN_THE_UNIT, _unit),), _finish, more=_more)
"""Parts go into a unit."""
