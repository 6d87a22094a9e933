"""Numbers of sleeves that came back: scanned one by one, restocked or destroyed with their discs.

A sleeve of a numbered edition that is scanned at the dock while no act is open belongs to the return of its carton,
or, if its carton has not come back, to the latest return of loose discs of that product. A number is known from
where it was packed, so one that was destroyed, or that sits in a carton it was never packed into, is a finding.
"""

from collections.abc import Iterable

from tracelink.identity.reading import SleeveRead
from tracelink.ledger.kinds.base import EntryBody, numbered_label
from tracelink.ledger.kinds.returned_numbers import NumberCameBack, NumbersDestroyed, NumbersRestocked
from tracelink.station.common.forms import ActResult, ScanContext
from tracelink.station.common.nesting import has_left
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_dock import ReturnLine
from tracelink.station.common.station_facts import Product
from tracelink.station.sentences import returned_number_sentences as say
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def prompt(gtins: Iterable[str], context: ScanContext) -> str:
    """Return what to do about the numbers of what came back; empty for editions without numbers."""
    products = [context.queries.product(gtin) for gtin in gtins]
    return say.SCAN_EACH_SLEEVE if any(each is not None and each.numbered for each in products) else ""


def came_back(read: SleeveRead, context: ScanContext) -> ActResult:
    """Book the number of a returned sleeve."""
    gtin, serial = read.gtin.gtin13, read.serial
    product = context.queries.product(gtin)
    if product is None:
        raise unknown(Thing.SLEEVE, gtin)
    if not product.numbered or serial is None:
        raise say.only_numbers_here(gtin, numbered=product.numbered)
    line, carton = _line(product, serial, context)
    back = context.queries.numbers_back(line.number)
    if serial in back:
        raise say.scanned_before(serial, line.number, numbered_label(gtin, serial))
    units = line.discs // product.discs if line.carton else line.discs
    sentence = say.number_back(line.number, serial, product.title)
    count = say.numbers_so_far(len(back) + 1, units)
    return ActResult((Act(NumberCameBack(line.number, gtin, serial, carton)),), sentence, count)


def _line(product: Product, serial: str, context: ScanContext) -> tuple[ReturnLine, str]:
    """Return the return that a sleeve belongs to and the carton that it left in, or refuse it."""
    label = numbered_label(product.gtin, serial)
    use = context.queries.number_use(product.gtin, serial)
    if use is None:
        raise say.never_packed(serial, product.title, label)
    if use.destroyed:
        raise say.number_destroyed(serial, product.title, label)
    if use.lost:
        raise say.number_lost(serial, product.title, use.carton, label)
    line = context.queries.return_of(use.carton)
    if line is not None:
        return line, use.carton
    loose = context.queries.loose_line(product.gtin)
    if loose is None or not has_left(use.carton, context):
        raise say.in_carton(serial, product.title, use.carton, context.queries.standing(use.carton), label)
    found = context.queries.return_line(loose)
    assert found is not None
    return found, use.carton


def restocked(line: ReturnLine, gtin: str, context: ScanContext) -> tuple[tuple[Act, ...], str]:
    """Return what follows for the numbers of a return that becomes stock again."""
    serials = tuple(context.queries.numbers_back(line.number))
    product = context.queries.product(gtin)
    if not serials or product is None:
        return (), prompt_missing(gtin, 0, line, context)
    body = NumbersRestocked(line.number, gtin, serials, free=line.carton is None)
    return (Act(body),), prompt_missing(gtin, len(serials), line, context)


def prompt_missing(gtin: str, scanned: int, line: ReturnLine, context: ScanContext) -> str:
    """Say how many numbers of a numbered edition were not scanned."""
    product = context.queries.product(gtin)
    if product is None or not product.numbered:
        return ""
    units = line.discs // product.discs if line.carton else line.discs
    missing = units - scanned
    return say.numbers_scanned(scanned, units) if missing else ""


def destroyed(
    carton: str | None, line: ReturnLine | None, gtin: str, context: ScanContext
) -> tuple[tuple[Act, ...], str]:
    """Return what follows for the numbers of what is destroyed: those scanned, and those in the carton by the records."""
    product = context.queries.product(gtin)
    if product is None or not product.numbered:
        return (), ""
    scanned = () if line is None else tuple(context.queries.numbers_back(line.number))
    recorded = () if carton is None else context.queries.carton_content(carton).numbers
    unscanned = tuple(number for number in recorded if number not in scanned)
    serials = (*scanned, *unscanned)
    if not serials:
        return (), say.NONE_SCANNED
    body: EntryBody = NumbersDestroyed(None if line is None else line.number, gtin, serials, unscanned)
    return (Act(body),), say.destroyed_with_it(len(serials), len(unscanned))
