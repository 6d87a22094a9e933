"""What a warning ends in: the containment to ask for, once a disc is outside its limit."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracelink.genealogy.charting.charted_discs import ChartedDisc
from tracelink.genealogy.charting.process_chart import ChangeOnset, ProcessChart
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.suspects.lookat import NextTest


@dataclass(frozen=True, slots=True)
class Proposal:
    """A containment to ask for. Nobody has decided anything."""

    cause: str
    """The tool or press."""
    shape: Shape
    """How the fault runs."""
    window: tuple[int, int] | None
    """First and last stroke of the life of the tool; None unless the shape is a window."""
    evidence: tuple[str, ...]
    """Discs outside the limit that nobody judged yet, as evidence, LOT:STROKE=bad:DEFECT; judged ones are in the records."""
    after: int | None
    """The onset lies after this place; None if nobody can tell."""
    by: int
    """And by this one: at the latest at the first disc outside."""
    scattered: bool
    """True if discs within the limit follow one outside: then a good disc clears none before it."""
    tests: tuple[NextTest, ...] = ()
    """The discs whose test would narrow it most."""

    @property
    def words(self) -> tuple[str, ...]:
        """The question as words of `runout contain`."""
        window = () if self.window is None else ("--window", f"{self.window[0]}-{self.window[1]}")
        evidence = tuple(word for one in self.evidence for word in ("--evidence", one))
        return (self.cause, "--shape", self.shape.value, *window, *evidence)

    def narrowed_by(self, tests: tuple[NextTest, ...]) -> Proposal:
        """Return the same with the tests that would narrow it."""
        return replace(self, tests=tests)


def proposal(found: ProcessChart, cause: str, defect: str | None, *, by_stroke: bool) -> Proposal | None:
    """Return the containment to ask for; None unless the chart warns and a disc is outside its limit.

    Args:
        found: the chart.
        cause: of which it is.
        defect: what discs outside the limit are bad for; None for a chart of judged discs.
        by_stroke: True if places are strokes of a tool's life.
    """
    discs = [disc for point in found.points for disc in point]
    outside = [disc for disc in discs if disc.outside]
    if not outside or not found.signalled:
        return None
    first = outside[0]
    scattered = any(not disc.outside for disc in discs if disc.place > first.place)
    onset = found.onset if isinstance(found.onset, ChangeOnset) else None
    after = None if onset is None else min(onset.after.place, first.place - 1)
    # Values that scatter round a limit lie within it here and there after the onset: under from-onset such a good disc
    # would clear all before it. So the question is then for the whole stretch, and no disc clears another.
    window = (after + 1, discs[-1].place) if scattered and by_stroke and after is not None else None
    evidence = () if defect is None else tuple(_evidence(disc, defect) for disc in outside if not disc.judged)
    shape = Shape.FROM_ONSET if window is None else Shape.WINDOW
    return Proposal(cause, shape, window, evidence, after, first.place, scattered)


def _evidence(disc: ChartedDisc, defect: str) -> str:
    return f"{disc.lot}:{disc.stroke}=bad:{defect}"
