"""A control chart of a thing: its points, limits, signals, where the level changed, and what changed with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.genealogy.charting.charted_discs import (
    ChartedDisc,
    ChartingRules,
    Points,
    chart_of,
    level_of,
    points_of,
)
from tracelink.genealogy.charting.stage_before import StageEvidence, stages_before
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, ControlChart
from tracelink.quality.level_change import ChangeShape, LevelChange, level_change


@dataclass(frozen=True, slots=True)
class FrozenBaseline:
    """A baseline in the journal."""

    entry: int
    """The entry that froze it."""
    subject: str
    """The tool or press that it was frozen for."""
    baseline: ChartBaseline
    """Centre and spread."""
    group: int = 0
    """Discs behind one of its points; 0 where it does not say."""


@dataclass(frozen=True, slots=True)
class ChangeOnset:
    """Where a change of level begins, in discs."""

    shape: ChangeShape
    """A step or a drift."""
    after: ChartedDisc
    """The last disc of which it is sure enough that the change had not begun."""
    by: ChartedDisc
    """The first disc by which it is sure enough that it had."""
    before: float
    """Mean before the likeliest onset."""
    since: float
    """Mean after it."""
    stages: tuple[StageEvidence, ...]
    """What changed with it; empty if nothing recorded did."""


@dataclass(frozen=True, slots=True)
class ProcessChart:
    """A chart and what it says."""

    kind: ChartKind
    """Which chart."""
    size: int
    """Discs for each point; 1 where every disc is one."""
    points: tuple[tuple[ChartedDisc, ...], ...]
    """The discs behind each point, in the order in which they were made."""
    left_over: int
    """Discs at the end, too few for another point."""
    frozen: FrozenBaseline | None
    """The baseline; None if none is frozen: then nothing warns."""
    chart: ControlChart | None
    """The points with limits and signals; None without a baseline."""
    onset: ChangeOnset | CannotTell | None
    """Where the level changed, or why nobody can tell; None if nothing warns."""

    @property
    def signalled(self) -> tuple[int, ...]:
        """Numbers of the points that warn, from 1."""
        if self.chart is None:
            return ()
        panels = self.chart.warning_panels
        return tuple(sorted({signal.point for panel in panels for signal in panel.signals}))


def process_chart(
    kind: ChartKind,
    size: int,
    discs: Sequence[ChartedDisc],
    frozen: FrozenBaseline | None,
    how: ChartingRules,
) -> ProcessChart:
    """Chart discs in the order in which they were made.

    Args:
        kind: which chart.
        size: discs for each point, for charts of groups.
        discs: in order.
        frozen: the baseline; None if none is frozen.
        how: settings.

    Raises:
        UsageError: the chart cannot take these values.
    """
    points, left_over = points_of(kind, discs, size)
    chart = None if frozen is None else chart_of(frozen.baseline, points, how)
    warns = chart is not None and chart.first_signal is not None
    kept = tuple(points)
    return ProcessChart(
        kind,
        len(kept[0]) if kept else size,
        kept,
        left_over,
        frozen,
        chart,
        onset_of(points) if warns else None,
    )


def onset_of(points: Points) -> ChangeOnset | CannotTell:
    """Find where the level of points changed, and what changed with it."""
    change = level_change(level_of(points), [point[-1].place for point in points])
    if isinstance(change, CannotTell):
        return change
    return _onset(points, change)


def _onset(points: Points, change: LevelChange) -> ChangeOnset:
    before = [disc for point in points[: change.before] for disc in point]
    after = [disc for point in points[change.before :] for disc in point]
    return ChangeOnset(
        change.shape,
        points[change.earliest - 1][-1],
        points[change.latest][0],
        change.mean_before,
        change.mean_after,
        stages_before(before, after),
    )
