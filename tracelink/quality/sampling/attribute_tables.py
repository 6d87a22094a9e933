"""The tables of single sampling by attributes, as the rule that makes them.

Theory of operation. In the column of one AQL the plans lie on a diagonal: the letter whose plan accepts on zero stands at
a row that the column's number gives, and from there down the acceptance numbers follow one series, the same in every
column. An arrow fills what lies between; it points to the plan whose sample size is to be used too. So a table is its
series and the row it begins at, and no cell is written down.

Source:
    MIL-STD-105E (1989, public, cancelled 1995), tables I, II-A, II-B and II-C; ANSI/ASQ Z1.4 has the same. The reduced
    table of ISO 2859-1:1999 has no gap between acceptance and rejection number: that one is not here.
"""

from __future__ import annotations

from bisect import bisect_left
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import NamedTuple

from tracelink.errors import UsageError

AQLS = (
    "0.010", "0.015", "0.025", "0.040", "0.065", "0.10", "0.15", "0.25",
    "0.40", "0.65", "1.0", "1.5", "2.5", "4.0", "6.5", "10",
)  # fmt: skip
"""Acceptable quality limits, bad discs in a hundred; as text, because they are names of columns."""

LETTERS = "ABCDEFGHJKLMNPQRS"
"""Code letters; S is a row of tightened inspection only."""

_LOT_TO = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
_CODE_LETTERS = {
    "S-1": "AAAABBBBCCCCDDD",
    "S-2": "AAABBBCCCDDDEEE",
    "S-3": "AABBCCDDEEFFGGH",
    "S-4": "AABCCDEEFGGHJJK",
    "I": "AABCCDEFGHJKLMN",
    "II": "ABCDEFGHJKLMNPQ",
    "III": "BCDEFGHJKLMNPQR",
}
LEVELS = tuple(_CODE_LETTERS)
"""Inspection levels: how many discs a lot of some size is worth. II unless there is a reason."""

_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000, 3150)


class InspectionSeverity(Enum):
    """How hard a lot is looked at, by how the lots before it came out."""

    NORMAL = "normal"
    TIGHTENED = "tightened"
    REDUCED = "reduced"


class Numbers(NamedTuple):
    """What a plan makes of the bad discs in its sample."""

    acceptance: int
    """So many bad discs, or fewer, are within the plan."""
    rejection: int
    """So many, or more, reach the rejection number."""


class Arrow(Enum):
    """A cell without a plan of its own: use the next one that has one, with its sample size."""

    DOWN = "down"
    UP = "up"


def _next_whole(*acceptance: int) -> tuple[Numbers, ...]:
    return tuple(Numbers(number, number + 1) for number in acceptance)


_ZERO_ROW = {InspectionSeverity.NORMAL: 14, InspectionSeverity.TIGHTENED: 15, InspectionSeverity.REDUCED: 14}
# What follows the plan that accepts on zero, row by row.
_BELOW_ZERO: dict[InspectionSeverity, tuple[Numbers | Arrow, ...]] = {
    InspectionSeverity.NORMAL: (Arrow.UP, Arrow.DOWN, *_next_whole(1, 2, 3, 5, 7, 10, 14, 21)),
    InspectionSeverity.TIGHTENED: (Arrow.DOWN, Arrow.DOWN, *_next_whole(1, 2, 3, 5, 8, 12, 18)),
    InspectionSeverity.REDUCED: (
        Arrow.UP,
        Arrow.DOWN,
        *(
            Numbers(0, 2),
            Numbers(1, 3),
            Numbers(1, 4),
            Numbers(2, 5),
            Numbers(3, 6),
            Numbers(5, 8),
            Numbers(7, 10),
            Numbers(10, 13),
        ),
    ),
}


def parse_aql(given: str) -> str:
    """Return the name of the column of an AQL, such as 1.5; 1 and 1.00 name the column 1.0.

    Raises:
        UsageError: the tables have no such column.
    """
    try:
        value = Decimal(given.strip())
    except InvalidOperation:
        value = Decimal(-1)
    for name in AQLS:
        if Decimal(name) == value:
            return name
    raise UsageError(f"AQL {given!r} is not in the tables: expected one of {', '.join(AQLS)}")


def code_letter(lot_size: int, level: str) -> str:
    """Return the code letter of a lot: table I.

    Args:
        lot_size: discs in the lot, 2 or more.
        level: one of `LEVELS`.

    Raises:
        UsageError: the lot is too small to sample, or there is no such level.
    """
    if level not in _CODE_LETTERS:
        raise UsageError(f"inspection level {level!r}: expected one of {', '.join(LEVELS)}")
    if lot_size < 2:
        raise UsageError(f"a lot of {lot_size}: expected 2 discs or more, the tables begin there")
    return _CODE_LETTERS[level][bisect_left(_LOT_TO, lot_size)]


def sample_size(letter: str, severity: InspectionSeverity) -> int:
    """Return the sample size that stands beside a code letter."""
    row = LETTERS.index(letter)
    # Reduced inspection looks at what is normal two rows higher.
    return _SIZES[max(0, row - 2) if severity is InspectionSeverity.REDUCED else row]


def letters_of(aql: str, severity: InspectionSeverity) -> str:
    """Return the rows of a column: A to R, and S where tightened inspection has that row."""
    has_s = (
        severity is InspectionSeverity.TIGHTENED
        and _ZERO_ROW[severity] - AQLS.index(aql) + 3 == len(LETTERS) - 1
    )
    return LETTERS if has_s else LETTERS[:-1]


def cell(letter: str, aql: str, severity: InspectionSeverity) -> Numbers | Arrow:
    """Return a cell of table II-A, II-B or II-C.

    Args:
        letter: one of `letters_of`.
        aql: a name of `AQLS`.
        severity: which table.
    """
    column = [_by_diagonal(row, aql, severity) for row in range(len(letters_of(aql, severity)))]
    row = LETTERS.index(letter)
    found = column[row]
    if isinstance(found, Numbers):
        return found
    # An arrow that would lead out of the table turns round; it happens at both ends.
    above, below = (any(isinstance(one, Numbers) for one in part) for part in (column[:row], column[row:]))
    if found is Arrow.UP:
        return Arrow.UP if above else Arrow.DOWN
    return Arrow.DOWN if below else Arrow.UP


def _by_diagonal(row: int, aql: str, severity: InspectionSeverity) -> Numbers | Arrow:
    zero = _ZERO_ROW[severity] - AQLS.index(aql)
    series = _BELOW_ZERO[severity]
    if row < zero:
        return Arrow.DOWN
    if row == zero:
        # The last column has no plan that accepts on zero, in any table.
        return Arrow.DOWN if aql == AQLS[-1] else Numbers(0, 1)
    below = row - zero - 1
    return series[below] if below < len(series) else Arrow.UP
