"""How many discs of a cause, where they are and who has them: the totals of a scope, without its list of containers.

They are the same totals, by sums where a lot is plain (`plain_lots.py`) and by following its movements where it is not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from tracelink.genealogy.containment.by_stroke import suspected
from tracelink.genealogy.containment.contain import ContainmentWay, contain, way_of, wide_bounds
from tracelink.genealogy.containment.gaps import came_back_loose, gaps_of
from tracelink.genealogy.containment.held import (
    BEYOND,
    GroupBound,
    PlaceTotal,
)
from tracelink.genealogy.containment.make_scope import cut_short
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.totals.counted_discs import CountedDiscs
from tracelink.ledger.count_words import OF_DISCS, PieceWords, words_of_all


@dataclass(frozen=True, slots=True)
class ScopeTotals:
    """What a cause may have touched in numbers, by the records up to `head`. It reports; a named person decides."""

    cause: str
    """The code that was asked about."""
    kind: str
    """Kind of the cause, such as stamper or press."""
    shape: Shape
    """The shape that was asked for."""
    defect: str | None
    """The defect asked about; None for any."""
    reasons: tuple[str, ...]
    """Sentences on how the shape was read for this cause."""
    certain: int
    """Discs that are affected."""
    possible: int
    """Discs that may be affected."""
    cleared: int
    """Discs that are cleared for this shape of the fault."""
    suspects: tuple[str, ...]
    """Tools that carry the fault or may: the cause, and those grown from it that nothing clears."""
    recipients: tuple[GroupBound, ...]
    """Consignees, orders and countries, with the bounds of what each has."""
    places: tuple[PlaceTotal, ...]
    """The total last, the unaccounted before it."""
    contradictions: tuple[str, ...]
    """Sentences on judgements or movements that cannot all be true."""
    gaps: tuple[str, ...]
    """Sentences on what the records do not say."""
    head: tuple[int, str]
    """Last journal sequence looked at, and its hash."""
    evidence: tuple[JudgementFact, ...] = ()
    """The judgements it rests on; not part of the printed answer."""
    words: PieceWords = OF_DISCS
    """What people call the pieces in question; not part of the printed answer."""
    untold: tuple[JudgementFact, ...] = ()
    """As `Scope.untold`; not part of the printed answer."""

    def to_json(self) -> dict[str, Any]:
        """Plain data with the fields of this class as keys; `head` is {"seq", "hash"}."""
        return {
            "cause": self.cause,
            "kind": self.kind,
            "shape": self.shape.value,
            "defect": self.defect,
            "reasons": list(self.reasons),
            "certain": self.certain,
            "possible": self.possible,
            "cleared": self.cleared,
            "suspects": list(self.suspects),
            "recipients": [
                {"kind": one.kind, "code": one.code, "shipped": one.shipped, **_numbers(one.bound)}
                for one in self.recipients
            ],
            "places": [{"place": one.place, **_numbers(one.bound)} for one in self.places],
            "contradictions": list(self.contradictions),
            "gaps": list(self.gaps),
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }


def totals_of(records: Records, query: ContainmentQuery, budget: Budget | None = None) -> ScopeTotals:
    """Count what one or several causes may have touched.

    Args:
        records: the records.
        query: as for `contain`.
        budget: the time there is; None for as much as it takes.

    Raises:
        UnknownCode, UsageError: as `contain`.
    """
    budget = budget or no_limit()
    if way_of(records, query) is not ContainmentWay.BY_STROKE:
        return totals_in(contain(records, query, budget))
    with budget:
        return _by_stroke(records, query, budget)


def _by_stroke(records: Records, query: ContainmentQuery, budget: Budget) -> ScopeTotals:
    asked = suspected(records, query)
    discs = CountedDiscs(records, asked, budget)
    # They ask the whereabouts further questions, which may find further gaps: they come first.
    recipients, places = _ordered(discs.recipients()), tuple(discs.places())
    conflicts = [text for held in discs.followed.lots.values() for text in held.conflicts]
    return ScopeTotals(
        cause=query.cause,
        kind=asked.closure.kind,
        shape=query.shape,
        defect=query.defect,
        reasons=asked.reasons,
        certain=discs.total.least,
        possible=discs.total.most - discs.total.least,
        cleared=sum(len(strokes) for strokes in asked.of_lots(TierName.CLEARED).values()),
        suspects=asked.tools,
        evidence=tuple(asked.judgements),
        recipients=recipients,
        places=places,
        contradictions=(*(text for one in asked.narrowed for text in one.contradictions), *conflicts),
        gaps=(
            *asked.closure.hoppers.gaps,
            *gaps_of(records, asked.closure, asked.judgements, query.defect, asked.untold),
            *wide_bounds(discs.placed, discs.followed.unclaimed),
            *came_back_loose(discs.followed.lots),
            *discs.placed.whereabouts.gaps,
            *cut_short(budget),
        ),
        head=records.head(),
        words=words_of_all([tier.lot for tier in asked.tiers] or [query.cause]),
        untold=asked.untold,
    )


def totals_in(scope: Scope) -> ScopeTotals:
    """Return the totals of a scope."""
    sizes = {name: sum(tier.discs for tier in scope.tiers if tier.name is name) for name in TierName}
    total = scope.places[-1].bound
    return ScopeTotals(
        cause=scope.cause,
        kind=scope.kind,
        shape=scope.shape,
        defect=scope.defect,
        reasons=scope.reasons,
        # A cause that is followed by place has no tiers: what is certain is what the places hold at least.
        certain=sizes[TierName.PROVEN] if scope.tiers else total.least,
        possible=sizes[TierName.POSSIBLE] if scope.tiers else total.most - total.least,
        cleared=sizes[TierName.CLEARED],
        suspects=scope.suspects,
        evidence=scope.evidence,
        recipients=_ordered(replace(one, places=()) for one in scope.groups if one.kind in BEYOND),
        places=scope.places,
        contradictions=scope.contradictions,
        gaps=scope.gaps,
        head=scope.head,
        words=scope.words,
        untold=scope.untold,
    )


def _ordered(groups: Iterable[GroupBound]) -> tuple[GroupBound, ...]:
    """By kind; who may have most comes first."""
    return tuple(sorted(groups, key=lambda one: (BEYOND.index(one.kind), -one.most, one.code)))


def _numbers(bound: Bound) -> dict[str, Any]:
    return {"pieces": bound.pieces, "least": bound.least, "most": bound.most, "tight": bound.tight}
