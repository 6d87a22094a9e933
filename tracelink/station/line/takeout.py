"""TAKEOUT at a packing line: one finished unit of the open carton is taken apart; what is good goes back.

Before the reason the card of a disc's own spindle may be scanned: that disc goes back onto it. Whatever is not put back goes
to scrap, and so do sleeve and items.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.closed_sets import DiscPlace, ReasonAct
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.kinds.packing_changes import UnitTakenOut
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_line import CartonContent, CountIn, LotIn
from tracelink.station.common.slots import one_of_batches, one_of_numbers
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.line import holdback, kit
from tracelink.station.line.cartons import reason, refuse_held_carton
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import Job, LineState
from tracelink.station.sentences import line_takeback_sentences as say
from tracelink.station.sentences.common_sentences import (
    A_LOT_CARD,
    SCAN_THE_BATCH_OF_THE_UNIT,
    SCAN_THE_SLEEVE_OF_THE_UNIT,
    unknown,
)
from tracelink.station.sentences.thing_names import Thing

Accept = Callable[[Reading, Values, ScanContext], Any]


def takeout(state: LineState, context: ScanContext) -> Form:
    """TAKEOUT: one finished unit of the open carton goes to scrap, but for good discs that are put back.

    What the records cannot tell is asked for: which lot a disc is of when the carton holds two, which sleeves.
    """
    job, carton = ready(state)
    content = _with_run(state, job, context.queries.carton_content(carton))
    slots = [*_lot_slots(state, job, content)]
    if len(content.batches) > 1:
        slots.append(Slot("batch", SCAN_THE_BATCH_OF_THE_UNIT, _one_of_batches(content)))
    if job.numbered:
        slots.append(Slot("number", SCAN_THE_SLEEVE_OF_THE_UNIT, _number_in(content)))

    def begin(_scene: ScanContext) -> None:
        if state.units_in_carton == 0:
            raise say.no_finished_unit(carton)
        _refuse_if_held(carton, context)
        _require_recorded(state, job, content)

    def finish(values: Values, _scene: ScanContext) -> ActResult:
        return _taken_out(state, _unit(state, content, values, context), _why(values))

    backs = [_back_slot(state, job, content, place) for place in range(job.discs)]
    return Form("TAKEOUT", "line", (*slots, *backs, _reason_slot(backs)), finish, begin)


_REASON = reason(ReasonAct.LINE_TAKEOUT)
_BACK = "back-"
"""How the slots begin in which a spindle card says that a disc goes back."""


@dataclass(frozen=True, slots=True)
class _Because:
    """Why the unit is taken out, given where a spindle card might have come: no further disc goes back."""

    reason: str


def _why(values: Values) -> str:
    given = next((value.reason for value in values.values() if isinstance(value, _Because)), None)
    return given if given is not None else str(values["reason"])


def _back_slot(state: LineState, job: Job, content: CartonContent, place: int) -> Slot:
    """Return the slot for the spindle of a disc that is good, or for the reason, which ends the questions."""

    def accept(reading: Reading, values: Values, context: ScanContext) -> str | _Because:
        if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
            return _own_spindle(state, content, reading.code.text, values, context)
        return _Because(_REASON.accept(reading, values, context))

    def needed(values: Values, _scene: ScanContext) -> bool:
        return not any(isinstance(value, _Because) for value in values.values())

    def asks(context: ScanContext) -> str:
        return say.reason_or_spindle(_REASON.asked({}, context), discs=job.discs)

    return Slot(f"{_BACK}{place + 1}", _REASON.asks, accept, needed, asks_here=asks)


def _reason_slot(backs: Sequence[Slot]) -> Slot:
    """Return the slot for the reason once every disc was put back."""

    def needed(values: Values, _scene: ScanContext) -> bool:
        return all(isinstance(values.get(slot.name), str) for slot in backs)

    return replace(_REASON, needed=needed)


def _own_spindle(
    state: LineState, content: CartonContent, code: str, values: Values, context: ScanContext
) -> str:
    """Return the spindle that a disc of the unit goes back onto: one from which it came into this carton."""
    spindle = context.queries.spindle(code)
    if spindle is None:
        raise unknown(Thing.SPINDLE_CARD, code)
    lot = _lot_of(state, content, spindle.part.piece, values)
    if lot != spindle.lot or not context.queries.packed_from(code, str(state.carton)):
        raise say.not_from_spindle(code, str(state.carton))
    if code in values.values():
        raise say.put_back_already(code)
    return code


def _lot_of(state: LineState, content: CartonContent, piece: int, values: Values) -> str | None:
    """Return the lot of a disc of the unit; None if the unit has no such disc."""
    lots = _lots_of(state, content, piece)
    return str(values.get(say.lot_slot(piece)) or lots[0].lot) if lots else None


def _with_run(state: LineState, job: Job, content: CartonContent) -> CartonContent:
    """Add the matches in the spool, which are sealed with the act's first scan."""
    if not state.run.scans:
        return content
    pieces = {found.spindle: found.piece for found in state.spindles}
    lots = list(content.lots)
    for take in state.run.takes:
        same = next((each for each in lots if each.lot == take.lot), None)
        if same is not None:
            lots.remove(same)
        lots.append(LotIn(take.lot, pieces[take.spindle], take.count + (same.quantity if same else 0)))
    batches = {part.code: part.count for part in content.batches}
    batches[job.batch] = batches.get(job.batch, 0) + state.run.units
    return replace(
        content,
        lots=tuple(sorted(lots, key=lambda each: (each.piece, each.lot))),
        batches=tuple(CountIn(code, units) for code, units in sorted(batches.items()) if units),
    )


