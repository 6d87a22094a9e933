"""UNITBACK: a unit with a serial label came back from a customer, in its carton or without."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.assembly.unit_return_entries import UnitCameBack
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.station.common.assembly.built_pieces import known_piece, piece_of
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import has_left, shipment_of
from tracelink.station.common.outcome import Act
from tracelink.station.common.slots import reason_slot
from tracelink.station.sentences.assembly import unit_back_sentences as say
from tracelink.station.sentences.assembly import unit_sentences


def _sent(reading: Reading, _values: Values, context: ScanContext) -> str:
    """A unit in a carton that left."""
    unit = known_piece(reading, context)
    if unit.parent is None:
        raise say.in_nothing(unit)
    if unit.built_into is not None:
        raise say.built_in(unit, unit.built_into)
    if not has_left(unit.parent, context):
        raise say.not_left(unit, unit.parent)
    return unit.code


def _back(values: Values, context: ScanContext) -> ActResult:
    unit = piece_of(values["piece_label"], context)
    assert unit.parent is not None
    assert unit.put_there is not None
    shipment = shipment_of(unit.parent, context)
    assert shipment is not None
    body = UnitCameBack(Nested(unit.code, unit.parent, unit.put_there))
    return ActResult((Act(body, values["reason"]),), say.unit_back(unit, shipment.name))


FORM = Form(
    "UNITBACK",
    "dock",
    (Slot("piece_label", unit_sentences.SCAN_THE_PIECE, _sent), reason_slot(ReasonAct.DOCK_UNITBACK)),
    _back,
)
"""A unit comes back."""
