"""How much of what is measured comes from the gauge and from the people: a repeatability study by analysis of variance.

Every person measures every disc several times. The mean squares of discs, people, both together, and repeats are
expected to be sums of the variances behind them, so that each variance follows from differences of mean squares. Where
discs and people show no effect together, that row is put together with the repeats.

Intervals: repeatability by the chi-square distribution, exact. Sums and differences of mean squares by the modified
large-sample method (Graybill and Wang for sums, Ting and others for differences; formulas from memory, how often they
hold the truth is measured by the tests).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor, sqrt
from statistics import fmean

from tracelink.errors import UsageError
from tracelink.quality.agreement.mean_squares import MeanSquare, combined_interval, f_chance
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.confidence import CONFIDENCE
from tracelink.quality.estimate import Estimate

POOLED_ABOVE = 0.25
"""Chance p of the row of discs and people together above which it is put together with the repeats: common practice."""
CATEGORIES = 1.41
"""Categories that a gauge tells apart: the root of two, as printed, times the spread of discs by that of the gauge."""

Readings = Mapping[tuple[str, str], Sequence[float]]
"""Disc and person -> the values that the person read on that disc."""


@dataclass(frozen=True, slots=True)
class VarianceRow:
    """One row of the analysis of variance."""

    source: str
    """What differs: discs, people, discs and people, repeats, all."""
    squares: float
    """Sum of squares."""
    freedom: int
    """Degrees of freedom."""
    f: float | None
    """Its mean square by the one that it is compared with; None where it is compared with none."""
    p: float | None
    """Chance of an F as large without an effect."""


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """The variances behind what was measured; each with its interval, 0 at least."""

    discs: int
    """Discs measured."""
    people: int
    """People who measured."""
    repeats: int
    """Times that each measured each disc."""
    rows: tuple[VarianceRow, ...]
    """The analysis of variance."""
    pooled: bool
    """True if discs and people showed no effect together, and that row was put together with the repeats."""
    repeatability: Estimate
    """Variance of one person measuring one disc again and again."""
    reproducibility: float
    """Variance from person to person, with that of discs and people together."""
    gauge: Estimate
    """Variance of the gauge in all hands: both of them."""
    between_discs: Estimate
    """Variance from disc to disc."""

    @property
    def share_of_spread(self) -> float:
        """Standard deviation of the gauge by that of everything measured, 0 to 1."""
        whole = self.gauge.value + self.between_discs.value
        return sqrt(self.gauge.value / whole) if whole else 0.0

    @property
    def categories(self) -> int | None:
        """How many groups of discs the gauge tells apart; None if it shows no spread of its own."""
        if not self.gauge.value:
            return None
        return floor(CATEGORIES * sqrt(self.between_discs.value / self.gauge.value))

    def share_of_tolerance(self, width: float) -> float:
        """Return six standard deviations of the gauge by the width of a tolerance."""
        return 6 * sqrt(self.gauge.value) / width


def gauge_study(readings: Readings, confidence: float = CONFIDENCE) -> GaugeStudy | CannotTell:
    """Analyse a study in which every person measured every disc as often.

    Args:
        readings: the values by disc and person.
        confidence: of the intervals.

    Returns:
        The study; or that there are too few discs, people or repeats, or that all values are alike.

    Raises:
        UsageError: somebody did not measure a disc, or measured it more or less often than another.
    """
    discs = list(dict.fromkeys(disc for disc, _person in readings))
    people = list(dict.fromkeys(person for _disc, person in readings))
    repeats = _repeats(readings, discs, people)
    fewest = min(len(discs), len(people), repeats)
    if fewest < 2:
        return CannotTell(Doubt.TOO_FEW, fewest, 2)
    values = [value for cell in readings.values() for value in cell]
    if min(values) == max(values):
        return CannotTell(Doubt.ALL_ALIKE, values[0], 0)
    squares = _squares(readings, discs, people, repeats)
    return _study(squares, (len(discs), len(people), repeats), confidence)


def _repeats(readings: Readings, discs: Sequence[str], people: Sequence[str]) -> int:
    counts: dict[int, tuple[str, str]] = {}
    for disc in discs:
        for person in people:
            counts.setdefault(len(readings.get((disc, person), ())), (disc, person))
    if len(counts) > 1:
        few, many = min(counts), max(counts)
        raise UsageError(
            f"{counts[few][1]} measured disc {counts[few][0]} {few} times, {counts[many][1]} measured disc "
            f"{counts[many][0]} {many} times: expected that everybody measures every disc as often"
        )
    return next(iter(counts), 0)


def _squares(
    readings: Readings, discs: Sequence[str], people: Sequence[str], repeats: int
) -> tuple[MeanSquare, MeanSquare, MeanSquare, MeanSquare]:
    """Mean squares of discs, people, both together, and repeats."""
    means = {cell: fmean(values) for cell, values in readings.items()}
    grand = fmean(means.values())
    by_disc = {disc: fmean(means[disc, person] for person in people) for disc in discs}
    by_person = {person: fmean(means[disc, person] for disc in discs) for person in people}
    of_discs = len(people) * repeats * sum((mean - grand) ** 2 for mean in by_disc.values())
    of_people = len(discs) * repeats * sum((mean - grand) ** 2 for mean in by_person.values())
    together = repeats * sum(
        (means[disc, person] - by_disc[disc] - by_person[person] + grand) ** 2
        for disc in discs
        for person in people
    )
    within = sum((value - means[cell]) ** 2 for cell, values in readings.items() for value in values)
    between_discs, between_people = len(discs) - 1, len(people) - 1
    return (
        MeanSquare(of_discs, between_discs),
        MeanSquare(of_people, between_people),
        MeanSquare(together, between_discs * between_people),
        MeanSquare(within, len(discs) * len(people) * (repeats - 1)),
    )


def _study(
    squares: tuple[MeanSquare, MeanSquare, MeanSquare, MeanSquare],
    size: tuple[int, int, int],
    confidence: float,
) -> GaugeStudy:
    of_discs, of_people, together, within = squares
    discs, people, repeats = size
    whole = MeanSquare(sum(each.squares for each in squares), sum(each.freedom for each in squares))
    chance = f_chance(together, within)
    pooled = chance is not None and chance > POOLED_ABOVE
    error = within
    if pooled:
        error = MeanSquare(together.squares + within.squares, together.freedom + within.freedom)
    beside = error if pooled else together
    rows = [_row("discs", of_discs, beside), _row("people", of_people, beside)]
    if not pooled:
        rows.append(_row("discs and people", together, within))
    rows += [VarianceRow("repeats", error.squares, error.freedom, None, None)]
    rows += [VarianceRow("all", whole.squares, whole.freedom, None, None)]
    person = max(0.0, (of_people.mean - beside.mean) / (discs * repeats))
    both = 0.0 if pooled else max(0.0, (together.mean - within.mean) / repeats)
    # The sum of the variances of repeats, people and both together, in mean squares: all of them count upwards, so that
    # no estimate of one below 0 is hidden in it.
    cells = discs * repeats
    parts = [(of_people, 1 / cells), (error, (cells - 1) / cells)]
    if not pooled:
        parts = [
            (of_people, 1 / cells),
            (together, (discs - 1) / cells),
            (error, (repeats - 1) / repeats),
        ]
    low, high = combined_interval(parts, confidence)
    spread = [(of_discs, 1 / (people * repeats)), (beside, -1 / (people * repeats))]
    least, most = combined_interval(spread, confidence)
    alone = combined_interval([(error, 1.0)], confidence)
    return GaugeStudy(
        discs,
        people,
        repeats,
        tuple(rows),
        pooled,
        Estimate(error.mean, *alone),
        person + both,
        Estimate(error.mean + person + both, low, high),
        Estimate(max(0.0, (of_discs.mean - beside.mean) / (people * repeats)), least, most),
    )


def _row(source: str, square: MeanSquare, beside: MeanSquare) -> VarianceRow:
    f = square.mean / beside.mean if beside.mean else None
    return VarianceRow(source, square.squares, square.freedom, f, f_chance(square, beside))
