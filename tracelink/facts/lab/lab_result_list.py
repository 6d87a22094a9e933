"""Measured values as they are read back: each with its disc, the stampers that pressed it, its gauge and its limit.

What a chart, a capability or a study of a gauge is made of. Values come in the order in which their discs were pressed
(run segments in the order they began, strokes within them), those of one disc in the order they were measured; so values of
one stamper come by its stroke life, and those of a press by time. For a mother, father or master they are those of
every stamper grown from it.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn


@dataclass(frozen=True, slots=True)
class LabResult:
    """One measured value."""

    entry: int
    """The entry that booked it."""
    sample: str
    """The sample tag."""
    lot: str
    stroke: int
    """The disc's stroke in its lot."""
    press: str
    segment: int
    """The entry that began the run segment: one set-up of stampers, materials and press."""
    stamper_a: str
    stamper_b: str
    life_a: int
    """The disc was this stroke of the life of stamper A, counted from 1 across all lots."""
    life_b: int
    """The same for stamper B."""
    test: str
    """The lab test, such as noise."""
    side: str | None
    """A or B; None for a test of the whole disc, which belongs to both stampers."""
    value: str
    """A decimal number with a point."""
    unit: str
    gauge: str
    overdue: bool
    """True if the calibration of the gauge did not hold on that day."""
    limit_entry: int | None
    """The entry that set the limit that held; None if none did."""
    lower: str | None
    """The least that was within it."""
    upper: str | None
    """The most that was within it."""
    standing: LimitStanding
    """Where the value stood by that limit."""
    replaced_by: int | None
    """The entry of the value that counts in its place; None if this one counts."""
    at: str
    """When it was measured, RFC 3339 with offset."""
    good: bool | None
    """How the disc was judged; None if it was not."""
    defect: str | None
    """What was wrong with it."""
    reading: str | None = None
    """The reading of a slow test that it belongs to; None for a disc as it was pressed."""

    @property
    def stamper(self) -> str | None:
        """The stamper of the side that was measured; None for a test of the whole disc."""
        return {"A": self.stamper_a, "B": self.stamper_b}.get(self.side or "")


@dataclass(frozen=True, slots=True)
class LabTestFact:
    """A test of the lab."""

    name: str
    unit: str
    measured_on: MeasuredOn
    method: str
    defect: str
    """What is proposed for a disc outside the limit."""


@dataclass(frozen=True, slots=True)
class LabResults:
    """The values of a thing."""

    subject: str
    """A tool, press, lot or sample."""
    tests: tuple[LabTestFact, ...]
    """The tests of which there are values, by name."""
    results: tuple[LabResult, ...]
    """In the order described above."""
    unplaced: int
    """Values of discs of its lots whose stroke nobody knows, so that nobody can say by what they were pressed; left out."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""

    @property
    def outside(self) -> int:
        """Values that count and are outside the limit that held."""
        return sum(
            each.standing is LimitStanding.OUTSIDE and each.replaced_by is None for each in self.results
        )

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout results --format json`."""
        return {
            "subject": self.subject,
            "head": {"seq": self.head[0], "hash": self.head[1]},
            "tests": [asdict(test) for test in self.tests],
            "results": [asdict(result) for result in self.results],
            "unplaced": self.unplaced,
        }
