"""The plan for one lot: how many discs to look at, and how many of them may be bad."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from tracelink.errors import UsageError
from tracelink.quality.sampling.attribute_tables import (
    LETTERS,
    Arrow,
    InspectionSeverity,
    Numbers,
    cell,
    code_letter,
    letters_of,
    parse_aql,
    sample_size,
)


class SampleOutcome(Enum):
    """Where the number of bad discs in a sample stands against the numbers of the plan. A person decides on the lot."""

    WITHIN = "within"
    """The acceptance number, or fewer."""
    BETWEEN = "between"
    """Above the acceptance number, below the rejection number: only plans of reduced inspection have such a gap. The
    lot is within the plan, and the next one is inspected normally."""
    REACHED = "reached"
    """The rejection number, or more."""


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """How many discs of a lot to look at, and how many of them may be bad."""

    lot_size: int
    """Discs in the lot."""
    size: int
    """Discs to look at; all of the lot if the table asks for as many or more."""
    acceptance: int
    """So many bad ones, or fewer, are within the plan."""
    rejection: int
    """So many bad ones, or more, reach the rejection number."""

    @property
    def whole_lot(self) -> bool:
        """True if every disc is to be looked at."""
        return self.size >= self.lot_size

    def outcome(self, bad: int) -> SampleOutcome:
        """Say where a number of bad discs stands.

        Raises:
            UsageError: there are more bad ones than discs in the sample, or fewer than none.
        """
        if not 0 <= bad <= self.size:
            raise UsageError(f"{bad} bad in a sample of {self.size}: expected 0 to {self.size}")
        if bad <= self.acceptance:
            return SampleOutcome.WITHIN
        return SampleOutcome.REACHED if bad >= self.rejection else SampleOutcome.BETWEEN


@dataclass(frozen=True, slots=True)
class AttributePlan(SamplingPlan):
    """A plan out of the tables of single sampling by attributes."""

    level: str
    """Inspection level, such as II."""
    aql: str
    """The column, such as 1.5: bad discs in a hundred."""
    severity: InspectionSeverity
    """Which table."""
    letter: str
    """Code letter of the lot."""
    used: str
    """Code letter of the row used: another one where an arrow leads there."""
    table_size: int
    """Sample size of that row, before the lot was looked at."""


def attribute_plan(lot_size: int, level: str, aql: str, severity: InspectionSeverity) -> AttributePlan:
    """Return the plan that the tables give.

    Args:
        lot_size: discs in the lot, 2 or more.
        level: S-1 to S-4, I, II or III.
        aql: bad discs in a hundred, as the tables name it, such as 1.5.
        severity: normal, tightened or reduced.

    Raises:
        UsageError: the lot is too small to sample, or level or AQL are not in the tables.
    """
    column = parse_aql(aql)
    letter = code_letter(lot_size, level)
    used, numbers = follow_arrows(letter, column, severity)
    size = sample_size(used, severity)
    return AttributePlan(lot_size, min(size, lot_size), *numbers, level, column, severity, letter, used, size)


def follow_arrows(letter: str, aql: str, severity: InspectionSeverity) -> tuple[str, Numbers]:
    """Return the row whose plan is used for a code letter, and its numbers."""
    rows = letters_of(aql, severity)
    row = LETTERS.index(letter)
    while isinstance(found := cell(rows[row], aql, severity), Arrow):
        row += 1 if found is Arrow.DOWN else -1
    return rows[row], found
