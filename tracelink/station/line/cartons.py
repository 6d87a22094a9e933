"""Cartons at a packing line after they were filled: reopened, or merged into the open one."""

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.closed_sets import CartonStatus, ReasonAct, ShipmentStatus
from tracelink.ledger.kinds.base import EntryBody, Moved
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.kinds.packing_changes import BatchUnits, CartonReopened, CartonsMerged
from tracelink.ledger.kinds.warehouse import PlaceLeft
from tracelink.station.common.count_doubt import refuse_doubtful
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.label_content import refuse_contradiction
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_line import CartonContent
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.station_facts import Carton
from tracelink.station.common.taken_reading import sscc
from tracelink.station.line.insertion import room
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import Job, LineState
from tracelink.station.sentences import common_sentences, line_sentences
from tracelink.station.sentences import line_carton_sentences as say
from tracelink.station.sentences.common_sentences import carton_not_packed
from tracelink.station.sentences.thing_names import Thing


def reason(act: ReasonAct) -> Slot:
    """Return the slot for the reason of an act of a line."""
    return reason_slot(act, say.TYPE_THE_REASON_SUCH_AS)


def _sealed_carton(code: str, state: LineState, context: ScanContext) -> Carton:
    """Return a carton that was sealed at a line and went nowhere since, or refuse it."""
    carton = context.queries.carton(code)
    if carton is None:
        raise carton_not_packed(code)
    if carton.status != CartonStatus.CLOSED:
        raise say.not_closed(code, carton.status)
    require_here(carton, context)
    assert state.job is not None
    if carton.gtin != state.job.gtin:
        theirs, ours = context.queries.product(carton.gtin), context.queries.product(state.job.gtin)
        assert theirs is not None
        assert ours is not None
        raise say.other_title(code, theirs.title, ours.title, ours.gtin, theirs.gtin)
    refuse_held_carton(code, context)
    refuse_doubtful(code, context)
    return carton


def _refuse_label(reading: Reading, context: ScanContext) -> None:
    assert isinstance(reading, LogisticRead)
    refuse_contradiction(reading, context)


def require_here(carton: Carton, context: ScanContext) -> None:
    """Refuse a carton that is the dock's: on a pallet, on a vehicle, gone, or kept for an order."""
    code = carton.sscc
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "pallet":
        pallet = context.queries.pallet(standing.parent)
        assert pallet is not None
        raise say.on_pallet(code, pallet)
    if standing is not None and standing.what == "shipment":
        left = context.queries.shipment_status(standing.parent) == ShipmentStatus.SHIPPED
        raise say.on_shipment(code, standing, left=left)
    kept = context.queries.allocated_to(code)
    if kept is not None:
        raise say.kept_for_order(code, kept)


def refuse_held_carton(code: str, context: ScanContext) -> None:
    """Refuse a carton on which, or on something in which, there is a hold."""
    refuse_held(context.queries.hold_on_carton(code), Thing.CARTON, code, common_sentences.LEAVE_AS_IT_IS)


def reopen(state: LineState, _scene: ScanContext) -> Form:
    """REOPEN: a sealed carton is opened again, with a reason."""

    def begin(_scene: ScanContext) -> None:
        if state.job is None:
            raise line_sentences.no_sleeves_first("REOPEN")
        if state.carton is not None:
            raise line_sentences.carton_open(state.carton)

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        carton = _sealed_carton(sscc(reading, say.LABEL_OF_A_CLOSED_CARTON), state, context)
        _refuse_label(reading, context)
        return carton.sscc

    def finish(values: Values, context: ScanContext) -> ActResult:
        carton = _sealed_carton(values["carton"], state, context)
        assert state.job is not None
        sentence = say.open_again(carton.sscc, carton.units)
        count = line_sentences.how_full(carton.units, state.job.carton_size)
        body = CartonReopened(carton.sscc, carton.units)
        return ActResult(taken(carton.sscc, body, values["reason"], context), sentence, count)

    slots = (Slot("carton", say.SCAN_THE_CLOSED_CARTON, accept), reason(ReasonAct.LINE_REOPEN))
    return Form("REOPEN", "line", slots, finish, begin)


def merge(state: LineState, _scene: ScanContext) -> Form:
    """MERGE: everything in a part carton goes into the open one."""

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        job, _carton = ready(state)
        source = _sealed_carton(sscc(reading, say.LABEL_OF_A_PART_CARTON), state, context)
        _refuse_label(reading, context)
        if source.units == 0:
            raise say.part_carton_empty(source.sscc)
        content = context.queries.carton_content(source.sscc)
        discs, sleeves = (
            sum(each.quantity for each in content.lots),
            sum(each.count for each in content.batches),
        )
        if (discs, sleeves) != (source.units * job.discs, source.units):
            raise say.content_does_not_fit(source, discs, sleeves, source.units * job.discs)
        space = room(state, job)
        if source.units > space:
            raise say.no_room(source.sscc, source.units, space)
        return source.sscc

    def finish(values: Values, context: ScanContext) -> ActResult:
        job, target = ready(state)
        refuse_held_carton(target, context)
        source, content = values["carton"], context.queries.carton_content(values["carton"])
        body = _merged(source, target, job, content)
        sentence = say.merged(body.units, source, target)
        acts = taken(source, body, values["reason"], context)
        return ActResult(acts, sentence, fill_count(state, job, body.units))

    slots = (Slot("carton", say.SCAN_THE_PART_CARTON, accept), reason(ReasonAct.LINE_MERGE))
    return Form("MERGE", "line", slots, finish, lambda _scene: ready(state))


def taken(code: str, body: EntryBody, why: str, context: ScanContext) -> tuple[Act, ...]:
    """Return the acts for a carton that came to the line, out of its location if it stood in one."""
    standing = context.queries.standing(code)
    left = () if standing is None else (Act(PlaceLeft(nested(code, standing))),)
    return (*left, Act(body, why))


def _merged(source: str, target: str, job: Job, content: CartonContent) -> CartonsMerged:
    return CartonsMerged(
        source=source,
        carton=target,
        gtin=job.gtin,
        units=sum(part.count for part in content.batches),
        moves=tuple(Moved(each.lot, each.quantity, source, target, None, None) for each in content.lots),
        batches=tuple(BatchUnits(part.code, part.count) for part in content.batches),
        items=tuple(ItemCount(each.code, each.count) for each in content.items),
        numbers=content.numbers,
    )
