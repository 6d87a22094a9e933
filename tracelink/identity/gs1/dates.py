"""Dates in element strings: six digits, YYMMDD, whose century follows from the current year.

A label says 991231 and means the year that is nearest. The current year comes in as an argument, so that a label
read from the journal is judged as of the day it was scanned.
"""

from dataclasses import dataclass
from datetime import date

from tracelink.errors import InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import is_digits

# A leap year whose last two digits are the ones that matter when the century is not known: 29 February is
# refused only where no century has it.
_ANY_CENTURY = 2000


@dataclass(frozen=True, slots=True)
class ElementDate:
    """A date from an element string."""

    date: date
    """The day; where the label gave none, the last of the month."""

    day_given: bool
    """False if the label said day 00: any day of that month may be meant."""


def full_year(yy: int, current_year: int) -> int:
    """Return the year that two digits stand for: from 49 years before the current year to 50 years after it.

    Args:
        yy: 0 to 99.
        current_year: four digits, of the day the label is read.

    Source:
        GS1 General Specifications, section on determining the century in dates.
    """
    ahead = yy - current_year % 100
    century = current_year - current_year % 100
    if ahead >= 51:
        century -= 100
    elif ahead <= -50:
        century += 100
    return century + yy


def read_date(text: str, *, current_year: int, day_zero: bool = True) -> ElementDate:
    """Read a date.

    Args:
        text: six digits YYMMDD.
        current_year: four digits, of the day the label is read.
        day_zero: whether the day may be 00, as in (11) to (17); not in (4326), (7003), (7011), (8008).

    Raises:
        InvalidLength: text has not six digits.
        InvalidFormat: text holds anything but 0-9, or no calendar has such a day.

    Source:
        GS1 General Specifications, sections on (11) to (17); GS1 Barcode Syntax Tests, yymmdd and yymmd0.
    """
    _require_six_digits(text)
    year = full_year(int(text[:2]), current_year)
    month, day = _month_and_day(text, year, day_zero=day_zero)
    return ElementDate(date(year, month, day or _last_day(year, month)), day != 0)


def require_date(text: str, *, day_zero: bool) -> None:
    """Raise unless text is a date in some century; arguments and errors as for `read_date`."""
    _require_six_digits(text)
    _month_and_day(text, _ANY_CENTURY + int(text[:2]), day_zero=day_zero)


def _require_six_digits(text: str) -> None:
    if not is_digits(text):
        raise InvalidFormat(f"date must be digits 0-9, YYMMDD, found {text!r}")
    if len(text) != 6:
        raise InvalidLength(f"date must be six digits, YYMMDD, found {len(text)} in {text!r}")


def _last_day(year: int, month: int) -> int:
    # The module calendar would answer too, at a cost to every start of the program.
    return 31 if month == 12 else (date(year, month + 1, 1) - date(year, month, 1)).days


def _month_and_day(text: str, year: int, *, day_zero: bool) -> tuple[int, int]:
    month, day = int(text[2:4]), int(text[4:6])
    if not 1 <= month <= 12:
        raise InvalidFormat(
            f"date {text!r} has month {text[2:4]}: expected YYMMDD with a month from 01 to 12"
        )
    first = 0 if day_zero else 1
    last = _last_day(year, month)
    if not first <= day <= last:
        raise InvalidFormat(
            f"date {text!r} has day {text[4:6]}: expected YYMMDD with a day from {first:02d} to {last} in that month"
        )
    return month, day
