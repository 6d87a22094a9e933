"""Charts of what was measured or judged of a tool or press, by frozen baselines."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection

from tracelink.genealogy.charting.charted_discs import DISCS_IN_A_GROUP
from tracelink.genealogy.charting.process_chart import (
    ChangeOnset,
    FrozenBaseline,
    ProcessChart,
    process_chart,
)
from tracelink.genealogy.charting.proposed_scope import Proposal, proposal
from tracelink.ledger.chart_words import is_fault
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.capability import Tolerance
from tracelink.quality.charts.run_rules import RuleSet
from tracelink.report.pages import chart_text
from tracelink.report.pages.proposal_text import proposal_sentences
from tracelink.services.desks.charts.charted_values import ChartAsked, charted_values
from tracelink.services.desks.charts.proposed_tests import with_tests
from tracelink.services.desks.lab_results import lab_tests
from tracelink.store.lab.chart_rows import baselines_of, charting_rules
from tracelink.store.records.sql_records import SqlRecords

if TYPE_CHECKING:
    from tracelink.report.format.document import Document
    from tracelink.report.pictures.chart_svg import Link


@dataclass(frozen=True, slots=True)
class LabChart:
    """A chart of a tool or press, as the records have it."""

    subject: str
    """The tool or press."""
    by_stroke: bool
    """True if places are strokes of its life; False if they count its discs in the order in which they were pressed."""
    test: str
    """What was measured."""
    unit: str
    """Its unit; empty for judged discs."""
    limit: Tolerance
    """The limit that held for the last disc."""
    rules: RuleSet
    """The run rules of this plant."""
    found: ProcessChart
    """The chart."""
    unplaced: int
    """Values of discs whose stroke nobody knows; left out."""
    proposal: Proposal | None
    """The containment to ask for; None unless the chart warns and a disc is outside its limit."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout chart --format json`."""
        found = self.found
        onset = found.onset
        return {
            "subject": self.subject,
            "by_stroke": self.by_stroke,
            "test": self.test,
            "unit": self.unit,
            "limit": asdict(self.limit),
            "kind": found.kind.value,
            "size": found.size,
            "rules": self.rules.value,
            "baseline": None if found.frozen is None else asdict(found.frozen),
            "points": [[asdict(disc) for disc in point] for point in found.points],
            "left_over": found.left_over,
            "panels": [] if found.chart is None else [asdict(panel) for panel in found.chart.panels],
            "signalled": list(found.signalled),
            "onset": asdict(onset) if isinstance(onset, ChangeOnset) else None,
            "cannot_tell": asdict(onset) if isinstance(onset, CannotTell) else None,
            "unplaced": self.unplaced,
            "proposal": None if self.proposal is None else asdict(self.proposal),
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }

    @property
    def sentences(self) -> list[str]:
        """What the chart says, for a person."""
        said = chart_text.sentences(self.found, self.subject, self.limit, self.unit, by_stroke=self.by_stroke)
        return [*said, *proposal_sentences(self.proposal, self.subject, by_stroke=self.by_stroke)]

    def to_document(self, at: str, link: Link | None = None) -> Document:
        """Return the chart with what it says and its table, for a page and for paper.

        Args:
            at: when it is made, RFC 3339 with offset.
            link: the address that a point leads to; None on paper.
        """
        from tracelink.report.format.plain import imprint  # noqa: PLC0415  only when asked for
        from tracelink.report.pages.chart_document import chart_document  # noqa: PLC0415  only when asked for

        # The document says the time; a picture without it is the same whenever it is drawn.
        drawn = self._drawn("", link)
        imprints = imprint(self.head, at), imprint(self.head, at, whole=True)
        return chart_document(self.found, f"{self.subject}: {self.title}", self.sentences, drawn, imprints)

    def to_page(self, at: str) -> str:
        """Return it as a page that opens anywhere."""
        from tracelink.report.format.page import document_page  # noqa: PLC0415  only when asked for

        return document_page(self.to_document(at))

    def to_pdf(self, at: str) -> bytes:
        """Return it as a PDF."""
        from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  only when asked for

        return document_pdf(self.to_document(at))

    def to_svg(self, at: str) -> str:
        """Draw it.

        Args:
            at: when it is drawn, RFC 3339 with offset; shown on the picture.
        """
        return self._drawn(at, None)

    def _drawn(self, at: str, link: Link | None) -> str:
        from tracelink.report.pictures.chart_svg import chart_svg  # noqa: PLC0415  only when asked for

        along = f"stroke of the life of {self.subject}" if self.by_stroke else "discs in the order pressed"
        if is_fault(self.test):
            along = "pieces in the order of their first test"
        return chart_svg(
            self.found,
            self.subject,
            self.title,
            at=at,
            head=self.head,
            limit=self.limit,
            along=along,
            link=link,
        )

    @property
    def title(self) -> str:
        """What is charted."""
        unit = f", {self.unit}" if self.unit else ""
        return f"{self.test}{unit}"


def lab_chart(conn: Connection, subject: str, asked: ChartAsked) -> LabChart:
    """Chart what was measured or judged of a tool or press, by its frozen baseline.

    Args:
        conn: a connection inside a transaction.
        subject: a tool, press or lot, as code or raw scan. A mother, father or master stands for all its stampers.
        asked: which chart.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: there is no such test or chart, or it cannot take these values.
    """
    kind = asked.chart_kind()
    records = SqlRecords(conn)
    of = charted_values(conn, records, subject, asked.test)
    how = charting_rules(records)
    frozen = baselines_of(records, conn, of.subject).get((asked.test, kind))
    found = process_chart(kind, _size(asked, frozen), of.discs, frozen, how)
    defect = next((test.defect for test in lab_tests(conn) if test.name == asked.test), None)
    proposed = proposal(found, of.subject, defect, by_stroke=of.by_stroke)
    return LabChart(
        of.subject,
        of.by_stroke,
        asked.test,
        of.unit,
        of.limit,
        how.rules,
        found,
        of.unplaced,
        None if proposed is None else with_tests(conn, proposed),
        of.head,
    )


def _size(asked: ChartAsked, frozen: FrozenBaseline | None) -> int:
    """Discs for each point: as many as the baseline has, but where points may differ, as many as were asked for."""
    if frozen is None:
        return asked.size or DISCS_IN_A_GROUP
    return frozen.baseline.size or asked.size or frozen.group or DISCS_IN_A_GROUP
