"""What a packing line says when a code does not read, is typed, or its disc is scrapped."""

from collections.abc import Sequence

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import PutAside, Refused
from tracelink.station.common.station_facts import PartFact

TYPE_SIDE_B = 'Type " and then the matrix number of side B.'
TYPE_THE_ITEM = 'Type " and then the code of the item.'
SECOND_COMPARES = "A second person compares piece and text and scans a badge."
TYPE_THE_SLEEVE_NUMBER = 'Type " and then the number of the sleeve.'
TYPE_THE_BARCODE = 'Type " and then the 13 digits under the barcode.'
THE_CODE = "the code"


def scan_first(what: str, wanted: int, tried: int) -> Refused:
    """A code is to be typed that was not tried twice."""
    return Refused(
        FindingCode.READ_FIRST,
        f"Scan the {what} first. After two NOREADs you may type its code.",
        subject="MANUAL",
        expected=f"NOREAD {wanted} times",
        found=str(tried),
    )


def type_side_a(example: str) -> str:
    """Ask for the matrix number of side A."""
    return f'Type " and then the matrix number of side A, such as "{example}.'


def goes_to_scrap(spindle: str) -> str:
    """Say from which spindle a disc is scrapped."""
    return f"One disc of spindle {spindle} goes to scrap."


def no_disc_in_hand() -> Refused:
    """REJECT without a disc."""
    return Refused(
        FindingCode.NO_DISC,
        "No disc is in hand. Scan the disc to scrap; if it will not read, scan NOREAD first.",
        subject="REJECT",
        expected="a disc",
    )


def no_spindle_open() -> Refused:
    """REJECT without a spindle."""
    return Refused(FindingCode.NO_SPINDLE, "No spindle is open to reject a disc from.", subject="REJECT")


def spindle_empty(spindle: str) -> Refused:
    """The spindle has no disc left by the records."""
    return Refused(
        FindingCode.SPINDLE_EMPTY,
        f"The system shows spindle {spindle} as empty. Check the spindle card.",
        subject=spindle,
    )


def wrong_matrix(keyed: Sequence[str], part: PartFact) -> Refused:
    """No disc of the product has the matrix numbers of sides A and B that were typed."""
    return Refused(
        FindingCode.WRONG_MATRIX,
        f"No disc of this product has matrix {keyed[0]} and {keyed[1]}; {part.name} has {part.matrix_a} and "
        f"{part.matrix_b}.",
        subject=" and ".join(keyed),
        expected=f"{part.matrix_a} and {part.matrix_b}",
        found=" and ".join(keyed),
        aside=PutAside("it"),
    )
