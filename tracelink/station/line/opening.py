"""What a packing line opens and closes: clearance, sleeve batch, spindle, carton."""

from tracelink.ledger.closed_sets import LotDecision
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, LineCleared, SleevesOpened, SpindleOpened
from tracelink.ledger.times import instant
from tracelink.station.common.authority import WITNESSES, Roles, require_second
from tracelink.station.common.forms import ActResult, ScanContext, Slot
from tracelink.station.common.outcome import Act, Decision, Refused, Spooled, Verdict, Word, counted
from tracelink.station.common.queries import Person, Spindle
from tracelink.station.common.refusals import hold_words, refuse_held, refuse_void
from tracelink.station.common.slots import second_person_slot
from tracelink.station.line.state import LineState


def clear(state: LineState, context: ScanContext) -> Decision:
    """Begin a line clearance; a second person's badge completes it."""
    if state.carton is not None:
        raise Refused(
            FindingCode.CARTON_OPEN,
            f"Carton {state.carton} is still open. Scan CLOSE first.",
            subject=state.carton,
        )
    # Without an open carton there is no disc in hand either: CLOSE asks for that.
    areas = ", ".join(context.queries.clearance_areas())
    sentence = f"Check these are empty: {areas}. Then a second person checks and scans a badge."
    return Decision(Verdict(Word.NEXT, sentence), (), Spooled({"clearing": context.person.code}))


def second_badge(state: LineState, person: Person, context: ScanContext) -> Decision:
    """Complete a line clearance: two people looked, and they are not the same."""
    assert state.clearing is not None
    require_second(person, state.clearing, WITNESSES)
    sentence = f"Line is cleared by {context.person.name} and {person.name}. Scan the sleeve batch."
    return Decision(Verdict(Word.DONE, sentence), (Act(LineCleared(person.code)),))


def _require_cleared(state: LineState, what: str) -> None:
    if not state.cleared:
        raise Refused(
            FindingCode.NOT_CLEARED,
            "The line is not cleared. Scan CLEAR, then a second person's badge.",
            subject=what,
            expected="a cleared line",
        )


def sleeves(state: LineState, code: str, context: ScanContext) -> Decision:
    """Open a sleeve batch; another product needs a clearance first."""
    _require_cleared(state, code)
    batch = context.queries.sleeve_batch(code)
    if batch is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Sleeve batch {code} is not in the system.", subject=code)
    if batch.superseded:
        raise Refused(
            FindingCode.SUPERSEDED_SLEEVE,
            f"Sleeve batch {code} is an older print. Put it aside and fetch the new one.",
            subject=code,
        )
    refuse_held(context.queries.hold_on(code), f"Sleeve batch {code}", code)
    product = batch.product
    if product.numbered and not batch.has_numbers:
        raise Refused(
            FindingCode.NO_NUMBERS,
            f'"{product.title}" is numbered, but sleeve batch {code} came in without its numbers. Tell quality.',
            subject=code,
            expected="a number range",
        )
    if state.job is not None and state.job.gtin != product.gtin:
        raise Refused(
            FindingCode.NOT_CLEARED,
            f'Sleeve batch {code} is for "{product.title}", another product. Clear the line first: scan CLEAR.',
            subject=code,
            expected=state.job.gtin,
            found=product.gtin,
        )
    if state.next_piece != 1:
        raise Refused(
            FindingCode.DISC_IN_HAND,
            "Finish the set in hand, or scan STOP to take it apart, before opening other sleeves.",
            subject=code,
        )
    body = SleevesOpened(code, product.gtin, product.numbered, product.discs, product.carton_size)
    sentence = (
        f'Sleeves of "{product.title}" are open. Scan the spindle card{"s" if product.discs > 1 else ""}.'
    )
    return Decision(Verdict(Word.DONE, sentence), (Act(body),))


def spindle(state: LineState, code: str, context: ScanContext) -> Decision:
    """Open a spindle for the product that is packed."""
    _require_cleared(state, code)
    if state.job is None:
        raise Refused(
            FindingCode.NOT_READY, "No sleeve batch is open. Scan the sleeve batch first.", subject=code
        )
    found = context.queries.spindle(code)
    if found is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Spindle card {code} is not in the system.", subject=code)
    if found.part.gtin != state.job.gtin:
        ours = context.queries.product(state.job.gtin)
        assert ours is not None
        raise Refused(
            FindingCode.WRONG_SPINDLE,
            f'Spindle {code} holds {found.part.name}; this line packs "{ours.title}". Take it away and scan STOP '
            "or the right spindle.",
            subject=code,
            expected=state.job.gtin,
            found=found.part.gtin,
        )
    _usable(found, context)
    body = SpindleOpened(code, found.lot, found.part.piece)
    sentence = f"Spindle {code}: {found.part.name}, {counted(found.remaining, 'disc')}."
    return Decision(Verdict(Word.DONE, sentence), (Act(body),))


