"""A code as a person gives it on the command line, as the code that the records use."""

from shlex import quote

from tracelink.errors import InvalidFormat, UsageError
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.reading import DiscRead, LogisticRead, PlantRead, SleeveRead, read_scan
from tracelink.store.records.sql_records import SqlRecords

_LENGTHS_OF_GTIN = (8, 12, 13, 14)


def resolve(records: SqlRecords, given: str) -> str:
    """Return the code to look up.

    Args:
        records: to find the carton of a numbered sleeve.
        given: a plant code, an SSCC of 18 digits, (01)GTIN(21)number, or a raw scan with its symbology
            identifier.

    Raises:
        IdentifierError: it is of another form, or its check character is wrong.
        UsageError: it is the number or a scan of a product, which has no history of its own.
    """
    text = given.strip()
    if text.startswith("]"):
        return _scanned(records, text)
    if text.startswith("(01)"):
        gtin, _, number = text[4:].partition("(21)")
        return _carton_of(records, gtin.removeprefix("0"), number, text)
    if text.isdigit():
        if len(text) in _LENGTHS_OF_GTIN:
            raise UsageError(_product(text))
        return str(Sscc.parse(text))
    try:
        return PlantCode.parse(text.upper()).text
    except InvalidFormat as problem:
        problem.add_note(f"If it is a name, a matrix text or part of a code: runout search {quote(text)}")
        raise


def resolve_thing(records: SqlRecords, given: str) -> str:
    """Return the code to look up of something that was made or handled; arguments as `resolve`.

    Raises:
        IdentifierError: as `resolve`.
        UsageError: as `resolve`; or it is a hold or a case, which other commands show.
    """
    code = resolve(records, given)
    kind = None if code.isdigit() else PlantCode.parse(code).kind
    if kind is CodeKind.HOLD:
        raise UsageError(f"{code} is a hold: runout hold lists what each hold names, and why")
    if kind is CodeKind.CASE:
        raise UsageError(
            f"{code} is a containment case: runout case status {code} shows how far it is, runout contain --again "
            f"{code} asks its question again"
        )
    return code


def _scanned(records: SqlRecords, raw: str) -> str:
    reading = read_scan(raw)
    if isinstance(reading, PlantRead):
        return reading.code.text
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return str(reading.sscc)
    if isinstance(reading, SleeveRead) and reading.serial is not None:
        return _carton_of(records, reading.gtin.gtin13, reading.serial, raw)
    raise UsageError(_product(reading.gtin.gtin13 if isinstance(reading, SleeveRead | DiscRead) else raw))


def _product(shown: str) -> str:
    return (
        f"{shown!r} names a product, not one thing: give a lot, tool, spindle, carton, pallet or numbered sleeve; "
        f"runout search {quote(shown)} finds the lots of a product"
    )


def _carton_of(records: SqlRecords, gtin: str, number: str, shown: str) -> str:
    carton = records.carton_of_number(gtin, number)
    if carton is None:
        raise UsageError(f"according to the records, no sleeve {shown!r} has been packed")
    return carton
