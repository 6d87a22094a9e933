"""MANUAL at a packing line: keyed text and a second person stand in for a code that would not read twice.

What was keyed is judged like the read it stands in for. A keyed disc waits for its sleeve like a scanned one; a
keyed sleeve or item is matched at once, in an entry of its own right after the keyed one. In a recheck the entry says how
far the unit is with it.
"""

from collections.abc import Callable
from dataclasses import replace

from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import PlantCode
from tracelink.identity.reading import ActRead, DiscRead, PlantRead, Reading, SleeveRead, TextKeyed
from tracelink.ledger.kinds.packing import ManualEntry, RecheckKeyed, UnitsRechecked
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act, Decision
from tracelink.station.common.taken_reading import keyed_text, number_or_text
from tracelink.station.line import holdback, insertion, kit, state_changes
from tracelink.station.line.opening import second_badge_slot
from tracelink.station.line.sealing import ready, seal
from tracelink.station.line.state import LineState
from tracelink.station.sentences import line_manual_sentences as say
from tracelink.station.sentences.common_sentences import THE_MATRIX_NUMBER
from tracelink.station.sentences.line_recheck_sentences import held_back, piece_of_unit, recheck_failed

NO_READS = 2
"""No-reads of one piece before it may be keyed. Source: common practice, a retry before manual entry."""


def waiting_for(state: LineState, context: ScanContext) -> str:
    """Return what the line waits for: disc, sleeve or item."""
    if state.held is not None:
        return holdback.wanted(state, context).what
    if state.pending is not None:
        return "sleeve"
    return "disc" if kit.wanted(state, context).disc else "item"


def tried(state: LineState, context: ScanContext) -> str:
    """Return how a no-read calls what the line waits for; in a recheck no two scans of a unit are called the same."""
    if state.held is None:
        return waiting_for(state, context)
    if not state.held.rechecking or state.stopped:
        raise held_back(state.held.remaining, ActRead("NOREAD"))
    return holdback.wanted(state, context).name


def manual(state: LineState, context: ScanContext) -> Form:
    """Return the act for what the line waits for now."""
    job, _carton = ready(state)
    what, name = waiting_for(state, context), tried(state, context)

    def begin(_scene: ScanContext) -> None:
        if state.no_read_of != name or state.no_reads < NO_READS:
            raise say.scan_first(name, NO_READS, state.no_reads if state.no_read_of == name else 0)

    def finish(values: Values, context: ScanContext) -> ActResult:
        return _finish(state, what, values, context)

    example = context.queries.matrix_grammar().example
    asks = {
        "disc": (
            Slot("side_a", say.type_side_a(example), _matrix),
            Slot("side_b", say.TYPE_SIDE_B, _last(state, what)),
        ),
        "sleeve": (Slot("keyed", _SLEEVE[job.numbered], _last(state, what)),),
        "item": (Slot("keyed", say.TYPE_THE_ITEM, _last(state, what)),),
    }[what]
    second = second_badge_slot(say.SECOND_COMPARES)
    return Form("MANUAL", "line", (*asks, second), finish, begin)


_SLEEVE = {
    True: say.TYPE_THE_SLEEVE_NUMBER,
    False: say.TYPE_THE_BARCODE,
}
"""What is asked of a numbered sleeve, and of another."""


def _matrix(reading: Reading, _values: Values, context: ScanContext) -> str:
    return context.queries.matrix_grammar().parse(keyed_text(reading, THE_MATRIX_NUMBER))


def _last(state: LineState, what: str) -> Callable[[Reading, Values, ScanContext], str]:
    """Judge the last keyed text together with those before it, so that nobody is called for a wrong piece."""

    def accept(reading: Reading, values: Values, context: ScanContext) -> str:
        text = _matrix(reading, values, context) if what == "disc" else number_or_text(reading, say.THE_CODE)
        _judged(state, what, (*map(str, values.values()), text), context)
        return text

    return accept


