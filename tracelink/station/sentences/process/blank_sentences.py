"""What the tool room says of blanks: which disc and side one is to be, and whether it may be cut."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_process import Blank
from tracelink.station.common.station_facts import PartFact

THE_BARCODE = "the barcode of the product"
WHICH_DISC = "which disc of the set"
NUMBER_OF_THE_BLANK = "the number of the blank"
GOOD_OR_FAULT = "good, or what is wrong with the blank"
SCAN_THE_BARCODE = "Scan the barcode of the product."
KEY_THE_DISC = "Key which disc of the set, such as #1."
TYPE_THE_BLANK = 'Type " and then the number of the blank.'
TYPE_GOOD_OR_FAULT = 'Type " and then good, or what is wrong with the blank.'


def no_such_product(gtin: str) -> Refused:
    """A barcode of no product of this plant."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Product {gtin} is not in the system. Scan the barcode of a planned product.",
        subject=gtin,
    )


def no_such_disc(piece: int, discs: int) -> Refused:
    """A set has fewer discs."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"The product has discs 1 to {discs}; you keyed {piece}. Key which disc of the set.",
        subject=str(piece),
        expected=f"1 to {discs}",
        found=str(piece),
    )


def inspected(tool: str, part: PartFact, side: str, fault: str | None) -> str:
    """Say what a blank is to be, or that it may not be cut."""
    if fault is not None:
        return f"Blank {tool} is bad: {fault}. Put it aside; it may not be cut."
    return f"Blank {tool} is good. Cut {part.matrix(side)}: {part.name} side {side}."


def blank_is_bad(blank: Blank) -> Refused:
    """A blank that was found bad is to be cut."""
    return Refused(
        FindingCode.BLANK_BAD,
        f"Blank {blank.tool} was found bad: {blank.fault}. Put it aside and take another.",
        subject=blank.tool,
    )


def cut_wrong(blank: Blank, matrix: str) -> Refused:
    """Another matrix number was cut than the blank was for."""
    return Refused(
        FindingCode.WRONG_MATRIX,
        f"Blank {blank.tool} was to be {blank.matrix}; you typed {matrix}. Read it again; if it was cut so, scan CANCEL, "
        "put it aside and tell quality.",
        subject=blank.tool,
        expected=blank.matrix,
        found=matrix,
    )


def went_in(step: str, process: str, tool: str) -> str:
    """Say that a blank is in a step, such as cutting."""
    return f"Blank {tool} is in step {step}, {process}."


def about_blank(blank: Blank) -> str:
    """Say what the system knows of a blank that is not cut yet."""
    state = "good, not cut yet" if blank.fault is None else f"bad: {blank.fault}"
    return f"Blank {blank.tool}, number {blank.blank}, for {blank.matrix}: {state}."
