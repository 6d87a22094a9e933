"""The lives that a containment followed, with what was judged on each."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.containment.direct import DIRECT_KINDS
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis, closure_of
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


def lives_of(records: Records, scope: Scope) -> list[StrokeLife]:
    """Return the lives that a scope followed, with the judged discs on each.

    Args:
        records: the records.
        scope: the containment.
    """
    if scope.kind in DIRECT_KINDS:
        # Suspect by place and not by stroke: there is no life.
        return []
    axes = scope.axes if scope.clauses else closure_of(records, scope.cause).axes
    return [StrokeLife(axis, tuple(judged_on(axis, scope.evidence, scope.defect))) for axis in axes]
