"""Loading: whole pallets, loose cartons picked by two scans, unloading, the driver's check, departure."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.closed_sets import PalletStatus, ReasonAct, ShipmentStatus
from tracelink.ledger.kinds.dock import PalletLoaded, ShipmentDeparted, ShipmentOpened, ShipmentReordered
from tracelink.ledger.kinds.warehouse import CartonPicked, LoadShort, Unloaded
from tracelink.station.common.authority import QUALITY, require_role
from tracelink.station.common.count_doubt import refuse_doubtful, refuse_doubtful_in
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.label_content import refuse_contradiction
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.station_facts import Order
from tracelink.station.common.taken_reading import plant_code, sscc
from tracelink.station.dock import rules
from tracelink.station.sentences import dock_sentences, form_sentences
from tracelink.station.sentences import loading_sentences as say
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def _order(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.ORDER, reading, say.AN_ORDER)
    if context.queries.order(code) is None:
        raise unknown(Thing.ORDER, code)
    return code


def _no_open_shipment(context: ScanContext) -> None:
    loading = context.queries.open_shipment(context.station)
    if loading is not None and context.queries.pallets_in(loading[0]):
        raise say.still_being_loaded(loading[0])


def _ship(values: Values, context: ScanContext) -> ActResult:
    order = context.queries.order(values["order"])
    assert order is not None
    empty = context.queries.open_shipment(context.station)
    if empty is not None:
        # A wrong order was scanned: nothing is loaded yet, so the shipment takes the right one.
        sentence = say.now_for(empty[0], order.consignee)
        return ActResult((Act(ShipmentReordered(empty[0], order.code)),), sentence)
    code = context.queries.next_code("D")
    sentence = say.open_for(code, order.consignee)
    return ActResult((Act(ShipmentOpened(code, order.code)),), sentence)


def load(code: str, context: ScanContext) -> ActResult:
    """Load an accepted pallet onto the vehicle that is loaded here."""
    shipment, order = rules.loading(context)
    pallet = rules.known_pallet(code, context)
    standing = context.queries.standing(code)
    if pallet.shipment is not None and standing is not None:
        raise say.loaded_already(code, pallet.shipment, standing.name, standing.station)
    refuse_held(context.queries.hold_on_pallet(code), Thing.PALLET, code)
    if pallet.status != PalletStatus.ACCEPTED:
        raise say.not_accepted(code, pallet.status)
    refuse_doubtful_in(code, context)
    rules.released_pallet(code, context)
    rules.refuse_title(context.queries.pallet_gtins(code), Thing.PALLET, code, order, context)
    rules.refuse_kept(code, Thing.PALLET, order.code, context)
    acts = rules.leaving(code, standing, PalletLoaded(code, shipment))
    return ActResult(acts, say.loaded(Thing.PALLET, code, order.consignee))


def _pick_carton(code: str, context: ScanContext) -> ActResult:
    shipment, order = rules.loading(context)
    carton = rules.sealed_carton(code, context)
    standing = rules.require_free(code, Thing.CARTON, context)
    refuse_held(context.queries.hold_on_carton(code), Thing.CARTON, code)
    refuse_doubtful(code, context)
    rules.released_carton(code, context)
    rules.refuse_title([carton.gtin], Thing.CARTON, code, order, context)
    rules.refuse_kept(code, Thing.CARTON, order.code, context)
    acts = rules.leaving(code, standing, CartonPicked(code, shipment))
    return ActResult(acts, say.loaded(Thing.CARTON, code, order.consignee))


def _pick(code: str, context: ScanContext) -> ActResult:
    return load(code, context) if rules.is_pallet(code, context) else _pick_carton(code, context)


def _pickable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    assert isinstance(reading, LogisticRead)
    refuse_contradiction(reading, context)
    # Judged with every scan of the act: between the two scans another dock may have taken it.
    _pick(code, context)
    return code


def _same_again(reading: Reading, values: Values, context: ScanContext) -> str:
    again = sscc(reading, say.THE_SAME_LABEL)
    if again != values["thing"]:
        raise say.other_label(again, values["thing"])
    assert isinstance(reading, LogisticRead)
    refuse_contradiction(reading, context)
    return again


def _finish_pick(values: Values, context: ScanContext) -> ActResult:
    return _pick(values["thing"], context)


def _on_the_vehicle(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    standing = context.queries.standing(code)
    if standing is None or standing.what != "shipment":
        raise say.not_loaded(rules.thing_of(code, context), code, standing)
    if context.queries.shipment_status(standing.parent) != ShipmentStatus.LOADING:
        raise say.left_already(standing.parent, rules.thing_of(code, context), code)
    return code


def _unload(values: Values, context: ScanContext) -> ActResult:
    code = values["thing"]
    standing = context.queries.standing(code)
    assert standing is not None
    thing = rules.thing_of(code, context)
    body = Unloaded("pallet" if thing is Thing.PALLET else "carton", nested(code, standing))
    sentence = say.unloaded(thing, code, standing.parent)
    return ActResult((Act(body, values["reason"]),), sentence)


def something_loaded(context: ScanContext) -> tuple[str, Order]:
    """Return the shipment that is loaded here with something in it, or refuse."""
    code, order = rules.loading(context)
    if not context.queries.pallets_in(code) and not context.queries.loose_cartons_in(code):
        raise say.nothing_loaded(code)
    return code, order


def load_in_words(shipment: str, context: ScanContext) -> str:
    """Say what is on a vehicle."""
    pallets, cartons = context.queries.pallets_in(shipment), context.queries.loose_cartons_in(shipment)
    return say.load_in_words(len(pallets), len(cartons))


def may_leave(context: ScanContext) -> tuple[str, Order]:
    """Return the shipment loaded here, or refuse: something on it may not leave, or no driver looked at it."""
    code, order = something_loaded(context)
    # A hold placed, or a lot rejected, between loading and departure still stops the vehicle.
    for pallet in context.queries.pallets_in(code):
        refuse_held(context.queries.hold_on_pallet(pallet), Thing.PALLET, pallet)
        refuse_doubtful_in(pallet, context)
        rules.released_pallet(pallet, context)
    for carton in context.queries.loose_cartons_in(code):
        refuse_held(context.queries.hold_on_carton(carton), Thing.CARTON, carton)
        rules.released_carton(carton, context)
    refuse_doubtful_in(code, context)
    if context.queries.setting("driver_check") and context.queries.driver_of(code) is None:
        raise say.no_driver_check(code)
    return code, order


def _totals(shipment: str, order: Order, context: ScanContext) -> list[say.LineLoad]:
    """Return for each product of an order how many units were ordered, and how many left or are on this vehicle."""
    queries = context.queries
    return [
        say.LineLoad(
            ordered=queries.ordered(order.code, gtin),
            loaded=queries.units_sent(order.code, gtin) + queries.units_in(shipment, gtin),
            title=rules.titles([gtin], context) if len(order.gtins) > 1 else None,
        )
        for gtin in order.gtins
    ]


def _require_tolerance(shipment: str, order: Order, context: ScanContext) -> None:
    """Refuse a load that is short or over in any line of the order; what one line has too much another still lacks."""
    limits = {sign: context.queries.setting(f"ship_{sign.value}_percent") for sign in say.Off}
    off = [
        (sign, line)
        for line in _totals(shipment, order, context)
        for sign, by in (
            (say.Off.SHORT, line.ordered - line.loaded),
            (say.Off.OVER, line.loaded - line.ordered),
        )
        if by * 100 > line.ordered * limits[sign]
    ]
    if off:
        raise say.load_off(order.code, shipment, off, limits)


def _departed(code: str, order: Order, context: ScanContext) -> ActResult:
    """Let a shipment go, and tell what a line of the order lacks or has too much, also where the plant lets it."""
    body = ShipmentDeparted(code, tuple(context.queries.pallets_in(code)))
    off = [line for line in _totals(code, order, context) if line.loaded != line.ordered]
    sentence = say.departed(code, order, load_in_words(code, context), off)
    return ActResult((Act(body),), sentence)


def _depart(_values: Values, context: ScanContext) -> ActResult:
    code, order = may_leave(context)
    _require_tolerance(code, order, context)
    return _departed(code, order, context)


def _accept_load(values: Values, context: ScanContext) -> ActResult:
    code, order = may_leave(context)
    totals = _totals(code, order, context)
    ordered, loaded = sum(line.ordered for line in totals), sum(line.loaded for line in totals)
    agreed = LoadShort(code, ordered, loaded)
    done = _departed(code, order, context)
    return ActResult((Act(agreed, values["reason"]), *done.acts), done.sentence)


def _quality_here(context: ScanContext) -> None:
    require_role(context.person, QUALITY, form_sentences.may_not_do("ACCEPTLOAD"))
    may_leave(context)


_LOADED = Slot("thing", dock_sentences.SCAN_PALLET_OR_CARTON, _on_the_vehicle)

FORMS = (
    Form("SHIP", "dock", (Slot("order", say.SCAN_THE_ORDER, _order),), _ship, _no_open_shipment),
    Form(
        "PICK",
        "dock",
        (
            Slot("thing", say.SCAN_CARTON_OR_PALLET, _pickable),
            Slot("again", say.SCAN_THE_SAME_LABEL, _same_again),
        ),
        _finish_pick,
        rules.loading,
    ),
    Form("UNLOAD", "dock", (_LOADED, reason_slot(ReasonAct.DOCK_UNLOAD)), _unload),
    Form("DEPART", "dock", (), _depart),
    Form("ACCEPTLOAD", "dock", (reason_slot(ReasonAct.DOCK_ACCEPTLOAD),), _accept_load, _quality_here),
)
