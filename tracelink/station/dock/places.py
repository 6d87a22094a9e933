"""Where pallets and cartons stand: put away, move, find."""

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.warehouse import PutAway
from tracelink.station.common.forms import Done, Form, Scene, Slot, Values
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.queries_dock import Standing
from tracelink.station.dock import rules

_THING = "Scan the pallet or the carton."


def _standable(reading: Reading, values: Values, scene: Scene) -> str:
    code = rules.a_thing(reading, values, scene)
    if rules.is_pallet(code, scene):
        status = rules.known_pallet(code, scene).status
        if status == "open":
            raise Refused(
                "pallet-open", f"Pallet {code} is still open. Close it before it is put away.", subject=code
            )
        rules.require_free(code, "Pallet", scene)
        return code
    status = rules.known_carton(code, scene).status
    if status in ("open", "destroyed"):
        raise Refused(
            "carton-open" if status == "open" else "carton-destroyed",
            f"Carton {code} is {status}; it is not put away.",
            subject=code,
            found=status,
        )
    rules.require_free(code, "Carton", scene)
    return code


def _homeless(reading: Reading, values: Values, scene: Scene) -> str:
    code = _standable(reading, values, scene)
    standing = scene.world.standing(code)
    if standing is not None:
        raise Refused(
            "put-away-already",
            f"{code} is {rules.where(standing)} by the records. Scan MOVE to take it elsewhere.",
            subject=code,
            found=standing.parent,
        )
    return code


def _housed(reading: Reading, values: Values, scene: Scene) -> str:
    code = _standable(reading, values, scene)
    if scene.world.standing(code) is None:
        raise Refused(
            "not-put-away", f"{code} is in no location by the records. Scan PUT instead.", subject=code
        )
    return code


def _elsewhere(reading: Reading, values: Values, scene: Scene) -> str:
    place = rules.a_location(reading, values, scene)
    standing = scene.world.standing(values["thing"])
    if standing is not None and standing.parent == place:
        raise Refused(
            "there-already", f"{values['thing']} is {rules.where(standing)} already.", subject=place
        )
    return place


def _put(values: Values, scene: Scene) -> Done:
    code, place = values["thing"], values["location"]
    standing = scene.world.standing(code)
    left = None if standing is None else rules.nested(code, standing)
    sentence = f"{_noun(code, scene)} {code} is in location {place} ({scene.world.location(place)})."
    return Done((Act(PutAway(code, place, left)),), sentence)


def _noun(code: str, scene: Scene) -> str:
    return "Pallet" if rules.is_pallet(code, scene) else "Carton"


def look(code: str, scene: Scene) -> Done:
    """Say where a pallet or a carton is and its state."""
    standing = scene.world.standing(code)
    kept = scene.world.allocated_to(code)
    rest = f", kept for order {kept}" if kept else ""
    if rules.is_pallet(code, scene):
        pallet = rules.known_pallet(code, scene)
        held = scene.world.hold_on_pallet(code)
        what = f"Pallet {code} is {pallet.status}, {counted(pallet.cartons, 'carton')}"
    else:
        carton = rules.known_carton(code, scene)
        held = scene.world.hold_on_carton(code)
        what = f"Carton {code} is {carton.status}, {carton.units} of {rules.titles([carton.gtin], scene)}"
    hold = f" On hold {held.hold}: {held.reason}." if held else ""
    return Done((), f"{what}, {rules.where(standing)}{rest}.{hold}{_not_loaded(code, standing, scene)}")


def _not_loaded(code: str, standing: Standing | None, scene: Scene) -> str:
    """A look at a loose carton loads it not: say so to whoever may believe it, while a vehicle is loaded here."""
    loading = scene.world.open_shipment(scene.station)
    inside = standing is not None and standing.what in ("pallet", "shipment")
    carton = scene.world.carton(code)
    if loading is None or inside or carton is None or carton.status != "closed":
        return ""
    return f" It is not loaded: scan PICK to load it into shipment {loading[0]}."


FORMS = (
    Form(
        "PUT",
        "dock",
        (Slot("thing", _THING, _homeless), Slot("location", "Scan the location.", rules.a_location)),
        _put,
    ),
    Form(
        "MOVE",
        "dock",
        (Slot("thing", _THING, _housed), Slot("location", "Scan the new location.", _elsewhere)),
        _put,
    ),
)
