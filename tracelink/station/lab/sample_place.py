"""Where a sample is taken from: a spindle, a carton or a return, as it is scanned; the press for what was not stacked."""

from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, NumberKeyed, PlantRead, Reading
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace, ReturnStatus, return_place
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.lab import UnitOpened
from tracelink.station.common.forms import ScanContext, Slot, Values
from tracelink.station.common.nesting import has_left
from tracelink.station.common.queries_line import CartonContent
from tracelink.station.common.slots import one_of_batches, one_of_numbers
from tracelink.station.common.station_facts import Carton, Spindle
from tracelink.station.sentences import lab_sentences as say
from tracelink.station.sentences.common_sentences import (
    SCAN_THE_BATCH_OF_THE_UNIT,
    SCAN_THE_SLEEVE_OF_THE_UNIT,
    act_asks_for,
    carton_not_packed,
    unknown,
)
from tracelink.station.sentences.thing_names import Thing


@dataclass(frozen=True, slots=True)
class SamplePlace:
    """Where a disc is taken from."""

    place: str
    """Place, as movements name it."""
    called: str
    """Place, as a person would call it."""
    carton: str | None = None
    """The carton that the disc is in, also when it stands in quarantine."""


def is_asked(values: Values, context: ScanContext) -> bool:
    """Return whether the place must be asked for: only a disc that never left the press counter can be nowhere else."""
    return values["stroke"] is None or _stacked(values, context) is not None


def expected(values: Values, context: ScanContext) -> str:
    """Say where the system shows the disc, before it is asked for."""
    stacked = _stacked(values, context)
    if stacked is None:
        return ""
    return say.was_put_on(values["stroke"], stacked, shown_in(stacked, values["lot"], context))


def _stacked(values: Values, context: ScanContext) -> str | None:
    """The spindle that the press put the disc on; None if it was not stacked, or nobody knows the stroke."""
    stroke = values["stroke"]
    return None if stroke is None else context.queries.spindle_with(values["lot"], stroke)


def shown_in(place: str, lot: str, context: ScanContext) -> int:
    """Return how many discs of a lot the system shows in a place."""
    spindle = context.queries.spindle(place)
    if spindle is not None:
        return spindle.remaining
    return dict(context.queries.carton_contents(place)).get(lot, 0)


def any_place(reading: Reading, context: ScanContext, asks: str, a_place: str) -> SamplePlace:
    """Return the stack, carton or return that was scanned or keyed, or refuse what came instead.

    Args:
        reading: what came.
        context: the station.
        asks: what the person was told to do.
        a_place: what belongs there, for whoever scans something else.
    """
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return _carton(str(reading.sscc), context)
    if isinstance(reading, NumberKeyed):
        return _loose(reading.value, context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        code = reading.code.text
        if context.queries.spindle(code) is None:
            raise unknown(Thing.SPINDLE_CARD, code)
        return SamplePlace(code, say.called_spindle(code))
    raise act_asks_for(reading, asks, a_place)


def _accept(reading: Reading, values: Values, context: ScanContext) -> SamplePlace:
    lot, found = values["lot"], any_place(reading, context, say.SCAN_THE_PLACE, say.A_PLACE)
    spindle = context.queries.spindle(found.place)
    if spindle is not None:
        _require_stack(spindle, values, context)
    empty = FindingCode.NOT_IN_RECORDS if spindle is None else FindingCode.SPINDLE_EMPTY
    if shown_in(found.place, lot, context) < 1:
        raise say.not_there(empty, found.place, found.called, lot)
    return found


def _require_stack(spindle: Spindle, values: Values, context: ScanContext) -> None:
    code = spindle.code
    if spindle.lot != values["lot"]:
        raise say.another_lot(code, spindle.lot, values["lot"])
    stacked = _stacked(values, context)
    # What was stacked at the press comes to no other stack that the press made.
    if stacked is not None and stacked != code and context.queries.is_stack(code):
        raise say.another_stack(values["stroke"], stacked, code)


def _carton(code: str, context: ScanContext) -> SamplePlace:
    carton = context.queries.carton(code)
    if carton is None:
        raise carton_not_packed(code)
    if carton.status == CartonStatus.OPEN:
        raise say.carton_open(code)
    if carton.status == CartonStatus.DESTROYED:
        raise say.carton_destroyed(code)
    line = context.queries.return_of(code)
    if line is not None:
        return SamplePlace(return_place(line.number), say.called_carton(code, line.number), code)
    if has_left(code, context):
        raise say.carton_left(code)
    return SamplePlace(code, say.called_carton(code, None), code)


def _loose(number: int, context: ScanContext) -> SamplePlace:
    line = context.queries.return_line(number)
    if line is None:
        raise say.return_unknown(number)
    if line.carton is not None:
        raise say.return_is_carton(number, line.carton)
    if line.status != ReturnStatus.QUARANTINE:
        raise say.return_gone(number, line.status)
    return SamplePlace(return_place(number), say.called_return(number))


PLACE = Slot("place", say.SCAN_THE_PLACE, _accept, is_asked, expected)


def source_of(values: Values) -> SamplePlace:
    """Return where the disc of a filled act is from."""
    found: SamplePlace = values.get("place") or SamplePlace(DiscPlace.COUNTER, DiscPlace.COUNTER)
    return found


def _opens_unit(values: Values, context: ScanContext) -> Carton | None:
    """The carton of which a finished unit is opened for the disc; None if it is in none.

    Of a set a unit may have been opened for its other disc before: then more discs of this sort are in the carton
    than finished units.
    """
    found = source_of(values)
    if found.carton is None:
        return None
    carton, lot = context.queries.carton(found.carton), context.queries.lot(values["lot"])
    assert carton is not None
    assert lot is not None
    like = 0
    for code, count in context.queries.carton_contents(found.place):
        other = context.queries.lot(code)
        like += count if other is not None and other.part.piece == lot.part.piece else 0
    return carton if carton.units > 0 and like <= carton.units else None


def _content(values: Values, context: ScanContext) -> CartonContent | None:
    carton = _opens_unit(values, context)
    return None if carton is None else context.queries.carton_content(carton.sscc)


def _several_batches(values: Values, context: ScanContext) -> bool:
    content = _content(values, context)
    return content is not None and len(content.batches) > 1


def _is_numbered(values: Values, context: ScanContext) -> bool:
    content = _content(values, context)
    return content is not None and bool(content.numbers)


def _batch(reading: Reading, values: Values, context: ScanContext) -> str:
    content = _content(values, context)
    assert content is not None
    return one_of_batches(reading, content)


def _number(reading: Reading, values: Values, context: ScanContext) -> str:
    content = _content(values, context)
    assert content is not None
    return one_of_numbers(reading, content)


BATCH = Slot("batch", SCAN_THE_BATCH_OF_THE_UNIT, _batch, _several_batches)
NUMBER = Slot("number", SCAN_THE_SLEEVE_OF_THE_UNIT, _number, _is_numbered)


def unit_of(values: Values, context: ScanContext) -> UnitOpened | None:
    """Return the unit that is opened for the disc; None if it is in none, or the records do not say what is in it."""
    carton = _opens_unit(values, context)
    if carton is None:
        return None
    content = context.queries.carton_content(carton.sscc)
    if not content.batches:
        return None
    there = {each.code for each in content.items}
    return UnitOpened(
        carton.sscc,
        carton.gtin,
        values.get("batch") or content.batches[0].code,
        tuple(piece.item for piece in context.queries.kit(carton.gtin) if piece.item in there),
        values.get("number"),
    )
