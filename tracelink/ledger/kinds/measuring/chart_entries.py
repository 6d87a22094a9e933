"""Entries of control charts: frozen baselines, and points that warned when they were measured."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.chart_words import lines_words, signal_words
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.origin import AFTER_A_VALUE, LAB_COMMAND, Origin


@dataclass(frozen=True, slots=True)
class ChartBaselineFrozen:
    """The centre and spread of a process while it ran as it should; what is measured later is charted against them.

    It holds for its subject and for every tool grown from it, until a later one of the same subject, test and chart.
    """

    kind: ClassVar[str] = "chart-baseline-frozen"
    export: ClassVar[ExportRule] = ExportRule(on("subject", Things.ANY), no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = LAB_COMMAND
    subject: str
    """A tool or a press."""
    test: str
    """The lab test; "judged" for good and bad discs."""
    chart: str
    """Kind of the chart."""
    centre: str
    """Mean of the process, a decimal number."""
    sigma: str
    """Standard deviation within groups; 0 for charts of counts."""
    group: int
    """Discs behind one point; 0 on p and u charts of older entries: five."""
    points: int
    """Points that it was made from."""
    samples: tuple[str, ...]
    """The discs behind them."""
    left_out: tuple[str, ...]
    """Discs that were left out; the reason of the entry says why."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "chart_baseline",
            {
                "seq": entry.seq,
                "subject": self.subject,
                "test": self.test,
                "chart": self.chart,
                "centre": self.centre,
                "sigma": self.sigma,
                "group_size": self.group,
                "points": self.points,
            },
        )


@dataclass(frozen=True, slots=True)
class ChartSignalled:
    """A value was a signal on a chart when it was booked. The entry of the value is the one before."""

    kind: ClassVar[str] = "chart-signalled"
    export: ClassVar[ExportRule] = ExportRule(
        on("sample", Things.SAMPLES) + on("subject", Things.ANY), no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = AFTER_A_VALUE
    sample: str
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
    unit: str
    """Unit of what was measured."""
    lower: str | None
    """Lower control limit at that point; None if there is none."""
    centre: str
    """Centre line."""
    upper: str
    """Upper control limit."""
    begins_after: int | None
    """The change begins after this stroke of the life of the tool, or disc of the press; None if nobody can tell."""
    begins_by: int | None
    """And by this one."""
    stage: str | None
    """What changed with it, such as compound; None if nothing recorded did."""
    stage_code: str | None
    """Which one."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A finding."""
        yield finding_row(
            entry,
            finding=FindingCode.CHART_SIGNAL,
            subject=self.subject,
            expected=lines_words(self.lower, self.centre, self.upper),
            found=f"{self.value} {self.unit}".rstrip(),
            sentence=f"Sample {self.sample}: {signal_words(self)}",
        )


KINDS: tuple[type[EntryBody], ...] = (ChartBaselineFrozen, ChartSignalled)
"""The kinds of this module, for the registry."""
