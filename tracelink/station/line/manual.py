"""MANUAL at a packing line: keyed text and a second person stand in for a code that would not read twice.

What was keyed is judged like the read it stands in for. A keyed disc waits for its sleeve like a scanned one; a
keyed sleeve or item is matched at once, in an entry of its own right after the keyed one.
"""

from collections.abc import Callable
from dataclasses import replace

from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import PlantCode
from tracelink.identity.reading import DiscRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.kinds.packing import ManualEntry
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act, Decision
from tracelink.station.common.taken_reading import keyed_text
from tracelink.station.line import insertion, kit, state_changes
from tracelink.station.line.opening import second_badge_slot
from tracelink.station.line.sealing import ready, seal
from tracelink.station.line.state import LineState
from tracelink.station.sentences import line_manual_sentences as say
from tracelink.station.sentences.common_sentences import THE_MATRIX_NUMBER

NO_READS = 2
"""No-reads of one piece before it may be keyed. Source: common practice, a retry before manual entry."""


def waiting_for(state: LineState, context: ScanContext) -> str:
    """Return what the line waits for: disc, sleeve or item."""
    if state.pending is not None:
        return "sleeve"
    return "disc" if kit.wanted(state, context).disc else "item"


def manual(state: LineState, context: ScanContext) -> Form:
    """Return the act for what the line waits for now."""
    job, _carton = ready(state)
    what = waiting_for(state, context)

    def begin(_scene: ScanContext) -> None:
        if state.no_read_of != what or state.no_reads < NO_READS:
            raise say.scan_first(what, NO_READS, state.no_reads if state.no_read_of == what else 0)

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
        text = _matrix(reading, values, context) if what == "disc" else keyed_text(reading, say.THE_CODE)
        _judged(state, what, (*map(str, values.values()), text), context)
        return text

    return accept


def _finish(state: LineState, what: str, values: Values, context: ScanContext) -> ActResult:
    keyed = tuple(str(value) for name, value in values.items() if name != "second_person")
    decision = _judged(state, what, keyed, context)
    assert decision.spooled is not None
    fact = decision.spooled.fact
    first = Act(ManualEntry(what, keyed, fact.get("disc"), values["second_person"]))
    sentence = decision.verdict.sentence or "Matched."
    if what == "disc":
        return ActResult((first,), sentence, decision.verdict.count)
    after = state_changes.evolve_spooled(replace(state, by_hand=False), fact, context.at)
    matched = tuple(replace(act, takes=0) for act in seal(after))
    return ActResult((first, *matched), sentence, decision.verdict.count)


def _judged(state: LineState, what: str, keyed: tuple[str, ...], context: ScanContext) -> Decision:
    """Judge the keyed text as the read it stands in for."""
    assert state.job is not None
    if what == "disc":
        piece = _piece_of(state, keyed, context)
        return insertion.disc(state, DiscRead(_gtin(state), piece, state.job.discs), context)
    text = keyed[0]
    if what == "item":
        return kit.item(state, PlantRead(PlantCode.parse(text)), context)
    if not state.job.numbered:
        return insertion.sleeve(state, SleeveRead(Gtin.parse(text), None), context)
    kit.number_still_free(state.job.gtin, text, context)
    return insertion.sleeve(state, SleeveRead(_gtin(state), text), context)


def _gtin(state: LineState) -> Gtin:
    assert state.job is not None
    return Gtin.parse(state.job.gtin)


def _piece_of(state: LineState, keyed: tuple[str, ...], context: ScanContext) -> int:
    """Return which disc of the product has these two matrix numbers, or refuse them."""
    assert state.job is not None
    for part in context.queries.parts(state.job.gtin):
        if (part.matrix_a, part.matrix_b) == keyed:
            return part.piece
    wanted = kit.wanted(state, context)
    part = next(each for each in context.queries.parts(state.job.gtin) if each.piece == wanted.disc)
    raise say.wrong_matrix(keyed, part)
