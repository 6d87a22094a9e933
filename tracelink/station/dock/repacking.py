"""Pallets that are built anew, cartons found open, and the comparison of opened cartons with the record."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace, PalletStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.kinds.warehouse import (
    CartonBroken,
    CartonOpenChecked,
    CartonRepacked,
    CartonUnstacked,
    PalletReopened,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, number, sscc
from tracelink.station.common.investigate import investigated
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Carton
from tracelink.station.common.slots import reason_slot
from tracelink.station.dock import rules
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import counted

_CARTON = "Scan the carton."


def no_open_pallet(context: ScanContext) -> None:
    """Refuse to begin a pallet while another is open at this dock."""
    open_pallet = context.queries.open_pallet(context.station)
    if open_pallet is not None:
        raise Refused(
            FindingCode.PALLET_OPEN,
            f"Pallet {open_pallet} is still open here. Scan CLOSE first.",
            subject=open_pallet,
        )


def _stacked(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    standing = context.queries.standing(code)
    if standing is None or standing.what != "pallet":
        raise Refused(
            FindingCode.NOT_ON_A_PALLET,
            f"Carton {code} is not on a pallet. The system shows it {where(standing)}.",
            subject=code,
        )
    pallet = rules.known_pallet(standing.parent, context)
    if pallet.status not in (PalletStatus.OPEN, PalletStatus.CLOSED):
        what = "Scan REOPEN first." if pallet.status == PalletStatus.ACCEPTED else "It cannot be rebuilt."
        raise Refused(
            FindingCode.PALLET_NOT_OPEN,
            f"Carton {code} is on pallet {pallet.sscc}, which is {pallet.status}. {what}",
            subject=code,
            expected="open or closed",
            found=pallet.status,
        )
    return code


def _unstack(values: Values, context: ScanContext) -> ActResult:
    code = values["carton"]
    standing = context.queries.standing(code)
    assert standing is not None
    left = rules.known_pallet(standing.parent, context).cartons - 1
    body = CartonUnstacked(nested(code, standing))
    sentence = f"Carton {code} is off pallet {standing.parent}, which holds {counted(left, 'carton')} now."
    return ActResult((Act(body, values["reason"]),), sentence)


def _reopenable(reading: Reading, _values: Values, context: ScanContext) -> str:
    pallet = rules.known_pallet(sscc(reading, "a pallet label"), context)
    if pallet.status not in (PalletStatus.CLOSED, PalletStatus.ACCEPTED):
        what = " Scan UNLOAD first." if pallet.status == PalletStatus.LOADED else ""
        raise Refused(
            FindingCode.PALLET_NOT_CLOSED,
            f"Pallet {pallet.sscc} is {pallet.status}; only a closed or an accepted pallet can be opened again.{what}",
            subject=pallet.sscc,
            expected="closed or accepted",
            found=pallet.status,
        )
    kept = context.queries.allocated_to(pallet.sscc)
    if kept is not None:
        raise Refused(
            FindingCode.KEPT_FOR_AN_ORDER,
            f"Pallet {pallet.sscc} is kept for order {kept}. Have that released before you open it.",
            subject=pallet.sscc,
            found=kept,
        )
    return pallet.sscc


def _reopen(values: Values, context: ScanContext) -> ActResult:
    code = values["pallet"]
    accepted = rules.known_pallet(code, context).status == PalletStatus.ACCEPTED
    gone = " It must be accepted again." if accepted else ""
    return ActResult((Act(PalletReopened(code), values["reason"]),), f"Pallet {code} is open again.{gone}")


def _breakable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    carton = rules.sealed_carton(code, context)
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "shipment":
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Carton {code} is {where(standing)}. Scan UNLOAD or RETURN first.",
            subject=code,
            found=standing.parent,
        )
    if carton.pallet is not None:
        _require_here(code, carton.pallet, context)
    return code


def _require_here(carton: str, pallet: str, context: ScanContext) -> None:
    status = rules.known_pallet(pallet, context).status
    if status in (PalletStatus.LOADED, PalletStatus.SHIPPED):
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Carton {carton} is on pallet {pallet}, which is {status}. Scan UNLOAD or RETURN first.",
            subject=carton,
            found=pallet,
        )


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
    sentence = f"Carton {code} is broken: nobody knows now what is in it. Put it aside until it is counted."
    return ActResult((*acts, Act(CartonBroken(code, left), values["reason"])), sentence)


def _broken(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    carton = rules.known_carton(code, context)
    if carton.status != CartonStatus.BROKEN:
        raise Refused(
            FindingCode.CARTON_NOT_BROKEN,
            f"Carton {code} is {carton.status}. REPACK is for a broken carton.",
            subject=code,
            expected=CartonStatus.BROKEN,
            found=carton.status,
        )
    return code


def _repack_count(reading: Reading, values: Values, context: ScanContext) -> int:
    count = number(reading, "how many finished units are in it")
    carton = rules.known_carton(values["carton"], context)
    if not 1 <= count <= carton.units:
        raise Refused(
            FindingCode.WRONG_COUNT,
            f"Carton {carton.sscc} held {carton.units}; {count} cannot be sealed in it. "
            "Count again: pieces of another carton do not belong in it.",
            subject=carton.sscc,
            expected=f"1 to {carton.units}",
            found=str(count),
        )
    _lost(carton, count, context)
    return count


def _lost(carton: Carton, count: int, context: ScanContext) -> tuple[Moved, ...]:
    """Return the movements of what is missing, or refuse where nobody can say of which lot or number it is."""
    missing = carton.units - count
    if missing == 0:
        return ()
    product = context.queries.product(carton.gtin)
    assert product is not None
    held = context.queries.carton_content(carton.sscc)
    contents = context.queries.carton_contents(carton.sscc)
    unclear = {
        "numbers": product.numbered,
        "lots": len(contents) != product.discs,
        "sleeves": len(held.batches) != 1,
        "items": any(item.count != carton.units for item in held.items),
    }
    what = next((name for name, doubtful in unclear.items() if doubtful), None)
    if what is not None:
        raise Refused(
            FindingCode.NOT_INFERABLE,
            f"Carton {carton.sscc} is short of {missing}, and nobody knows which {what} are missing. Leave it broken.",
            subject=carton.sscc,
            expected=str(carton.units),
            found=str(count),
        )
    return tuple(Moved(lot, missing, carton.sscc, DiscPlace.LOST, None, None) for lot, _count in contents)


def _repack(values: Values, context: ScanContext) -> ActResult:
    carton = rules.known_carton(values["carton"], context)
    count = values["count"]
    moves, held = _lost(carton, count, context), context.queries.carton_content(carton.sscc)
    batch = held.batches[0].code if moves else None
    items = tuple(item.code for item in held.items) if moves else ()
    body = CartonRepacked(carton.sscc, carton.units, count, moves, batch, items)
    short = f", {carton.units - count} fewer than the system showed" if moves else ""
    return ActResult(
        (Act(body, values["reason"]),), f"Carton {carton.sscc} is sealed again with {count}{short}."
    )


def _openable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    rules.sealed_carton(code, context)
    standing = context.queries.standing(code)
    if standing is not None and standing.what == "shipment":
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Carton {code} is {where(standing)}.",
            subject=code,
            found=standing.parent,
        )
    return code


def _opened(reading: Reading, _values: Values, _scene: ScanContext) -> int:
    return number(reading, "how many finished units are in it")


def _check(values: Values, context: ScanContext) -> ActResult:
    carton = rules.known_carton(values["carton"], context)
    count = values["count"]
    body = CartonOpenChecked(carton.sscc, carton.units, count)
    if count == carton.units:
        return ActResult((Act(body),), f"Carton {carton.sscc} holds {count}, as the system shows.")
    hold = context.queries.next_code("H")
    reason = f"opened and counted {count}; the system shows {carton.units} ({count - carton.units:+d})"
    held = HoldPlaced(hold, carton.sscc, (HeldItem(carton.sscc, None, None),))
    lots = context.queries.carton_contents(carton.sscc)
    # A sum of units speaks of each disc; of several lots of one disc it does not say which is short.
    known = carton.units - count if all(there == carton.units for _lot, there in lots) else None
    acts, more = investigated(
        [(lot, known) for lot, _there in lots], f"carton {carton.sscc} {reason}", context
    )
    return ActResult(
        (Act(body), Act(held, reason), *acts),
        f"Carton {carton.sscc} holds {count}; the system shows {carton.units} ({count - carton.units:+d}). "
        f"It is on hold now (hold {hold}): put it aside and call quality.{more}",
        finding=FindingCode.COUNT_DIFFERS,
    )


FORMS = (
    Form("UNSTACK", "dock", (Slot("carton", _CARTON, _stacked), reason_slot()), _unstack),
    Form(
        "REOPEN",
        "dock",
        (Slot("pallet", "Scan the pallet.", _reopenable), reason_slot()),
        _reopen,
        no_open_pallet,
    ),
    Form("BREAK", "dock", (Slot("carton", _CARTON, _breakable), reason_slot()), _break),
    Form(
        "REPACK",
        "dock",
        (
            Slot("carton", _CARTON, _broken),
            Slot("count", "Key how many finished units are in it, such as #25.", _repack_count),
            reason_slot(),
        ),
        _repack,
    ),
    Form(
        "OPENCHECK",
        "dock",
        (
            Slot("carton", _CARTON, _openable),
            Slot("count", "Open it and key how many finished units are in it, such as #25.", _opened),
        ),
        _check,
    ),
)
