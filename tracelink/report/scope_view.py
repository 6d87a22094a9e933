"""What the page of a containment prints, gathered from the scope and the records it was made from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tracelink.genealogy.closure import Axis, closure_of
from tracelink.genealogy.direct import DIRECT_KINDS
from tracelink.genealogy.evidence import Judged, judged_on
from tracelink.genealogy.facts import STAMPER, JudgementFact
from tracelink.genealogy.kinds import node_of
from tracelink.genealogy.level import Levels, level
from tracelink.genealogy.records import Records
from tracelink.genealogy.scope import Scope
from tracelink.genealogy.shapes import Shape, TierName
from tracelink.report import scope_grids as grids
from tracelink.report.grids import Grid, grid
from tracelink.report.places_svg import added_up, places_svg
from tracelink.report.stroke_life_svg import stroke_life_svg

_MOST_LIVES = 6
"""Pictures of single stampers on one page; the table of tiers has them all."""

_SHAPES = {
    Shape.FROM_ONSET: "From onset: discs are good up to some stroke and bad from there on (damage that stays).",
    Shape.WHOLE_LIFE: "Whole life: every disc of it is bad, or none is (made wrong).",
    Shape.WINDOW: "Window: something happened between two known points; what it did there is not known.",
    Shape.INTERMITTENT: "Intermittent: it comes and goes, and no disc says anything about another.",
}


@dataclass(frozen=True, slots=True)
class Life:
    """The life of one thing with what was judged on it."""

    axis: Axis
    """The life."""
    judged: tuple[Judged, ...]
    """The judged discs on it."""


def scope_view(
    records: Records,
    scope: Scope,
    *,
    at: str,
    evidence: Sequence[JudgementFact] | None,
    holds: Mapping[str, str] | None,
) -> dict[str, Any]:
    """Gather the page of a containment; see `page.scope_page` for the arguments.

    Returns:
        The names that templates/scope.html.j2 uses.
    """
    lives = _lives(scope, records, evidence)
    touched = [held for held in scope.containers if held.most]
    suspected = [life for life in lives if _is_suspected(scope, life)]
    return {
        "scope": scope,
        "cause": node_of(records, scope.cause),
        "is_direct": scope.kind in DIRECT_KINDS,
        "shape_words": _SHAPES[scope.shape],
        "counts": {name.value: _discs(scope, name) for name in TierName},
        "tiers": grids.tiers(scope),
        "lives": [_picture(scope, records, life, at) for life in suspected[:_MOST_LIVES]],
        "lives_left_out": max(0, len(suspected) - _MOST_LIVES),
        "samples": grids.samples([one for life in lives for one in life.judged]),
        "first_bad": _first_bad(lives),
        "levels": _levels(scope, records, evidence),
        "places": grids.places(scope),
        "places_differ": added_up(scope.places) - _total(scope),
        "places_picture": places_svg(
            scope.places, title=f"Where the discs in question are: {scope.cause}", head=scope.head, at=at
        ),
        "containers": grids.containers(scope, touched, holds),
        "untouched": [held for held in scope.containers if not held.most],
        "unheld": None if holds is None else grids.unheld(touched, holds),
        "groups": grids.groups(scope),
        "consignees": grids.consignees(scope, records),
        "identifiers": grids.identifiers(scope, records),
    }


def _discs(scope: Scope, name: TierName) -> int:
    return sum(len(tier.strokes) for tier in scope.tiers if tier.name is name)


def _total(scope: Scope) -> int:
    return scope.places[-1].pieces if scope.places else 0


def _lives(scope: Scope, records: Records, evidence: Sequence[JudgementFact] | None) -> list[Life]:
    if scope.kind in DIRECT_KINDS:
        # Suspect by place and not by stroke: there is no life to draw.
        return []
    closure = closure_of(records, scope.cause)
    judgements = evidence
    if judgements is None:
        judgements = [fact for lot in closure.lots for fact in records.judgements_of(lot)]
    return [Life(axis, tuple(judged_on(axis, judgements, scope.defect))) for axis in closure.axes]


def _is_suspected(scope: Scope, life: Life) -> bool:
    """Whether any disc of it is more than cleared; the lives of cleared stampers answer no question."""
    return any(
        stretch.lot == tier.lot and stretch.strokes & tier.strokes
        for stretch in life.axis.stretches
        for tier in scope.tiers
        if tier.name is not TierName.CLEARED
    )


def _picture(scope: Scope, records: Records, life: Life, at: str) -> str:
    lots = dict.fromkeys(stretch.lot for stretch in life.axis.stretches)
    return stroke_life_svg(
        life.axis,
        title=f"The life of {life.axis.kind} {life.axis.code}: samples and what is suspected",
        head=scope.head,
        at=at,
        tiers=scope.tiers,
        judged=life.judged,
        segments=[segment for lot in lots for segment in records.segments_of(lot)],
    )


def _first_bad(lives: Iterable[Life]) -> JudgementFact | None:
    bads = [one.judgement for life in lives for one in life.judged if not one.good]
    return min(bads, key=lambda fact: fact.seq, default=None)


def _levels(
    scope: Scope, records: Records, evidence: Sequence[JudgementFact] | None
) -> tuple[Levels, Grid] | None:
    """Which level the recorded judgements point to; not asked when the scope was made with chosen ones."""
    if scope.kind != STAMPER or evidence is not None:
        return None
    found = level(records, scope.cause, scope.defect)
    rows = [
        (one.kind, one.code, *(", ".join(codes) for codes in (one.good, one.bad, one.mixed, one.untested)))
        for one in found.levels
    ]
    columns = (
        ("level", ""),
        ("tool", ""),
        ("stampers below it: good only", "w"),
        ("BAD only", "w"),
        ("both", "w"),
        ("untested", "w"),
    )
    return found, grid(columns, rows)
