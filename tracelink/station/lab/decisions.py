"""Quality decides: release and reject lots, hold and lift holds, with two people where the rule asks for them."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import DiscRead, LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.closed_sets import LotDecision, LotStatus, ReasonAct
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.lab import (
    HeldItem,
    HoldLifted,
    HoldPlaced,
    LotDecided,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.common.station_facts import Lot
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences import common_sentences
from tracelink.station.sentences import decision_sentences as say
from tracelink.station.sentences.bench.judging_sentences import outside_not_judged
from tracelink.station.sentences.common_sentences import (
    A_LOT_CARD,
    SCAN_THE_LOT_CARD,
    misplaced,
    unknown,
)
from tracelink.station.sentences.counting_sentences import not_pressed
from tracelink.station.sentences.thing_names import Thing


def pressed_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The card of a lot that has discs."""
    code = plant_code(CodeKind.LOT, reading, A_LOT_CARD)
    lot = context.queries.lot(code)
    if lot is None:
        raise unknown(Thing.LOT_CARD, code)
    if lot.segment is None:
        raise not_pressed(lot)
    return code


def lot_of(values: Values, context: ScanContext) -> Lot:
    """Return the lot that an act is about."""
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    return lot


def _release(values: Values, context: ScanContext) -> ActResult:
    lot = lot_of(values, context)
    if lot.decision == LotDecision.REJECTED:
        raise say.rejected_before(lot.code)
    _require_releasable(lot, context)
    open_values = context.queries.unjudged_outside(lot.code)
    if open_values:
        raise outside_not_judged(open_values, lot.code)
    judged, bad = context.queries.judged(lot.code)
    if bad:
        raise say.bad_samples(bad, judged, lot.code)
    body = LotDecided(lot.code, LotDecision.RELEASED, None)
    again = lot.decision == LotDecision.RELEASED
    sentence = say.released(context.person.name, lot.code, judged, again=again)
    return ActResult((Act(body, values["reason"]),), sentence)


def _require_releasable(lot: Lot, context: ScanContext) -> None:
    """Refuse to release what is still being made, or is on hold, however many people agree."""
    if lot.status != LotStatus.PRESSED:
        raise say.wait_until_pressed(lot.code, lot.status)
    refuse_held(context.queries.hold_on(lot.code), Thing.LOT, lot.code, common_sentences.LIFT_THE_HOLD_FIRST)
    _refuse_investigated(lot.code, context)


def _refuse_investigated(lot: str, context: ScanContext) -> None:
    """A lot whose numbers, or whose labels' numbers, do not add up is not released while that is looked into."""
    found = context.queries.open_investigation(lot)
    if found is not None:
        raise say.under_investigation(lot, found)


def _overrule(values: Values, context: ScanContext) -> ActResult:
    _require_releasable(lot_of(values, context), context)
    body = LotDecided(values["lot"], LotDecision.RELEASED, values["second_person"])
    return ActResult((Act(body, values["reason"]),), say.released_by_two(body.lot))


def _reject(values: Values, context: ScanContext) -> ActResult:
    lot, reason, hold = values["lot"], values["reason"], context.queries.next_code("H")
    # The decision alone stops lines and docks; the hold stops every other use, and is seen wherever holds are.
    acts = (
        Act(HoldPlaced(hold, lot, (HeldItem(lot, None, None),)), reason),
        Act(LotDecided(lot, LotDecision.REJECTED, None), reason),
    )
    return ActResult(acts, say.rejected(context.person.name, lot, hold))


def _anything(reading: Reading, _values: Values, context: ScanContext) -> str:
    return thing_to_hold(reading, context.queries)


def thing_to_hold(reading: Reading, queries: StationQueries) -> str:
    """Return the code of a thing that may be put on hold.

    Raises:
        Refused: it is nothing that can be held, or unknown.
    """
    code = _subject(reading)
    if not queries.is_known(code):
        raise say.cannot_hold(code)
    return code


def _subject(reading: Reading) -> str:
    if isinstance(reading, PlantRead) and reading.code.kind not in (CodeKind.PERSON, CodeKind.HOLD):
        return reading.code.text
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return str(reading.sscc)
    if isinstance(reading, SleeveRead) and reading.serial is not None:
        return numbered_label(reading.gtin.gtin13, reading.serial)
    if isinstance(reading, DiscRead | SleeveRead):
        raise misplaced(reading, say.WHAT_CAN_BE_HELD)
    raise misplaced(reading, say.WHAT_TO_HOLD)


def _hold(values: Values, context: ScanContext) -> ActResult:
    subject = values["subject"]
    code = context.queries.next_code("H")
    body = HoldPlaced(code, subject, (HeldItem(subject, None, None),))
    return ActResult((Act(body, values["reason"]),), say.on_hold_now(subject, code))


def _open_hold(reading: Reading, _values: Values, context: ScanContext) -> str:
    return hold_to_lift(reading, context.queries)


def hold_to_lift(reading: Reading, queries: StationQueries) -> str:
    """Return the open hold that is meant by its own code or by a thing that it names.

    Raises:
        Refused: there is none, or several name the thing.
    """
    if not (isinstance(reading, PlantRead) and reading.code.kind is CodeKind.HOLD):
        return _hold_naming(_subject(reading), queries)
    code = reading.code.text
    if queries.open_hold(code) is None:
        raise say.hold_unknown(code)
    return code


def _hold_naming(subject: str, queries: StationQueries) -> str:
    """Return the one open hold that names a thing; which of several is lifted is for the person to say."""
    found = queries.holds_naming(subject)
    if not found:
        raise say.nothing_holds(subject)
    if len(found) > 1:
        raise say.several_holds(found, subject)
    return found[0]


def _lift(values: Values, _scene: ScanContext) -> ActResult:
    body = HoldLifted(values["hold"], values["second_person"])
    return ActResult((Act(body, values["reason"]),), say.lifted_by_two(body.hold))


LOT = Slot("lot", SCAN_THE_LOT_CARD, pressed_lot)
_SECOND = second_person_slot(say.BADGE_OF_SECOND)

FORMS = (
    Form("RELEASE", "quality", (LOT, reason_slot(ReasonAct.LAB_RELEASE)), _release),
    Form("OVERRULE", "quality", (LOT, reason_slot(ReasonAct.LAB_OVERRULE), _SECOND), _overrule),
    Form("REJECT", "quality", (LOT, reason_slot(ReasonAct.LAB_REJECT)), _reject),
    Form(
        "HOLD",
        "quality",
        (Slot("subject", say.SCAN_WHAT_TO_HOLD, _anything), reason_slot(ReasonAct.LAB_HOLD)),
        _hold,
    ),
    Form(
        "LIFT",
        "quality",
        (Slot("hold", say.SCAN_THE_HOLD, _open_hold), reason_slot(ReasonAct.LAB_LIFT), _SECOND),
        _lift,
    ),
)
"""RELEASE, OVERRULE, REJECT, HOLD and LIFT."""
