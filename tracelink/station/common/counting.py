"""Counting by hand, at any station that works by acts: scan the thing, key how many there are.

A count changes no kept count. When it disagrees it is a finding at once, the lot is under investigation, and the
difference stays in the lot's balance with its sign until a later count of the same place says otherwise. Discs of
several lots that were counted together are judged by their sum; which lot is short is left open.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading, TextKeyed
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.balance import CountConfirmed, Counted, MixedCounted, Share, StockCounted
from tracelink.station.common.count_doubt import confirmed
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.investigate import investigated
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_balance import StockLine
from tracelink.station.common.taken_reading import number
from tracelink.station.sentences import counting_sentences as say
from tracelink.station.sentences.common_sentences import carton_not_packed, misplaced, unknown
from tracelink.station.sentences.thing_names import Thing


def _thing(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The code of what is counted: a spindle, a carton, or a lot's discs that lie at its press."""
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return _carton(str(reading.sscc), context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        code = reading.code.text
        if context.queries.spindle(code) is None:
            raise unknown(Thing.SPINDLE_CARD, code)
        return code
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.LOT:
        code = reading.code.text
        lot = context.queries.lot(code)
        if lot is None:
            raise unknown(Thing.LOT_CARD, code)
        if lot.segment is None:
            raise say.not_pressed(lot)
        return code
    raise misplaced(reading, say.WHAT_CAN_BE_COUNTED)


def _in_carton(code: str, context: ScanContext) -> list[StockLine]:
    return [each for each in context.queries.standing_at(code) if each.quantity > 0]


def _carton(code: str, context: ScanContext) -> str:
    carton = context.queries.carton(code)
    if carton is None:
        if context.queries.sscc_issued_for(code) == "pallet":
            raise say.pallet_counted(code)
        raise carton_not_packed(code)
    if carton.status == CartonStatus.OPEN:
        raise say.carton_still_open(code)
    if not _in_carton(code, context):
        raise say.carton_empty(code)
    return code


def _mixed(standing: list[StockLine]) -> dict[int, list[StockLine]]:
    """The discs of which there are several lots: a sum of them cannot say which lot is short."""
    by_piece: dict[int, list[StockLine]] = {}
    for each in standing:
        by_piece.setdefault(each.piece, []).append(each)
    return {piece: lots for piece, lots in by_piece.items() if len(lots) > 1}


def _quantity(reading: Reading, values: Values, context: ScanContext) -> int | tuple[Counted, ...]:
    """How many there are; of a carton with several lots of one disc, how many of each if they were told apart."""
    if isinstance(reading, TextKeyed):
        _place, standing = _standing(values["thing"], context)
        return _lot_by_lot(reading.text, standing)
    found = number(reading, say.HOW_MANY)
    _refuse_reading(values["thing"], found, context)
    return found


def _refuse_reading(thing: str, found: int, context: ScanContext) -> None:
    """Refuse what the press counter reads: it is keyed by whoever took "count" for "counter"."""
    lot = context.queries.lot(thing) if thing.startswith(CodeKind.LOT.value) else None
    if lot is None or found != lot.counter:
        return
    expected = sum(each.quantity for each in _standing(thing, context)[1])
    if found != expected:
        raise say.counter_reading_keyed(thing, found, expected)


def _lot_by_lot(text: str, standing: list[StockLine]) -> tuple[Counted, ...]:
    """Read `L000012X=3 L000059Y=2`: every lot that the records have there, once."""
    pairs = [part.partition("=") for part in text.upper().replace(",", " ").split()]
    found = {lot: int(count) for lot, _, count in pairs if count.isascii() and count.isdigit()}
    lots = sorted(each.lot for each in standing)
    if sorted(lot for lot, _, _count in pairs) != lots or len(found) != len(lots):
        raise say.not_lot_by_lot(text, lots)
    return tuple(Counted(each.lot, found[each.lot], each.quantity) for each in standing)


def _count(values: Values, context: ScanContext) -> ActResult:
    thing, found = values["thing"], values["quantity"]
    place, standing = _standing(thing, context)
    if isinstance(found, int) and _mixed(standing):
        return _count_together(place, found, standing, context)
    lots = found if isinstance(found, tuple) else tuple(_counted(each, found) for each in standing)
    said = _said(thing, found)
    if all(each.quantity == each.expected for each in lots):
        sentence = say.agrees(said)
        return ActResult((Act(StockCounted(place, lots, sentence)),), sentence)
    why = _differs(said, lots, found)
    off = [(each.lot, each.expected - each.quantity) for each in lots if each.quantity != each.expected]
    acts, more = investigated(off, why, context)
    content = _confirmed(place, lots, context)
    if isinstance(content, CountConfirmed):
        return _taken_over(content, lots, why, acts, more)
    sentence = say.count_again(why)
    more += content
    return ActResult(
        (Act(StockCounted(place, lots, sentence)), *acts), sentence + more, finding=FindingCode.COUNT_DIFFERS
    )


def _confirmed(place: str, lots: tuple[Counted, ...], context: ScanContext) -> CountConfirmed | str:
    """What follows when the count of a carton repeats that of another person; of other places nothing does."""
    carton = context.queries.carton(place)
    if carton is None or carton.status != CartonStatus.CLOSED:
        return ""
    return confirmed(carton, lots, context)


def _taken_over(
    content: CountConfirmed, lots: tuple[Counted, ...], why: str, acts: tuple[Act, ...], more: str
) -> ActResult:
    """Two people counted the same: the kept counts are now what they counted."""
    sentence = say.taken_over(content)
    agreed = tuple(Counted(each.lot, each.quantity, each.quantity) for each in lots)
    counted = Act(StockCounted(content.carton, agreed, sentence))
    return ActResult((*acts, Act(content, why), counted), sentence + more)


def _counted(each: StockLine, found: int) -> Counted:
    return Counted(each.lot, found, each.quantity)


def _said(thing: str, found: say.Found) -> str:
    if thing.startswith(CodeKind.LOT.value):
        return say.at_press(thing, found)
    if thing.startswith(CodeKind.SPINDLE.value):
        return say.on_spindle(thing, found)
    return say.in_carton(thing, found)


def _differs(said: str, lots: tuple[Counted, ...], found: int | tuple[Counted, ...]) -> str:
    if isinstance(found, tuple):
        return say.differs_by_lot(said, lots)
    return say.differs(said, sorted({each.expected for each in lots}), lots[0].expected - found)


def _count_together(place: str, found: int, standing: list[StockLine], context: ScanContext) -> ActResult:
    """A carton of mixed lots was counted as a whole: the sum is judged, and no lot of it alone."""
    mixed = _mixed(standing)
    single = tuple(_counted(each, found) for each in standing if each.piece not in mixed)
    sums = {piece: sum(each.quantity for each in lots) for piece, lots in mixed.items()}
    expected = sorted({*sums.values(), *(each.expected for each in single)})
    lots = [each.lot for each in standing if each.piece in mixed]
    said = say.in_carton(place, found)
    agrees = expected == [found]
    why = say.differs(said, expected, expected[0] - found)
    sentence = say.agrees_together(said, lots) if agrees else say.differs_together(why, lots)
    counts: list[Act] = [Act(StockCounted(place, single, sentence))] if single else []
    counts += [
        Act(MixedCounted(place, piece, found, tuple(Share(each.lot, each.quantity) for each in of), sentence))
        for piece, of in mixed.items()
    ]
    off: list[tuple[str, int | None]] = [
        (each.lot, each.expected - found) for each in single if each.expected != found
    ]
    off += [(each.lot, None) for piece, of in mixed.items() if sums[piece] != found for each in of]
    acts, more = investigated(off, why, context)
    return ActResult((*counts, *acts), sentence + more, finding=None if agrees else FindingCode.COUNT_DIFFERS)


def _standing(thing: str, context: ScanContext) -> tuple[str, list[StockLine]]:
    if thing.startswith(CodeKind.LOT.value):
        at_press = [each for each in context.queries.standing_at(DiscPlace.COUNTER) if each.lot == thing]
        lot = context.queries.lot(thing)
        assert lot is not None
        return DiscPlace.COUNTER, at_press or [StockLine(thing, lot.part.piece, 0)]
    if thing.startswith(CodeKind.SPINDLE.value):
        return thing, list(context.queries.standing_at(thing))
    return thing, _in_carton(thing, context)


def count_form(role: str) -> Form:
    """Return the act COUNT for stations of a work area."""
    slots = (
        Slot("thing", say.SCAN_WHAT_YOU_COUNTED, _thing),
        Slot("quantity", say.KEY_HOW_MANY, _quantity),
    )
    return Form("COUNT", role, slots, _count)
