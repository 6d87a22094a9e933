"""UNDO at a packing line: the last match, the last reject or CLOSE, or a carton label scanned by mistake."""

from tracelink.ledger.closed_sets import CartonStatus, DiscPlace
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import InHand
from tracelink.ledger.kinds.packing_changes import CartonReopened, CartonUnopened, MatchUndone, RejectUndone
from tracelink.station.common.forms import ActResult, ScanContext
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held
from tracelink.station.line import cartons, kit
from tracelink.station.line.sealing import fill_count
from tracelink.station.line.state import Job, LastUnit, LineState
from tracelink.station.sentences import common_sentences, line_carton_sentences, line_sentences
from tracelink.station.sentences import line_takeback_sentences as say
from tracelink.station.sentences.thing_names import Thing


def undo(state: LineState, context: ScanContext) -> ActResult:
    """Take back the last act or match of this person's session: a reject, a CLOSE, a match, an empty carton opened.

    Matches in the spool are sealed before it, so the journal shows the match and its reversal.
    """
    if state.thrown is not None:
        return _undo_reject(state.thrown)
    if state.closed is not None:
        return _undo_close(state.closed, context)
    if state.job is None or state.carton is None:
        raise say.nothing_to_undo(say.REOPEN_A_CARTON if state.cleared else None)
    refuse_held(
        context.queries.hold_on(state.carton),
        Thing.CARTON,
        state.carton,
        common_sentences.LEAVE_AND_TELL_QUALITY,
    )
    if state.fresh and not state.half and not state.units_in_carton:
        body = CartonUnopened(state.carton)
        return ActResult((Act(body),), say.label_free(state.carton))
    if state.half:
        return _undo_piece(state, state.job, state.carton, context)
    last = _last_unit(state)
    if last is None:
        raise say.nothing_to_undo(say.ONLY_THE_LAST_MATCH)
    return _undo_unit(state, state.job, last, context)


def _undo_reject(disc: InHand) -> ActResult:
    body = RejectUndone(Moved(disc.lot, 1, DiscPlace.SCRAP, disc.spindle, None, None))
    return ActResult((Act(body),), say.reject_taken_back(disc.spindle))


def _undo_close(code: str, context: ScanContext) -> ActResult:
    """Open the carton again that was sealed last; refused if the dock, quality or a count got hold of it since."""
    carton = context.queries.carton(code)
    assert carton is not None
    if carton.status != CartonStatus.CLOSED:
        raise say.cannot_take_back_close(code, carton.status)
    cartons.require_here(carton, context)
    cartons.refuse_held_carton(code, context)
    product = context.queries.product(carton.gtin)
    assert product is not None
    sentence = line_carton_sentences.open_again(code, carton.units)
    count = line_sentences.how_full(carton.units, product.carton_size)
    return ActResult(
        cartons.taken(code, CartonReopened(code, carton.units), say.CLOSED_BY_MISTAKE, context),
        sentence,
        count,
    )


def _last_unit(state: LineState) -> LastUnit | None:
    if not state.run.units:
        return state.last
    number = state.run.numbers[-1] if state.run.numbers else None
    return LastUnit(state.unit_of_run(state.run.units), number)


def _undo_piece(state: LineState, job: Job, carton: str, context: ScanContext) -> ActResult:
    """The unit in hand loses its last piece."""
    pieces = kit.scanned(job.gtin, context)
    last = pieces[kit.position(state) - 1]
    half, items = (state.half, state.items - 1) if last.item else (state.half[:-1], state.items)
    body = MatchUndone(
        carton=carton,
        gtin=job.gtin,
        batch=job.batch,
        moves=() if last.item else (_back(carton, state.half[-1]),),
        item=last.item,
        finished=False,
        freed=None,
        filling=state.number if half else None,
        unfinished=half,
        items=items,
    )
    return ActResult((Act(body),), _sentence(last.called, body, state.half[-1]), fill_count(state, job))


def _undo_unit(state: LineState, job: Job, unit: LastUnit, context: ScanContext) -> ActResult:
    """The last finished unit comes out of the carton and loses its last piece."""
    assert state.carton is not None
    pieces = kit.scanned(job.gtin, context)
    last = pieces[-1]
    half = unit.discs if last.item else unit.discs[:-1]
    body = MatchUndone(
        carton=state.carton,
        gtin=job.gtin,
        batch=job.batch,
        moves=() if last.item else (_back(state.carton, unit.discs[-1]),),
        item=last.item,
        finished=True,
        freed=unit.number,
        filling=unit.number if half else None,
        unfinished=half,
        items=len(pieces) - job.discs - (1 if last.item else 0),
    )
    return ActResult((Act(body),), _sentence(last.called, body, unit.discs[-1]), fill_count(state, job, -1))


def _back(carton: str, disc: InHand) -> Moved:
    return Moved(disc.lot, 1, carton, disc.spindle, None, None)


def _sentence(called: str, body: MatchUndone, disc: InHand) -> str:
    if body.item is not None:
        return say.take_out_of_sleeve(called)
    return say.put_back_on_spindle(called, disc.spindle)
