"""What the dock says of the numbers of sleeves that come back."""

from tracelink.ledger.closed_sets import NumberState
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.sentences.common_sentences import where


def scanned_before(serial: str, line: int, label: str) -> Refused:
    """A number that was scanned for this return."""
    return Refused(
        FindingCode.DUPLICATE_NUMBER,
        f"Sleeve number {serial} was scanned for return {line} already. If there are two sleeves with "
        "this number, put both aside for quality.",
        subject=label,
        expected="a number not scanned yet",
        found=serial,
    )


def number_back(line: int, serial: str, title: str) -> str:
    """Say which number came back."""
    return f'Return {line}: number {serial} of "{title}" is back.'


def numbers_so_far(back: int, units: int) -> str:
    """Say how many numbers came back."""
    return f"{back} of {units} numbers"


def never_packed(serial: str, title: str, label: str) -> Refused:
    """A number that was never packed."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f'Number {serial} of "{title}" was never packed. Put the sleeve aside for quality.',
        subject=label,
        expected="a number that was packed",
        found=serial,
    )


def number_lost(serial: str, title: str, carton: str, subject: str) -> Refused:
    """A number that was missing from its carton came back."""
    return Refused(
        FindingCode.LOST_NUMBER,
        f'The system shows number {serial} of "{title}" as lost from carton {carton}. Put the sleeve aside for quality.',
        subject=subject,
        expected="a number that was sent",
        found=serial,
    )


def number_destroyed(serial: str, title: str, label: str) -> Refused:
    """A number whose sleeve was destroyed."""
    return Refused(
        FindingCode.DESTROYED_NUMBER,
        f'The system shows number {serial} of "{title}" as destroyed. Put the sleeve aside for quality.',
        subject=label,
        expected=NumberState.DESTROYED,
        found=serial,
    )


def in_carton(serial: str, title: str, carton: str, standing: Nesting | None, label: str) -> Refused:
    """A number that sits in a carton which is not back."""
    return Refused(
        FindingCode.WRONG_CARTON,
        f'The system shows number {serial} of "{title}" in carton {carton}, {where(standing)}. Put the '
        "sleeve aside for quality, or scan RETURN or RETURNLOOSE first.",
        subject=label,
        expected=carton,
        found=serial,
    )


SCAN_EACH_SLEEVE = " It is a numbered edition: scan each sleeve now."
NONE_SCANNED = " None of its numbers was scanned."
"""To add to another sentence."""


def only_numbers_here(gtin: str, *, numbered: bool) -> Refused:
    """A sleeve without a number, or of an edition without numbers, is scanned at the dock."""
    what = "scan the number label, not the barcode" if numbered else "this edition has no numbers"
    return Refused(
        FindingCode.NO_NUMBER, f"Only the numbers of returned sleeves are scanned here; {what}.", subject=gtin
    )


def numbers_scanned(scanned: int, units: int) -> str:
    """Say how many numbers were scanned, to add to another sentence."""
    return f" Numbers scanned: {scanned} of {units}."


def destroyed_with_it(numbers: int, unscanned: int) -> str:
    """Say how many numbers are destroyed, and how many of them nobody scanned, to add to another sentence."""
    more = f", {unscanned} of them not scanned" if unscanned else ""
    return f" {counted(numbers, 'number')} destroyed with it{more}."
