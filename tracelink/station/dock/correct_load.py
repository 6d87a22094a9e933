"""CORRECTLOAD: what a shipment that has left carried is put right by two people.

Which way round is not for the person to say: what the records have in the shipment stayed here, and what they have
here went with it. What went is booked whatever bars it, because it is gone; what bars it is told at once.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import LotDecision, PalletStatus, ReasonAct
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.dock import LoadCorrected
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import nested, shipment_of
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_dock import Departure
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.station_facts import Order
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.dock import rules
from tracelink.station.sentences import dock_sentences
from tracelink.station.sentences import loading_sentences as say
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def _departed(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SHIPMENT, reading, say.A_SHIPMENT)
    if context.queries.shipment_status(code) is None:
        raise unknown(Thing.SHIPMENT, code)
    if context.queries.departure(code) is None:
        raise say.not_left_yet(code)
    return code


def _departure(values: Values, context: ScanContext) -> Departure:
    found = context.queries.departure(values["shipment"])
    assert found is not None
    return found


def _wrong_thing(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    if _was_in(values["shipment"], code, context):
        return code
    thing = rules.thing_of(code, context)
    if thing is Thing.CARTON:
        rules.sealed_carton(code, context)
    elif rules.known_pallet(code, context).status == PalletStatus.OPEN:
        raise say.cannot_have_gone(code)
    rules.require_free(code, thing, context)
    # A pallet that was built after the departure was never moved itself: its cartons were.
    moved = max(context.queries.last_moved(each) for each in (code, *_cartons(code, context)))
    if moved > _departure(values, context).seq:
        raise say.moved_since(thing, code, values["shipment"], moved)
    return code


def _was_in(shipment: str, code: str, context: ScanContext) -> bool:
    """Say whether the records have a thing in a shipment, a carton perhaps on a pallet of it."""
    outer = shipment_of(code, context)
    return outer is not None and outer.parent == shipment


def _which_way(values: Values, context: ScanContext) -> str:
    code, shipment = values["thing"], values["shipment"]
    return say.will_be_corrected(
        rules.thing_of(code, context), code, shipment, stayed=_was_in(shipment, code, context)
    )


def _cartons(code: str, context: ScanContext) -> Sequence[str]:
    """Return the cartons on a pallet, or a carton alone."""
    return context.queries.loose_cartons_in(code) if rules.is_pallet(code, context) else (code,)


def _units(code: str, context: ScanContext) -> Counter[str]:
    """Return the units of each product on a pallet or in a carton."""
    units: Counter[str] = Counter()
    for carton in _cartons(code, context):
        found = rules.known_carton(carton, context)
        units[found.gtin] += found.units
    return units


def _balance(order: Order, units: Counter[str], sign: int, context: ScanContext) -> list[say.LineLoad]:
    """Return each line of an order with what has left for it, as it is after the correction."""
    return [
        say.LineLoad(
            ordered=context.queries.ordered(order.code, gtin),
            loaded=context.queries.units_sent(order.code, gtin) + sign * units[gtin],
            title=rules.titles([gtin], context) if len(order.gtins) > 1 else None,
        )
        for gtin in order.gtins
    ]


def _correct(values: Values, context: ScanContext) -> ActResult:
    code, shipment, departure = values["thing"], values["shipment"], _departure(values, context)
    order = context.queries.order(departure.order)
    assert order is not None
    thing, stayed = rules.thing_of(code, context), _was_in(shipment, code, context)
    standing = context.queries.standing(code)
    body = LoadCorrected(
        shipment=shipment,
        departed=departure.seq,
        thing=code,
        what=thing.value.lower(),
        went=not stayed,
        left=None if standing is None else nested(code, standing),
        second_person=values["second_person"],
    )
    units = _units(code, context)
    lines = _balance(order, units, -1 if stayed else 1, context)
    sentence = say.corrected(thing, code, shipment, order.consignee, stayed=stayed)
    sentence += say.order_has(order.code, lines)
    barred, finding = ("", None) if stayed else _barred(code, units, order, context)
    acts = () if stayed else rules.releasing(code, context)
    return ActResult((*acts, Act(body, values["reason"])), sentence + barred, finding=finding)


def _barred(
    code: str, units: Counter[str], order: Order, context: ScanContext
) -> tuple[str, FindingCode | None]:
    """Return what must be told of a thing that is gone: it was on hold, not released, or not ordered."""
    is_pallet = rules.is_pallet(code, context)
    held = context.queries.hold_on_pallet(code) if is_pallet else context.queries.hold_on_carton(code)
    if held is not None:
        return say.gone_on_hold(code, held), FindingCode.ON_HOLD
    lots = context.queries.pallet_lots(code) if is_pallet else context.queries.carton_lots(code)
    waiting = [lot for lot in lots if lot.decision != LotDecision.RELEASED]
    if waiting:
        return say.gone_unreleased(waiting), FindingCode.LOT_NOT_RELEASED
    others = [gtin for gtin in units if gtin not in order.gtins]
    if others:
        return say.gone_unordered(rules.titles(others, context)), FindingCode.WRONG_TITLE
    return "", None


FORM = Form(
    "CORRECTLOAD",
    "dock",
    (
        Slot("shipment", say.SCAN_THE_SHIPMENT, _departed),
        Slot("thing", dock_sentences.SCAN_PALLET_OR_CARTON, _wrong_thing),
        replace(reason_slot(ReasonAct.DOCK_CORRECTLOAD), told_before=_which_way),
        second_person_slot(say.BADGE_OF_QUALITY),
    ),
    _correct,
)
"""CORRECTLOAD."""
