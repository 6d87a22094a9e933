"""The one maker of scopes: whatever way discs were followed, containers, groups and places come about alike here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

from tracelink.genealogy.containment.group_totals import groups_of, places_of
from tracelink.genealogy.containment.held import ContainerBound, Holdings, alike_containers
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope, Tier
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.suspects.carry_over import Carried
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.level import Levels
from tracelink.genealogy.suspects.lookat import NO_TESTS, NextTests, Sibling
from tracelink.genealogy.suspects.samples import Shown


class FollowedDiscs(Holdings, Protocol):
    """Discs in question, followed to where they are now."""

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold any."""

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The bounds of some places together, for the discs of one lot."""

    def of_place(self, lot: str, place: str) -> Bound:
        """The same for one place."""

    def mark_unclaimed(self, places: Iterable[str]) -> None:
        """Note places whose content is not known any more."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Discs in question in their containers."""

    holdings: FollowedDiscs
    """The discs."""
    whereabouts: Whereabouts
    """What the containers are and stand in."""
    containers: tuple[ContainerBound, ...]
    """Each with its bounds."""


@dataclass(frozen=True, slots=True)
class Found:
    """What was worked out of one query, before places are summed up."""

    cause: str
    """The code, or the codes with their ands and ors."""
    kind: str
    """Kind of the cause, such as stamper or press."""
    reasons: tuple[str, ...]
    """Sentences on how the shape was read."""
    total: Bound
    """All discs of the lots in question."""
    holdings: Holdings
    """What answers for sets of places."""
    tiers: tuple[Tier, ...] = ()
    """Tiers, by lot and first stroke."""
    twice: int = 0
    """Discs that are in the records twice, because they came back loose."""
    contradictions: tuple[str, ...] = ()
    """Sentences."""
    gaps: tuple[str, ...] = ()
    """Sentences on the cause and its lots; those on containers are put behind them."""
    gaps_of_movements: tuple[str, ...] = ()
    """Sentences that come after those on containers."""
    co_affected: tuple[str, ...] = ()
    """Lots."""
    suspects: tuple[str, ...] = ()
    """Tools."""
    evidence: tuple[JudgementFact, ...] = ()
    """The judgements in use."""
    samples: tuple[Shown, ...] = ()
    """What the judged discs of each lot show."""
    levels: Levels | None = None
    """Levels of the family, for a stamper; else None."""
    siblings: tuple[Sibling, ...] = ()
    """Stampers of the family without a judged disc, for a stamper; else none."""
    carried: tuple[Carried, ...] = ()
    """Lots that may hold what was left of it in a hopper, for a compound lot; else none."""
    next_tests: NextTests = NO_TESTS
    """The tests that would narrow the scope most."""
    clauses: tuple[tuple[str, ...], ...] = ()
    """Codes of each clause, for several causes; else none."""
    period: tuple[str | None, str | None] | None = None
    """Begin and end, RFC 3339 with offset, for stations and persons; else None."""
    axes: tuple[Axis, ...] = ()
    """Lives of the causes; none for what is suspect by place."""
    budget: Budget = field(default_factory=no_limit)
    """The time there was."""
    untold: tuple[JudgementFact, ...] = ()
    """Judgements of units of which nobody knows whether the bad part is of the cause."""


def place_discs(records: Records, holdings: FollowedDiscs) -> Placed:
    """Look up what holds the discs in question, and bound each container.

    Args:
        records: the records.
        holdings: the discs, followed to now.
    """
    held = holdings.held()
    # Said beforehand, so that the records can read containers hundreds at a time.
    records.look_up(place for place, _lot in held)
    whereabouts = Whereabouts(records)
    holdings.mark_unclaimed(place for place, _lot in held if whereabouts.is_unclaimed(place))
    containers = tuple(
        whereabouts.container(place, lot, holdings.of_place(lot, place)) for place, lot in held
    )
    return Placed(holdings, whereabouts, containers)


def make_scope(
    records: Records,
    query: ContainmentQuery,
    placed: Placed,
    found: Found,
) -> Scope:
    """Put together what was found.

    Args:
        records: the records.
        query: what was asked.
        placed: the discs in their containers.
        found: everything else.
    """
    containers, whereabouts = placed.containers, placed.whereabouts
    # Groups ask the whereabouts further questions, which may find further gaps: they come first.
    alike = alike_containers(containers)
    groups = tuple(groups_of(alike, placed.holdings, whereabouts))
    places = tuple(places_of(alike, placed.holdings, found.total, found.twice))
    return Scope(
        cause=found.cause,
        kind=found.kind,
        shape=query.shape,
        defect=query.defect,
        window=query.window,
        reasons=found.reasons,
        tiers=found.tiers,
        containers=containers,
        groups=groups,
        places=places,
        contradictions=found.contradictions,
        gaps=(*found.gaps, *whereabouts.gaps, *found.gaps_of_movements, *cut_short(found.budget)),
        co_affected=found.co_affected,
        suspects=found.suspects,
        head=records.head(),
        holdings=found.holdings,
        evidence=found.evidence,
        samples=found.samples,
        levels=found.levels,
        siblings=found.siblings,
        carried=found.carried,
        clauses=found.clauses,
        period=found.period,
        axes=found.axes,
        next_tests=found.next_tests,
        cut_short=found.budget.was_short,
        budget=found.budget,
        untold=found.untold,
    )


def cut_short(budget: Budget) -> Iterator[str]:
    """Say if the time of a question was not enough."""
    if budget.was_short:
        yield (
            f"The {budget.seconds:g} s that this question has were not enough: every limit holds, but those that are not "
            f"called exact may be wider than the records force. More --seconds may narrow them."
        )
