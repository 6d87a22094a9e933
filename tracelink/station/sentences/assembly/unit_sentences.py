"""What the assembly stations say of built pieces: what is joined into them, their tests and rework."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.parts.part_sets import PieceStatus, TakenOutTo
from tracelink.station.common.assembly.queries_assembly import BillLine, InPiece, PieceFact
from tracelink.station.common.outcome import Refused

A_SERIAL_LABEL = "a serial label"
A_PART_TO_JOIN = "a serial label or a reel label"
THE_PROGRAMME = "name and version of the test programme"
THE_SYMPTOM = "what it does wrong"
THE_POSITION = "where the fault is"
WHAT_IS_TAKEN_OUT = "a serial label, a reel label or a part number"
WHERE_IT_GOES = "scrap, supplier or retest"
A_CARD_OF_THE_HALL = "an action card, part lot, reel, build order, slot or serial label"
SCAN_THE_UNIT = "Scan the serial label of the unit."
SCAN_THE_PIECE = "Scan the serial label of the piece."
TYPE_THE_PROGRAMME = 'Type " and then name and version of the test programme, such as "final 2.1.'
TYPE_THE_SYMPTOM = 'Type " and then what it does wrong.'
TYPE_THE_POSITION = 'Type " and then where the fault is, such as "C12, or "- if nobody knows.'
SCAN_WHAT_IS_TAKEN_OUT = 'Scan what is taken out, or type " and then its part number.'
TYPE_WHERE_IT_GOES = 'Type " and then where it goes: scrap, supplier or retest.'
TYPE_WHY_TAKEN_OUT = 'Type " and then why it is taken out.'
NOT_KNOWN = "-"
AS_BEFORE = "="
"""Typed in place of a programme that is the same as before."""


def not_a_number_of_pieces(pieces: int) -> Refused:
    """Nothing is booked of nothing."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"You keyed {pieces}. Key how many, 1 or more.",
        subject=str(pieces),
        expected="1 or more",
        found=str(pieces),
    )


