"""The answer of a containment, as plain facts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tracelink.genealogy.containment.held import (
    ContainerBound,
    GroupBound,
    Holdings,
    PlaceTotal,
    places_in,
)
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.carry_over import Carried
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.level import Level, Levels
from tracelink.genealogy.suspects.lookat import NO_TESTS, NextTest, NextTests, Sibling
from tracelink.genealogy.suspects.samples import Shown, caution
from tracelink.ledger.count_words import PieceWords, words_of_all


@dataclass(frozen=True, slots=True)
class Tier:
    """Strokes of a lot that share a degree of suspicion and its reason."""

    name: TierName
    """proven, possible or cleared."""
    lot: str
    """The lot."""
    strokes: StrokeSet
    """The strokes; no stroke of a lot is in two tiers."""
    reason: str
    """Why, as a clause without a full stop."""
    most: int | None = None
    """How many of them can be affected at once, where that is fewer than all and counted; else None."""

    share_permille: int | None = None
    """The most that the material of a disc can hold of the cause, rounded up; None where it is not asked about material
    that was blended or left in a hopper."""

    @property
    def discs(self) -> int:
        """How many discs of it can be what its name says."""
        return len(self.strokes) if self.most is None else self.most


@dataclass(frozen=True, slots=True)
class Scope:
    """What a cause may have touched, by the records up to `head`. It reports; a named person decides."""

    cause: str
    """The code that was asked about."""
    kind: str
    """Kind of the cause, such as stamper or press."""
    shape: Shape
    """The shape that was asked for."""
    defect: str | None
    """The defect asked about; None for any."""
    window: tuple[int, int] | None
    """The window given, if the shape is one."""
    reasons: tuple[str, ...]
    """Sentences on how the shape was read for this cause."""
    tiers: tuple[Tier, ...]
    """Tiers, by lot and first stroke."""
    containers: tuple[ContainerBound, ...]
    """Every container that now holds discs of the lots in question, also those with a `most` of 0."""
    groups: tuple[GroupBound, ...]
    """Pallets, shipments and consignees that hold any of those containers."""
    places: tuple[PlaceTotal, ...]
    """The total last, the unaccounted before it."""
    contradictions: tuple[str, ...]
    """Sentences on judgements or movements that cannot all be true."""
    gaps: tuple[str, ...]
    """Sentences on what the records do not say."""
    co_affected: tuple[str, ...]
    """Lots with proven or possible discs, apart from the cause itself."""
    suspects: tuple[str, ...]
    """Tools that carry the fault or may: the cause, and those grown from it that nothing clears."""
    head: tuple[int, str]
    """Last journal sequence looked at, and its hash."""
    holdings: Holdings
    """For `bounds_of`; not part of the printed answer."""
    evidence: tuple[JudgementFact, ...] = ()
    """The judgements it rests on; not part of the printed answer."""
    samples: tuple[Shown, ...] = ()
    """What the judged discs show about the others, lot by lot."""
    levels: Levels | None = None
    """Which level of the family carries the fault; None unless the cause is a stamper."""
    siblings: tuple[Sibling, ...] = ()
    """For each untested stamper of the family, a disc that would tell."""
    carried: tuple[Carried, ...] = ()
    """For a compound lot: discs that may hold what was left of it in a hopper, beside the first-in-first-out bound."""
    clauses: tuple[tuple[str, ...], ...] = ()
    """For several causes: every clause must hold, and of a clause any of its codes; empty for a single cause."""
    period: tuple[str | None, str | None] | None = None
    """From and to, for what stations and persons did; None if no period was asked for."""
    axes: tuple[Axis, ...] = ()
    """The lives that the causes were followed along; not part of the printed answer."""
    next_tests: NextTests = NO_TESTS
    """The discs whose test would shrink the possible set most."""
    cut_short: bool = False
    """True if the time of the question was not enough: bounds that are not tight might be narrower with more of it."""
    budget: Budget = field(default_factory=no_limit)
    """What is left of it for a certificate; not part of the printed answer."""
    untold: tuple[JudgementFact, ...] = ()
    """Judgements of units that are no evidence: nobody knows whether the bad part is of the cause; not part of it either."""

    @property
    def words(self) -> PieceWords:
        """What people call the pieces in question; those of the cause where nothing is."""
        lots = [tier.lot for tier in self.tiers] + [held.lot for held in self.containers]
        return words_of_all(lots or [self.cause])

    def to_json(self) -> dict[str, Any]:
        """Plain data with the fields of this class as keys, in their order.

        What is not part of the printed answer is left out. Strokes are lists of [first, last]; `head` is
        {"seq", "hash"}; a group has the keys of its bound beside kind, code and shipped. Enums are their text.
        """
        return {
            "cause": self.cause,
            "kind": self.kind,
            "shape": self.shape.value,
            "defect": self.defect,
            "window": None if self.window is None else list(self.window),
            "reasons": list(self.reasons),
            "tiers": [_tier(tier) for tier in self.tiers],
            "containers": [_container(container) for container in self.containers],
            "groups": [
                {"kind": group.kind, "code": group.code, "shipped": group.shipped, **_plain(group.bound)}
                for group in self.groups
            ],
            "places": [_place(place) for place in self.places],
            "contradictions": list(self.contradictions),
            "gaps": list(self.gaps),
            "co_affected": list(self.co_affected),
            "suspects": list(self.suspects),
            "head": {"seq": self.head[0], "hash": self.head[1]},
            "samples": {
                "caution": caution(self.words),
                "lots": [{**_plain(shown), "sentence": shown.sentence} for shown in self.samples],
            },
            "level": None if self.levels is None else _level(self.levels, self.siblings),
            "carried_over": [
                {**_plain(one), "strokes": _spans(one.strokes), "reason": one.reason} for one in self.carried
            ],
            "clauses": [list(clause) for clause in self.clauses],
            "period": None if self.period is None else list(self.period),
            "next_tests": {
                "sentence": self.next_tests.sentence,
                "tests": [_plain(test) for test in self.next_tests.tests],
            },
            "cut_short": self.cut_short,
        }


def bounds_of(scope: Scope, codes: Iterable[str]) -> Bound:
    """The bounds of a set of containers together, which are narrower than the sum of their bounds.

    Args:
        scope: a containment.
        codes: containers, pallets, shipments, consignees, orders or countries of the scope; one inside another
            counts once. A code that holds no disc of the lots in question adds nothing, so look codes up before
            asking.
    """
    return scope.holdings.bound(places_of_codes(scope.containers, scope.groups, codes))


def places_of_codes(
    containers: Iterable[ContainerBound], groups: Iterable[GroupBound], codes: Iterable[str]
) -> set[str]:
    """The containers of a scope that some codes stand for together: containers themselves, and groups of them."""
    wanted = set(codes)
    grouped = {place for group in groups if group.code in wanted for place in group.places}
    return places_in(containers, wanted) | grouped


def _tier(tier: Tier) -> dict[str, Any]:
    return {
        "name": tier.name.value,
        "lot": tier.lot,
        "strokes": _spans(tier.strokes),
        "reason": tier.reason,
        "most": tier.most,
        "share_permille": tier.share_permille,
    }


def _container(held: ContainerBound) -> dict[str, Any]:
    what = {"code": held.code, "kind": held.kind, "status": held.status, "lot": held.lot}
    where = {"parents": list(held.parents), "consignee": held.consignee, "shipped": held.shipped}
    return {**what, **_plain(held.bound), **where}


def _place(total: PlaceTotal) -> dict[str, Any]:
    numbers = _plain(total.bound)
    del numbers["chance"]
    return {"place": total.place, **numbers}


def _spans(strokes: StrokeSet) -> list[list[int]]:
    return [[span.first, span.last] for span in strokes.spans]


def _level(levels: Levels, siblings: Iterable[Sibling]) -> dict[str, Any]:
    return {
        "sentence": levels.sentence,
        "levels": [_plain(level) for level in levels.levels],
        "missing_tests": [_sibling(sibling) for sibling in siblings],
    }


def _sibling(sibling: Sibling) -> dict[str, Any]:
    kept = sibling.kept
    return {
        "stamper": sibling.stamper,
        "lot": kept and kept.lot,
        "stroke": sibling.stroke,
        "place": kept and kept.place,
        "kind": kept and kept.kind,
        "parents": list(kept.parents) if kept else [],
    }


def _plain(fact: Bound | Carried | Level | NextTest | Shown) -> dict[str, Any]:
    values: Mapping[str, Any] = {name: getattr(fact, name) for name in fact.__slots__}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}
