"""NUMBERS: the numbered sleeves that are in a carton counted short, scanned one by one.

Of a numbered edition a count cannot say what is missing. So the second person does not count again but scans every
sleeve that is there, as many as the first counted: which are missing is known then, they are lost, and what was scanned
is the content. The investigation that the count opened bars the carton as long as it is open, as after any count.
"""

from collections.abc import Sequence

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import CartonStatus
from tracelink.ledger.kinds.balance import CountConfirmed, Counted, NumbersLost, StockCounted
from tracelink.station.common.count_doubt import differing, units_missing
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.missing_units import MissingUnits, missing_units
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_balance import CartonCount
from tracelink.station.common.slots import one_of_numbers
from tracelink.station.common.station_facts import Carton
from tracelink.station.dock import rules
from tracelink.station.sentences import counting_sentences as say
from tracelink.station.sentences import dock_sentences

_SLEEVE = "sleeve_"
"""How the slots of the sleeves begin, with a number from 1 behind it."""


def _carton(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    carton = rules.known_carton(code, context)
    if carton.status not in (CartonStatus.CLOSED, CartonStatus.BROKEN):
        raise dock_sentences.not_stock(carton)
    product = context.queries.product(carton.gtin)
    assert product is not None
    if not product.numbered:
        raise say.no_numbers(code, product.title)
    counts = differing(context.queries.carton_counts(code))
    if not counts:
        raise say.nothing_missing(code)
    if any(context.person.is_badge_of(each.person) for each in counts):
        raise say.another_person_scans(code, context.person.name)
    _lost(carton, counts, context)
    return code


def _lost(carton: Carton, counts: Sequence[CartonCount], context: ScanContext) -> MissingUnits:
    """Return what is missing beside the numbers, or refuse a carton of which the count does not tell it."""
    by_lot = {} if any(each.together for each in counts) else {each.lot: each.missing for each in counts}
    by_lot = {lot: discs for lot, discs in by_lot.items() if discs}
    lost, what = missing_units(carton, by_lot, context, numbers_known=True)
    if lost is None or units_missing(counts) is None:
        raise say.not_to_be_told(carton.sscc, what)
    return lost


def _scanned(values: Values) -> list[str]:
    return [number for name, number in values.items() if name.startswith(_SLEEVE)]


def _there(code: str, context: ScanContext) -> int:
    """Return how many units are in a carton by its last count."""
    missing = units_missing(differing(context.queries.carton_counts(code)))
    return rules.known_carton(code, context).units - (missing or 0)


def _next_sleeve(values: Values, context: ScanContext) -> Slot | None:
    code, done = values["carton"], len(_scanned(values))
    there = _there(code, context)
    if done >= there:
        return None
    return Slot(f"{_SLEEVE}{done + 1}", say.scan_each_sleeve(done, there), _sleeve)


def _sleeve(reading: Reading, values: Values, context: ScanContext) -> str:
    content = context.queries.carton_content(values["carton"])
    number = one_of_numbers(reading, content)
    if number in _scanned(values):
        raise say.sleeve_scanned_before(number, len(_scanned(values)), _there(values["carton"], context))
    return number


def _finish(values: Values, context: ScanContext) -> ActResult:
    carton = rules.known_carton(values["carton"], context)
    counts = differing(context.queries.carton_counts(carton.sscc))
    lost = _lost(carton, counts, context)
    there = _there(carton.sscc, context)
    scanned = _scanned(values)
    numbers = context.queries.carton_content(carton.sscc).numbers
    missing = tuple(number for number in numbers if number not in scanned)
    first = next(each.person for each in counts if each.person is not None)
    content = CountConfirmed(carton.sscc, carton.units, there, first, lost.moves, lost.batch, lost.items)
    sentence = say.numbers_known(content, missing)
    standing = context.queries.standing_at(carton.sscc)
    gone = {move.lot: move.quantity for move in lost.moves}
    lots = tuple(
        Counted(each.lot, each.quantity - gone.get(each.lot, 0), each.quantity - gone.get(each.lot, 0))
        for each in standing
        if each.quantity > 0
    )
    acts = (
        Act(content, sentence),
        Act(NumbersLost(carton.sscc, carton.gtin, missing)),
        Act(StockCounted(carton.sscc, lots, sentence)),
    )
    return ActResult(acts, sentence)


FORM = Form(
    "NUMBERS", "dock", (Slot("carton", dock_sentences.SCAN_THE_CARTON, _carton),), _finish, more=_next_sleeve
)