def no_such_piece(code: str) -> Refused:
    """A serial label of no build order."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"Serial label {code} is in no build order. Scan the label again; if it is right, scan BUILD first.",
        subject=code,
    )


def scan_a_part(missing: Sequence[tuple[BillLine, int]], joined: int) -> str:
    """Ask for the parts that a unit does not have yet."""
    listed = "; ".join(
        f"{number} of {line.part} revision {line.revision}, {line.what}" for line, number in missing
    )
    begun = f"{counted(joined, 'part')} scanned. " if joined else ""
    return f"{begun}Scan what goes in: {listed}."


def nothing_missing(unit: PieceFact) -> Refused:
    """Something is joined into a unit that has all it needs."""
    return Refused(
        FindingCode.NOTHING_MISSING,
        f"{unit.code}, {unit.build.part}, has all parts that are joined by hand. A failed one is scanned FAIL and OUT first.",
        subject=unit.code,
    )


def not_in_the_bill(
    unit: PieceFact, part: str, code: str, missing: Sequence[tuple[BillLine, int]]
) -> Refused:
    """A part is joined that the unit does not need."""
    wanted = ", ".join(line.part for line, _ in missing)
    return Refused(
        FindingCode.WRONG_PART,
        f"{code} is {part}; {unit.code} needs {wanted}. Put it back and take the right part.",
        subject=code,
        expected=wanted,
        found=part,
    )


def other_revision(code: str, line: BillLine, revision: str) -> Refused:
    """A part of another revision is joined."""
    return Refused(
        FindingCode.WRONG_REVISION,
        f"{code} is {line.part} revision {revision}; the bill of material has revision {line.revision}. Put it aside and take "
        "the right revision.",
        subject=code,
        expected=line.revision,
        found=revision,
    )


def used_already(piece: PieceFact) -> Refused:
    """A piece is joined or packed that is in something."""
    return Refused(
        FindingCode.USED_ALREADY,
        f"{piece.code} is in {piece.parent} already. Put both aside and tell quality.",
        subject=piece.code,
        expected="in nothing",
        found=piece.parent or "",
    )


def with_the_lab(piece: PieceFact) -> Refused:
    """A piece is joined or packed that the lab drew as a sample."""
    return Refused(
        FindingCode.ALREADY_SAMPLED,
        f"{piece.code} is with the lab as a sample: what was done to it there stays in it. Give it back to the lab and take "
        "another one.",
        subject=piece.code,
    )


def scanned_twice(code: str) -> Refused:
    """A piece is scanned twice for one unit or carton."""
    return Refused(FindingCode.USED_ALREADY, f"{code} is scanned already. Scan the next one.", subject=code)


def in_itself(code: str) -> Refused:
    """A piece is joined into itself."""
    return Refused(
        FindingCode.WRONG_PART, f"{code} is the unit itself. Scan what goes into it.", subject=code
    )


def in_rework(piece: PieceFact) -> Refused:
    """A piece that failed its last test is used."""
    return Refused(
        FindingCode.FAULT_OPEN,
        f"{piece.code} failed its last test and is in rework. It comes back through a test only: scan PASS when it has passed.",
        subject=piece.code,
        expected="passed",
        found="failed",
    )


def not_tested(piece: PieceFact) -> Refused:
    """A unit is packed that was never tested."""
    return Refused(
        FindingCode.NOT_TESTED,
        f"{piece.code} was not tested since it was built. Test it and scan PASS first.",
        subject=piece.code,
        expected="passed",
        found="built",
    )


def incomplete(piece: PieceFact, missing: Sequence[tuple[BillLine, int]]) -> Refused:
    """A piece is used that lacks parts."""
    listed = ", ".join(f"{number} of {line.part}" for line, number in missing)
    return Refused(
        FindingCode.UNIT_INCOMPLETE,
        f"{piece.code}, {piece.build.part}, lacks {listed} by the records. Join or place what is missing first.",
        subject=piece.code,
        expected=f"bill of material {piece.build.version}",
        found=listed,
    )


def too_few_on_reel(code: str, left: int, wanted: int) -> Refused:
    """A reel or tray has fewer parts than one unit takes."""
    return Refused(
        FindingCode.REEL_USED_UP,
        f"{code} has {counted(left, 'part')} left by the records; the unit takes {wanted}. Take another; if there are parts in "
        "it, count them with LEFT and tell quality.",
        subject=code,
        expected=f"{wanted} or more",
        found=str(left),
    )


def joined(unit: PieceFact, parts: int) -> str:
    """Say that a unit has all its parts."""
    return f"{unit.code}, {unit.build.what}: {counted(parts, 'part')} joined, complete by bill of material {unit.build.version}."


def same_programme(programme: str) -> str:
    """Say how the programme of the test before is named again; ends in a space."""
    return f'As before, {programme}: type "{AS_BEFORE}. '


def passed(piece: PieceFact, programme: str) -> str:
    """Say that a piece passed."""
    back = ", back from rework" if piece.status is PieceStatus.FAILED else ""
    return f"{piece.code} passed {programme}{back}."


def failed(piece: PieceFact, symptom: str) -> str:
    """Say that a piece failed."""
    return f"{piece.code} failed: {symptom}. Put it to rework; it comes back through a test only."


def not_in_rework(piece: PieceFact) -> Refused:
    """A part is taken out of a piece that did not fail."""
    return Refused(
        FindingCode.NOT_IN_REWORK,
        f"{piece.code} is not in rework. A part is taken out of what failed a test: scan FAIL first.",
        subject=piece.code,
        expected="failed",
        found=piece.status,
    )


def not_in_it(unit: PieceFact, code: str, parts: Sequence[InPiece]) -> Refused:
    """Something is taken out that is not in the piece."""
    listed = ", ".join(dict.fromkeys(one.piece or f"{one.part} off {one.reel}" for one in parts)) or "nothing"
    return Refused(
        FindingCode.NOT_IN_THE_BILL,
        f"{code} is not in {unit.code} by the records; in it are {listed}. Scan one of these.",
        subject=code,
        expected=listed,
        found=code,
    )


def several_reels(unit: PieceFact, part: str, reels: Sequence[str]) -> Refused:
    """A part number stands for parts of several reels."""
    return Refused(
        FindingCode.WHICH_REEL,
        f"{part} in {unit.code} came off {' and '.join(reels)}. Scan the label of the reel it came off, or type its code after "
        'a ".',
        subject=part,
        expected=", ".join(reels),
        found=part,
    )


def no_such_place(text: str) -> Refused:
    """A part that was taken out goes nowhere."""
    return Refused(
        FindingCode.WRONG_FORMAT,
        f'"{text}" is no place for it. {TYPE_WHERE_IT_GOES}',
        subject=text,
        expected=WHERE_IT_GOES,
        found=text,
    )


def taken_out(unit: PieceFact, what: str, to: TakenOutTo) -> str:
    """Say what was taken out, and where it is."""
    return f"{what} is out of {unit.code}, to {to}. JOIN the new part, then test {unit.code}."


def about_piece(piece: PieceFact, parts: Sequence[InPiece]) -> str:
    """Say what the system knows of a piece."""
    where = ", with the lab" if piece.in_lab else "" if piece.parent is None else f", in {piece.parent}"
    inside = sum(one.quantity for one in parts)
    return (
        f"{piece.code}, {piece.build.part}, {piece.build.what}, piece {piece.number} of build order {piece.build.code}: "
        f"{piece.status}, {counted(inside, 'part')} in it{where}."
    )
