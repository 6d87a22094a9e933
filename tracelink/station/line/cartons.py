"""Cartons at a packing line after they were filled: reopened, or merged into the open one."""

from collections.abc import Mapping

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus, ShipmentStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, Moved
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.kinds.packing_changes import BatchUnits, CartonReopened, CartonsMerged
from tracelink.ledger.kinds.warehouse import PlaceLeft
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, sscc
from tracelink.station.common.nesting import nested, where
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.queries import Carton
from tracelink.station.common.queries_line import CartonContent
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import Job, LineState

REASON = reason_slot('Type " and then the reason, such as "corner crushed.')


def _sealed_carton(code: str, state: LineState, context: ScanContext) -> Carton:
    """Return a carton that was sealed at a line and went nowhere since, or refuse it."""
    carton = context.queries.carton(code)
    if carton is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Carton {code} has not been packed.", subject=code)
    if carton.status != CartonStatus.CLOSED:
        raise Refused(
            FindingCode.CARTON_NOT_CLOSED,
            f"Carton {code} is {carton.status}. Scan a closed carton.",
            subject=code,
            expected=CartonStatus.CLOSED,
            found=carton.status,
        )
    require_here(carton, context)
    assert state.job is not None
    if carton.gtin != state.job.gtin:
        theirs, ours = context.queries.product(carton.gtin), context.queries.product(state.job.gtin)
        assert theirs is not None
        assert ours is not None
        raise Refused(
            FindingCode.WRONG_TITLE_CARTON,
            f'Carton {code} holds "{theirs.title}"; this line packs "{ours.title}". Take it away.',
            subject=code,
            expected=ours.gtin,
            found=theirs.gtin,
        )
    refuse_held_carton(code, context)
    return carton


_DOCK: Mapping[str, str] = {
    PalletStatus.OPEN: "The dock takes it off first.",
    PalletStatus.CLOSED: "The dock takes it off first.",
    PalletStatus.ACCEPTED: "The dock reopens the pallet and takes it off first.",
    PalletStatus.LOADED: "The dock unloads the pallet first.",
    PalletStatus.SHIPPED: "What comes back is booked by the dock.",
}
"""What has to happen first, by the status of the pallet."""


def require_here(carton: Carton, context: ScanContext) -> None:
    """Refuse a carton that is the dock's: on a pallet, on a vehicle, gone, or kept for an order."""
    code = carton.sscc
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "pallet":
        pallet = context.queries.pallet(standing.parent)
        assert pallet is not None
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Carton {code} is on pallet {pallet.sscc}, which is {pallet.status}. {_DOCK[pallet.status]}",
            subject=code,
            found=pallet.sscc,
        )
    if standing is not None and standing.what == "shipment":
        left = context.queries.shipment_status(standing.parent) == ShipmentStatus.SHIPPED
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Carton {code} is {where(standing)}, {'which has left' if left else 'which is being loaded'}. "
            f"{'What comes back is booked by the dock.' if left else 'The dock unloads it first.'}",
            subject=code,
            found=standing.parent,
        )
    kept = context.queries.allocated_to(code)
    if kept is not None:
        raise Refused(
            FindingCode.KEPT_FOR_AN_ORDER,
            f"Carton {code} is kept for order {kept} as it is. Have that released first.",
            subject=code,
            found=kept,
        )


def refuse_held_carton(code: str, context: ScanContext) -> None:
    """Refuse a carton on which, or on something in which, there is a hold."""
    refuse_held(context.queries.hold_on_carton(code), f"Carton {code}", code, "Leave it as it is.")


def reopen(state: LineState, _scene: ScanContext) -> Form:
    """REOPEN: a sealed carton is opened again, with a reason."""

    def begin(_scene: ScanContext) -> None:
        if state.job is None:
            raise Refused(
                FindingCode.NOT_READY,
                "No sleeve batch is open. Scan the sleeve batch first.",
                subject="REOPEN",
            )
        if state.carton is not None:
            raise Refused(
                FindingCode.CARTON_OPEN,
                f"Carton {state.carton} is still open. Scan CLOSE first.",
                subject=state.carton,
            )

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        return _sealed_carton(sscc(reading, "the label of a closed carton"), state, context).sscc

    def finish(values: Values, context: ScanContext) -> ActResult:
        carton = _sealed_carton(values["carton"], state, context)
        assert state.job is not None
        sentence = f"Carton {carton.sscc} is open again with {counted(carton.units, 'unit')}."
        count = f"{carton.units} of {state.job.carton_size} in carton"
        body = CartonReopened(carton.sscc, carton.units)
        return ActResult(taken(carton.sscc, body, values["reason"], context), sentence, count)

    slots = (Slot("carton", "Scan the label of the closed carton.", accept), REASON)
    return Form("REOPEN", "line", slots, finish, begin)


def merge(state: LineState, _scene: ScanContext) -> Form:
    """MERGE: everything in a part carton goes into the open one."""

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        job, _carton = ready(state)
        source = _sealed_carton(sscc(reading, "the label of a part carton"), state, context)
        if source.units == 0:
            raise Refused(FindingCode.CARTON_EMPTY, f"Carton {source.sscc} is empty.", subject=source.sscc)
        content = context.queries.carton_content(source.sscc)
        discs, sleeves = (
            sum(each.quantity for each in content.lots),
            sum(each.count for each in content.batches),
        )
        if (discs, sleeves) != (source.units * job.discs, source.units):
            raise Refused(
                FindingCode.NOT_IN_RECORDS,
                f"The system shows {counted(source.units, 'unit')} in carton {source.sscc}, but "
                f"{counted(discs, 'disc')} and {counted(sleeves, 'sleeve')}. Leave it and tell quality.",
                subject=source.sscc,
                expected=f"{source.units * job.discs} discs and {source.units} sleeves",
                found=f"{discs} discs and {sleeves} sleeves",
            )
        room = job.carton_size - state.units_in_carton
        if source.units > room:
            raise Refused(
                FindingCode.CARTON_FULL,
                f"Carton {source.sscc} holds {counted(source.units, 'unit')}; the open carton has room for {room}.",
                subject=source.sscc,
                expected=f"at most {room}",
                found=str(source.units),
            )
        return source.sscc

    def finish(values: Values, context: ScanContext) -> ActResult:
        job, target = ready(state)
        refuse_held_carton(target, context)
        source, content = values["carton"], context.queries.carton_content(values["carton"])
        body = _merged(source, target, job, content)
        sentence = (
            f"{counted(body.units, 'unit')} of carton {source} are in carton {target} now. Throw the label of "
            f"carton {source} away."
        )
        acts = taken(source, body, values["reason"], context)
        return ActResult(acts, sentence, fill_count(state, job, body.units))

    slots = (Slot("carton", "Scan the label of the part carton to empty.", accept), REASON)
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
