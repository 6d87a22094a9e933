"""Baselines of charts: shown, and frozen by an entry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.genealogy.charting.charted_discs import (
    DISCS_IN_A_GROUP,
    ChartingRules,
    Points,
    baseline_of,
    chart_of,
    points_of,
)
from tracelink.ledger.kinds.measuring.chart_entries import ChartBaselineFrozen
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind
from tracelink.quality.charts.measured_chart import beyond
from tracelink.report.pages.doubt_text import doubt_sentence
from tracelink.services.badge_proof import Badge, acting, stamp_of
from tracelink.services.desks.charts.charted_values import ChartAsked, charted_values
from tracelink.store.lab.chart_rows import charting_rules
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.records.sql_records import SqlRecords

if TYPE_CHECKING:
    from tracelink.store.ledger import Ledger


@dataclass(frozen=True, slots=True)
class BaselineAsked:
    """Which discs a baseline is made of."""

    chart: ChartAsked
    """Of which chart."""
    points: int | None = None
    """Only the first so many points; None for all."""
    without: tuple[str, ...] = ()
    """Sample tags left out; the reason says why."""


def baseline_shown(conn: Connection, subject: str, asked: BaselineAsked) -> ChartBaselineFrozen:
    """Work out a baseline as it would be frozen. Nothing is written.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: the data do not allow a baseline; the sentence says why.
    """
    kind = asked.chart.chart_kind()
    records = SqlRecords(conn)
    of = charted_values(conn, records, subject, asked.chart.test)
    unknown = [tag for tag in asked.without if tag not in {disc.sample for disc in of.discs}]
    if unknown:
        raise UsageError(
            f"--without {unknown[0]}: expected the tag of a sample of {of.subject} with this test"
        )
    kept = [disc for disc in of.discs if disc.sample not in asked.without]
    size = asked.chart.size or DISCS_IN_A_GROUP
    points = points_of(kind, kept, size)[0][: asked.points]
    how = charting_rules(records)
    found = baseline_of(kind, points, how.least)
    if isinstance(found, CannotTell):
        raise UsageError(_why_no_baseline(found))
    _require_stable(of.subject, found, points, how)
    return ChartBaselineFrozen(
        subject=of.subject,
        test=asked.chart.test,
        chart=kind.value,
        centre=f"{found.centre:.9g}",
        sigma=f"{found.sigma:.9g}",
        group=size if kind in {ChartKind.P, ChartKind.U} else found.size,
        points=found.points,
        samples=tuple(disc.sample for point in points for disc in point),
        left_out=tuple(asked.without),
    )


def freeze_baseline(  # noqa: PLR0913, PLR0917 - which baseline, why, by whom and when
    ledger: Ledger, subject: str, asked: BaselineAsked, reason: str, by: Badge, at: str | None = None
) -> ChartBaselineFrozen:
    """Freeze a baseline; returns what was frozen.

    Raises:
        UsageError: the data do not allow a baseline, or the reason is empty.
        RefusedByRule: the person may not.
    """
    if not reason.strip():
        raise UsageError("the reason is empty: expected why these discs stand for the process")
    with acting(ledger, by) as booking:
        authorised(booking.queries, by.code, OfficeAct.FREEZE_BASELINE)
        body = baseline_shown(booking.connection, subject, asked)
        booking.record(body, stamp_of(by, at), reason=reason.strip())
        return body


def _require_stable(subject: str, found: ChartBaseline, points: Points, how: ChartingRules) -> None:
    """Refuse a baseline of points of which one is beyond the limits that they make."""
    # By limits alone: of a stable process, run rules find a signal in most rows of some dozens of points.
    first = min(
        (
            signal.point
            for panel in chart_of(found, points, how).warning_panels
            for signal in beyond(panel.values, panel.limits)
        ),
        default=None,
    )
    if first is not None:
        disc = points[first - 1][-1]
        raise UsageError(
            f"cannot freeze this baseline: sample {disc.sample} (lot {disc.lot}, stroke {disc.stroke}) is beyond the limits that "
            f"the points of {subject} make. Find out why; then leave it out with --without {disc.sample}, or take fewer points"
        )


def _why_no_baseline(found: CannotTell) -> str:
    return doubt_sentence(found, "points" if found.needed else "values or discs").rstrip(".")
