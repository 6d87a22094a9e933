"""What a control chart is: kinds, frozen baselines, panels of points with their limits and signals."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracelink.quality.charts.run_rules import Signal


class ChartKind(StrEnum):
    """Kinds of charts."""

    INDIVIDUALS = "individuals"
    XBAR_R = "xbar-r"
    XBAR_S = "xbar-s"
    EWMA = "ewma"
    CUSUM = "cusum"
    P = "p"
    NP = "np"
    C = "c"
    U = "u"

    @property
    def counts(self) -> bool:
        """True if it charts how many are bad, or how many defects there are; False if it charts measured values."""
        return self in _COUNTED


_COUNTED = frozenset({ChartKind.P, ChartKind.NP, ChartKind.C, ChartKind.U})


class Statistic(StrEnum):
    """What the points of a panel are."""

    VALUE = "value"
    MEAN = "mean"
    MOVING_RANGE = "moving range"
    RANGE = "range"
    DEVIATION = "standard deviation"
    WEIGHTED_MEAN = "weighted mean"
    SUM_ABOVE = "sum above"
    SUM_BELOW = "sum below"
    SHARE_BAD = "share bad"
    BAD = "bad discs"
    DEFECTS = "defects"
    DEFECTS_PER_DISC = "defects per disc"


Subgroup = tuple[float, ...]
"""The measured values behind one point; one value for charts of individuals."""


@dataclass(frozen=True, slots=True)
class Tally:
    """The counts behind one point of a chart of counts."""

    found: int
    """Bad discs, or defects."""
    looked_at: int
    """Discs looked at."""


@dataclass(frozen=True, slots=True)
class ChartBaseline:
    """What limits are made from; frozen, so that a process that drifts does not carry its limits along."""

    kind: ChartKind
    """The chart it was made for."""
    centre: float
    """The mean of the process: of values, of the share bad, of defects for each disc; of an np or c chart for each disc."""
    sigma: float
    """Standard deviation within groups; of a chart of counts 0: there the centre says how far counts scatter."""
    size: int
    """Values in a group, or discs looked at for each point of an np or c chart; 0 where that may differ."""
    points: int
    """Points it was made from."""


@dataclass(frozen=True, slots=True)
class ChartTuning:
    """Settings of the charts that remember."""

    weight: float
    """EWMA: weight of the newest point, above 0 up to 1."""
    width: float
    """EWMA: limits in standard deviations of the weighted mean."""
    slack: float
    """CUSUM: standard deviations that a point may lie off before it adds to a sum."""
    decision: float
    """CUSUM: standard deviations at which a sum is a signal."""


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """The lines at one point."""

    lower: float | None
    """Lower control limit; None if there is none."""
    centre: float
    """Centre line."""
    upper: float
    """Upper control limit."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One row of points with its lines."""

    statistic: Statistic
    """What the points are."""
    values: tuple[float | None, ...]
    """The points; None where there is none, as for the first moving range."""
    limits: tuple[ControlLimits, ...]
    """Lines at each point."""
    signals: tuple[Signal, ...]
    """Points that are a signal."""


@dataclass(frozen=True, slots=True)
class ControlChart:
    """A chart: its panels, the first the one to look at first."""

    kind: ChartKind
    """Which chart."""
    panels: tuple[Panel, ...]
    """Its panels; all have as many points."""

    @property
    def warning_panels(self) -> tuple[Panel, ...]:
        """The panels of which a signal is a warning: all but that of moving ranges."""
        # A moving range of a stable process is beyond its limit nearly once in a hundred points, three times as often
        # as a value, because ranges are skewed; and whatever moves it far moves a value as well.
        return tuple(panel for panel in self.panels if panel.statistic is not Statistic.MOVING_RANGE)

    @property
    def first_signal(self) -> int | None:
        """The number of the first point that warns, from 1; None if none does."""
        return min((signal.point for panel in self.warning_panels for signal in panel.signals), default=None)
