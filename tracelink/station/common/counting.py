"""Counting by hand, at any station that works by acts: scan the thing, key how many there are.

A count changes no kept count. When it disagrees it is a finding at once, the lot is under investigation, and the
difference stays in the lot's balance with its sign until a later count of the same place says otherwise. Discs of
several lots that were counted together are judged by their sum; which lot is short is left open.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading, TextKeyed
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.balance import Counted, MixedCounted, Share, StockCounted
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values, misplaced, number
from tracelink.station.common.investigate import investigated
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.queries_balance import StockLine

_ASKED = "a spindle card, a carton label or a lot card"


def _thing(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The code of what is counted: a spindle, a carton, or a lot's discs that lie at its press."""
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return _carton(str(reading.sscc), context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        code = reading.code.text
        if context.queries.spindle(code) is None:
            raise Refused(
                FindingCode.UNKNOWN_CODE, f"Spindle card {code} is not in the system.", subject=code
            )
        return code
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.LOT:
        code = reading.code.text
        lot = context.queries.lot(code)
        if lot is None:
            raise Refused(FindingCode.UNKNOWN_CODE, f"Lot card {code} is not in the system.", subject=code)
        if lot.segment is None:
            raise Refused(
                FindingCode.NOT_PRESSED, f"Lot {code} is {lot.status}; it has no discs yet.", subject=code
            )
        return code
    raise misplaced(reading, _ASKED)


def _in_carton(code: str, context: ScanContext) -> list[StockLine]:
    return [each for each in context.queries.standing_at(code) if each.quantity > 0]


def _carton(code: str, context: ScanContext) -> str:
    carton = context.queries.carton(code)
    if carton is None:
        what = context.queries.sscc_issued_for(code)
        if what == "pallet":
            raise Refused(
                FindingCode.WRONG_THING,
                f"{code} is a pallet label. Count its cartons one by one.",
                subject=code,
                expected="a carton label",
                found="a pallet label",
            )
        raise Refused(FindingCode.UNKNOWN_CODE, f"Carton {code} has not been packed.", subject=code)
    if carton.status == CartonStatus.OPEN:
        raise Refused(
            FindingCode.CARTON_OPEN,
            f"Carton {code} is still open at its line; count it when it is closed.",
            subject=code,
        )
    standing = _in_carton(code, context)
    if not standing:
        raise Refused(FindingCode.CARTON_EMPTY, f"The system shows carton {code} as empty.", subject=code)
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
    found = number(reading, "how many there are")
    _refuse_reading(values["thing"], found, context)
    return found


def _refuse_reading(thing: str, found: int, context: ScanContext) -> None:
    """Refuse what the press counter reads: it is keyed by whoever took "count" for "counter"."""
    lot = context.queries.lot(thing) if thing.startswith(CodeKind.LOT.value) else None
    if lot is None or found != lot.counter:
        return
    expected = sum(each.quantity for each in _standing(thing, context)[1])
    if found != expected:
        raise Refused(
            FindingCode.WRONG_COUNT,
            f"{found} is the counter reading of {thing}. Key how many discs lie at the press without a spindle.",
            subject=thing,
            expected=str(expected),
            found=str(found),
        )


def _lot_by_lot(text: str, standing: list[StockLine]) -> tuple[Counted, ...]:
    """Read `L000012X=3 L000059Y=2`: every lot that the records have there, once."""
    pairs = [part.partition("=") for part in text.upper().replace(",", " ").split()]
    found = {lot: int(count) for lot, _, count in pairs if count.isascii() and count.isdigit()}
    lots = sorted(each.lot for each in standing)
    if sorted(lot for lot, _, _count in pairs) != lots or len(found) != len(lots):
        wanted = " ".join(f"{lot}=..." for lot in lots)
        raise Refused(
            FindingCode.WRONG_COUNT,
            f'"{text}" is not a count by lot. Key one number for all, or type the count of each lot: "{wanted}".',
            subject=text,
            expected=wanted,
            found=text,
        )
    return tuple(Counted(each.lot, found[each.lot], each.quantity) for each in standing)


def _count(values: Values, context: ScanContext) -> ActResult:
    thing, found = values["thing"], values["quantity"]
    place, standing = _standing(thing, context)
    if isinstance(found, int) and _mixed(standing):
        return _count_together(place, found, standing, context)
    lots = found if isinstance(found, tuple) else tuple(_counted(each, found) for each in standing)
    name, unit = _named(thing)
    told = (
        counted(found, unit)
        if isinstance(found, int)
        else ", ".join(f"{each.quantity} of {each.lot}" for each in lots)
    )
    if all(each.quantity == each.expected for each in lots):
        sentence = f"{name} {told}, as the system shows."
        return ActResult((Act(StockCounted(place, lots, sentence)),), sentence)
    why = f"{name} {told}; the system shows {_wanted(lots, found)}"
    sentence = f"{why}. Count again; tell quality."
    off = [(each.lot, each.expected - each.quantity) for each in lots if each.quantity != each.expected]
    acts, more = investigated(off, why, context)
    return ActResult(
        (Act(StockCounted(place, lots, sentence)), *acts), sentence + more, finding=FindingCode.COUNT_DIFFERS
    )


def _counted(each: StockLine, found: int) -> Counted:
    return Counted(each.lot, found, each.quantity)


def _wanted(lots: tuple[Counted, ...], found: int | tuple[Counted, ...]) -> str:
    if isinstance(found, tuple):
        return ", ".join(f"{each.expected} of {each.lot}" for each in lots)
    expected = ", ".join(str(number) for number in sorted({each.expected for each in lots}))
    return f"{expected}: {_off(lots[0].expected - found)}"


def _off(missing: int) -> str:
    return f"{abs(missing)} {'missing' if missing > 0 else 'too many'}"


def _count_together(place: str, found: int, standing: list[StockLine], context: ScanContext) -> ActResult:
    """A carton of mixed lots was counted as a whole: the sum is judged, and no lot of it alone."""
    mixed = _mixed(standing)
    single = tuple(_counted(each, found) for each in standing if each.piece not in mixed)
    sums = {piece: sum(each.quantity for each in lots) for piece, lots in mixed.items()}
    expected = sorted({*sums.values(), *(each.expected for each in single)})
    lots = " and ".join(each.lot for each in standing if each.piece in mixed)
    said = f"Carton {place} holds {counted(found, 'unit')}"
    agrees = expected == [found]
    why = f"{said}; the system shows {', '.join(map(str, expected))}: {_off(expected[0] - found)}"
    if agrees:
        sentence = f"{said}, as the system shows. How many are of {lots} was not counted."
    else:
        sentence = f"{why}. Which of {lots} is off cannot be told. Count again; tell quality."
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


def _named(thing: str) -> tuple[str, str]:
    if thing.startswith(CodeKind.LOT.value):
        return f"At the press, without a spindle, lot {thing} has", "disc"
    if thing.startswith(CodeKind.SPINDLE.value):
        return f"Spindle {thing} holds", "disc"
    return f"Carton {thing} holds", "unit"


def count_form(role: str) -> Form:
    """Return the act COUNT for stations of a work area."""
    slots = (
        Slot(
            "thing",
            "Scan what you counted: spindle, carton, or the lot card for discs at the press without a spindle.",
            _thing,
        ),
        Slot(
            "quantity",
            'Key how many there are, such as #40; of a mixed carton, lot by lot if you can: "L000001S=3 L000005K=2.',
            _quantity,
        ),
    )
    return Form("COUNT", role, slots, _count)
