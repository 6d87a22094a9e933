"""Loading: whole pallets, loose cartons picked by two scans, unloading, the driver's check, departure."""

from collections.abc import Mapping

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading, TextKeyed
from tracelink.ledger.closed_sets import PalletStatus, ShipmentStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.dock import PalletLoaded, ShipmentDeparted, ShipmentOpened, ShipmentReordered
from tracelink.ledger.kinds.warehouse import CartonPicked, DriverChecked, LoadShort, Unloaded
from tracelink.station.common.authority import QUALITY, require_role
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, plant_code, sscc
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Order
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.dock import rules
from tracelink.station.sentences.common_sentences import misplaced, where
from tracelink.station.sentences.thing_names import Entered, Thing, counted


def _order(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.ORDER, reading, "an order")
    if context.queries.order(code) is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Order {code} is not in the system.", subject=code)
    return code


def _no_open_shipment(context: ScanContext) -> None:
    loading = context.queries.open_shipment(context.station)
    if loading is not None and context.queries.pallets_in(loading[0]):
        raise Refused(
            FindingCode.SHIPMENT_OPEN,
            f"Shipment {loading[0]} is still being loaded here. Scan DEPART first.",
            subject=loading[0],
        )


def _ship(values: Values, context: ScanContext) -> ActResult:
    order = context.queries.order(values["order"])
    assert order is not None
    empty = context.queries.open_shipment(context.station)
    if empty is not None:
        # A wrong order was scanned: nothing is loaded yet, so the shipment takes the right one.
        sentence = f"Shipment {empty[0]} is now for {order.consignee}. Scan its pallets."
        return ActResult((Act(ShipmentReordered(empty[0], order.code)),), sentence)
    code = context.queries.next_code("D")
    sentence = f"Shipment {code} for {order.consignee} is open. Scan its pallets."
    return ActResult((Act(ShipmentOpened(code, order.code)),), sentence)


def load(code: str, context: ScanContext) -> ActResult:
    """Load an accepted pallet onto the vehicle that is loaded here."""
    shipment, order = rules.loading(context)
    pallet = rules.known_pallet(code, context)
    standing = context.queries.standing(code)
    if pallet.shipment is not None and standing is not None:
        raise Refused(
            FindingCode.HAS_A_PARENT,
            f"Pallet {code} is in shipment {pallet.shipment} already, for {standing.name}, {standing.station}.",
            subject=code,
            found=pallet.shipment,
        )
    refuse_held(context.queries.hold_on_pallet(code), Thing.PALLET, code)
    if pallet.status != PalletStatus.ACCEPTED:
        raise Refused(
            FindingCode.PALLET_NOT_ACCEPTED,
            f"Pallet {code} is {pallet.status}. Only an accepted pallet can be shipped.",
            subject=code,
            expected=PalletStatus.ACCEPTED,
            found=pallet.status,
        )
    rules.released_pallet(code, context)
    rules.refuse_title(context.queries.pallet_gtins(code), "Pallet", code, order, context)
    rules.refuse_kept(code, "Pallet", order.code, context)
    acts = rules.leaving(code, standing, PalletLoaded(code, shipment))
    return ActResult(acts, f"Pallet {code} is loaded for {order.consignee}.")


def _pick_carton(code: str, context: ScanContext) -> ActResult:
    shipment, order = rules.loading(context)
    carton = rules.sealed_carton(code, context)
    standing = rules.require_free(code, "Carton", context)
    refuse_held(context.queries.hold_on_carton(code), Thing.CARTON, code)
    rules.released_carton(code, context)
    rules.refuse_title([carton.gtin], "Carton", code, order, context)
    rules.refuse_kept(code, "Carton", order.code, context)
    acts = rules.leaving(code, standing, CartonPicked(code, shipment))
    return ActResult(acts, f"Carton {code} is loaded for {order.consignee}.")


def _pick(code: str, context: ScanContext) -> ActResult:
    return load(code, context) if rules.is_pallet(code, context) else _pick_carton(code, context)


def _pickable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    # Judged with every scan of the act: between the two scans another dock may have taken it.
    _pick(code, context)
    return code