def _finish(state: LineState, what: str, values: Values, context: ScanContext) -> ActResult:
    keyed = tuple(str(value) for name, value in values.items() if name != "second_person")
    decision = _judged(state, what, keyed, context)
    if state.held is not None:
        body = RecheckKeyed(what, keyed, *_step_after(decision), values["second_person"])
        shown = decision.verdict
        acts = tuple(replace(act, takes=0) for act in _rechecked(state, decision, context))
        return ActResult((Act(body), *acts), shown.sentence, shown.count)
    assert decision.spooled is not None
    fact = decision.spooled.fact
    first = Act(ManualEntry(what, keyed, fact.get("disc"), values["second_person"]))
    sentence = decision.verdict.sentence or "Matched."
    if what == "disc":
        return ActResult((first,), sentence, decision.verdict.count)
    after = state_changes.evolve_spooled(replace(state, by_hand=False), fact, context.at)
    matched = tuple(replace(act, takes=0) for act in seal(after))
    return ActResult((first, *matched), sentence, decision.verdict.count)


def _step_after(decision: Decision) -> tuple[int, str | None]:
    """Return how many scans of the unit are right now, and the number of its sleeve; 0 if it is finished."""
    fact = {} if decision.spooled is None else decision.spooled.fact
    return int(fact.get("recheck", 0)), fact.get("number")


def _rechecked(state: LineState, decision: Decision, context: ScanContext) -> tuple[Act, ...]:
    """Return the entries of a unit that the keyed piece finished; none if it is not finished."""
    fact = {} if decision.spooled is None else decision.spooled.fact
    if "rechecked" not in fact:
        return decision.acts
    assert state.carton is not None
    numbers = () if fact["rechecked"] is None else (str(fact["rechecked"]),)
    return (Act(UnitsRechecked(state.carton, 1, numbers, context.at, context.at)),)


def _judged(state: LineState, what: str, keyed: tuple[str, ...], context: ScanContext) -> Decision:
    """Judge the keyed text as the read it stands in for."""
    assert state.job is not None
    if state.held is not None:
        return holdback.recheck(state, _stands_for(state, what, keyed, context), context)
    if what == "sleeve" and state.job.numbered:
        kit.number_still_free(state.job.gtin, keyed[0], context)
    reading = _stands_for(state, what, keyed, context)
    if isinstance(reading, DiscRead):
        return insertion.disc(state, reading, context)
    if isinstance(reading, SleeveRead):
        return insertion.sleeve(state, reading, context)
    return kit.item(state, reading, context)


def _stands_for(
    state: LineState, what: str, keyed: tuple[str, ...], context: ScanContext
) -> DiscRead | SleeveRead | PlantRead:
    """Return the read that the keyed text stands in for."""
    assert state.job is not None
    if what == "disc":
        return DiscRead(_gtin(state), _piece_of(state, keyed, context), state.job.discs)
    if what == "item":
        return PlantRead(PlantCode.parse(keyed[0]))
    if state.job.numbered:
        return SleeveRead(_gtin(state), keyed[0])
    return SleeveRead(Gtin.parse(keyed[0]), None)


def _gtin(state: LineState) -> Gtin:
    assert state.job is not None
    return Gtin.parse(state.job.gtin)


def _piece_of(state: LineState, keyed: tuple[str, ...], context: ScanContext) -> int:
    """Return which disc of the product has these two matrix numbers, or refuse them."""
    assert state.job is not None
    for part in context.queries.parts(state.job.gtin):
        if (part.matrix_a, part.matrix_b) == keyed:
            return part.piece
    if state.held is not None:
        raise recheck_failed(TextKeyed(keyed[-1]), piece_of_unit(holdback.wanted(state, context).called))
    wanted = kit.wanted(state, context)
    part = next(each for each in context.queries.parts(state.job.gtin) if each.piece == wanted.disc)
    raise say.wrong_matrix(keyed, part)
