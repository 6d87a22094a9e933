"""What the assembly stations say of finished units that are packed."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import Bill, BillLine, PieceFact
from tracelink.station.common.outcome import Refused

A_NEW_CARTON_LABEL = "a carton label"
A_UNIT_OR_THE_CARTON = "a serial label, or the carton label once more"
SCAN_THE_CARTON_LABEL = "Scan the label of the carton."
SCAN_A_UNIT = "Scan the serial label of a unit, or the carton label once more when it is done."


def not_sold(piece: PieceFact, bill: Bill) -> Refused:
    """A piece is packed that is no product."""
    return Refused(
        FindingCode.NOT_A_PRODUCT,
        f"{piece.code} is {bill.part}, {bill.what}, which is not sold by itself. Scan a finished unit.",
        subject=piece.code,
    )


def another_product(piece: PieceFact, gtin: str, expected: str) -> Refused:
    """Units of two products are packed into one carton."""
    return Refused(
        FindingCode.WRONG_TITLE_CARTON,
        f"{piece.code} is product {gtin}; this carton has {expected}. Put it into a carton of its own kind.",
        subject=piece.code,
        expected=expected,
        found=gtin,
    )


def carton_known(sscc: str) -> Refused:
    """The label of a new carton is on another one."""
    return Refused(
        FindingCode.LABEL_IN_USE, f"Carton {sscc} is in the system already. Take a new label.", subject=sscc
    )


def not_issued(sscc: str) -> Refused:
    """A label that this plant did not issue for cartons."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Carton label {sscc} was not issued here. Take a carton label of this plant.",
        subject=sscc,
    )


def nothing_packed(sscc: str) -> Refused:
    """A carton is closed with nothing in it."""
    return Refused(FindingCode.CARTON_EMPTY, f"Nothing is in carton {sscc} yet. {SCAN_A_UNIT}", subject=sscc)


def scan_more(packed: int, size: int | None) -> str:
    """Say how far a carton is."""
    told = "" if size is None else f" of {size}"
    return f"{packed}{told} in the carton. " if packed else ""


def packed(sscc: str, units: int) -> str:
    """Say that a carton is closed."""
    return f"Carton {sscc} closed with {counted(units, 'unit')}."


def scan_beside(unit: str, missing: Sequence[tuple[BillLine, int]]) -> str:
    """Ask for what is packed with a unit."""
    listed = "; ".join(
        f"{number} of {line.part} revision {line.revision}, {line.what}" for line, number in missing
    )
    return f"Scan what is packed with {unit}: {listed}."
