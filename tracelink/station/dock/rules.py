"""What several acts of the dock ask of a pallet, a carton, a lot or a place."""

from collections.abc import Sequence

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.closed_sets import CartonStatus, LotDecision
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.orders import Allocated, AllocationReleased
from tracelink.ledger.kinds.warehouse import PlaceLeft
from tracelink.station.common.forms import ScanContext, Values
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Carton, Lot, Order, Pallet
from tracelink.station.common.taken_reading import plant_code, sscc
from tracelink.station.sentences import dock_sentences as say
from tracelink.station.sentences.common_sentences import carton_not_packed, misplaced, unknown
from tracelink.station.sentences.thing_names import Thing, product_names


def require_issued(code: str, what: str, context: ScanContext) -> None:
    """Refuse a label that was never issued here, or was issued for something else."""
    issued = context.queries.sscc_issued_for(code)
    if issued is None:
        raise say.not_issued(code)
    if issued != what:
        raise say.issued_for_other(issued, code, what)


def known_pallet(code: str, context: ScanContext) -> Pallet:
    """Return a pallet that was built."""
    pallet = context.queries.pallet(code)
    if pallet is None:
        require_issued(code, "pallet", context)
        raise say.pallet_not_built(code)
    return pallet


def known_carton(code: str, context: ScanContext) -> Carton:
    """Return a carton that was packed."""
    carton = context.queries.carton(code)
    if carton is None:
        require_issued(code, "carton", context)
        raise carton_not_packed(code)
    return carton


def a_carton(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The label of a carton that was packed."""
    return known_carton(sscc(reading, say.A_CARTON_LABEL), context).sscc


def a_thing(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The label of a pallet or a carton that is known."""
    if not (isinstance(reading, LogisticRead) and reading.sscc is not None):
        raise misplaced(reading, say.CARTON_OR_PALLET_LABEL)
    code = str(reading.sscc)
    if is_pallet(code, context):
        return known_pallet(code, context).sscc
    return known_carton(code, context).sscc


def is_pallet(code: str, context: ScanContext) -> bool:
    """Return whether a label was issued for a pallet."""
    return context.queries.sscc_issued_for(code) == "pallet"


def thing_of(code: str, context: ScanContext) -> Thing:
    """Return what a label was issued for: a pallet or else a carton."""
    return Thing.PALLET if is_pallet(code, context) else Thing.CARTON


def a_location(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The code of a location that is known."""
    code = plant_code(CodeKind.LOCATION, reading, say.A_LOCATION)
    if context.queries.location(code) is None:
        raise unknown(Thing.LOCATION, code)
    return code


def sealed_carton(code: str, context: ScanContext) -> Carton:
    """Return a carton that is sealed and has something in it, or say why it is not stock."""
    carton = known_carton(code, context)
    if carton.status != CartonStatus.CLOSED:
        raise say.not_stock(carton)
    if carton.units == 0:
        raise say.closed_empty(code)
    return carton


def released(lots: Sequence[Lot], thing: Thing, code: str) -> tuple[str, ...]:
    """Return the lots of a pallet or carton, or refuse: not all of them are released."""
    waiting = [lot for lot in lots if lot.decision != LotDecision.RELEASED]
    if waiting:
        raise say.not_released(thing, code, waiting)
    return tuple(lot.code for lot in lots)


def released_pallet(code: str, context: ScanContext) -> tuple[str, ...]:
    """Return the lots on a pallet, all of them released; refuses otherwise."""
    return released(context.queries.pallet_lots(code), Thing.PALLET, code)


def released_carton(code: str, context: ScanContext) -> tuple[str, ...]:
    """Return the lots in a carton, all of them released; refuses otherwise."""
    lots = [context.queries.lot(lot) for lot, _count in context.queries.carton_contents(code)]
    return released([lot for lot in lots if lot is not None], Thing.CARTON, code)


def require_free(code: str, thing: Thing, context: ScanContext) -> Nesting | None:
    """Return the location a thing stands in, if any; refuse it on a pallet or a vehicle, naming who has it."""
    standing = context.queries.standing(code)
    if standing is None or standing.what == "location":
        return standing
    raise say.not_free(thing, code, standing)


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


def refuse_kept(code: str, thing: Thing, order: str, context: ScanContext) -> None:
    """Refuse what is kept for another order."""
    kept = context.queries.allocated_to(code)
    if kept is not None and kept != order:
        raise say.kept_for_another(thing, code, kept, order)


def refuse_title(gtins: Sequence[str], thing: Thing, code: str, order: Order, context: ScanContext) -> None:
    """Refuse a pallet or carton with another product than the order's."""
    wrong = [gtin for gtin in gtins if gtin not in order.gtins]
    if wrong:
        held = say.Titles(tuple(wrong), titles(wrong, context))
        raise say.other_products(
            thing, code, held, order.code, say.Titles(order.gtins, titles(order.gtins, context))
        )


def titles(gtins: Sequence[str], context: ScanContext) -> str:
    """Return the titles of products, quoted, each with its catalogue number."""
    products = [context.queries.product(gtin) for gtin in gtins]
    return product_names((each.title, each.catalogue_number) for each in products if each is not None)


def loading(context: ScanContext) -> tuple[str, Order]:
    """Return the shipment being loaded here and its order."""
    found = context.queries.open_shipment(context.station)
    if found is None:
        raise say.no_shipment_here(context.station)
    order = context.queries.order(found[1])
    assert order is not None
    return found[0], order
