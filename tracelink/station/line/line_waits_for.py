"""What a packing line waits for, told as a verdict to whoever comes back to it or scans a code twice."""

from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Verdict, Word
from tracelink.station.line import acts, holdback, kit
from tracelink.station.line.sealing import count
from tracelink.station.line.state import HeldBack, Job, LineState
from tracelink.station.sentences import line_kit_sentences, line_opening_sentences
from tracelink.station.sentences import line_sentences as say
from tracelink.station.sentences.thing_names import disc_name


def line_waits_for(state: LineState, context: ScanContext) -> Verdict:
    """Return what a line with somebody signed on waits for."""
    if state.form is not None:
        return acts.waits_for(state, context)
    if state.clearing is not None:
        return _next(state, line_opening_sentences.clear_the_line(context.queries.clearance_areas()))
    if state.held is not None:
        return _held(state, state.held, context)
    if state.stopped:
        return Verdict(Word.STOP, say.PUT_PIECES_ASIDE, count(state))
    return _next(state, _opening(state) or _piece(state, context))


def _next(state: LineState, sentence: str) -> Verdict:
    return Verdict(Word.NEXT, sentence, count(state))


def _held(state: LineState, held: HeldBack, context: ScanContext) -> Verdict:
    if state.stopped or not held.rechecking:
        return Verdict(Word.STOP, say.scan_recheck(held.remaining), count(state))
    return _next(state, say.scan_of_unit(holdback.wanted(state, context).called, held.remaining))


def _opening(state: LineState) -> str | None:
    """Ask for what is not open yet."""
    if not state.cleared:
        return say.SCAN_CLEAR
    if state.job is None:
        return say.SCAN_THE_SLEEVE_BATCH
    if not state.spindles:
        return say.scan_the_spindle(1, discs=state.job.discs)
    return say.SCAN_A_CARTON_LABEL if state.carton is None else None


def _piece(state: LineState, context: ScanContext) -> str:
    """Ask for the piece that comes next."""
    job = state.job
    assert job is not None
    if state.pending is not None:
        return say.sleeve_of(_name(job, state.pending, context))
    if kit.position(state) == 0 and state.units_in_carton >= job.carton_size:
        return line_kit_sentences.CARTON_IS_FULL
    wanted = kit.wanted(state, context)
    if wanted.disc is not None:
        opened = state.spindle_for(wanted.disc)
        if opened is None:
            return say.scan_the_spindle(wanted.disc, discs=job.discs)
        if kit.is_used_up(opened, context):
            return line_opening_sentences.next_spindle(opened.spindle)
    return say.scan_the_piece(wanted.called)


def _name(job: Job, piece: int, context: ScanContext) -> str:
    product = context.queries.product(job.gtin)
    assert product is not None
    return disc_name(product.title, piece, product.discs)
