"""Numbers of sleeves that came back: scanned one by one, restocked or destroyed with their discs.

A sleeve of a numbered edition that is scanned at the dock while no act is open belongs to the return of its carton,
or, if its carton has not come back, to the latest return of loose discs of that product. A number is known from
where it was packed, so one that was destroyed, or that sits in a carton it was never packed into, is a finding.
"""

from tracelink.identity.reading import SleeveRead
from tracelink.ledger.closed_sets import NumberState, ShipmentStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, numbered_label
from tracelink.ledger.kinds.returned_numbers import NumberCameBack, NumbersDestroyed, NumbersRestocked
from tracelink.station.common.forms import ActResult, ScanContext
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Product
from tracelink.station.common.queries_dock import ReturnLine
from tracelink.station.dock import rules
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import counted


def prompt(gtin: str, context: ScanContext) -> str:
    """Return what to do about the numbers of what came back; empty for an edition without numbers."""
    product = context.queries.product(gtin)
    return " It is a numbered edition: scan each sleeve now." if product and product.numbered else ""


def came_back(read: SleeveRead, context: ScanContext) -> ActResult:
    """Book the number of a returned sleeve."""
    gtin, serial = read.gtin.gtin13, read.serial
    product = context.queries.product(gtin)
    if product is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Sleeve {gtin} is not in the system.", subject=gtin)
    if not product.numbered or serial is None:
        what = "scan its number label, not the barcode" if product.numbered else "its edition has no numbers"
        raise Refused(
            FindingCode.NO_NUMBER,
            f"Only the numbers of returned sleeves are scanned here; {what}.",
            subject=gtin,
        )
    line, carton = _line(product, serial, context)
    back = context.queries.numbers_back(line.number)
    if serial in back:
        raise Refused(
            FindingCode.DUPLICATE_NUMBER,
            f"Sleeve number {serial} was scanned for return {line.number} already. If there are two sleeves with this number, put "
            "both aside for quality.",
            subject=numbered_label(gtin, serial),
            expected="a number not scanned yet",
            found=serial,
        )
    units = line.discs // product.discs if line.carton else line.discs
    sentence = f'Return {line.number}: number {serial} of "{product.title}" is back.'
    count = f"{len(back) + 1} of {units} numbers"
    return ActResult((Act(NumberCameBack(line.number, gtin, serial, carton)),), sentence, count)


def _line(product: Product, serial: str, context: ScanContext) -> tuple[ReturnLine, str]:
    """Return the return that a sleeve belongs to and the carton that it left in, or refuse it."""
    label = numbered_label(product.gtin, serial)
    use = context.queries.number_use(product.gtin, serial)
    if use is None:
        raise Refused(
            FindingCode.WRONG_NUMBER,
            f'Number {serial} of "{product.title}" was never packed. Put the sleeve aside for quality.',
            subject=label,
            expected="a number that was packed",
            found=serial,
        )
    if use.destroyed:
        raise Refused(
            FindingCode.DESTROYED_NUMBER,
            f'Number {serial} of "{product.title}" was destroyed, the system shows. Put the sleeve aside for '
            "quality.",
            subject=label,
            expected=NumberState.DESTROYED,
            found=serial,
        )
    line = context.queries.return_of(use.carton)
    if line is not None:
        return line, use.carton
    loose = context.queries.loose_line(product.gtin)
    if loose is None or not _left(use.carton, context):
        raise Refused(
            FindingCode.WRONG_CARTON,
            f'The system shows number {serial} of "{product.title}" in carton {use.carton}, '
            f"{where(context.queries.standing(use.carton))}. Put the sleeve aside for quality, or scan RETURN or "
            "RETURNLOOSE first.",
            subject=label,
            expected=use.carton,
            found=serial,
        )
    found = context.queries.return_line(loose)
    assert found is not None
    return found, use.carton


def _left(carton: str, context: ScanContext) -> bool:
    outer = rules.shipment_of(carton, context)
    return outer is not None and context.queries.shipment_status(outer.parent) == ShipmentStatus.SHIPPED


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
    return f" Numbers scanned: {scanned} of {units}." if missing else ""


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
        return (), " None of its numbers was scanned."
    body: EntryBody = NumbersDestroyed(None if line is None else line.number, gtin, serials, unscanned)
    more = f", {len(unscanned)} of them not scanned" if unscanned else ""
    return (Act(body),), f" {counted(len(serials), 'number')} destroyed with it{more}."