def _same_again(reading: Reading, values: Values, _scene: ScanContext) -> str:
    again = sscc(reading, "the same label again")
    if again != values["thing"]:
        raise Refused(
            FindingCode.ANOTHER_LABEL,
            f"You scanned {again}, and first {values['thing']}. Scan the label of the piece you hold.",
            subject=again,
            expected=values["thing"],
            found=again,
        )
    return again


def _finish_pick(values: Values, context: ScanContext) -> ActResult:
    return _pick(values["thing"], context)


def _on_the_vehicle(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    standing = context.queries.standing(code)
    if standing is None or standing.what != "shipment":
        raise Refused(
            FindingCode.NOT_LOADED, f"{code} is not on a vehicle; it is {where(standing)}.", subject=code
        )
    if context.queries.shipment_status(standing.parent) != ShipmentStatus.LOADING:
        raise Refused(
            FindingCode.SHIPMENT_LEFT,
            f"Shipment {standing.parent} with {code} has left. What comes back is booked with RETURN.",
            subject=code,
            found=standing.parent,
        )
    return code


def _unload(values: Values, context: ScanContext) -> ActResult:
    code = values["thing"]
    standing = context.queries.standing(code)
    assert standing is not None
    what = "pallet" if rules.is_pallet(code, context) else "carton"
    body = Unloaded(what, nested(code, standing))
    sentence = f"{what.capitalize()} {code} is off shipment {standing.parent} and in stock again."
    return ActResult((Act(body, values["reason"]),), sentence)


def _name(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    if isinstance(reading, TextKeyed):
        return reading.text.strip()
    raise misplaced(reading, "the name of the driver", Entered.TYPED)


def _something_loaded(context: ScanContext) -> tuple[str, Order]:
    code, order = rules.loading(context)
    if not context.queries.pallets_in(code) and not context.queries.loose_cartons_in(code):
        raise Refused(
            FindingCode.SHIPMENT_EMPTY, f"Shipment {code} is empty; scan its pallets first.", subject=code
        )
    return code, order


def _driver(values: Values, context: ScanContext) -> ActResult:
    code, _order = _something_loaded(context)
    load = _load_in_words(code, context)
    return ActResult(
        (Act(DriverChecked(code, values["name"])),), f"{values['name']} checked shipment {code}: {load}."
    )


def _load_in_words(shipment: str, context: ScanContext) -> str:
    pallets, cartons = context.queries.pallets_in(shipment), context.queries.loose_cartons_in(shipment)
    parts = [counted(len(pallets), "pallet")] if pallets or not cartons else []
    if cartons:
        parts.append(counted(len(cartons), "loose carton"))
    return " and ".join(parts)


def may_leave(context: ScanContext) -> tuple[str, Order]:
    """Return the shipment loaded here, or refuse: something on it may not leave, or no driver looked at it."""
    code, order = _something_loaded(context)
    # A hold placed, or a lot rejected, between loading and departure still stops the vehicle.
    for pallet in context.queries.pallets_in(code):
        refuse_held(context.queries.hold_on_pallet(pallet), Thing.PALLET, pallet)
        rules.released_pallet(pallet, context)
    for carton in context.queries.loose_cartons_in(code):
        refuse_held(context.queries.hold_on_carton(carton), Thing.CARTON, carton)
        rules.released_carton(carton, context)
    if context.queries.setting("driver_check") and context.queries.driver_of(code) is None:
        raise Refused(
            FindingCode.NO_DRIVER_CHECK,
            f"No driver has checked shipment {code} as it is loaded now. Scan DRIVER first.",
            subject=code,
        )
    return code, order


def _totals(shipment: str, order: Order, context: ScanContext) -> list[tuple[str, int, int]]:
    """Return for each product of an order how many units were ordered, and how many left or are on this vehicle."""
    queries = context.queries
    return [
        (
            gtin,
            queries.ordered(order.code, gtin),
            queries.units_sent(order.code, gtin) + queries.units_in(shipment, gtin),
        )
        for gtin in order.gtins
    ]


def _require_tolerance(shipment: str, order: Order, context: ScanContext) -> None:
    """Refuse a load that is short or over in any line of the order; what one line has too much another still lacks."""
    limits = {name: context.queries.setting(f"ship_{name}_percent") for name in ("short", "over")}
    off: list[tuple[str, str, int, int]] = []
    for gtin, ordered, loaded in _totals(shipment, order, context):
        for name, by in (("short", ordered - loaded), ("over", loaded - ordered)):
            if by * 100 > ordered * limits[name]:
                off.append((name, gtin, ordered, loaded))
    if not off:
        return
    name, _gtin, _ordered, _loaded = off[0]
    listed = "; ".join(
        _line_in_words(line, shipment, limits, context, several=len(order.gtins) > 1) for line in off
    )
    raise Refused(
        FindingCode.SHIPMENT_SHORT if name == "short" else FindingCode.SHIPMENT_OVER,
        f"Order {order.code} is for {listed}. Correct the load, or have quality scan ACCEPTLOAD.",
        subject=shipment,
        expected=", ".join(str(ordered) for _name, _gtin, ordered, _loaded in off),
        found=", ".join(str(loaded) for _name, _gtin, _ordered, loaded in off),
    )


def _line_in_words(
    line: tuple[str, str, int, int],
    shipment: str,
    limits: Mapping[str, int],
    context: ScanContext,
    *,
    several: bool,
) -> str:
    name, gtin, ordered, loaded = line
    of = f" of {rules.titles([gtin], context)}" if several else ""
    return (
        f"{ordered}{of}; with shipment {shipment} it has {loaded} ({loaded - ordered:+d}), "
        f"more than {limits[name]} % {name}"
    )


def _departed(code: str, order: Order, context: ScanContext) -> ActResult:
    body = ShipmentDeparted(code, tuple(context.queries.pallets_in(code)))
    sentence = f"Shipment {code} left for {order.consignee} with {_load_in_words(code, context)}."
    return ActResult((Act(body),), sentence + _off_in_words(code, order, context))


def _off_in_words(shipment: str, order: Order, context: ScanContext) -> str:
    """Tell what a line of the order lacks or has too much, also where the plant lets it leave so."""
    several = len(order.gtins) > 1
    off = [
        f"{ordered}{f' of {rules.titles([gtin], context)}' if several else ''} and has {loaded} ({loaded - ordered:+d})"
        for gtin, ordered, loaded in _totals(shipment, order, context)
        if loaded != ordered
    ]
    return f" Order {order.code} is for {'; '.join(off)}." if off else ""


def _depart(_values: Values, context: ScanContext) -> ActResult:
    code, order = may_leave(context)
    _require_tolerance(code, order, context)
    return _departed(code, order, context)


def _accept_load(values: Values, context: ScanContext) -> ActResult:
    code, order = may_leave(context)
    totals = _totals(code, order, context)
    ordered = sum(wanted for _gtin, wanted, _there in totals)
    loaded = sum(there for _gtin, _wanted, there in totals)
    agreed = LoadShort(code, ordered, loaded)
    done = _departed(code, order, context)
    return ActResult((Act(agreed, values["reason"]), *done.acts), done.sentence)


def _quality_here(context: ScanContext) -> None:
    require_role(context.person, QUALITY, "may not do ACCEPTLOAD")
    may_leave(context)


_LOADED = Slot("thing", "Scan the pallet or the carton.", _on_the_vehicle)

FORMS = (
    Form("SHIP", "dock", (Slot("order", "Scan the order.", _order),), _ship, _no_open_shipment),
    Form(
        "PICK",
        "dock",
        (
            Slot("thing", "Scan the carton or the pallet.", _pickable),
            Slot("again", "Scan the same label again as it goes onto the vehicle.", _same_again),
        ),
        _finish_pick,
        rules.loading,
    ),
    Form("UNLOAD", "dock", (_LOADED, reason_slot()), _unload),
    Form(
        "DRIVER",
        "dock",
        (Slot("name", 'Type " and then the name of the driver.', _name),),
        _driver,
        _something_loaded,
    ),
    Form("DEPART", "dock", (), _depart),
    Form("ACCEPTLOAD", "dock", (reason_slot(),), _accept_load, _quality_here),
)
