"""What several acts of the dock ask of a pallet, a carton, a lot or a place."""

from collections.abc import Mapping, Sequence

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.closed_sets import CartonStatus, LotDecision
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.orders import Allocated, AllocationReleased
from tracelink.ledger.kinds.warehouse import PlaceLeft
from tracelink.station.common.forms import ScanContext, Values, plant_code, sscc
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Carton, Lot, Order, Pallet
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.sentences.common_sentences import misplaced, where


def require_issued(code: str, what: str, context: ScanContext) -> None:
    """Refuse a label that was never issued here, or was issued for something else."""
    issued = context.queries.sscc_issued_for(code)
    if issued is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Label {code} was never issued here.", subject=code)
    if issued != what:
        raise Refused(
            FindingCode.WRONG_THING,
            f"You scanned {issued} label {code}. Scan a {what} label.",
            subject=code,
            expected=what,
            found=issued,
        )


def known_pallet(code: str, context: ScanContext) -> Pallet:
    """Return a pallet that was built."""
    pallet = context.queries.pallet(code)
    if pallet is None:
        require_issued(code, "pallet", context)
        raise Refused(FindingCode.UNKNOWN_CODE, f"Pallet {code} has not been built.", subject=code)
    return pallet


def known_carton(code: str, context: ScanContext) -> Carton:
    """Return a carton that was packed."""
    carton = context.queries.carton(code)
    if carton is None:
        require_issued(code, "carton", context)
        raise Refused(FindingCode.UNKNOWN_CODE, f"Carton {code} has not been packed.", subject=code)
    return carton


def refuse_contradiction(reading: LogisticRead, context: ScanContext) -> None:
    """Refuse a carton whose label says something else than the ledger: one of them is wrong."""
    code = str(reading.sscc)
    carton = context.queries.carton(code)
    if carton is None:
        return
    found = []
    if reading.content is not None and reading.content.gtin13 != carton.gtin:
        found.append(f"product {reading.content} (the system shows {carton.gtin})")
    if reading.count is not None and reading.count != carton.units:
        found.append(f"{reading.count} units (the system shows {carton.units})")
    if reading.lot is not None and reading.lot not in {lot.code for lot in context.queries.carton_lots(code)}:
        found.append(f"lot {reading.lot} (the system shows no disc of it there)")
    if found:
        raise Refused(
            FindingCode.LABEL_CONTRADICTS,
            f"The label of carton {code} says {'; '.join(found)}. Put it aside and tell quality.",
            subject=code,
            expected=carton.gtin,
            found="; ".join(found),
        )


