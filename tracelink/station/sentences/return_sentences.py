"""What the dock says of cartons and loose discs that come back, until they are stock again or destroyed."""

from collections.abc import Sequence

from tracelink.errors import IdentifierError
from tracelink.ledger.closed_sets import CartonStatus, ReturnStatus
from tracelink.ledger.count_words import counted, few
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Tool
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import Thing

THE_STAMPER_MARK = "the stamper mark"
HOW_MANY_DISCS = "how many discs with this mark"
NUMBER_OF_A_RETURN = "the number of a return"
TYPE_THE_MATRIX_NUMBER = 'Type " and then the matrix number on the disc.'
TYPE_THE_STAMPER_MARK = 'Type " and then the stamper mark beside it.'
KEY_HOW_MANY_DISCS = "Key how many discs carry it, such as #3."
KEY_THE_RETURN = "Key the number of the return, such as #3."
CARTON_OR_RETURN = "a carton label or the number of a return"
SCAN_CARTON_OR_KEY_RETURN = "Scan the carton, or key the number of the return, such as #3."
BADGE_OF_THE_WITNESS = "Scan the badge of the witness."
A_WITNESS = "the badge of a witness"


def foreign_disc(why: IdentifierError, text: str) -> Refused:
    """A matrix number that is not written as the plant writes them."""
    return Refused(
        FindingCode.FOREIGN_DISC, f"{why}. A disc of another plant is not returned here.", subject=text
    )


def nothing_came_back() -> Refused:
    """A return of no disc."""
    return Refused(
        FindingCode.WRONG_COUNT,
        "You keyed 0, and a return has at least 1 disc. Key how many came back.",
        subject="0",
    )


def not_in_quarantine(line: int, status: str) -> Refused:
    """The discs of a return are back in stock or destroyed."""
    return Refused(
        FindingCode.NOT_IN_QUARANTINE,
        f"The discs of return {line} are {status} already.",
        subject=str(line),
        expected=ReturnStatus.QUARANTINE,
        found=status,
    )


def lot_unknown(line: int) -> Refused:
    """Discs of which nobody knows the lot are to be stock again."""
    return Refused(
        FindingCode.LOT_UNKNOWN,
        f"Nobody knows which lot the discs of return {line} are from, so they cannot be stock again. Scan "
        "DESTROY, or leave them in quarantine.",
        subject=str(line),
        expected="discs of one lot",
    )


def loose_destroyed(discs: int, line: int, told: str) -> str:
    """Say how many discs of a return are destroyed, and what follows (`told`)."""
    return f"{counted(discs, 'disc')} of return {line} destroyed before a witness.{told}"


_LEFT = "in a shipment that has left"


def not_shipped(thing: Thing, code: str, standing: Nesting | None) -> Refused:
    """RETURN of a pallet or a carton that has not left."""
    return Refused(
        FindingCode.NOT_SHIPPED,
        f"The system shows {thing.value.lower()} {code} {where(standing)}: it has not left. Check the label before you "
        "book it in.",
        subject=code,
        expected=_LEFT,
    )


def holds_no_discs(carton: str) -> Refused:
    """RETURN of a carton of units with serial labels, or of one that nothing is left in."""
    return Refused(
        FindingCode.CARTON_EMPTY,
        f"The system shows no disc in carton {carton}. Units come back one by one: scan CANCEL, then UNITBACK and the serial "
        "label of each.",
        subject=carton,
        expected="discs",
    )


def back_already(code: str, line: int) -> Refused:
    """RETURN of a carton that is booked back in already."""
    return Refused(
        FindingCode.NOT_SHIPPED,
        f"Carton {code} is booked in already: return {line}, in quarantine. Nothing more to scan for it.",
        subject=code,
        expected=_LEFT,
    )


def carton_back(line: int, code: str, consignee: str, told: str) -> str:
    """Say from whom a carton came back, and what to do about its numbers (`told`)."""
    return f"Return {line}: carton {code} is back from {consignee} and in quarantine.{told}"


def pallet_back_empty(code: str) -> Refused:
    """RETURN of a pallet whose cartons are all back."""
    return Refused(
        FindingCode.PALLET_EMPTY,
        f"Every carton of pallet {code} is booked in already. Scan the cartons that stand on it now.",
        subject=code,
    )


