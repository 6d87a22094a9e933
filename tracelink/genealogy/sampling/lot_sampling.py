"""The discs of a lot that the lab draws, by a plan and otherwise, and what they come to."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.sampling.strokes_to_draw import DrawState, LabSample, StrokeToDraw
from tracelink.quality.sampling.attribute_plan import SampleOutcome, SamplingPlan
from tracelink.quality.sampling.severity_switching import Switching


@dataclass(frozen=True, slots=True)
class LotSampling:
    """Which discs of a lot the lab draws, and how far it is. The plan decides nothing: an authorised person does."""

    lot: str
    """The lot."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""
    planned: int
    """Discs that were planned; the plan is made for so many."""
    pressed: int
    """Discs pressed so far."""
    plan: SamplingPlan | None
    """How many discs to look at and how many of them may be bad; None if no plan was asked for."""
    seed: str | None
    """What the draw follows from; None without a plan."""
    before: Switching
    """Where the product stands by what was decided on the lots before this one."""
    strokes: tuple[StrokeToDraw, ...]
    """Every stroke to draw."""
    others: tuple[LabSample, ...]
    """Samples of the lot that are none of them."""
    kept_by: int | None = None
    """The entry by which the plan is kept for the product; None if it was asked for."""
    inspection: str | None = None
    """The kind of inspection; None for the one of a product that has no kinds, and for a plan that was asked for without."""
    defects: frozenset[str] = frozenset()
    """The defects that count in it; none for every defect."""

    @property
    def judged(self) -> int:
        """Discs of the plan that were judged."""
        return sum(one.is_judged for one in self.strokes if one.by_plan)

    @property
    def bad(self) -> int:
        """Discs of the plan that were judged bad for what it inspects for."""
        return sum(self._is_bad(one) for one in self.strokes if one.by_plan)

    def _is_bad(self, one: StrokeToDraw) -> bool:
        if one.state is not DrawState.BAD or one.sample is None:
            return False
        return not self.defects or one.sample.defect in self.defects

    @property
    def bad_apart(self) -> int:
        """Bad discs that do not count against the plan, as it did not draw them or does not inspect for their defect."""
        listed = sum(one.state is DrawState.BAD for one in self.strokes) - self.bad
        return listed + sum(sample.good is False for sample in self.others)

    @property
    def left(self) -> int:
        """Strokes that are not judged yet, for whatever reason they are drawn."""
        return sum(not one.is_judged for one in self.strokes)

    @property
    def outcome(self) -> SampleOutcome | None:
        """Where the bad ones of the plan stand; None without a plan, and while its discs are not judged that may matter."""
        if self.plan is None:
            return None
        found = self.plan.outcome(min(self.bad, self.plan.size))
        whole = all(one.is_judged for one in self.strokes if one.by_plan)
        return found if whole or found is SampleOutcome.REACHED else None

    @property
    def is_met(self) -> bool:
        """True if all is judged, the rejection number was not reached, and no bad disc is known beside the plan's."""
        return self.left == 0 and self.bad_apart == 0 and self.outcome is not SampleOutcome.REACHED
