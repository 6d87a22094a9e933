"""What a page is told after a scan."""

from __future__ import annotations

from dataclasses import dataclass

from runout import Verdict, Word
from tracelink.errors import BookingUnknown
from tracelink.ledger.finding_codes import FindingCode


@dataclass(frozen=True, slots=True)
class Answer:
    """What a page is told after a scan."""

    number: int
    """Of the last scan that is booked; the next one has one more."""
    verdict: Verdict
    is_booked: bool
    """False if the scan was not booked and can be made again."""


def not_booked(last: int, why: str) -> Answer:
    """Return the answer to a scan that was not booked.

    Args:
        last: number of the last scan that is.
        why: as a part of a sentence.
    """
    verdict = Verdict(Word.STOP, f"Not booked: {why}.", finding=FindingCode.NOT_BOOKED)
    return Answer(last, verdict, is_booked=False)


def in_doubt(last: int, problem: BookingUnknown) -> Answer:
    """Return the answer to a scan of which nobody can say yet whether it was booked."""
    told = str(problem)
    verdict = Verdict(Word.STOP, f"{told[:1].upper()}{told[1:]}.", finding=FindingCode.BOOKING_UNKNOWN)
    return Answer(last, verdict, is_booked=False)