def pallet_back(code: str, first: int, last: int, consignee: str, told: str) -> str:
    """Say from whom a pallet came back, as which returns, and what to do about its numbers (`told`)."""
    cartons = counted(last - first + 1, "carton")
    lines = f"Return {first}" if first == last else f"Returns {first} to {last}"
    return (
        f"{lines}: pallet {code} with {cartons} is back from {consignee} and in quarantine. Check that all of them are "
        f"there; each carton is inspected by itself.{told}"
    )


def not_returned(code: str, status: str) -> Refused:
    """RESTOCK of a carton that did not come back."""
    return Refused(
        FindingCode.NOT_RETURNED,
        f"Carton {code} is {status}; only a returned carton goes back into stock.",
        subject=code,
        expected=CartonStatus.RETURNED,
        found=status,
    )


def restocked(code: str, told: str) -> str:
    """Say that a carton is stock again, and what follows for its numbers (`told`)."""
    return f"Carton {code} is inspected and in stock again.{told}"


def not_to_be_destroyed(code: str, status: str) -> Refused:
    """DESTROY of a carton that is neither returned nor broken."""
    return Refused(
        FindingCode.NOT_TO_BE_DESTROYED,
        f"Carton {code} is {status}; only a returned or a broken carton is destroyed.",
        subject=code,
        expected="returned or broken",
        found=status,
    )


def carton_destroyed(carton: str, discs: int, told: str) -> str:
    """Say that a carton is destroyed, and what follows for its numbers (`told`)."""
    return f"Carton {carton} with {counted(discs, 'disc')} destroyed before a witness.{told}"


_NAMED = 4
"""Lots told to the person; the entry lists all."""


def discs_back(line: int, count: int, matrix: str, of: str) -> str:
    """Say how many discs came back, and of which lot (from `of_lot` or `of_unknown_lot`)."""
    return f"Return {line}: {counted(count, 'disc')} {matrix} {of}, in quarantine."


def mark_unknown(mark: str, matrix: str, stampers: Sequence[str]) -> Refused:
    """What was typed as a stamper mark names no stamper."""
    expected = few(stampers, _NAMED)
    told = (
        f"Stampers with {matrix}: {expected}."
        if stampers
        else f"No stamper has {matrix}: read that again too."
    )
    return Refused(
        FindingCode.MARK_UNKNOWN,
        f'"{mark}" is not a stamper of this plant. {told} If the mark cannot be read, scan CANCEL, then RETURNNOMARK.',
        subject=mark,
        expected=expected,
        found=mark,
    )


def mark_of_another(tool: Tool, matrix: str) -> Refused:
    """The stamper mark is of a stamper with another matrix number."""
    return Refused(
        FindingCode.WRONG_MATRIX,
        f"Stamper {tool.code} has {tool.matrix}, and you typed {matrix}. Read both on the same side of the disc; to "
        "type the matrix number again scan CANCEL.",
        subject=tool.code,
        expected=matrix,
        found=tool.matrix,
    )


def of_lot(lot: str) -> str:
    """Say of which lot discs are."""
    return f"of lot {lot}"


def of_unknown_lot(lots: Sequence[str]) -> str:
    """Say of which lots discs may be."""
    fit = f"{counted(len(lots), 'shipped lot')} {'fits' if len(lots) == 1 else 'fit'}"
    named = f": {few(lots, _NAMED)}" if lots else ""
    return f"of an unknown lot ({fit}{named})"


def only_so_many_sent(sent: int, lot: str) -> str:
    """Say that more discs came back than left, to add to another sentence."""
    return f" The system shows only {sent} of lot {lot} with customers. Count again and tell quality."


def no_loose_return(line: int, carton: str | None) -> Refused:
    """A number of no return, or of the return of a carton."""
    what = "is not in the system" if carton is None else f"is carton {carton}; scan its label"
    return Refused(FindingCode.UNKNOWN_CODE, f"Return {line} {what}.", subject=str(line))


def restocked_loose(discs: int, line: int, spindle: str, told: str) -> str:
    """Say that discs of a return may be packed again, and what follows for their numbers (`told`)."""
    verb = "is" if discs == 1 else "are"
    return (
        f"{counted(discs, 'disc')} of return {line} {verb} inspected and on spindle {spindle}, "
        f"to be packed again.{told}"
    )
