"""The dock: build a pallet, accept it when every lot on it is released, load it, depart."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading
from tracelink.ledger.kinds.dock import (
    CartonPalletised,
    PalletAccepted,
    PalletClosed,
    PalletLoaded,
    PalletOpened,
    ShipmentDeparted,
    ShipmentOpened,
)
from tracelink.station.facts import HoldNotice, Order, Pallet
from tracelink.station.forms import Bench, Done, Form, Scene, Slot, Values, misplaced, plant_code, sscc
from tracelink.station.lineopen import refuse_void
from tracelink.station.outcome import Act, Refused, counted


def _issued(code: str, what: str, scene: Scene) -> None:
    """Refuse a label that was never issued here, or was issued for something else."""
    issued = scene.world.sscc_issued_for(code)
    if issued is None:
        raise Refused("unknown-code", f"SSCC {code} was never issued here.", subject=code)
    if issued != what:
        raise Refused(
            "wrong-thing",
            f"SSCC {code} is a {issued} label; a {what} label belongs here.",
            subject=code,
            expected=what,
            found=issued,
        )


def _refuse_held(notice: HoldNotice | None, name: str, code: str) -> None:
    if notice is None:
        return
    because = "" if notice.subject == code else f" ({notice.subject})"
    raise Refused(
        "on-hold",
        f"{name} {code} is on hold {notice.hold}{because}: {notice.reason}. Put it aside.",
        subject=code,
    )


def _new_pallet(reading: Reading, _values: Values, scene: Scene) -> str:
    code = sscc(reading, "a new pallet label")
    _issued(code, "pallet", scene)
    refuse_void(code, f"Pallet label {code}", scene)
    if scene.world.pallet(code) is not None:
        raise Refused("label-in-use", f"Pallet label {code} is in use already.", subject=code)
    return code


def _no_open_pallet(scene: Scene) -> None:
    open_pallet = scene.world.open_pallet(scene.station)
    if open_pallet is not None:
        raise Refused(
            "pallet-open", f"Pallet {open_pallet} is still open here. Scan CLOSE first.", subject=open_pallet
        )


def _open(values: Values, _scene: Scene) -> Done:
    return Done(
        (Act(PalletOpened(values["pallet"])),), f"Pallet {values['pallet']} is open. Scan its cartons."
    )


def _close(_values: Values, scene: Scene) -> Done:
    code = scene.world.open_pallet(scene.station)
    pallet = scene.world.pallet(code) if code else None
    if pallet is None:
        raise Refused("no-pallet", "No pallet is open here. Scan PALLET first.", subject=scene.station)
    if pallet.cartons == 0:
        raise Refused(
            "pallet-empty", f"Pallet {pallet.sscc} is empty; scan its cartons first.", subject=pallet.sscc
        )
    body = PalletClosed(pallet.sscc, pallet.cartons)
    return Done((Act(body),), f"Pallet {pallet.sscc} is closed with {counted(pallet.cartons, 'carton')}.")


def _known_pallet(code: str, scene: Scene) -> Pallet:
    pallet = scene.world.pallet(code)
    if pallet is None:
        _issued(code, "pallet", scene)
        raise Refused("unknown-code", f"Pallet {code} has not been built.", subject=code)
    return pallet


def _closed_pallet(reading: Reading, _values: Values, scene: Scene) -> str:
    pallet = _known_pallet(sscc(reading, "a pallet label"), scene)
    if pallet.status != "closed":
        raise Refused(
            "pallet-not-closed",
            f"Pallet {pallet.sscc} is {pallet.status}; a closed pallet can be accepted.",
            subject=pallet.sscc,
            expected="closed",
            found=pallet.status,
        )
    return pallet.sscc


def _accept(values: Values, scene: Scene) -> Done:
    code = values["pallet"]
    _refuse_held(scene.world.hold_on_pallet(code), "Pallet", code)
    lots = _released_lots(code, scene)
    return Done((Act(PalletAccepted(code, lots)),), f"Pallet {code} is accepted.")


def _released_lots(code: str, scene: Scene) -> tuple[str, ...]:
    """Return the lots with discs on a pallet, or refuse: not all of them are released."""
    lots = scene.world.pallet_lots(code)
    waiting = [lot for lot in lots if lot.decision != "released"]
    if waiting:
        listed = ", ".join(f"{lot.code} ({lot.decision})" for lot in waiting)
        raise Refused(
            "lot-not-released",
            f"Pallet {code} holds discs of lots that are not released: {listed}. Leave it where it is.",
            subject=code,
            expected="every lot released",
            found=listed,
        )
    return tuple(lot.code for lot in lots)


def _order(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.ORDER, reading, "an order")
    if scene.world.order(code) is None:
        raise Refused("unknown-code", f"Order {code} is not known to the ledger.", subject=code)
    return code


def _no_open_shipment(scene: Scene) -> None:
    loading = scene.world.open_shipment(scene.station)
    if loading is not None:
        raise Refused(
            "shipment-open",
            f"Shipment {loading[0]} is still being loaded here. Scan DEPART first.",
            subject=loading[0],
        )


def _ship(values: Values, scene: Scene) -> Done:
    order = scene.world.order(values["order"])
    assert order is not None
    code = scene.world.next_code("D")
    sentence = f"Shipment {code} for {order.consignee} is open. Scan its pallets."
    return Done((Act(ShipmentOpened(code, order.code)),), sentence)


def _loading(scene: Scene) -> tuple[str, Order]:
    found = scene.world.open_shipment(scene.station)
    if found is None:
        raise Refused(
            "no-shipment", "No shipment is being loaded here. Scan SHIP first.", subject=scene.station
        )
    order = scene.world.order(found[1])
    assert order is not None
    return found[0], order


def _depart(_values: Values, scene: Scene) -> Done:
    code, order = _loading(scene)
    pallets = tuple(scene.world.pallets_in(code))
    if not pallets:
        raise Refused("shipment-empty", f"Shipment {code} is empty; scan its pallets first.", subject=code)
    # A hold placed, or a lot rejected, between loading and departure still stops the vehicle.
    for pallet in pallets:
        _refuse_held(scene.world.hold_on_pallet(pallet), "Pallet", pallet)
        _released_lots(pallet, scene)
    body = ShipmentDeparted(code, pallets)
    return Done(
        (Act(body),), f"Shipment {code} left for {order.consignee} with {counted(len(pallets), 'pallet')}."
    )


def _add_carton(code: str, scene: Scene) -> Done:
    pallet_code = scene.world.open_pallet(scene.station)
    if pallet_code is None:
        raise Refused("no-pallet", "No pallet is open here. Scan PALLET first.", subject=code)
    carton = scene.world.carton(code)
    if carton is None:
        raise Refused("unknown-code", f"Carton {code} has not been packed.", subject=code)
    if carton.status != "closed":
        raise Refused("carton-open", f"Carton {code} is still open at its line.", subject=code)
    if carton.units == 0:
        raise Refused("carton-empty", f"Carton {code} was closed empty; it goes on no pallet.", subject=code)
    if carton.pallet is not None:
        raise Refused(
            "has-a-parent",
            f"Carton {code} is on pallet {carton.pallet} by the records. Look where it is before you go on.",
            subject=code,
            found=carton.pallet,
        )
    _refuse_held(scene.world.hold_on_carton(code), "Carton", code)
    pallet = _known_pallet(pallet_code, scene)
    count = f"{counted(pallet.cartons + 1, 'carton')} on pallet"
    return Done(
        (Act(CartonPalletised(code, pallet_code)),), f"Carton {code} is on pallet {pallet_code}.", count
    )


def _load(code: str, scene: Scene) -> Done:
    shipment, order = _loading(scene)
    pallet = _known_pallet(code, scene)
    if pallet.shipment is not None:
        raise Refused(
            "has-a-parent", f"Pallet {code} is in shipment {pallet.shipment} already.", subject=code
        )
    _refuse_held(scene.world.hold_on_pallet(code), "Pallet", code)
    if pallet.status != "accepted":
        raise Refused(
            "pallet-not-accepted",
            f"Pallet {code} is {pallet.status}; only an accepted pallet is shipped.",
            subject=code,
            expected="accepted",
            found=pallet.status,
        )
    _released_lots(code, scene)
    wrong = [gtin for gtin in scene.world.pallet_gtins(code) if gtin != order.gtin]
    if wrong:
        raise Refused(
            "wrong-title",
            f"Pallet {code} holds {_titles(wrong, scene)}; order {order.code} is for {_titles([order.gtin], scene)}.",
            subject=code,
            expected=order.gtin,
            found=", ".join(wrong),
        )
    return Done((Act(PalletLoaded(code, shipment)),), f"Pallet {code} is loaded for {order.consignee}.")


def _titles(gtins: list[str], scene: Scene) -> str:
    products = [scene.world.product(gtin) for gtin in gtins]
    return ", ".join(f'"{product.title}"' for product in products if product is not None)


def _default(reading: Reading, scene: Scene) -> Done:
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        code = str(reading.sscc)
        if scene.world.sscc_issued_for(code) == "pallet":
            return _load(code, scene)
        return _add_carton(code, scene)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SHIPMENT:
        return _look(reading.code.text, scene)
    raise misplaced(reading, "an act card, a carton label or a pallet label")


def _look(shipment: str, scene: Scene) -> Done:
    if not scene.world.is_known(shipment):
        raise Refused("unknown-code", f"Shipment {shipment} is not known to the ledger.", subject=shipment)
    pallets = scene.world.pallets_in(shipment)
    return Done((), f"Shipment {shipment} holds {counted(len(pallets), 'pallet')}.")


FORMS = (
    Form(
        "PALLET",
        "dock",
        (Slot("pallet", "Scan a new pallet label.", _new_pallet),),
        _open,
        _no_open_pallet,
    ),
    Form("CLOSE", "dock", (), _close),
    Form("ACCEPT", "dock", (Slot("pallet", "Scan the pallet.", _closed_pallet),), _accept),
    Form("SHIP", "dock", (Slot("order", "Scan the order.", _order),), _ship, _no_open_shipment),
    Form("DEPART", "dock", (), _depart),
)

BENCH = Bench({form.word: form for form in FORMS}, _default)
