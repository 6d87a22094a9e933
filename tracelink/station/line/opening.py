"""What a packing line opens and closes: clearance, sleeve batch, spindle, carton."""

from tracelink.identity.reading import LogisticRead
from tracelink.ledger.closed_sets import LotDecision
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, LineCleared, SleevesOpened, SpindleOpened
from tracelink.station.common.authority import WITNESSES, Roles, require_second
from tracelink.station.common.forms import ActResult, ScanContext, Slot
from tracelink.station.common.label_content import refuse_new_label
from tracelink.station.common.outcome import Act, Decision, Spooled, Verdict, Word
from tracelink.station.common.refusals import refuse_held, refuse_void
from tracelink.station.common.slots import second_person_slot
from tracelink.station.common.station_facts import Person, Spindle
from tracelink.station.line.resting import StationTimes, rest_of
from tracelink.station.line.state import LineState
from tracelink.station.sentences import common_sentences, line_sentences
from tracelink.station.sentences import line_opening_sentences as say
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def clear(state: LineState, context: ScanContext) -> Decision:
    """Begin a line clearance; a second person's badge completes it."""
    if state.carton is not None:
        raise line_sentences.carton_open(state.carton)
    # Without an open carton there is no disc in hand either: CLOSE asks for that.
    sentence = say.clear_the_line(context.queries.clearance_areas())
    return Decision(Verdict(Word.NEXT, sentence), (), Spooled({"clearing": context.person.code}))


def second_badge(state: LineState, person: Person, context: ScanContext) -> Decision:
    """Complete a line clearance: two people looked, and they are not the same."""
    assert state.clearing is not None
    require_second(person, state.clearing, WITNESSES)
    sentence = say.line_cleared(context.person.name, person.name)
    return Decision(Verdict(Word.DONE, sentence), (Act(LineCleared(person.code)),))


def _require_cleared(state: LineState, what: str) -> None:
    if not state.cleared:
        raise say.not_cleared(what)


def sleeves(state: LineState, code: str, context: ScanContext) -> Decision:
    """Open a sleeve batch; another product needs a clearance first."""
    _require_cleared(state, code)
    batch = context.queries.sleeve_batch(code)
    if batch is None:
        raise unknown(Thing.SLEEVE_BATCH, code)
    if batch.superseded:
        raise say.superseded(code)
    refuse_held(context.queries.hold_on(code), Thing.SLEEVE_BATCH, code)
    product = batch.product
    if product.numbered and not batch.has_numbers:
        raise say.batch_without_numbers(product.title, code)
    if state.job is not None and state.job.gtin != product.gtin:
        raise say.other_product(code, product.title, state.job.gtin, product.gtin)
    if state.next_piece != 1:
        raise say.set_in_hand(code)
    body = SleevesOpened(code, product.gtin, product.numbered, product.discs, product.carton_size)
    sentence = say.sleeves_open(product.title, product.catalogue_number)
    return Decision(Verdict(Word.DONE, sentence), (Act(body),))


def spindle(state: LineState, code: str, context: ScanContext) -> Decision:
    """Open a spindle for the product that is packed."""
    _require_cleared(state, code)
    if state.job is None:
        raise line_sentences.no_sleeves_first(code)
    found = context.queries.spindle(code)
    if found is None:
        raise unknown(Thing.SPINDLE_CARD, code)
    if found.part.gtin != state.job.gtin:
        ours = context.queries.product(state.job.gtin)
        assert ours is not None
        raise say.wrong_spindle(code, found.part.name, ours.title, state.job.gtin, found.part.gtin)
    is_proven = _usable(found, context)
    body = SpindleOpened(code, found.lot, found.part.piece)
    sentence = say.spindle_open(code, found.part.name, found.remaining)
    other = context.queries.packs_from(code, context.station)
    if is_proven and other is None:
        return Decision(Verdict(Word.DONE, sentence), (Act(body),))
    # It is booked: a press may have been off line, and a stack may be carried from line to line. But a clock that is
    # behind, and one card on two stacks, must be seen at once.
    finding = FindingCode.REST_UNPROVEN if other is None else FindingCode.SPINDLE_ELSEWHERE
    told = sentence if is_proven else sentence + say.rest_unproven(found.at)
    if other is not None:
        told += say.spindle_elsewhere(other)
    return Decision(Verdict(Word.STOP, told, finding=finding), (Act(body),))