def _refuse_if_held(carton: str, context: ScanContext) -> None:
    """A hold on the carton itself keeps its content together; one on a lot in it does not."""
    if context.queries.hold_on(carton) is not None:
        refuse_held_carton(carton, context)


def _require_recorded(state: LineState, job: Job, content: CartonContent) -> None:
    """Refuse to take out what the records do not say is there, such as after a carton came back half empty."""
    known = all(_lots_of(state, content, piece) for piece in range(1, job.discs + 1))
    if not (known and content.batches):
        raise say.content_unknown(str(state.carton))


def _lots_of(state: LineState, content: CartonContent, piece: int) -> list[LotIn]:
    """The lots from which this disc of a finished unit may be: what lies in the unfinished one is left out."""
    in_hand = [disc.lot for disc in state.half]
    return [each for each in content.lots if each.piece == piece and each.quantity > in_hand.count(each.lot)]


def _lot_slots(state: LineState, job: Job, content: CartonContent) -> Iterator[Slot]:
    for piece in range(1, job.discs + 1):
        lots = [each.lot for each in _lots_of(state, content, piece)]
        if len(lots) > 1:
            asks = say.scan_the_lot_of(piece, lots, discs=job.discs)
            yield Slot(say.lot_slot(piece), asks, _one_of_lots(lots))


def _one_of_lots(lots: list[str]) -> Accept:
    def accept(reading: Reading, _values: Values, _scene: ScanContext) -> str:
        code = plant_code(CodeKind.LOT, reading, A_LOT_CARD)
        if code not in lots:
            raise say.not_of_lot(code, lots)
        return code

    return accept


def _one_of_batches(content: CartonContent) -> Accept:
    return lambda reading, _values, _scene: one_of_batches(reading, content)


def _number_in(content: CartonContent) -> Accept:
    return lambda reading, _values, _scene: one_of_numbers(reading, content)


def _unit(state: LineState, content: CartonContent, values: Values, context: ScanContext) -> UnitTakenOut:
    job, carton = ready(state)
    number = values.get("number")
    held = state.held is not None and (number is None or number in state.held.numbers)
    return UnitTakenOut(
        carton=carton,
        gtin=job.gtin,
        batch=values.get("batch") or content.batches[0].code,
        moves=_moves(state, content, values, context),
        items=tuple(ItemCount(piece.item, 1) for piece in kit.scanned(job.gtin, context) if piece.item),
        number=number,
        held_back=held,
    )


def _put_back(values: Values, context: ScanContext) -> dict[int, str]:
    """Return which discs go back onto which spindle."""
    cards = [value for name, value in values.items() if name.startswith(_BACK) and isinstance(value, str)]
    spindles = [context.queries.spindle(card) for card in cards]
    return {spindle.part.piece: spindle.code for spindle in spindles if spindle is not None}


def _moves(
    state: LineState, content: CartonContent, values: Values, context: ScanContext
) -> tuple[Moved, ...]:
    """Return where the discs of the unit go: one movement for each lot and place."""
    job, carton = ready(state)
    back = _put_back(values, context)
    pairs = [
        (str(_lot_of(state, content, piece, values)), back.get(piece, DiscPlace.SCRAP))
        for piece in range(1, job.discs + 1)
    ]
    return tuple(
        Moved(lot, pairs.count((lot, place)), carton, place, None, None)
        for lot, place in dict.fromkeys(pairs)
    )


def _taken_out(state: LineState, body: UnitTakenOut, why: str) -> ActResult:
    job, carton = ready(state)
    left = None
    acts: tuple[Act, ...] = (Act(body, why),)
    if state.held is not None and body.held_back:
        left = state.held.remaining - 1
        if not left:
            acts = (*acts, holdback.closing(carton, replace(state.held, taken_out=state.held.taken_out + 1)))
    back = [move.target for move in body.moves if move.target != DiscPlace.SCRAP]
    return ActResult(acts, say.unit_taken_out(left, back, discs=job.discs), fill_count(state, job, -1))