def a_carton(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The label of a carton that was packed."""
    return known_carton(sscc(reading, "a carton label"), context).sscc


def a_thing(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The label of a pallet or a carton that is known."""
    if not (isinstance(reading, LogisticRead) and reading.sscc is not None):
        raise misplaced(reading, "a carton or a pallet label")
    code = str(reading.sscc)
    if is_pallet(code, context):
        return known_pallet(code, context).sscc
    return known_carton(code, context).sscc


def is_pallet(code: str, context: ScanContext) -> bool:
    """Whether a label was issued for a pallet."""
    return context.queries.sscc_issued_for(code) == "pallet"


def a_location(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The code of a location that is known."""
    code = plant_code(CodeKind.LOCATION, reading, "a location")
    if context.queries.location(code) is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Location {code} is not in the system.", subject=code)
    return code


def sealed_carton(code: str, context: ScanContext) -> Carton:
    """Return a carton that is sealed and has something in it, or say why it is not stock."""
    carton = known_carton(code, context)
    if carton.status != CartonStatus.CLOSED:
        finding, sentence = _NOT_STOCK[carton.status]
        raise Refused(
            finding,
            f"Carton {code} {sentence}",
            subject=code,
            expected=CartonStatus.CLOSED,
            found=carton.status,
        )
    if carton.units == 0:
        raise Refused(
            FindingCode.CARTON_EMPTY,
            f"Carton {code} was closed empty. Leave it off the pallet.",
            subject=code,
        )
    return carton


_NOT_STOCK: Mapping[str, tuple[FindingCode, str]] = {
    CartonStatus.OPEN: (FindingCode.CARTON_OPEN, "is still open at its line."),
    CartonStatus.BROKEN: (
        FindingCode.CARTON_BROKEN,
        "is broken, and nobody knows what is in it. Count it with REPACK.",
    ),
    CartonStatus.RETURNED: (
        FindingCode.CARTON_RETURNED,
        "came back and is in quarantine. It needs RESTOCK after inspection.",
    ),
    CartonStatus.DESTROYED: (
        FindingCode.CARTON_DESTROYED,
        "is destroyed, the system shows. Put it aside and tell quality.",
    ),
}


def released(lots: Sequence[Lot], name: str, code: str) -> tuple[str, ...]:
    """Return the lots of a pallet or carton, or refuse: not all of them are released."""
    waiting = [lot for lot in lots if lot.decision != LotDecision.RELEASED]
    if waiting:
        listed = ", ".join(f"{lot.code} ({lot.decision})" for lot in waiting)
        raise Refused(
            FindingCode.LOT_NOT_RELEASED,
            f"{name} {code} holds discs of lots that are not released: {listed}. Leave it where it is.",
            subject=code,
            expected="every lot released",
            found=listed,
        )
    return tuple(lot.code for lot in lots)


def released_pallet(code: str, context: ScanContext) -> tuple[str, ...]:
    """Return the lots on a pallet, all of them released; refuses otherwise."""
    return released(context.queries.pallet_lots(code), "Pallet", code)


def released_carton(code: str, context: ScanContext) -> tuple[str, ...]:
    """Return the lots in a carton, all of them released; refuses otherwise."""
    lots = [context.queries.lot(lot) for lot, _count in context.queries.carton_contents(code)]
    return released([lot for lot in lots if lot is not None], "Carton", code)


def shipment_of(carton: str, context: ScanContext) -> Nesting | None:
    """Return the shipment a carton is in, alone or with its pallet."""
    standing = context.queries.standing(carton)
    if standing is not None and standing.what == "pallet":
        standing = context.queries.standing(standing.parent)
    return standing if standing is not None and standing.what == "shipment" else None


def require_free(code: str, name: str, context: ScanContext) -> Nesting | None:
    """Return the location a thing stands in, if any; refuse it on a pallet or a vehicle, naming who has it."""
    standing = context.queries.standing(code)
    if standing is None or standing.what == "location":
        return standing
    raise Refused(
        FindingCode.HAS_A_PARENT,
        f"The system shows {name.lower()} {code} {where(standing)}. Check where it is before you go on.",
        subject=code,
        found=standing.parent,
    )


def leaving(code: str, standing: Nesting | None, body: EntryBody) -> tuple[Act, ...]:
    """Return the acts by which a thing leaves its location, if it stands in one, and what follows."""
    if standing is None:
        return (Act(body),)
    return (Act(PlaceLeft(nested(code, standing))), Act(body))


def releasing(code: str, context: ScanContext) -> tuple[Act, ...]:
    """Return the act that lets go of a thing kept for an order; none if it is kept for none."""
    kept = context.queries.allocation(code)
    if kept is None:
        return ()
    return (Act(AllocationReleased(kept.order, (Allocated(code, kept.units, kept.made),))),)


def refuse_kept(code: str, name: str, order: str, context: ScanContext) -> None:
    """Refuse what is kept for another order."""
    kept = context.queries.allocated_to(code)
    if kept is not None and kept != order:
        raise Refused(
            FindingCode.KEPT_FOR_ANOTHER,
            f"{name} {code} is kept for order {kept}; this shipment is for order {order}. Leave it where it is.",
            subject=code,
            expected=order,
            found=kept,
        )


def refuse_title(gtins: Sequence[str], name: str, code: str, order: Order, context: ScanContext) -> None:
    """Refuse a pallet or carton with another product than the order's."""
    wrong = [gtin for gtin in gtins if gtin not in order.gtins]
    if wrong:
        raise Refused(
            FindingCode.WRONG_TITLE,
            f"{name} {code} holds {titles(wrong, context)}; order {order.code} is for {titles(order.gtins, context)}.",
            subject=code,
            expected=", ".join(order.gtins),
            found=", ".join(wrong),
        )


def titles(gtins: Sequence[str], context: ScanContext) -> str:
    """Return the titles of products, quoted."""
    products = [context.queries.product(gtin) for gtin in gtins]
    return ", ".join(f'"{product.title}"' for product in products if product is not None)


def loading(context: ScanContext) -> tuple[str, Order]:
    """Return the shipment being loaded here and its order."""
    found = context.queries.open_shipment(context.station)
    if found is None:
        raise Refused(
            FindingCode.NO_SHIPMENT,
            "No shipment is being loaded here. Scan SHIP first.",
            subject=context.station,
        )
    order = context.queries.order(found[1])
    assert order is not None
    return found[0], order
