"""Where pallets and cartons stand: put away, move, find."""

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.kinds.warehouse import PutAway
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import nested
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.dock import rules
from tracelink.station.sentences import dock_sentences
from tracelink.station.sentences import place_sentences as say
from tracelink.station.sentences.thing_names import Thing


def _standable(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    if rules.is_pallet(code, context):
        status = rules.known_pallet(code, context).status
        if status == PalletStatus.OPEN:
            raise say.pallet_open(code)
        rules.require_free(code, Thing.PALLET, context)
        return code
    status = rules.known_carton(code, context).status
    if status in (CartonStatus.OPEN, CartonStatus.DESTROYED):
        raise say.cannot_put_away(code, status)
    rules.require_free(code, Thing.CARTON, context)
    return code


def _homeless(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _standable(reading, values, context)
    standing = context.queries.standing(code)
    if standing is not None:
        raise say.in_place_already(rules.thing_of(code, context), code, standing)
    return code


def _housed(reading: Reading, values: Values, context: ScanContext) -> str:
    code = _standable(reading, values, context)
    if context.queries.standing(code) is None:
        raise say.in_no_place(rules.thing_of(code, context), code)
    return code


def _elsewhere(reading: Reading, values: Values, context: ScanContext) -> str:
    place = rules.a_location(reading, values, context)
    standing = context.queries.standing(values["thing"])
    if standing is not None and standing.parent == place:
        raise say.there_already(rules.thing_of(values["thing"], context), values["thing"], standing)
    return place


def _put(values: Values, context: ScanContext) -> ActResult:
    code, place = values["thing"], values["location"]
    standing = context.queries.standing(code)
    left = None if standing is None else nested(code, standing)
    sentence = say.put_away(rules.thing_of(code, context), code, place, context.queries.location(place))
    return ActResult((Act(PutAway(code, place, left)),), sentence)


def look(code: str, context: ScanContext) -> ActResult:
    """Say where a pallet or a carton is and its state."""
    standing = context.queries.standing(code)
    kept = context.queries.allocated_to(code)
    if rules.is_pallet(code, context):
        held = context.queries.hold_on_pallet(code)
        pallet = rules.known_pallet(code, context)
        came_back = pallet.status == PalletStatus.SHIPPED and standing is None
        what = say.about_pallet(pallet, came_back=came_back)
    else:
        carton = rules.known_carton(code, context)
        held = context.queries.hold_on_carton(code)
        what = say.about_carton(carton, rules.titles([carton.gtin], context))
    loading = _not_loaded(code, standing, context)
    return ActResult((), say.found(what, standing, kept, held, loading))


def standing_in(location: str, context: ScanContext) -> ActResult:
    """Say what stands in a location."""
    name = context.queries.location(location)
    assert name is not None
    things = [(rules.thing_of(code, context), code) for code in context.queries.things_in(location)]
    return ActResult((), say.stands_there(location, name, things))


def _not_loaded(code: str, standing: Nesting | None, context: ScanContext) -> str | None:
    """The shipment loaded here, if a loose carton is looked at: who looks may believe that this loads it."""
    loading = context.queries.open_shipment(context.station)
    inside = standing is not None and standing.what in ("pallet", "shipment")
    carton = context.queries.carton(code)
    if loading is None or inside or carton is None or carton.status != CartonStatus.CLOSED:
        return None
    return loading[0]


FORMS = (
    Form(
        "PUT",
        "dock",
        (
            Slot("thing", dock_sentences.SCAN_PALLET_OR_CARTON, _homeless),
            Slot("location", say.SCAN_THE_LOCATION, rules.a_location),
        ),
        _put,
    ),
    Form(
        "MOVE",
        "dock",
        (
            Slot("thing", dock_sentences.SCAN_PALLET_OR_CARTON, _housed),
            Slot("location", say.SCAN_THE_NEW_LOCATION, _elsewhere),
        ),
        _put,
    ),
)
