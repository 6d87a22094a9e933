"""Quality decides: release and reject lots, hold and lift holds, with two people where the rule asks for them."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import DiscRead, LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.closed_sets import LotDecision, LotStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.lab import (
    HeldItem,
    HoldLifted,
    HoldPlaced,
    LotDecided,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, plant_code
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Lot
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.sentences.common_sentences import hold_words, misplaced
from tracelink.station.sentences.thing_names import counted


def pressed_lot(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The card of a lot that has discs."""
    code = plant_code(CodeKind.LOT, reading, "a lot card")
    lot = context.queries.lot(code)
    if lot is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Lot card {code} is not in the system.", subject=code)
    if lot.segment is None:
        raise Refused(
            FindingCode.NOT_PRESSED, f"Lot {code} is {lot.status}; it has no discs yet.", subject=code
        )
    return code


def lot_of(values: Values, context: ScanContext) -> Lot:
    """Return the lot that an act is about."""
    lot = context.queries.lot(values["lot"])
    assert lot is not None
    return lot


def _release(values: Values, context: ScanContext) -> ActResult:
    lot = lot_of(values, context)
    if lot.decision == LotDecision.REJECTED:
        raise Refused(
            FindingCode.LOT_REJECTED,
            f"Lot {lot.code} was rejected. Only two people can release it: scan CANCEL, then OVERRULE.",
            subject=lot.code,
        )
    _require_releasable(lot, context)
    judged, bad = context.queries.judged(lot.code)
    if bad:
        raise Refused(
            FindingCode.BAD_SAMPLES,
            f"{bad} of {counted(judged, 'judged sample')} of lot {lot.code} {'is' if bad == 1 else 'are'} bad. "
            "Only two people can release it: scan CANCEL, then OVERRULE.",
            subject=lot.code,
            expected="no bad sample",
            found=str(bad),
        )
    body = LotDecided(lot.code, LotDecision.RELEASED, None)
    on = f"{counted(judged, 'sample')} judged, none bad" if judged else "no disc was judged"
    return ActResult((Act(body, values["reason"]),), f"{context.person.name} released lot {lot.code}: {on}.")


def _require_releasable(lot: Lot, context: ScanContext) -> None:
    """Refuse to release what is still being made, or is on hold, however many people agree."""
    if lot.status != LotStatus.PRESSED:
        raise Refused(
            FindingCode.NOT_PRESSED,
            f"Lot {lot.code} is {lot.status}: wait until it is pressed and judged.",
            subject=lot.code,
            expected=LotStatus.PRESSED,
            found=lot.status,
        )
    notice = context.queries.hold_on(lot.code)
    if notice is not None:
        raise Refused(
            FindingCode.ON_HOLD,
            f"Lot {lot.code} is {hold_words(notice, lot.code)}. Lift the hold first.",
            subject=lot.code,
        )
    _refuse_investigated(lot.code, context)


def _refuse_investigated(lot: str, context: ScanContext) -> None:
    """A lot whose numbers, or whose labels' numbers, do not add up is not released while that is looked into."""
    found = context.queries.open_investigation(lot)
    if found is None:
        return
    about = "" if found.subject == lot else f" of {found.subject}"
    off = "not known" if found.difference is None else f"{found.difference:+d}"
    raise Refused(
        FindingCode.UNDER_INVESTIGATION,
        f"Lot {lot} is not released while investigation {found.number}{about} is open (difference "
        f"{off}: {found.reason}). Close it first: runout investigate close.",
        subject=lot,
        expected="no open investigation",
        found=str(found.number),
    )


def _overrule(values: Values, context: ScanContext) -> ActResult:
    _require_releasable(lot_of(values, context), context)
    body = LotDecided(values["lot"], LotDecision.RELEASED, values["second_person"])
    return ActResult((Act(body, values["reason"]),), f"Lot {body.lot} is released by two people.")


def _reject(values: Values, context: ScanContext) -> ActResult:
    body = LotDecided(values["lot"], LotDecision.REJECTED, None)
    return ActResult((Act(body, values["reason"]),), f"{context.person.name} rejected lot {body.lot}.")


def _anything(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = _subject(reading)
    if not context.queries.is_known(code):
        raise Refused(
            FindingCode.UNKNOWN_CODE, f"{code} is not in the system; it cannot be put on hold.", subject=code
        )
    return code


def _subject(reading: Reading) -> str:
    if isinstance(reading, PlantRead) and reading.code.kind not in (CodeKind.PERSON, CodeKind.HOLD):
        return reading.code.text
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return str(reading.sscc)
    if isinstance(reading, SleeveRead) and reading.serial is not None:
        return numbered_label(reading.gtin.gtin13, reading.serial)
    if isinstance(reading, DiscRead | SleeveRead):
        raise misplaced(reading, "a lot, tool, spindle, carton, pallet, batch or numbered sleeve")
    raise misplaced(reading, "what to hold")


def _hold(values: Values, context: ScanContext) -> ActResult:
    subject = values["subject"]
    code = context.queries.next_code("H")
    body = HoldPlaced(code, subject, (HeldItem(subject, None, None),))
    return ActResult((Act(body, values["reason"]),), f"{subject} is on hold (hold {code}).")


def _open_hold(reading: Reading, _values: Values, context: ScanContext) -> str:
    if not (isinstance(reading, PlantRead) and reading.code.kind is CodeKind.HOLD):
        return _hold_naming(_subject(reading), context)
    code = reading.code.text
    if context.queries.open_hold(code) is None:
        raise Refused(
            FindingCode.UNKNOWN_CODE, f"Hold {code} is not in the system, or has been lifted.", subject=code
        )
    return code


def _hold_naming(subject: str, context: ScanContext) -> str:
    """Return the one open hold that names a thing; which of several is lifted is for the person to say."""
    found = context.queries.holds_naming(subject)
    if not found:
        raise Refused(FindingCode.UNKNOWN_CODE, f"No open hold names {subject}.", subject=subject)
    if len(found) > 1:
        raise Refused(
            FindingCode.SEVERAL_HOLDS,
            f"{len(found)} open holds name {subject}: {', '.join(found)}. Scan the one to lift.",
            subject=subject,
            expected="one hold",
            found=", ".join(found),
        )
    return found[0]


def _lift(values: Values, _scene: ScanContext) -> ActResult:
    body = HoldLifted(values["hold"], values["second_person"])
    return ActResult((Act(body, values["reason"]),), f"Hold {body.hold} is lifted by two people.")


LOT = Slot("lot", "Scan the lot card.", pressed_lot)
_REASON = reason_slot('Type " and then the reason.')
_SECOND = second_person_slot("Scan the badge of the second person.")

FORMS = (
    Form("RELEASE", "quality", (LOT, _REASON), _release),
    Form("OVERRULE", "quality", (LOT, _REASON, _SECOND), _overrule),
    Form("REJECT", "quality", (LOT, _REASON), _reject),
    Form("HOLD", "quality", (Slot("subject", "Scan what to hold.", _anything), _REASON), _hold),
    Form(
        "LIFT",
        "quality",
        (Slot("hold", "Scan the hold, or what is on hold.", _open_hold), _REASON, _SECOND),
        _lift,
    ),
)
"""RELEASE, OVERRULE, REJECT, HOLD and LIFT."""