def _usable(found: Spindle, context: ScanContext) -> None:
    notice = context.queries.hold_on_spindle(found.code)
    if notice is not None:
        raise Refused(
            FindingCode.ON_HOLD,
            f"Spindle {found.code} is {hold_words(notice, found.code)}. Put it aside.",
            subject=found.code,
        )
    if found.decision == LotDecision.REJECTED:
        raise Refused(
            FindingCode.LOT_REJECTED,
            f"Spindle {found.code} holds discs of lot {found.lot}, which is rejected. Put it aside.",
            subject=found.code,
        )
    if found.remaining < 1:
        raise Refused(
            FindingCode.SPINDLE_EMPTY,
            f"The system shows spindle {found.code} as empty. Take another stack.",
            subject=found.code,
        )
    rest = context.queries.setting("rest_minutes")
    rested = (instant(context.at) - instant(found.at)).total_seconds() / 60
    if rest and rested < 0:
        raise Refused(
            FindingCode.NOT_RESTED,
            f"The system shows spindle {found.code} as stacked at {found.at}, and the clock here says {context.at}, which "
            "is earlier, so nobody knows how long the discs rested. Have the clocks of press and line set, then scan again.",
            subject=found.code,
            expected=f"{rest} minutes after {found.at}",
            found=context.at,
        )
    if 0 < rest > rested:
        raise Refused(
            FindingCode.NOT_RESTED,
            f"Spindle {found.code} was stacked {counted(int(rested), 'minute')} ago; discs rest {rest} minutes before sleeving. Wait.",
            subject=found.code,
            expected=f"{rest} minutes",
            found=f"{int(rested)} minutes",
        )


def carton(state: LineState, code: str, context: ScanContext) -> Decision:
    """Open an empty carton under an SSCC label that was issued for cartons."""
    _require_cleared(state, code)
    if state.job is None:
        raise Refused(
            FindingCode.NOT_READY, "No sleeve batch is open. Scan the sleeve batch first.", subject=code
        )
    full = state.carton is not None and state.units_in_carton >= state.job.carton_size
    if state.carton is not None and not full:
        raise Refused(
            FindingCode.CARTON_OPEN, f"Carton {state.carton} is still open. Scan CLOSE first.", subject=code
        )
    issued = context.queries.sscc_issued_for(code)
    if issued is None:
        raise Refused(
            FindingCode.UNKNOWN_CODE,
            f"Label {code} was never issued here. Take a printed carton label.",
            subject=code,
        )
    if issued != "carton":
        raise Refused(
            FindingCode.WRONG_THING,
            f"You scanned {issued} label {code}. Scan a carton label.",
            subject=code,
            found=issued,
        )
    refuse_void(code, f"Carton label {code}", context)
    if context.queries.carton(code) is not None:
        raise Refused(
            FindingCode.LABEL_IN_USE,
            f"Carton label {code} is in use already. Take a new label.",
            subject=code,
        )
    acts: tuple[Act, ...] = (Act(CartonOpened(code, state.job.gtin)),)
    closed = ""
    if full:
        # The label of the next carton says that the full one is done: no packer needs a card for that.
        body = CartonClosed(may_close(state, context), state.units_in_carton)
        acts = (Act(body), *acts)
        closed = f"Carton {body.carton} is closed with {counted(body.units, 'unit')}. "
    return Decision(
        Verdict(Word.DONE, f"{closed}Carton {code} is open.", f"0 of {state.job.carton_size} in carton"), acts
    )


def may_close(state: LineState, _scene: ScanContext) -> str:
    """Return the carton to seal, or refuse: there is none, or a unit in it is not finished."""
    if state.carton is None:
        raise Refused(FindingCode.NO_CARTON, "No carton is open.", subject="CLOSE")
    if state.pending is not None or state.next_piece != 1:
        raise Refused(
            FindingCode.DISC_IN_HAND,
            "The set in hand is not finished. Finish it, or scan STOP to take it apart.",
            subject="CLOSE",
        )
    return state.carton


def close(state: LineState, context: ScanContext, reason: str | None) -> ActResult:
    """Seal the open carton."""
    body = CartonClosed(may_close(state, context), state.units_in_carton)
    sentence = f"Carton {body.carton} is closed with {counted(body.units, 'unit')}. Scan a new carton label."
    if body.units == 0:
        # Without this way out a line that has nothing to pack could neither close nor clear.
        sentence = f"Carton {body.carton} is closed empty: throw its label away. Scan a new carton label."
    return ActResult((Act(body, reason),), sentence)


def second_badge_slot(asks: str, roles: Roles = WITNESSES) -> Slot:
    """Return the slot for the badge of somebody else who looks at the line, and has one of `roles`."""
    return second_person_slot(asks, "a second person's badge", roles)