def _usable(found: Spindle, context: ScanContext) -> bool:
    """Refuse a stack that is not to be packed; return whether the recording clock proves that it has rested."""
    refuse_held(context.queries.hold_on_spindle(found.code), Thing.SPINDLE, found.code)
    if found.decision == LotDecision.REJECTED:
        raise say.lot_rejected(found.code, found.lot)
    if found.remaining < 1:
        raise say.spindle_empty(found.code)
    wanted = context.queries.setting("rest_minutes")
    return not wanted or _has_rested(found, wanted, context)


def _has_rested(found: Spindle, wanted: int, context: ScanContext) -> bool:
    queries = context.queries
    recorded = queries.stack_recorded(found.code)
    stacked = StationTimes(found.at, recorded)
    opened = StationTimes(context.at, queries.recorded_now())
    rest = rest_of(stacked, opened, queries.setting("late_entry_minutes"))
    if rest.minutes < 0:
        raise say.clock_behind(found.code, rest.since, rest.until, wanted)
    if rest.minutes < wanted:
        raise say.not_rested(found.code, int(rest.minutes), wanted)
    return rest.proven >= wanted


def carton(state: LineState, reading: LogisticRead, context: ScanContext) -> ActResult:
    """Open an empty carton under an SSCC label that was issued for cartons."""
    code = str(reading.sscc)
    _require_cleared(state, code)
    if state.job is None:
        raise line_sentences.no_sleeves_first(code)
    full = state.carton is not None and state.units_in_carton >= state.job.carton_size
    if state.carton is not None and not full:
        raise line_sentences.carton_open(state.carton, code)
    issued = context.queries.sscc_issued_for(code)
    if issued is None:
        raise say.label_not_issued(code)
    if issued != "carton":
        raise say.not_a_carton_label(issued, code)
    refuse_void(Thing.CARTON_LABEL, code, context)
    if context.queries.carton(code) is not None:
        raise say.label_in_use(code)
    refuse_new_label(reading, state.job.gtin, state.job.carton_size, context)
    acts: tuple[Act, ...] = (Act(CartonOpened(code, state.job.gtin)),)
    closed = None
    if full:
        # The label of the next carton says that the full one is done: no packer needs a card for that.
        body = CartonClosed(may_close(state, context), state.units_in_carton)
        acts = (Act(body), *acts)
        closed = say.closed(body.carton, body.units)
    return ActResult(acts, say.carton_open(code, closed), line_sentences.how_full(0, state.job.carton_size))


def may_close(state: LineState, _scene: ScanContext) -> str:
    """Return the carton to seal, or refuse: there is none, or a unit in it is not finished."""
    if state.carton is None:
        raise say.no_carton_open()
    if state.pending is not None or state.next_piece != 1:
        assert state.job is not None
        raise say.set_not_finished(state.job.discs)
    return state.carton


def close(state: LineState, context: ScanContext, reason: str | None) -> ActResult:
    """Seal the open carton."""
    body = CartonClosed(may_close(state, context), state.units_in_carton)
    # Without a way to close an empty carton a line that has nothing to pack could neither close nor clear.
    assert state.job is not None
    sentence = (
        say.closed_scan_new(body.carton, body.units, state.job.carton_size)
        if body.units
        else say.closed_empty(body.carton)
    )
    return ActResult((Act(body, reason),), sentence)


def second_badge_slot(asks: str, roles: Roles = WITNESSES) -> Slot:
    """Return the slot for the badge of somebody else who looks at the line, and has one of `roles`."""
    return second_person_slot(asks, common_sentences.A_SECOND_PERSONS_BADGE, roles)
