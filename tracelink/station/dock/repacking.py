"""Pallets that are built anew, cartons found open, and the comparison of opened cartons with the record."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus, ReasonAct
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.balance import Counted, StockCounted
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.kinds.warehouse import (
    CartonBroken,
    CartonOpenChecked,
    CartonRepacked,
    CartonUnstacked,
    PalletReopened,
)
from tracelink.station.common.count_doubt import differing
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.investigate import investigated
from tracelink.station.common.missing_units import MissingUnits, missing_units
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.station_facts import Carton
from tracelink.station.common.taken_reading import number, sscc
from tracelink.station.dock import rules
from tracelink.station.sentences import dock_sentences
from tracelink.station.sentences import repacking_sentences as say


def no_open_pallet(context: ScanContext) -> None:
    """Refuse to begin a pallet while another is open at this dock."""
    open_pallet = context.queries.open_pallet(context.station)
    if open_pallet is not None:
        raise dock_sentences.pallet_still_open_here(open_pallet)


def _stacked(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    standing = context.queries.standing(code)
    if standing is None or standing.what != "pallet":
        raise say.not_on_a_pallet(code, standing)
    pallet = rules.known_pallet(standing.parent, context)
    if pallet.status not in (PalletStatus.OPEN, PalletStatus.CLOSED):
        raise say.pallet_not_open(code, pallet)
    return code


def _unstack(values: Values, context: ScanContext) -> ActResult:
    code = values["carton"]
    standing = context.queries.standing(code)
    assert standing is not None
    left = rules.known_pallet(standing.parent, context).cartons - 1
    body = CartonUnstacked(nested(code, standing))
    sentence = say.unstacked(code, standing.parent, left)
    return ActResult((Act(body, values["reason"]),), sentence)


def _reopenable(reading: Reading, _values: Values, context: ScanContext) -> str:
    pallet = rules.known_pallet(sscc(reading, dock_sentences.A_PALLET_LABEL), context)
    if pallet.status not in (PalletStatus.CLOSED, PalletStatus.ACCEPTED):
        raise say.cannot_reopen(pallet)
    kept = context.queries.allocated_to(pallet.sscc)
    if kept is not None:
        raise say.pallet_kept(pallet.sscc, kept)
    return pallet.sscc


def _reopen(values: Values, context: ScanContext) -> ActResult:
    code = values["pallet"]
    accepted = rules.known_pallet(code, context).status == PalletStatus.ACCEPTED
    sentence = say.pallet_reopened(code, accept_again=accepted)
    return ActResult((Act(PalletReopened(code), values["reason"]),), sentence)


def _breakable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    carton = rules.sealed_carton(code, context)
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "shipment":
        raise say.on_vehicle(code, standing)
    if carton.pallet is not None:
        _require_here(code, carton.pallet, context)
    return code


def _require_here(carton: str, pallet: str, context: ScanContext) -> None:
    status = rules.known_pallet(pallet, context).status
    if status in (PalletStatus.LOADED, PalletStatus.SHIPPED):
        raise say.pallet_on_vehicle(carton, pallet, status)


def _break(values: Values, context: ScanContext) -> ActResult:
    code = values["carton"]
    standing = context.queries.standing(code)
    acts = rules.releasing(code, context)
    if standing is not None and standing.what == "pallet":
        pallet = rules.known_pallet(standing.parent, context)
        if pallet.status == PalletStatus.ACCEPTED:
            # What was accepted is not what stands there now.
            reopened = Act(PalletReopened(pallet.sscc), values["reason"])
            acts = (*acts, *rules.releasing(pallet.sscc, context), reopened)
            no_open_pallet(context)
    left = None if standing is None else nested(code, standing)
    sentence = say.broken(code)
    return ActResult((*acts, Act(CartonBroken(code, left), values["reason"])), sentence)


def _broken(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    carton = rules.known_carton(code, context)
    if carton.status != CartonStatus.BROKEN:
        raise say.not_broken(code, carton.status)
    return code


def _repack_count(reading: Reading, values: Values, context: ScanContext) -> int:
    count = number(reading, say.HOW_MANY_UNITS)
    carton = rules.known_carton(values["carton"], context)
    if not 1 <= count <= carton.units:
        raise say.cannot_be_sealed(carton.sscc, carton.units, count)
    _lost(carton, count, context)
    return count


def _lost(carton: Carton, count: int, context: ScanContext) -> MissingUnits | None:
    """Return what is missing, None if nothing is, or refuse where nobody can say of which lot or number it is."""
    missing = carton.units - count
    if missing == 0:
        return None
    product = context.queries.product(carton.gtin)
    assert product is not None
    contents = context.queries.carton_contents(carton.sscc)
    by_lot = {lot: missing for lot, _count in contents} if len(contents) == product.discs else {}
    lost, what = missing_units(carton, by_lot, context)
    if lost is None:
        raise say.cannot_be_inferred(carton.sscc, missing, what, carton.units, count)
    return lost


def _repack(values: Values, context: ScanContext) -> ActResult:
    carton = rules.known_carton(values["carton"], context)
    count = values["count"]
    lost = _lost(carton, count, context)
    moves, items = ((), ()) if lost is None else (lost.moves, lost.items)
    batch = None if lost is None else lost.batch
    body = CartonRepacked(carton.sscc, carton.units, count, moves, batch, items)
    sentence = say.sealed_again(carton, count)
    return ActResult(
        (Act(body, values["reason"]), *_counted_again(carton, count, sentence, context)), sentence
    )


def _counted_again(carton: Carton, count: int, sentence: str, context: ScanContext) -> tuple[Act, ...]:
    """Return the count that this is, where an earlier one differs: it settles that."""
    if not differing(context.queries.carton_counts(carton.sscc)):
        return ()
    lost = carton.units - count
    lots = tuple(
        Counted(lot, there - lost, there - lost)
        for lot, there in context.queries.carton_contents(carton.sscc)
    )
    return (Act(StockCounted(carton.sscc, lots, sentence)),)


def _openable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    rules.sealed_carton(code, context)
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "shipment":
        raise say.on_vehicle(code, standing)
    return code


def _opened(reading: Reading, _values: Values, _scene: ScanContext) -> int:
    return number(reading, say.HOW_MANY_UNITS)


def _check(values: Values, context: ScanContext) -> ActResult:
    carton = rules.known_carton(values["carton"], context)
    count = values["count"]
    body = CartonOpenChecked(carton.sscc, carton.units, count)
    if count == carton.units:
        return ActResult((Act(body),), say.holds_as_shown(carton.sscc, count))
    hold = context.queries.next_code("H")
    reason = say.opened_and_counted(carton, count)
    held = HoldPlaced(hold, carton.sscc, (HeldItem(carton.sscc, None, None),))
    lots = context.queries.carton_contents(carton.sscc)
    # A sum of units speaks of each disc; of several lots of one disc it does not say which is short.
    known = carton.units - count if all(there == carton.units for _lot, there in lots) else None
    acts, more = investigated(
        [(lot, known) for lot, _there in lots], say.about_opened(carton, count), context
    )
    return ActResult(
        (Act(body), Act(held, reason), *acts),
        say.opened_differs(carton, count, hold, more),
        finding=FindingCode.COUNT_DIFFERS,
    )


FORMS = (
    Form(
        "UNSTACK",
        "dock",
        (Slot("carton", dock_sentences.SCAN_THE_CARTON, _stacked), reason_slot(ReasonAct.DOCK_UNSTACK)),
        _unstack,
    ),
    Form(
        "REOPEN",
        "dock",
        (Slot("pallet", dock_sentences.SCAN_THE_PALLET, _reopenable), reason_slot(ReasonAct.DOCK_REOPEN)),
        _reopen,
        no_open_pallet,
    ),
    Form(
        "BREAK",
        "dock",
        (Slot("carton", dock_sentences.SCAN_THE_CARTON, _breakable), reason_slot(ReasonAct.DOCK_BREAK)),
        _break,
    ),
    Form(
        "REPACK",
        "dock",
        (
            Slot("carton", dock_sentences.SCAN_THE_CARTON, _broken),
            Slot("count", say.KEY_HOW_MANY_UNITS, _repack_count),
            reason_slot(ReasonAct.DOCK_REPACK),
        ),
        _repack,
    ),
    Form(
        "OPENCHECK",
        "dock",
        (
            Slot("carton", dock_sentences.SCAN_THE_CARTON, _openable),
            Slot("count", say.OPEN_AND_KEY_HOW_MANY, _opened),
        ),
        _check,
    ),
)
