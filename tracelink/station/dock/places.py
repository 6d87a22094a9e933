"""Where pallets and cartons stand: put away, move, find."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.warehouse import PutAway
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.dock import rules
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import counted

_THING = "Scan the pallet or the carton."


def _standable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    if rules.is_pallet(code, context):
        status = rules.known_pallet(code, context).status
        if status == PalletStatus.OPEN:
            raise Refused(
                FindingCode.PALLET_OPEN,
                f"Pallet {code} is still open. Close it first.",
                subject=code,
            )
        rules.require_free(code, "Pallet", context)
        return code
    status = rules.known_carton(code, context).status
    if status in (CartonStatus.OPEN, CartonStatus.DESTROYED):
        raise Refused(
            FindingCode.CARTON_OPEN if status == CartonStatus.OPEN else FindingCode.CARTON_DESTROYED,
            f"Carton {code} is {status}. It cannot be put away.",
            subject=code,
            found=status,
        )
    rules.require_free(code, "Carton", context)
    return code


def _homeless(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _standable(reading, values, context)
    standing = context.queries.standing(code)
    if standing is not None:
        raise Refused(
            FindingCode.PUT_AWAY_ALREADY,
            f"The system shows {code} {where(standing)}. Scan MOVE to take it elsewhere.",
            subject=code,
            found=standing.parent,
        )
    return code


def _housed(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _standable(reading, values, context)
    if context.queries.standing(code) is None:
        raise Refused(
            FindingCode.NOT_PUT_AWAY,
            f"The system shows {code} in no location. Scan PUT instead.",
            subject=code,
        )
    return code


def _elsewhere(reading: Reading, values: Values, context: ScanContext) -> str:
    place = rules.a_location(reading, values, context)
    standing = context.queries.standing(values["thing"])
    if standing is not None and standing.parent == place:
        raise Refused(
            FindingCode.THERE_ALREADY, f"{values['thing']} is {where(standing)} already.", subject=place
        )
    return place


def _put(values: Values, context: ScanContext) -> ActResult:
    code, place = values["thing"], values["location"]
    standing = context.queries.standing(code)
    left = None if standing is None else nested(code, standing)
    sentence = f"{_noun(code, context)} {code} is in location {place} ({context.queries.location(place)})."
    return ActResult((Act(PutAway(code, place, left)),), sentence)


def _noun(code: str, context: ScanContext) -> str:
    return "Pallet" if rules.is_pallet(code, context) else "Carton"


def look(code: str, context: ScanContext) -> ActResult:
    """Say where a pallet or a carton is and its state."""
    standing = context.queries.standing(code)
    kept = context.queries.allocated_to(code)
    rest = f", kept for order {kept}" if kept else ""
    if rules.is_pallet(code, context):
        pallet = rules.known_pallet(code, context)
        held = context.queries.hold_on_pallet(code)
        what = f"Pallet {code} is {pallet.status}, {counted(pallet.cartons, 'carton')}"
    else:
        carton = rules.known_carton(code, context)
        held = context.queries.hold_on_carton(code)
        what = f"Carton {code} is {carton.status}, {carton.units} of {rules.titles([carton.gtin], context)}"
    hold = f" On hold {held.hold}: {held.reason}." if held else ""
    return ActResult((), f"{what}, {where(standing)}{rest}.{hold}{_not_loaded(code, standing, context)}")


def _not_loaded(code: str, standing: Nesting | None, context: ScanContext) -> str:
    """A look at a loose carton loads it not: say so to whoever may believe it, while a vehicle is loaded here."""
    loading = context.queries.open_shipment(context.station)
    inside = standing is not None and standing.what in ("pallet", "shipment")
    carton = context.queries.carton(code)
    if loading is None or inside or carton is None or carton.status != CartonStatus.CLOSED:
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
