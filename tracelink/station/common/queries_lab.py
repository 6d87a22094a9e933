"""What the lab asks the ledger, and the facts it gets back; a part of `StationQueries`."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn


@dataclass(frozen=True, slots=True)
class LabTest:
    """Something that the lab measures."""

    name: str
    unit: str
    measured_on: MeasuredOn
    method: str
    defect: str
    """What is proposed for a disc that is outside the limit."""

    @property
    def is_of_side(self) -> bool:
        """True if each side of a disc is measured by itself."""
        return self.measured_on is MeasuredOn.SIDE


@dataclass(frozen=True, slots=True)
class Gauge:
    """An instrument of the lab, on a day."""

    code: str
    name: str
    tests: tuple[str, ...]
    resolution: str
    """The step in which it reads, a decimal number."""
    due: str | None
    """The last local day on which its calibration holds; None if it was not calibrated by then."""

    def is_overdue(self, day: str) -> bool:
        """Return whether no calibration holds on a local day."""
        return self.due is None or self.due < day


@dataclass(frozen=True, slots=True)
class LimitInForce:
    """A limit of a test that holds on a day."""

    entry: int
    """The entry that set it."""
    lower: str | None
    upper: str | None
    since: str
    """The first local day on which it holds."""


@dataclass(frozen=True, slots=True)
class MeasuredBefore:
    """A value that stands."""

    entry: int
    test: str
    side: str | None
    value: str
    unit: str
    standing: LimitStanding
    lower: str | None
    upper: str | None
    reading: str | None = None
    """The reading of a slow test at which it was measured."""


@dataclass(frozen=True, slots=True)
class SlowReading:
    """A reading of a slow test."""

    line: int
    """Which of the readings, from 0."""
    slow_test: str
    label: str
    due: str
    """Local day."""
    left: int
    """Readings not taken yet, this one included."""


@dataclass(frozen=True, slots=True)
class MeasuredPoint:
    """A value as it comes onto charts."""

    sample: str
    lot: str
    stroke: int | None
    """None if nobody knows it: then no chart has a place for it."""
    test: str
    side: str | None
    value: str
    """A decimal number with a point."""
    gauge: str
    outside: bool
    """True if it is outside its limit."""


@dataclass(frozen=True, slots=True)
class TestedPoint:
    """A test of a built piece as it comes onto charts of faults."""

    piece: str
    build: str
    number: int
    """Which of its order."""
    part: str
    station: str
    failed: bool
    symptom: str | None
    position: str | None


@dataclass(frozen=True, slots=True)
class ChartWarning:
    """A value that is a signal on a chart with a frozen baseline."""

    test: str
    subject: str
    """The tool or press of which the chart is."""
    chart: str
    """Kind of the chart."""
    baseline: int
    """The entry that froze its baseline."""
    rules: tuple[str, ...]
    """The rules that say so."""
    value: str
    """The point."""
    lower: str | None
    """Lower control limit at that point; None if there is none."""
    centre: str
    upper: str
    begins_after: int | None
    """The change begins after this stroke of the life of the tool, or disc of the press; None if nobody can tell."""
    begins_by: int | None
    stage: str | None
    """What changed with it; None if nothing recorded did."""
    stage_code: str | None


class LabQueries(Protocol):
    """The questions of the lab. Days are local, YYYY-MM-DD."""

    def lab_tests(self) -> Sequence[LabTest]:
        """What the lab of this plant measures, by name."""
        ...

    def gauge(self, code: str, day: str) -> Gauge | None:
        """A gauge of the lab as it is on a day."""
        ...

    def limit_of(self, test: str, gtin: str | None, day: str) -> LimitInForce | None:
        """The limit of a test for a product on a day: its own, else that of every product; None if none holds."""
        ...

    def slow_test(self, name: str) -> Sequence[tuple[str, int]] | None:
        """The readings of a slow test, each with the days after which it is due; None if the plant names no such test."""
        ...

    def slow_tests(self) -> Sequence[str]:
        """The names of the plant's slow tests."""
        ...

    def in_slow_test(self, sample: str) -> bool:
        """Return whether a sample ever began a slow test."""
        ...

    def next_reading(self, sample: str) -> SlowReading | None:
        """The next reading of a sample; None if it is in no slow test, or all are taken."""
        ...

    def has_compared(self, sample: str, person: str) -> bool:
        """Return whether somebody said what a sample is, for a comparison of inspectors."""
        ...

    def places_of_strokes(self, lot: str, first: int, last: int) -> Sequence[str]:
        """The spindles and cartons, by code, that may hold a disc of these strokes: into which their discs, or discs from there, went."""
        ...

    def wanted_samples(self, lot: str, after: int, most: int, ends: Sequence[int] = ()) -> Sequence[int]:
        """The next strokes behind one that the plans kept for the product draw, with first and last discs of stampers among them.

        In order; none if no plan is kept.
        """
        ...

    def is_missed(self, lot: str, stroke: int) -> bool:
        """Return whether a disc was looked for and is not to be had."""
        ...

    def is_waived(self, sample: str) -> bool:
        """Return whether two people let a bad sample not stand against its lot."""
        ...

    def unjudged_outside(self, lot: str) -> Sequence[str]:
        """The samples of a lot with a value outside its limit that nobody judged."""
        ...

    def measured_before(self, sample: str) -> Sequence[MeasuredBefore]:
        """The values of a sample that stand, in the order they were measured."""
        ...

    def chart_warnings(self, point: MeasuredPoint) -> Sequence[ChartWarning]:
        """The charts on which a value that is about to be booked is a signal."""
        ...

    def fault_warnings(self, point: TestedPoint) -> Sequence[ChartWarning]:
        """The charts of faults on which a test that is about to be booked is a signal."""
        ...
