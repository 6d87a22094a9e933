"""The lives that a containment followed, with what was judged on each."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.evidence import Judged, judged_on


@dataclass(frozen=True, slots=True)
class StrokeLife:
    """The life of one thing with what was judged on it."""

    axis: Axis
    """The life."""
    judged: tuple[Judged, ...]
    """The judged discs on it, by position."""

    def in_tier(self, scope: Scope, name: TierName) -> StrokeSet:
        """The positions that are in a tier of the scope."""
        found = NO_STROKES
        for tier in scope.tiers:
            if tier.name is not name:
                continue
            for stretch in self.axis.stretches:
                if stretch.lot == tier.lot:
                    found |= (stretch.strokes & tier.strokes).shifted(stretch.shift)
        return found

    def is_suspected(self, scope: Scope) -> bool:
        """Return whether any disc of it is more than cleared; the lives of cleared stampers answer no question."""
        return any(self.in_tier(scope, name) for name in (TierName.PROVEN, TierName.POSSIBLE))


def lives_of(scope: Scope) -> list[StrokeLife]:
    """Return the lives that a scope followed, with the judged discs on each; none for what is suspect by place."""
    return [StrokeLife(axis, tuple(judged_on(axis, scope.evidence, scope.defect))) for axis in scope.axes]
